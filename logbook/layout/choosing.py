"""Which pieces to cut at all: cheaper sets near the best one, the likeliest to hold everything first."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from heapq import heapify, heappop, heappush
from itertools import combinations, count
from random import Random

from logbook.layout.improving import Improver, used_pieces
from logbook.layout.packing import Manner, fill

Choice = frozenset[int]

MOST_SIDES, MOST_CHOICES, FAR = 140, 600, 300
"""How many exchanges of either side are paired at most, how many sets are remembered, how many are drawn afresh."""

DENSITY, SPREAD = 0.82, 0.035
"""How full pieces can be cut with good prospects, and how fast these fall beyond; measured on invented piles."""


def cheapen(improver: Improver, floor: int) -> None:
    """Try sets of pieces that are worth less than those of the best layout, until the floor is reached.

    Args:
        improver: holds the best layout and the effort.
        floor: no set of pieces worth less can hold everything.
    """
    tried: Counter[Choice] = Counter()
    best, heap = None, _Prospects(improver, tried)
    while not improver.effort.ended and improver.best.score[1] > floor:
        if improver.best is not best:
            best, heap = improver.best, _Prospects(improver, tried)
        choice = heap.likeliest(improver.effort.over)
        if choice is None:
            return
        tried[choice] += 1
        _attempt(improver, choice, used_pieces(best.filling))
        heap.again(choice)


class _Prospects:
    """The cheaper sets near the best one, the one with the best prospect first.

    The prospect is what a set saves, times how likely everything fits, and falls each time it was tried in vain.
    """

    def __init__(self, improver: Improver, tried: Counter[Choice]) -> None:
        self._improver, self._tried = improver, tried
        p, left = improver.prepared, set(improver.best.left)
        self._placed = [i for i in range(len(p.items)) if i not in left]
        need = sum(p.need[i] for i in self._placed)
        found: list[tuple[float, Choice]] = []
        used = used_pieces(improver.best.filling)
        for out, into, saved, room in _near(improver, used, need):
            found.append((saved * _likely(need, room), used.difference(out).union(into)))
        for choice, saved, room in _far(improver, need):
            found.append((saved * _likely(need, room), choice))
        found.sort(key=lambda f: -f[0])
        self._plain = {c: v for v, c in found[:MOST_CHOICES]}
        self._heap = [(-self._prospect(c), n, c) for n, c in enumerate(self._plain)]
        self._number = count(len(self._heap))
        heapify(self._heap)

    def _prospect(self, choice: Choice) -> float:
        return self._plain[choice] / math.pow(1 + self._tried[choice], 1.5)

    def likeliest(self, stop: Callable[[], bool]) -> Choice | None:
        """The set to try next, taken out; None when there is none, or it is time to end."""
        options = self._improver.prepared.options
        while self._heap and not stop():
            choice = heappop(self._heap)[2]
            if all(any(options[n][i] for n in choice) for i in self._placed):
                return choice
        return None

    def again(self, choice: Choice) -> None:
        """Put a set back that was tried in vain."""
        heappush(self._heap, (-self._prospect(choice), next(self._number), choice))


def _likely(need: int, room: int) -> float:
    """How likely parts with that need fit into that room."""
    return 1 / (1 + math.exp((need / room - DENSITY) / SPREAD))


def _far(improver: Improver, need: int) -> Iterator[tuple[Choice, int, int]]:
    """Cheaper sets drawn afresh, good value for their room first: set, what it saves, room.

    Without them the search stays near the set it began with.
    """
    p, random = improver.prepared, improver.random
    limit = improver.best.score[1]
    price = [w / max(1, c) for w, c in zip(p.worth, p.capacity, strict=True)]
    for _ in range(FAR):
        if improver.effort.over():
            return
        noise, wanted = random.choice((0.15, 0.3, 0.6)), need / random.uniform(0.72, 0.92)
        keys = [v * math.exp(random.gauss(0, noise)) for v in price]
        choice: list[int] = []
        room = cost = 0
        for n in sorted(range(len(price)), key=keys.__getitem__):
            if room >= wanted:
                break
            choice.append(n)
            room, cost = room + p.capacity[n], cost + p.worth[n]
        for n in sorted(choice, key=lambda n: -p.worth[n]):  # what the last piece made needless is left out
            if room - p.capacity[n] >= wanted:
                choice.remove(n)
                room, cost = room - p.capacity[n], cost - p.worth[n]
        if cost < limit and room >= need:
            yield frozenset(choice), limit - cost, room


_Pieces = tuple[int, ...]


def _near(improver: Improver, used: Choice, need: int) -> Iterator[tuple[_Pieces, _Pieces, int, int]]:
    """Exchanges of up to two pieces on each side: what goes, what comes, what that saves, and the room in all.

    Where there are very many, those looked at are drawn by chance.
    """
    p, random = improver.prepared, improver.random
    others = [n for n in range(len(p.pieces)) if n not in used]
    outs = [_summed(c, p.worth, p.capacity) for c in _some_of(sorted(used), False, random)]
    ins = [_summed(c, p.worth, p.capacity) for c in _some_of(others, True, random)]
    room = sum(p.capacity[n] for n in used)
    for out, worth_out, room_out in outs:
        for into, worth_in, room_in in ins:
            if worth_in < worth_out and room - room_out + room_in >= need:
                yield out, into, worth_out - worth_in, room - room_out + room_in


def _some_of(pieces: Sequence[int], none_too: bool, random: Random) -> Iterator[_Pieces]:
    """Single ones and pairs, drawn by chance where there are very many; they are never all written out then."""
    singles: list[_Pieces] = [*([()] if none_too else []), *((n,) for n in pieces)]
    pairs = len(pieces) * (len(pieces) - 1) // 2
    if len(singles) + pairs <= MOST_SIDES:
        yield from singles
        yield from combinations(pieces, 2)
        return
    for number in random.sample(range(len(singles) + pairs), MOST_SIDES):
        yield singles[number] if number < len(singles) else _pair(pieces, number - len(singles))


def _pair(pieces: Sequence[int], number: int) -> _Pieces:
    """The pair with a number, in the order of `combinations`."""
    first = 0
    while number >= (left := len(pieces) - 1 - first):
        number -= left
        first += 1
    return pieces[first], pieces[first + 1 + number]


def _summed(pieces: _Pieces, worth: Sequence[int], room: Sequence[int]) -> tuple[_Pieces, int, int]:
    return pieces, sum(worth[n] for n in pieces), sum(room[n] for n in pieces)


def _attempt(improver: Improver, choice: Choice, used: Choice) -> None:
    """Try to place everything on the chosen pieces, from the best layout or afresh."""
    p, random, best = improver.prepared, improver.random, improver.best
    allowed = sorted(choice)
    if random.random() < 0.3:
        order = improver.order([i for i in range(len(p.items)) if i not in set(best.left)])
        starts = [p.start(n, random) for n in allowed]
        now, left = fill(order, starts, p.ground, improver.manner())
    else:
        kept = sorted(choice & used)
        order = improver.order([i for n in sorted(used - choice) for i in best.filling.items(n)])
        starts = [(n, best.filling.free[n], best.filling.logs[n]) for n in kept]
        starts += [p.start(n, random) for n in sorted(choice - used)]
        now, left = fill(order, starts, p.ground, Manner(0, improver.manner().split, random))
    improver.settle(now, left, allowed, 30 + 10 * len(allowed), best.left)
