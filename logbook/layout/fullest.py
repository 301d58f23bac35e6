"""The fullest filling of one piece: which of the parts to place when not all fit, by the greatest sum of their profits.

Rectangles of parts are joined side by side or one above the other, the most promising first. A rectangle promises what
it holds and what the rest of the piece could hold at best, were every kind of part there without number; the second is
found by dynamic programming over the sums of lengths and of widths at which cuts can matter. The first rectangle whose
promise is what it holds is the best. (Joining by promise: Viswanathan and Bagchi 1993, Oper. Res. 41:768-776; from
memory.)
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count

from logbook.layout.joined_parts import BITS, JoinedRectangle, PartsAlike
from logbook.layout.promise import SCALE, CornerPromise


@dataclass(frozen=True, slots=True)
class Fullest:
    """The best rectangle found, None when no part fits, and whether nothing better exists."""

    joined: JoinedRectangle | None
    proven: bool


@dataclass(frozen=True, slots=True)
class Pains:
    """How much is taken into account before the best so far is given."""

    nodes: int = 3000
    """How many rectangles are looked at."""
    points: int = 160
    """With more sums along one side the rest of the piece is valued by its area instead."""
    stop: Callable[[], bool] = lambda: False
    """Asked for each rectangle; true ends it."""


def fullest(length: int, width: int, kinds: Sequence[PartsAlike], pains: Pains | None = None) -> Fullest:
    """The filling of a rectangle with the greatest sum of profits, without kerf.

    A kerf is counted by widening parts and piece by it.

    Args:
        length: extent of the rectangle along x.
        width: extent along y.
        kinds: what may be placed, and how often.
        pains: how much is taken into account.
    """
    pains = pains or Pains()
    nodes = pains.nodes
    promise = CornerPromise(length, width, kinds, pains.points, pains.stop)
    limit = sum((k.number | 1 << BITS - 1) << BITS * n for n, k in enumerate(kinds))
    guard = sum(1 << BITS * n + BITS - 1 for n in range(len(kinds)))
    best: JoinedRectangle | None = None
    known = 0
    order = count()
    heap: list[tuple[int, int, JoinedRectangle]] = []
    seen: set[tuple[int, int, int]] = set()
    for joined in _singles(length, width, kinds):
        if joined.profit > known:
            best, known = joined, joined.profit
        _push(heap, seen, joined, promise, order)
    done: list[JoinedRectangle] = []
    while heap:
        promised, _, one = heappop(heap)
        if -promised < (known + 1) * SCALE:
            return Fullest(best, True)
        nodes -= 1
        if nodes < 0 or pains.stop():
            return Fullest(best, False)
        done.append(one)
        for new in _joins(one, done, (length, width), (limit, guard)):
            if new.profit > known:
                best, known = new, new.profit
            if promise.of(new) >= (known + 1) * SCALE:
                _push(heap, seen, new, promise, order)
    return Fullest(best, True)


def _push(
    heap: list[tuple[int, int, JoinedRectangle]],
    seen: set[tuple[int, int, int]],
    joined: JoinedRectangle,
    promise: CornerPromise,
    order: Iterator[int],
) -> None:
    key = (joined.length, joined.width, joined.held)
    if key not in seen:
        seen.add(key)
        heappush(heap, (-promise.of(joined), next(order), joined))


def _singles(length: int, width: int, kinds: Sequence[PartsAlike]) -> Iterator[JoinedRectangle]:
    for n, kind in enumerate(kinds):
        for a, b in kind.ways:
            if a <= length and b <= width and kind.number:
                yield JoinedRectangle(a, b, kind.profit, 1 << BITS * n, n)


def _joins(
    one: JoinedRectangle, done: list[JoinedRectangle], room: tuple[int, int], limits: tuple[int, int]
) -> Iterator[JoinedRectangle]:
    """The rectangle joined with each one looked at before it, and with itself, as far as there is room and number."""
    most_length, most_width = room
    limit, guard = limits
    length, width, profit, held = one.length, one.width, one.profit, one.held
    for other in done:
        both = held + other.held
        if limit - both & guard != guard:
            continue
        if length + other.length <= most_length:
            deep = max(width, other.width)
            yield JoinedRectangle(length + other.length, deep, profit + other.profit, both, -1, 0, one, other)
        if width + other.width <= most_width:
            long = max(length, other.length)
            yield JoinedRectangle(long, width + other.width, profit + other.profit, both, -1, 1, one, other)
