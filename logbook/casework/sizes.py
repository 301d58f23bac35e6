"""Sizes of a flat part: finished, before banding, before truing; and the box it takes. In whole ticks."""

from __future__ import annotations

from typing import NamedTuple

from logbook.casework.lookup import mm, ticks
from logbook.model.case_plan import CasePlan, Size
from logbook.model.casework_records import Panel
from logbook.model.measures import Length
from logbook.model.words import PanelRole


class Flat(NamedTuple):
    """Length along a part and width across it, in ticks."""

    length: int
    width: int

    def record(self) -> Size:
        """The same as it stands in a record."""
        return Size(length=Length.from_ticks(self.length), width=Length.from_ticks(self.width))


class Extents(NamedTuple):
    """Where something stands: across, up and back from the datum, from and to, in ticks.

    Back counts from the front edges of the case.
    """

    left: int
    right: int
    bottom: int
    top: int
    front: int
    rear: int


def flat(size: Size | None) -> Flat | None:
    """A recorded size in ticks."""
    return None if size is None else Flat(size.length.ticks, size.width.ticks)


_ACROSS = frozenset({"front", "back"})


def less_bands(panel: Panel, role: PanelRole, finish: Flat, band: int) -> Flat:
    """The size before banding: less the band on each banded edge.

    Front and back edges run along the length of a part of the frame, top and bottom edges along a front or back; “all”
    is all four.
    """
    face = role in (PanelRole.FRONT, PanelRole.BACK)
    length = width = 0
    named = [edge.strip().casefold() for edge in panel.banded]
    every = ["top", "bottom", "left", "right"] if face else ["front", "back", "left", "right"]
    for edge in every if "all" in named else named:
        long_edge = edge in (("top", "bottom") if face else _ACROSS)
        length, width = (length, width + band) if long_edge else (length + band, width)
    return Flat(finish.length - length, finish.width - width)


def rough_size(panel: Panel, cut: Flat, plan: CasePlan) -> Flat:
    """The size before truing: larger for what is pressed and for solid wood, else as cut."""
    if panel.oversize is not None:
        return larger(cut, panel.oversize.ticks)
    if panel.species:
        return Flat(cut.length + ticks(None, "12.5 mm"), cut.width + ticks(None, "5 mm"))
    pressed = bool(panel.leaves) or len(panel.layers) > 1
    return larger(cut, ticks(plan.oversize, "3 mm")) if pressed else cut


def larger(size: Flat, edge: int) -> Flat:
    """A size with so much left on at each edge."""
    return Flat(size.length + 2 * edge, size.width + 2 * edge)


def size_words(size: Flat | None) -> str:
    """Length x width to 0.01 mm; `?` while not known."""
    return "?" if size is None else f"{mm(size.length)} x {mm(size.width)}"
