"""The least worth for few parts, for certain: every set of parts, every way of joining two sets by a cut.

For each set of parts the rectangles from which they can be cut are found by joining those of two smaller sets side by
side or one above the other; only rectangles that no other undercuts in both directions are kept. Lengths are widened
by one kerf, so that the kerf needs no further thought. (Joining rectangles: Wang 1983, Oper. Res. 31:573-586; from
memory.)
"""

from __future__ import annotations

from collections.abc import Callable

from logbook.layout.bounds import never
from logbook.layout.joined_parts import JoinedRectangle, write_down
from logbook.layout.packing import Filling, Option, Start
from logbook.layout.preparing import Prepared

MOST_ITEMS = 9

Shapes = list[list[JoinedRectangle]]
"""For each set of items, as bits, the rectangles that hold it, widened by a kerf."""


def exact(prepared: Prepared, stop: Callable[[], bool] = never) -> Filling | None:
    """The pieces of least worth that hold all items, filled; None when there are no such pieces, or it was stopped.

    Only for pieces without defects and at most `MOST_ITEMS` items: the work grows with 3 to the power of their number.
    """
    count = len(prepared.items)
    every = (1 << count) - 1
    known: dict[tuple[object, ...], Shapes] = {}
    best: list[tuple[int, tuple[tuple[int, int], ...]] | None] = [None] * (every + 1)
    best[0] = (0, ())
    holding: dict[tuple[int, int], JoinedRectangle] = {}
    for piece in range(len(prepared.pieces)):
        if stop():
            return None
        row, kerf = prepared.options[piece], prepared.kerfs[piece]
        _x, _y, w, h = prepared.regions[piece]
        key = (kerf, prepared.pieces[piece].grain, tuple(_allowed(prepared, piece)))
        if key not in known:
            known[key] = _shapes(prepared, piece, every, stop)
        if stop():
            return None
        fitting = []
        for mask in range(1, every + 1):
            shape = next((s for s in known[key][mask] if s.length <= w + kerf and s.width <= h + kerf), None)
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


def _shapes(prepared: Prepared, piece: int, every: int, stop: Callable[[], bool]) -> Shapes:
    """For each set of items the rectangles that hold it, none undercut by another; not of all when it was stopped."""
    kerf = prepared.kerfs[piece]
    alike = [p for p in range(len(prepared.pieces)) if _alike(prepared, p, piece)]
    most_w = max(prepared.regions[p][2] for p in alike) + kerf
    most_h = max(prepared.regions[p][3] for p in alike) + kerf
    shapes: Shapes = [[] for _ in range(every + 1)]
    for item, options in enumerate(_allowed(prepared, piece)):
        shapes[1 << item] = _front([JoinedRectangle(o[0] + kerf, o[1] + kerf, 0, 1 << item, item) for o in options])
    for mask in range(1, every + 1):
        if mask & (mask - 1) == 0:
            continue
        if stop():
            return shapes
        found: list[JoinedRectangle] = []
        first = (mask - 1) & mask
        while first:
            rest = mask ^ first
            if first > rest:  # the other order gives the mirror image
                for a in shapes[first]:
                    for b in shapes[rest]:
                        long, wide = a.length + b.length, a.width + b.width
                        if long <= most_w and (deep := max(a.width, b.width)) <= most_h:
                            found.append(JoinedRectangle(long, deep, 0, mask, -1, 0, a, b))
                        if wide <= most_h and (broad := max(a.length, b.length)) <= most_w:
                            found.append(JoinedRectangle(broad, wide, 0, mask, -1, 1, a, b))
            first = (first - 1) & mask
        shapes[mask] = _front(found)
    return shapes


def _front(shapes: list[JoinedRectangle]) -> list[JoinedRectangle]:
    """Those that no other undercuts in both directions."""
    kept: list[JoinedRectangle] = []
    for shape in sorted(shapes, key=lambda s: (s.length, s.width)):
        if not kept or shape.width < kept[-1].width:
            kept.append(shape)
    return kept


def _draw(prepared: Prepared, filling: Filling, piece: int, shape: JoinedRectangle) -> None:
    """Write down how a piece is cut to hold a set."""

    def choose(kind: int, a: int, b: int) -> tuple[int, bool]:
        return kind, next(turned for x, y, turned in prepared.options[piece][kind] if (x, y) == (a, b))

    start: Start = (piece, [], {})
    write_down(start, prepared.regions[piece], shape, prepared.kerfs[piece], choose)
    filling.logs[piece], filling.free[piece] = start[2], start[1]
