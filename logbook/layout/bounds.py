"""What no layout can undercut: the least worth, area or number of pieces whose capacity reaches what the parts need."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from logbook.layout.preparing import Prepared

NODES = 10_000
LOOKED_INTO = 3


def never() -> bool:
    """Nothing ends it before its time."""
    return False


def least(
    prepared: Prepared, cost: Sequence[int], items: Sequence[int] | None = None, stop: Callable[[], bool] = never
) -> int:
    """A lower bound on the cost of the pieces that hold the items.

    Parts that fit only some of the pieces must find their room on those; each such choice of pieces gives a bound of
    its own, and the greatest counts.

    Args:
        prepared: items and pieces.
        cost: what each piece counts: its worth, its area, or 1.
        items: the items that are placed; None: all.
        stop: asked before each choice, and between branches; true ends it with a bound that is lower, and still one.
    """
    wanted = range(len(prepared.items)) if items is None else items
    if stop():
        rooms = list(zip(cost, prepared.capacity, strict=True))
        return cover(rooms, sum(prepared.need[i] for i in wanted), 0)
    fits = {i: frozenset(p for p, row in enumerate(prepared.options) if row[i]) for i in wanted}
    asked: list[tuple[int, list[tuple[int, int]], int]] = []
    everything = frozenset(range(len(prepared.pieces)))
    for choice in (everything, *(set(fits.values()) - {everything})):
        if asked and stop():
            break
        inside = [i for i in wanted if fits[i] <= choice]
        need = sum(prepared.need[i] for i in inside)
        rooms = [(cost[p], _room(prepared, p, inside)) for p in sorted(choice)]
        asked.append((cover(rooms, need, 0), sorted(rooms), need))
    asked.sort(reverse=True)
    # The quick bound tells which choices matter; only those are looked into.
    return max(cover(rooms, need, NODES, stop) for _, rooms, need in asked[:LOOKED_INTO])


def _room(prepared: Prepared, piece: int, items: Sequence[int]) -> int:
    """How much of the need of the items a piece can take at most."""
    row = prepared.options[piece]
    return min(prepared.capacity[piece], sum(prepared.need[i] for i in items if row[i]))


def cover(rooms: Sequence[tuple[int, int]], need: int, nodes: int = NODES, stop: Callable[[], bool] = never) -> int:
    """The least cost of rooms that together reach the need, or a bound below it when that takes too long.

    Branch and bound over the rooms in order of cost for size (Horowitz and Sahni 1974, the covering form; from memory).

    Args:
        rooms: cost and size of each.
        need: what their sizes must reach; 0 costs nothing.
        nodes: how many branches are looked at before the bound by fractions is given instead.
        stop: asked at each branch; true gives the bound by fractions.
    """
    rooms = sorted((r for r in rooms if r[1] > 0), key=lambda r: (Fraction(*r), -r[1]))
    if need <= 0:
        return 0
    if sum(size for _, size in rooms) < need:
        return sum(cost for cost, _ in rooms)
    tails = _tails([size for _, size in rooms])
    known = _greedy(rooms, need)
    stack = [(0, 0, need)]
    floor = _fractional(rooms, 0, need)
    while stack:
        nodes -= 1
        if nodes < 0 or stop():
            return min(floor, known)
        index, spent, rest = stack.pop()
        if rest <= 0:
            known = min(known, spent)
            continue
        if tails[index] < rest or spent + _fractional(rooms, index, rest) >= known:
            continue
        cost, size = rooms[index]
        stack.append((index + 1, spent, rest))
        stack.append((index + 1, spent + cost, rest - size))
    return known


def _tails(sizes: Sequence[int]) -> list[int]:
    tails = [0]
    for size in reversed(sizes):
        tails.append(tails[-1] + size)
    return tails[::-1]


def _greedy(rooms: Sequence[tuple[int, int]], need: int) -> int:
    spent = 0
    for cost, size in rooms:
        if need <= 0:
            break
        spent, need = spent + cost, need - size
    return spent


def _fractional(rooms: Sequence[tuple[int, int]], index: int, need: int) -> int:
    """The cost when the last room may be taken in part, rounded up."""
    spent = 0
    for cost, size in rooms[index:]:
        if need <= size:
            return spent - (-cost * need // size)
        spent, need = spent + cost, need - size
    return spent
