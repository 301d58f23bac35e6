"""The least worth for few parts, for certain: every set of parts, every way of joining two sets by a cut.

For each set of parts the rectangles from which they can be cut are found by joining those of two smaller sets side by
side or one above the other; only rectangles that no other undercuts in both directions are kept. Lengths are widened
by one kerf, so that the kerf needs no further thought. (Joining rectangles: Wang 1983, Oper. Res. 31:573-586; from
memory.)
"""

from __future__ import annotations

from dataclasses import dataclass

from logbook.layout.packing import CROSSCUT_FIRST, RIP_FIRST, Filling, Option, Rect, Start
from logbook.layout.preparing import Prepared

MOST_ITEMS = 7

_Shape = tuple[int, int, object]
"""Extents widened by a kerf, and how it came about: an `Option` of one item, or `_Join`."""


@dataclass(frozen=True, slots=True)
class _Join:
    axis: int
    """0: side by side along x; 1: one above the other."""
    first: int
    first_shape: _Shape
    rest: int
    rest_shape: _Shape


@dataclass(frozen=True, slots=True)
class _Single:
    item: int
    option: Option


Shapes = list[list[_Shape]]


def exact(prepared: Prepared) -> Filling | None:
    """The pieces of least worth that hold all items, filled; None when there are no such pieces.

    Only for pieces without defects and at most `MOST_ITEMS` items: the work grows with 3 to the power of their number.
    """
    count = len(prepared.items)
    every = (1 << count) - 1
    known: dict[tuple[object, ...], Shapes] = {}
    best: list[tuple[int, tuple[tuple[int, int], ...]] | None] = [None] * (every + 1)
    best[0] = (0, ())
    holding: dict[tuple[int, int], _Shape] = {}
    for piece in range(len(prepared.pieces)):
        row, kerf = prepared.options[piece], prepared.kerfs[piece]
        _x, _y, w, h = prepared.regions[piece]
        key = (kerf, prepared.pieces[piece].grain, tuple(_allowed(prepared, piece)))
        if key not in known:
            known[key] = _shapes(prepared, piece, every)
        fitting = []
        for mask in range(1, every + 1):
            shape = next((s for s in known[key][mask] if s[0] <= w + kerf and s[1] <= h + kerf), None)
            if shape is not None and all(row[i] for i in range(count) if mask >> i & 1):
                holding[piece, mask] = shape
                fitting.append(mask)
        _add_piece(best, piece, prepared.worth[piece], fitting, every)
    if (chosen := best[every]) is None:
        return None
    filling = Filling()
    for piece, mask in chosen[1]:
        _draw(prepared, filling, piece, holding[piece, mask])
    return filling


def _add_piece(
    best: list[tuple[int, tuple[tuple[int, int], ...]] | None], piece: int, worth: int, fitting: list[int], every: int
) -> None:
    """Let a piece take each of its sets; from large to small, so that it takes only one."""
    for mask in range(every, 0, -1):
        for own in fitting:
            if own & mask != own:
                continue
            before = best[mask ^ own]
            now = best[mask]
            if before is not None and (now is None or before[0] + worth < now[0]):
                best[mask] = (before[0] + worth, (*before[1], (piece, own)))


def _allowed(prepared: Prepared, piece: int) -> list[tuple[Option, ...]]:
    """The ways of lying on pieces like this one, whatever their size; none for what may not lie on this one."""
    alike = [row for p, row in enumerate(prepared.options) if _alike(prepared, p, piece)]
    return [
        tuple(dict.fromkeys(o for row in alike for o in row[i])) if prepared.options[piece][i] else ()
        for i in range(len(prepared.items))
    ]


def _alike(prepared: Prepared, one: int, other: int) -> bool:
    a, b = prepared.pieces[one], prepared.pieces[other]
    return a.grain is b.grain and prepared.kerfs[one] == prepared.kerfs[other]


def _shapes(prepared: Prepared, piece: int, every: int) -> Shapes:
    """For each set of items the rectangles that hold it, none undercut by another."""
    kerf = prepared.kerfs[piece]
    alike = [p for p in range(len(prepared.pieces)) if _alike(prepared, p, piece)]
    most_w = max(prepared.regions[p][2] for p in alike) + kerf
    most_h = max(prepared.regions[p][3] for p in alike) + kerf
    shapes: Shapes = [[] for _ in range(every + 1)]
    for item, options in enumerate(_allowed(prepared, piece)):
        shapes[1 << item] = _front([(o[0] + kerf, o[1] + kerf, _Single(item, o)) for o in options])
    for mask in range(1, every + 1):
        if mask & (mask - 1) == 0:
            continue
        found: list[_Shape] = []
        first = (mask - 1) & mask
        while first:
            rest = mask ^ first
            if first > rest:  # the other order gives the mirror image
                for a in shapes[first]:
                    for b in shapes[rest]:
                        if a[0] + b[0] <= most_w and max(a[1], b[1]) <= most_h:
                            found.append((a[0] + b[0], max(a[1], b[1]), _Join(0, first, a, rest, b)))
                        if a[1] + b[1] <= most_h and max(a[0], b[0]) <= most_w:
                            found.append((max(a[0], b[0]), a[1] + b[1], _Join(1, first, a, rest, b)))
            first = (first - 1) & mask
        shapes[mask] = _front(found)
    return shapes


def _front(shapes: list[_Shape]) -> list[_Shape]:
    """Those that no other undercuts in both directions."""
    kept: list[_Shape] = []
    for shape in sorted(shapes, key=lambda s: (s[0], s[1])):
        if not kept or shape[1] < kept[-1][1]:
            kept.append(shape)
    return kept


def _draw(prepared: Prepared, filling: Filling, piece: int, shape: _Shape) -> None:
    """Write down how a piece is cut to hold a set."""
    start: Start = (piece, [], {})
    _draw_in(start, prepared.regions[piece], shape, prepared.kerfs[piece])
    filling.logs[piece] = start[2]
    filling.free[piece] = start[1]


def _draw_in(start: Start, rect: Rect, shape: _Shape, kerf: int) -> None:
    x, y, w, h = rect
    a, b, how = shape[0] - kerf, shape[1] - kerf, shape[2]
    if isinstance(how, _Single):
        way = RIP_FIRST if (h - b) * w > (w - a) * h else CROSSCUT_FIRST
        start[2][rect] = (how.item, a, b, how.option[2], way)
        right = (x + a + kerf, y, w - a - kerf, b if way == RIP_FIRST else h)
        above = (x, y + b + kerf, w if way == RIP_FIRST else a, h - b - kerf)
        start[1].extend(r for r in (right, above) if r[2] > 0 and r[3] > 0)
        return
    if not isinstance(how, _Join):
        return
    # What is not needed is cut off in one piece first, the larger side before the smaller.
    if (h - b) * w >= (w - a) * h and b < h:
        _cut(start, rect, (1, b), kerf)
        _draw_in(start, (x, y, w, b), shape, kerf)
    elif a < w:
        _cut(start, rect, (0, a), kerf)
        _draw_in(start, (x, y, a, h), shape, kerf)
    else:
        at = (how.first_shape[0] if how.axis == 0 else how.first_shape[1]) - kerf
        start[2][rect] = (-1, at if how.axis == 0 else w, h if how.axis == 0 else at, False, how.axis)
        first = (x, y, at, h) if how.axis == 0 else (x, y, w, at)
        rest = (x + at + kerf, y, w - at - kerf, h) if how.axis == 0 else (x, y + at + kerf, w, h - at - kerf)
        _draw_in(start, first, how.first_shape, kerf)
        _draw_in(start, rest, how.rest_shape, kerf)


def _cut(start: Start, rect: Rect, where: tuple[int, int], kerf: int) -> None:
    """A bare cut whose far side stays free."""
    x, y, w, h = rect
    axis, at = where
    start[2][rect] = (-1, at if axis == 0 else w, h if axis == 0 else at, False, axis)
    rest = (x + at + kerf, y, w - at - kerf, h) if axis == 0 else (x, y + at + kerf, w, h - at - kerf)
    if rest[2] > 0 and rest[3] > 0:
        start[1].append(rest)
