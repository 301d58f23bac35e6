"""Rectangles of parts joined side by side or one above the other, and how a piece is cut to have them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from logbook.layout.packing import CROSSCUT_FIRST, RIP_FIRST, Rect, Start

BITS = 12
"""Bits for the number of one kind: up to 2047, and a guard bit above."""


@dataclass(frozen=True, slots=True)
class PartsAlike:
    """Parts that are alike."""

    ways: tuple[tuple[int, int], ...]
    """Extents along x and y in each way it may lie."""
    profit: int
    number: int


@dataclass(frozen=True, slots=True)
class JoinedRectangle:
    """A rectangle with parts: one part, or two rectangles joined along an axis (0: side by side)."""

    length: int
    width: int
    profit: int
    held: int
    kind: int = -1
    axis: int = 0
    first: JoinedRectangle | None = None
    rest: JoinedRectangle | None = None


Choose = Callable[[int, int, int], tuple[int, bool]]
"""For a kind with its extents as it lies: an item of it, and whether that is turned."""


def write_down(start: Start, rect: Rect, joined: JoinedRectangle, kerf: int, choose: Choose) -> None:
    """Write down how a rectangle of a piece is cut to have joined parts.

    What is not needed is cut off in one strip first, the larger side before the smaller.

    Args:
        start: the piece; its log and its free rectangles grow.
        rect: the rectangle, at least as large as what is joined.
        joined: the parts, all extents widened by one kerf.
        kerf: the kerf on the piece.
        choose: which item it is for each kind.
    """
    x, y, w, h = rect
    a, b = joined.length - kerf, joined.width - kerf
    if joined.first is None or joined.rest is None:
        item, turned = choose(joined.kind, a, b)
        way = RIP_FIRST if (h - b) * w > (w - a) * h else CROSSCUT_FIRST
        start[2][rect] = (item, a, b, turned, way)
        right = (x + a + kerf, y, w - a - kerf, b if way == RIP_FIRST else h)
        above = (x, y + b + kerf, w if way == RIP_FIRST else a, h - b - kerf)
        start[1].extend(r for r in (right, above) if r[2] > 0 and r[3] > 0)
    elif b < h and (h - b) * w >= (w - a) * h:
        _cut_off(start, rect, (1, b), kerf)
        write_down(start, (x, y, w, b), joined, kerf, choose)
    elif a < w:
        _cut_off(start, rect, (0, a), kerf)
        write_down(start, (x, y, a, h), joined, kerf, choose)
    else:
        at = (joined.first.length if joined.axis == 0 else joined.first.width) - kerf
        first, rest = _bare_cut(start, rect, (joined.axis, at), kerf)
        write_down(start, first, joined.first, kerf, choose)
        write_down(start, rest, joined.rest, kerf, choose)


def _cut_off(start: Start, rect: Rect, where: tuple[int, int], kerf: int) -> None:
    """A bare cut whose far side stays free."""
    rest = _bare_cut(start, rect, where, kerf)[1]
    if rest[2] > 0 and rest[3] > 0:
        start[1].append(rest)


def _bare_cut(start: Start, rect: Rect, where: tuple[int, int], kerf: int) -> tuple[Rect, Rect]:
    """Note a cut at a distance along an axis; gives its two sides."""
    x, y, w, h = rect
    axis, at = where
    start[2][rect] = (-1, at if axis == 0 else w, h if axis == 0 else at, False, axis)
    if axis == 0:
        return (x, y, at, h), (x + at + kerf, y, w - at - kerf, h)
    return (x, y, w, at), (x, y + at + kerf, w, h - at - kerf)
