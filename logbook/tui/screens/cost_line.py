"""What an entry of the costs is, and the columns that its figures stand in."""

from __future__ import annotations

from typing import NamedTuple

from logbook.model.paths import Path
from logbook.tui.look.inks import Line, group, line, text_of

CASH, HOURS, RATE = 9, 6, 9
"""Columns of figures, right-aligned."""


class CostEntry(NamedTuple):
    """One entry of the costs."""

    key: str
    lines: tuple[Line, ...]
    path: Path | None = None
    """The record behind it; None when it is computed from many."""
    why: tuple[str, ...] = ()
    """Where the figure comes from, in sentences."""
    head: bool = False
    title: str = ""
    """What the page behind `w` is called, where the entry itself is drawn; empty: its words."""

    @property
    def text(self) -> str:
        """Its words alone."""
        if self.title:
            return self.title
        return " ".join(" ".join(text_of(spans) for spans in self.lines).split())


def head_line(key: str, title: str, said: str = "") -> CostEntry:
    """The head of a group, with a blank row above it."""
    return CostEntry(f"head {key}", (line(), group(title, said)), head=True)
