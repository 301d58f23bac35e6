"""A number with the thing that it counts: `1 line`, `2 lines`; and the word behind it."""

from __future__ import annotations


def counted(number: int, thing: str, things: str = "") -> str:
    """The number and the thing, in the plural unless there is one; `things` where the plural is not an `s` more."""
    return f"{number} {thing if number == 1 else things or thing + 's'}"


def is_or_are(number: int) -> str:
    """The word behind so many things: 1 `is`, 2 `are`."""
    return "is" if number == 1 else "are"
