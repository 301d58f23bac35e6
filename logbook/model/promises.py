"""What a piece of the scrap pile is promised to: `C1 runners; R1 top` names two units and what for."""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import NamedTuple

_UNIT = re.compile(r"[A-Z][A-Z0-9]{0,7}")


class Promise(NamedTuple):
    """One promise of a piece."""

    unit: str
    """Code of the unit; empty when no unit is named, and then it is kept from all of them."""
    what: str
    """For what, as typed; may be empty."""

    def __str__(self) -> str:
        """As it stands in the record."""
        return " ".join(x for x in (self.unit, self.what) if x)


def promises_of(text: str) -> tuple[Promise, ...]:
    """The promises written on a piece, in order; none when it is free.

    A unit is a first word in capitals and digits that has a digit, or that stands alone: `R1 top`, `C1`.
    """
    found = []
    for phrase in text.split(";"):
        head, _, rest = " ".join(phrase.split()).partition(" ")
        head = head.rstrip(",:.")
        is_unit = bool(_UNIT.fullmatch(head)) and (any(c.isdigit() for c in head) or not rest)
        if head:
            found.append(Promise(head, rest) if is_unit else Promise("", f"{head} {rest}".strip()))
    return tuple(found)


def free_for(text: str, units: Collection[str]) -> bool:
    """Whether a piece with these promises is promised to nobody, or to one of these units."""
    promises = promises_of(text)
    return not promises or any(promise.unit in units for promise in promises if promise.unit)


def with_promise(text: str, promise: Promise) -> str:
    """The text with one more promise; unchanged when that unit has the piece already."""
    if any(p.unit == promise.unit and p.unit for p in promises_of(text)):
        return text
    return "; ".join([*(str(p) for p in promises_of(text)), str(promise)])
