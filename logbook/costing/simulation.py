"""The distribution of a sum of three-point quantities, drawn with a seed: the same record gives the same figures.

How it is drawn, said plainly:

1. Each of the quantities with the largest variance (`ALONE` of them; for most units that is all) is drawn by
   itself: a beta distribution with the mean of the classic formula, read from a table of `STEPS` equally likely
   values, and zero when its condition does not come true.
2. The many small rest is drawn as one: a shifted gamma distribution (Pearson type III) with exactly the mean, the
   variance and the third moment that the rest has. A sum of many small independent quantities is close to that.
3. Quantities are taken as independent. What moves together, such as two prices of one seller, makes the real range
   wider; the sums of all low and all high cases bound it in any case.

Draws are floating-point numbers: they are never money of the record, only what chances and ranges are read from.
"""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from math import sqrt
from random import Random

from logbook.costing.spread import Spread, ThreePoint, beta_shape, spread_of

DRAWS = 10_000
SEED = 1
ALONE = 128
"""So many quantities at most are drawn one by one."""
STEPS = 1024
"""Equally likely values in the table of a beta distribution."""


@dataclass(frozen=True, slots=True)
class Distribution:
    """What a sum came to in all draws, with the exact sum beside it."""

    values: array[float]
    """Every draw, ascending."""
    exact: Spread
    """The exact mean and variance, for checking."""
    seed: int
    alone: int
    """How many quantities were drawn one by one."""
    grouped: int
    """How many were drawn as one."""

    @property
    def draws(self) -> int:
        """How many draws there are."""
        return len(self.values)

    @property
    def mean(self) -> float:
        """The mean of the draws."""
        return float(sum(self.values) / len(self.values))

    @property
    def deviation(self) -> float:
        """The standard deviation of the draws."""
        mean = self.mean
        return sqrt(sum((v - mean) ** 2 for v in self.values) / max(1, len(self.values) - 1))

    @property
    def standard_error(self) -> float:
        """By how much the mean of so many draws is off, as a standard deviation."""
        return float(self.exact.deviation) / sqrt(len(self.values))

    @property
    def agrees(self) -> bool:
        """Whether the drawn mean lies within four standard errors of the exact one, as all but 1 in 16,000 do."""
        return abs(self.mean - float(self.exact.expected)) <= 4 * self.standard_error + 1e-9

    def chance_above(self, amount: Fraction) -> Fraction:
        """The share of draws above an amount: from 0 to 1."""
        return Fraction(len(self.values) - bisect_right(self.values, float(amount)), len(self.values))

    def percentile(self, percent: int) -> float:
        """The value that so many percent of the draws do not pass, between two draws by straight line."""
        place = percent / 100 * (len(self.values) - 1)
        below = int(place)
        above = min(below + 1, len(self.values) - 1)
        return self.values[below] + (place - below) * (self.values[above] - self.values[below])


def simulate(points: Sequence[ThreePoint], draws: int = DRAWS, seed: int = SEED) -> Distribution:
    """Draw the sum of independent quantities.

    Args:
        points: the quantities, in any unit that is the same for all.
        draws: how many times; at least 2.
        seed: the same one gives the same draws, as long as the quantities stand in the same order.

    Raises:
        ValueError: fewer than two draws are asked for.
    """
    if draws < 2:
        raise ValueError("a distribution needs at least two draws")
    return _simulated(tuple(points), draws, seed)


@lru_cache(maxsize=16)
def _simulated(points: tuple[ThreePoint, ...], draws: int, seed: int) -> Distribution:
    random = Random(seed)  # noqa: S311 - prices are drawn, not secrets
    certain = [p for p in points if p.least == p.most]
    uncertain = [p for p in points if p.least != p.most]
    ranked = sorted(range(len(uncertain)), key=lambda i: (-float(uncertain[i].variance), i))
    alone = [uncertain[i] for i in sorted(ranked[:ALONE])]
    rest = [uncertain[i] for i in ranked[ALONE:]]
    fixed = float(sum((p.mean for p in certain), Fraction(0)))
    columns = [_drawn(p, draws, random) for p in alone]
    if rest:
        columns.append(_drawn_as_one(rest, draws, random))
    values = [fixed + sum(row) for row in zip(*columns, strict=True)] if columns else [fixed] * draws
    exact = spread_of(points)
    low, high = float(exact.low), float(exact.high)  # the last bits of a floating sum must not leave the range
    kept = array("d", sorted(min(max(v, low), high) for v in values))
    return Distribution(kept, exact, seed, len(alone), len(rest))


def _drawn(point: ThreePoint, draws: int, random: Random) -> list[float]:
    low, width = float(point.low), float(point.high - point.low)
    if width:
        a, _ = beta_shape(point.low, point.likely, point.high)
        values = random.choices([low + width * x for x in _table(float(a))], k=draws)
    else:
        values = [low] * draws
    if point.chance == 1:
        return values
    chance, drawn = float(point.chance), random.random
    return [v if drawn() < chance else 0.0 for v in values]


def _drawn_as_one(points: Sequence[ThreePoint], draws: int, random: Random) -> list[float]:
    """Draws of the sum of many quantities, right in mean, variance and third moment."""
    mean = float(sum((p.mean for p in points), Fraction(0)))
    deviation = sqrt(sum(float(p.variance) for p in points))
    skew = sum(float(p.third_moment) for p in points) / deviation**3
    low, high = float(sum(p.least for p in points)), float(sum(p.most for p in points))
    if abs(skew) < 1e-4:
        values = [random.gauss(mean, deviation) for _ in range(draws)]
    else:
        shape, scale = 4 / skew**2, deviation * skew / 2
        start = mean - shape * scale
        values = [start + scale * random.gammavariate(shape, 1.0) for _ in range(draws)]
    return [min(max(v, low), high) for v in values]


@lru_cache(maxsize=512)
def _table(alpha: float) -> tuple[float, ...]:
    """Equally likely values of the beta distribution on 0 to 1 with shapes alpha and 6 − alpha.

    Its distribution function is summed by trapezoids over `STEPS` equal cells and read backwards at the middle
    of each of `STEPS` equally likely classes. Both shapes are at least 1, so the density is nowhere infinite.
    """
    a, b = alpha - 1, 5 - alpha
    density = [(i / STEPS) ** a * (1 - i / STEPS) ** b for i in range(STEPS + 1)]
    sums = [0.0]
    for left, right in pairwise(density):
        sums.append(sums[-1] + (left + right) / 2)
    values, cell = [], 0
    for i in range(STEPS):
        wanted = (i + 0.5) / STEPS * sums[-1]
        while sums[cell + 1] < wanted:
            cell += 1
        values.append((cell + (wanted - sums[cell]) / (sums[cell + 1] - sums[cell])) / STEPS)
    return tuple(values)
