"""When not everything finds a place: pieces filled as full as can be, one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic

from logbook.layout.fullest import Pains, fullest
from logbook.layout.improving import Improver, SearchEffort
from logbook.layout.joined_parts import JoinedRectangle, PartsAlike, write_down
from logbook.layout.packing import Option, Start

NODES_ALONE, NODES_AMONG = 3000, 500
"""How many rectangles are looked at for the only piece, and for one of several."""


def crowd(improver: Improver) -> None:
    """Fill each piece as full as can be with what lies on it and what has no place, while that leaves out less."""
    p = improver.prepared
    nodes = NODES_ALONE if len(p.pieces) == 1 else NODES_AMONG
    better = True
    while better and improver.best.left and not improver.effort.ended:
        better = False
        for piece in sorted(range(len(p.pieces)), key=lambda n: -p.capacity[n]):
            if p.defects[piece] or not improver.best.left or improver.effort.ended:
                continue
            better = _crowded(improver, piece, nodes) or better


def _crowded(improver: Improver, piece: int, nodes: int) -> bool:
    """Fill one piece anew; whether that is better."""
    p, best = improver.prepared, improver.best
    here = best.filling.items(piece) if piece in best.filling.logs else []
    pool = [i for i in (*here, *best.left) if p.options[piece][i]]
    alike: dict[tuple[tuple[Option, ...], int], list[int]] = {}
    for i in pool:
        alike.setdefault((p.options[piece][i], p.need[i]), []).append(i)
    kerf = p.kerfs[piece]
    kinds = [
        PartsAlike(tuple((a + kerf, b + kerf) for a, b, _ in ways), need, min(len(items), 2000))
        for (ways, need), items in alike.items()
    ]
    _x, _y, w, h = p.regions[piece]
    pains = Pains(nodes, _points(improver.effort), lambda: not improver.effort.spend())
    found = fullest(w + kerf, h + kerf, kinds, pains)
    if found.joined is None or found.joined.profit <= sum(p.need[i] for i in here):
        return False
    groups = [list(items) for items in alike.values()]
    start, placed = _written(improver, piece, groups, list(alike), found.joined)
    filling = best.filling.copy()
    filling.free[piece], filling.logs[piece] = start[1], start[2]
    left = [i for i in (*here, *best.left) if i not in placed]
    return improver.take(filling, left)


def _points(effort: SearchEffort) -> int:
    """How fine the promise may be; its tables cannot be ended midway and grow with the third power."""
    if effort.until is None:
        return 160
    return max(30, min(160, int(110 * max(0.0, effort.until - monotonic()) ** (1 / 3))))


def _written(
    improver: Improver,
    piece: int,
    groups: list[list[int]],
    kinds: Sequence[tuple[tuple[Option, ...], int]],
    joined: JoinedRectangle,
) -> tuple[Start, set[int]]:
    """The piece cut that way, and the items on it."""
    p = improver.prepared
    placed: set[int] = set()

    def choose(kind: int, a: int, b: int) -> tuple[int, bool]:
        item = groups[kind].pop()
        placed.add(item)
        return item, next(turned for x, y, turned in kinds[kind][0] if (x, y) == (a, b))

    start: Start = (piece, [], {})
    write_down(start, p.regions[piece], joined, p.kerfs[piece], choose)
    return start, placed
