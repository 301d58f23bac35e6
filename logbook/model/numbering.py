"""Codes that number themselves: the next free one for a new thing of a list."""

from __future__ import annotations

import re
from collections.abc import Iterator

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.edits import next_step_code
from logbook.model.unit import Unit

_NUMBERED = re.compile(r"(.*?)(\d{1,4})", re.ASCII)
_FIRST = {
    "Component": "C1",
    "Comparator": "X1",
    "Connection": "W1",
    "ConsumableUse": "U1",
    "CostLine": "K1",
    "Fitting": "F1",
    "HeldDimension": "H1",
    "HoldPoint": "H1",
    "Offcut": "O01",
    "Operation": "B01",
    "OrderRule": "R1",
    "Panel": "P1",
    "Part": "N1",
    "PartSet": "S1",
    "StackUp": "G1",
    "Step": "T01",
    "Strip": "S1",
    "SubAssembly": "A1",
}
"""The first code of each kind; of others the first letter of its name with a 1."""


def first_code(kind: type[Frozen]) -> str:
    """The code that the first thing of a kind gets."""
    return _FIRST.get(kind.__name__, f"{kind.__name__[:1]}1")


def next_code(root: Frozen, kind: type[Frozen], listed: tuple[str, ...] = ()) -> str:
    """A free code for a new thing: one more than the highest of those that are numbered like the last one.

    Args:
        root: the unit or the shop; a code is free when nothing of its kind has it anywhere in there.
        kind: what is added.
        listed: codes of the list it is added to; its numbers go on where they have some.
    """
    if isinstance(root, Unit) and kind.__name__ == "Step":
        try:
            return next_step_code(root)
        except InputError:
            return ""
    taken = tuple(_codes_of(root, kind))
    like = next((c for c in reversed(listed or taken) if _NUMBERED.fullmatch(c)), first_code(kind))
    prefix, width = _NUMBERED.fullmatch(like), len(like)
    letters = prefix[1] if prefix else like
    numbers = [int(m[2]) for c in taken if (m := _NUMBERED.fullmatch(c)) and m[1] == letters]
    return f"{letters}{max(numbers, default=0) + 1:0{width - len(letters)}d}"


def _codes_of(record: object, kind: type[Frozen]) -> Iterator[str]:
    """The codes of everything of a kind in a record, all the way down."""
    if isinstance(record, tuple):
        for item in record:
            yield from _codes_of(item, kind)
    elif isinstance(record, Frozen):
        code = getattr(record, "code", None)
        if isinstance(record, kind) and isinstance(code, str):
            yield code
        for name in type(record).model_fields:
            yield from _codes_of(getattr(record, name), kind)
