"""A number with the thing that it counts: `1 line`, `2 lines`."""

from __future__ import annotations


def counted(number: int, thing: str, things: str = "") -> str:
    """The number and the thing, in the plural unless there is one; `things` where the plural is not an `s` more."""
    return f"{number} {thing if number == 1 else things or thing + 's'}"
