"""Parts and pieces with sizes as one writes them at the bench."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from logbook.layout.cut_records import MM, Box, Layout, PartToCut, Piece, Placement, Rules
from logbook.model.measures import Length
from logbook.model.words import Grain


def ticks(text: str | float) -> int:
    """A length such as `235.4` in ticks."""
    return Length.of(str(text)).ticks


def part(code: str, length: str | float, width: str | float, **more: Any) -> PartToCut:
    """A part of 12 ply at 11.8 with its grain along the length, once."""
    plain: dict[str, Any] = {"quantity": 1, "material": "12 ply", "thickness": ticks("11.8"), "grain": Grain.LENGTH}
    return PartToCut(code=code, length=ticks(length), width=ticks(width), **{**plain, **more})


def piece(code: str, length: str | float, width: str | float, **more: Any) -> Piece:
    """A piece of 12 ply at 11.8 with its grain along the length; `thick` and `value` as texts, `bad` as rectangles."""
    thick = more.pop("thick", "11.8")
    plain: dict[str, Any] = {
        "material": "12 ply",
        "thickness": (ticks(thick),) * 3 if thick else (),
        "grain": Grain.LENGTH,
        "value": Decimal(value) if (value := more.pop("value", None)) is not None else None,
        "defects": tuple(Box(*(ticks(v) for v in b)) for b in more.pop("bad", ())),
    }
    return Piece(code=code, length=ticks(length), width=ticks(width), **{**plain, **more})


def rules(**more: Any) -> Rules:
    """Kerf 3, trim 5, tolerance 0.2, kept from 50 x 300; few rounds and no clock, so that every run is the same."""
    return Rules(**{"rounds": 600, "seconds": None, **more})


def mm(length: int) -> float:
    """Ticks as millimetres."""
    return length / MM


def lies(layout: Layout, code: str) -> list[Placement]:
    """Where a part lies."""
    return [p for p in layout.placements if p.part == code]
