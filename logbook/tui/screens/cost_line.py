"""What a line of the costs is, and its columns."""

from __future__ import annotations

from typing import NamedTuple

from logbook.model.paths import Path

NAME, CASH, RANGE, HOURS, RATE = 22, 9, 17, 6, 9
"""Columns of the decision table."""
NARROW = 74
"""Below so many columns the decision table has no range; it stands again in the sums."""


class CostLine(NamedTuple):
    """One line of the costs."""

    key: str
    text: str
    path: Path | None = None
    """The record behind it; None when it is computed from many."""
    why: tuple[str, ...] = ()
    """Where the figure comes from, in sentences."""
    tone: str = ""
    head: bool = False


def head_line(key: str, text: str) -> CostLine:
    """A heading over lines."""
    return CostLine(f"head {key}", text, tone="head", head=True)
