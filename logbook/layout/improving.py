"""From a first layout to a better one: a few pieces at a time are refilled."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from random import Random
from time import monotonic

from logbook.layout.cut_records import SHORT_RIP
from logbook.layout.packing import FITS, RIP_FIRST, SPLITS, Filling, Manner, fill
from logbook.layout.preparing import Prepared

Score = tuple[int, int, int, int, int]
"""What is not placed, worth used up, the largest useful leftover (negative), fence settings, labour: less is better.

Labour is the number of cuts, where a rip too short for the table saw counts as three.
"""

STALE = 4000
"""Rounds without any improvement after which nothing more is to be expected of refilling the same pieces."""

WORST: Score = (1 << 256, 0, 0, 0, 0)


@dataclass(slots=True)
class SearchEffort:
    """How much is still to be tried: rounds are counted, the clock only ends it."""

    rounds: int | None
    until: float | None
    stop: Callable[[], bool] | None = None
    done: int = 0
    ended: bool = False

    def over(self) -> bool:
        """Whether it is time to end; asked in what is no round by itself."""
        if (self.until is not None and monotonic() >= self.until) or (self.stop is not None and self.stop()):
            self.ended = True
        return self.ended

    def spend(self) -> bool:
        """Count one round; false when it is time to end."""
        self.done += 1
        if self.rounds is not None and self.done >= self.rounds:
            self.ended = True
        return not self.over()


@dataclass(slots=True)
class ScoredFilling:
    """A filling, what it does not place, and its score."""

    filling: Filling
    left: list[int]
    score: Score


@dataclass(slots=True)
class Improver:
    """Search for one set of items and pieces that depend on each other."""

    prepared: Prepared
    random: Random
    effort: SearchEffort
    better: Callable[[ScoredFilling], None] = field(default=lambda _found: None)
    """Called with every improvement."""
    _sides: dict[int, int] = field(default_factory=dict)
    """The longest side of each item, once it was asked for."""
    best: ScoredFilling = field(default_factory=lambda: ScoredFilling(Filling(), [], WORST))

    def first(self) -> None:
        """Complete layouts by a few plain orders of parts and pieces; the best of them is kept."""
        p = self.prepared
        pieces = range(len(p.pieces))
        by_need = sorted(range(len(p.items)), key=lambda i: -p.need[i])
        by_side = sorted(range(len(p.items)), key=lambda i: -self._side(i))
        queues = (
            sorted(pieces, key=lambda n: p.worth[n] / max(1, p.capacity[n])),
            sorted(pieces, key=lambda n: p.worth[n]),
            sorted(pieces, key=lambda n: -p.capacity[n]),
        )
        sweeps = [(o, q, f, s) for f, s in ((0, 0), (1, 1), (0, 3)) for o in (by_need, by_side) for q in queues]
        if len(p.items) * len(p.pieces) > 2000:  # a first answer soon matters more than a good one
            sweeps = sweeps[:4]
        for order, queue, fit, split in sweeps:
            closed = [p.start(n) for n in queue]
            self.take(*fill(order, (), p.ground, Manner(fit, split, self.random), closed))
            if not self.effort.spend():
                return

    def _side(self, item: int) -> int:
        if item not in self._sides:
            self._sides[item] = max(max(o[0], o[1]) for row in self.prepared.options for o in row[item])
        return self._sides[item]

    def take(self, filling: Filling, left: list[int]) -> bool:
        """Keep a filling when it is the best so far."""
        score = self.score(filling, left)
        if score >= self.best.score:
            return False
        self.best = ScoredFilling(filling, left, score)
        self.better(self.best)
        return True

    def score(self, filling: Filling, left: Iterable[int]) -> Score:
        """How good a filling is."""
        p = self.prepared
        worth, leftover, labour = 0, 0, 0
        settings: set[tuple[int, int]] = set()
        for piece in used_pieces(filling):
            for (_x, _y, w, h), (_item, a, b, _turned, way) in filling.logs[piece].items():
                if a < w:
                    settings.add((0, a))
                    labour += 1
                if b < h:
                    settings.add((1, b))
                    labour += 1 if (w if way == RIP_FIRST else a) >= SHORT_RIP or not p.kerfs[piece] else 3
            worth += p.worth[piece]
            record = p.pieces[piece]
            for _x, _y, w, h in filling.free[piece]:
                if w * h > leftover and p.rules.keeps(record, w, h):
                    leftover = w * h
        return sum(p.need[i] for i in left), worth, -leftover, len(settings), labour

    def settle(
        self, filling: Filling, rest: list[int], allowed: Sequence[int], rounds: int, out: Sequence[int] = ()
    ) -> None:
        """Refill a few of the allowed pieces at a time until nothing is left over, or the rounds are spent.

        Worse states are accepted now and then (simulated annealing at one temperature), so that it does not stick.

        Args:
            filling: where to begin.
            rest: items that have no place in it.
            allowed: the pieces that may be cut.
            rounds: how often at most.
            out: items that are left out on purpose.
        """
        p, random = self.prepared, self.random
        now = filling
        missing = sum(p.need[i] for i in rest)
        self.take(now, [*out, *rest])
        heat = max(1.0, 0.03 * sum(p.need) / len(p.items))
        for _ in range(rounds):
            if not rest or not self.effort.spend():
                return
            made, remaining = self._refilled(now, rest, self._some(allowed, rest), allowed)
            wanting = sum(p.need[i] for i in remaining)
            if wanting < missing:
                self.take(made, [*out, *remaining])
            if wanting <= missing or random.random() < math.exp((missing - wanting) / heat):
                now, rest, missing = made, remaining, wanting

    def polish(self, rounds: int) -> None:
        """The same pieces filled again for a larger useful leftover and fewer fence settings."""
        used = sorted(used_pieces(self.best.filling))
        idle = 0
        for _ in range(rounds if used else 0):
            if not self.effort.spend() or idle > STALE:
                return
            made, left = self._refilled(self.best.filling, (), self._some(used, ()), used)
            idle = 0 if not left and self.take(made, self.best.left) else idle + 1

    def _some(self, allowed: Sequence[int], rest: Sequence[int]) -> list[int]:
        """One to three pieces; at least one on which something of the rest may lie."""
        random = self.random
        some = random.sample(list(allowed), min(len(allowed), random.choice((1, 2, 2, 2, 3, 3))))
        if rest:
            row = random.choice(list(rest))
            fitting = [n for n in allowed if self.prepared.options[n][row]]
            if fitting and not any(n in fitting for n in some):
                some[0] = random.choice(fitting)
        return list(dict.fromkeys(some))

    def _refilled(
        self, now: Filling, rest: Sequence[int], some: Sequence[int], allowed: Sequence[int]
    ) -> tuple[Filling, list[int]]:
        """Empty some pieces and fill them again, with the rest, in an order and by rules of chance."""
        p, random = self.prepared, self.random
        items = list(rest)
        for n in some:
            if n in now.logs:
                items += now.items(n)
        starts = [p.start(n, random) for n in some]
        if random.random() < 0.4:
            starts += [(n, now.free[n], now.logs[n]) for n in allowed if n in now.logs and n not in some]
        made, left = fill(self.order(items), starts, p.ground, self.manner())
        full = now.copy()
        full.free.update(made.free)
        full.logs.update(made.logs)
        return full, left

    def manner(self) -> Manner:
        """Rules by chance."""
        return Manner(self.random.randrange(FITS), self.random.randrange(SPLITS), self.random)

    def order(self, items: Sequence[int]) -> list[int]:
        """Large ones first, more or less."""
        p, random = self.prepared, self.random
        noise = random.choice((0.0, 0.2, 0.5, 1.0))
        kind = random.random()
        if kind < 0.6:
            keys = {i: p.need[i] * (1 + noise * random.random()) for i in items}
        elif kind < 0.9:
            keys = {i: self._side(i) * (1 + noise * random.random()) for i in items}
        else:
            keys = {i: random.random() for i in items}
        return sorted(items, key=lambda i: -keys[i])


def used_pieces(filling: Filling) -> frozenset[int]:
    """The pieces on which something lies."""
    return frozenset(n for n, log in filling.logs.items() if any(e[0] >= 0 for e in log.values()))
