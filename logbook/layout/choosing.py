"""Which pieces to cut at all: cheaper sets near the best one, the likeliest to hold everything first."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import combinations

from logbook.layout.improving import Improver, used_pieces
from logbook.layout.packing import Manner, fill

Choice = frozenset[int]

DENSITY, SPREAD = 0.82, 0.035
"""How full pieces can be cut with good prospects, and how fast these fall beyond; measured on invented piles."""


def cheapen(improver: Improver, floor: int) -> None:
    """Try sets of pieces that are worth less than those of the best layout, until the floor is reached.

    Args:
        improver: holds the best layout and the effort.
        floor: no set of pieces worth less can hold everything.
    """
    tried: dict[Choice, int] = {}
    while not improver.effort.ended and improver.best.score[1] > floor:
        used = used_pieces(improver.best.filling)
        choice = _likeliest(improver, used, tried)
        if choice is None:
            return
        tried[choice] = tried.get(choice, 0) + 1
        _attempt(improver, choice, used)


def _likeliest(improver: Improver, used: Choice, tried: dict[Choice, int]) -> Choice | None:
    """The set with the best prospect: what it saves, times how likely everything fits."""
    p = improver.prepared
    placed = [i for i in range(len(p.items)) if i not in set(improver.best.left)]
    need = sum(p.need[i] for i in placed)
    worth = improver.best.score[1]
    chosen, prospect = None, 0.0
    for candidate, cost in _near(used, p.worth, worth):
        room = sum(p.capacity[n] for n in candidate)
        if room < need:
            continue
        likely = 1 / (1 + math.exp((need / room - DENSITY) / SPREAD))
        value = (worth - cost) * likely / (1 + tried.get(candidate, 0)) ** 1.5
        if value > prospect and all(any(p.options[n][i] for n in candidate) for i in placed):
            chosen, prospect = candidate, value
    return chosen


def _near(used: Choice, worth: Sequence[int], limit: int) -> Iterable[tuple[Choice, int]]:
    """The sets that differ from those used by up to two pieces on each side and are worth less."""
    others = [n for n in range(len(worth)) if n not in used]
    total = sum(worth[n] for n in used)
    added = [(c, sum(worth[n] for n in c)) for k in (0, 1, 2) for c in combinations(others, k)]
    for out in (c for k in (1, 2) for c in combinations(sorted(used), k)):
        base, freed = used.difference(out), sum(worth[n] for n in out)
        for into, cost in added:
            if cost < freed and total - freed + cost < limit:
                yield base.union(into), total - freed + cost


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
