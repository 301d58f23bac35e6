"""Several usable rectangles of one piece: what lies around them is no good, as defects that every view knows."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from logbook.layout.cut_records import Box
from logbook.layout.offcut_rules import usable
from logbook.model.shop import Defect, Offcut

NOT_USABLE = "not usable"
"""The name of what lies around several usable rectangles; it is no defect of its own."""


def usable_boxes(piece: Offcut) -> tuple[Box, ...]:
    """The usable rectangles of a piece: one at its corner, or those that leave around them what is not usable."""
    size = usable(piece)
    around = [_box(d) for d in piece.defects if d.what == NOT_USABLE]
    whole = Box(0, 0, size.length, size.width)
    return _rows(around, size.length, size.width) if around else (whole,)


def not_usable(piece: Offcut) -> tuple[Box, ...]:
    """What lies around several usable rectangles of a piece, none where it has one."""
    return tuple(_box(d) for d in piece.defects if d.what == NOT_USABLE)


def defect_boxes(piece: Offcut) -> tuple[Box, ...]:
    """Where something is wrong within what is usable of a piece."""
    return tuple(map(_box, true_defects(piece)))


def true_defects(piece: Offcut) -> tuple[Defect, ...]:
    """What is wrong within a piece, without what only lies around its usable rectangles."""
    return tuple(d for d in piece.defects if d.what != NOT_USABLE)


def _box(defect: Defect) -> Box:
    return Box(defect.x.ticks, defect.y.ticks, defect.length.ticks, defect.width.ticks)


def uncovered(boxes: Sequence[Box]) -> tuple[int, int, tuple[Box, ...]]:
    """Length and width that the rectangles reach from the corner, and what of that none of them covers.

    What is not covered comes in rectangles that do not overlap, as few as rows of equal gaps give.
    """
    length, width = max(b.x + b.length for b in boxes), max(b.y + b.width for b in boxes)
    return length, width, _rows(boxes, length, width)


def _rows(boxes: Sequence[Box], length: int, width: int) -> tuple[Box, ...]:
    """What of a rectangle at the corner none of the boxes covers."""
    levels = sorted({0, width, *(min(y, width) for b in boxes for y in (b.y, b.y + b.width))})
    found: list[Box] = []
    for low, high in pairwise(levels):
        for start, end in _gaps([b for b in boxes if b.y <= low and high <= b.y + b.width], length):
            below = next((i for i, f in enumerate(found) if _joins(f, start, end, low)), None)
            if below is None:
                found.append(Box(start, low, end - start, high - low))
            else:
                found[below] = Box(start, found[below].y, end - start, high - found[below].y)
    return tuple(found)


def _joins(box: Box, start: int, end: int, low: int) -> bool:
    return (box.x, box.x + box.length, box.y + box.width) == (start, end, low)


def _gaps(boxes: Sequence[Box], length: int) -> list[tuple[int, int]]:
    """From where to where along the piece none of the rectangles lies."""
    gaps, at = [], 0
    for box in sorted(boxes, key=lambda b: b.x):
        if min(box.x, length) > at:
            gaps.append((at, min(box.x, length)))
        at = max(at, box.x + box.length)
    return [*gaps, (at, length)] if at < length else gaps
