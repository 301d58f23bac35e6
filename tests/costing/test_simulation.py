"""Draws against the exact sum, against scipy, and against a full simulation of every line by numpy."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import numpy as np
import pytest
from scipy import stats

from logbook.costing.simulation import ALONE, Distribution, _table, simulate
from logbook.costing.spread import ThreePoint, beta_shape


def point(low: float | str, likely: float | str, high: float | str, chance: str = "1") -> ThreePoint:
    return ThreePoint(Fraction(low), Fraction(likely), Fraction(high), Fraction(chance))


def many(count: int, seed: int = 5) -> list[ThreePoint]:
    """Lines of all sizes and shapes, every fiftieth under a condition."""
    random = Random(seed)
    made = []
    for i in range(count):
        low = random.randrange(0, 1000)
        likely = low + random.randrange(0, 1000)
        high = likely + random.randrange(1, 4000)
        made.append(
            point(Fraction(low, 100), Fraction(likely, 100), Fraction(high, 100), "1/4" if i % 50 == 0 else "1")
        )
    return made


def full_simulation(points: list[ThreePoint], draws: int, seed: int) -> np.ndarray:
    """Every line drawn by itself, by numpy's own beta generator."""
    generator = np.random.default_rng(seed)
    total = np.zeros(draws)
    for p in points:
        a, b = (float(x) for x in beta_shape(p.low, p.likely, p.high))
        drawn = float(p.low) + float(p.high - p.low) * generator.beta(a, b, draws)
        total += drawn if p.chance == 1 else np.where(generator.random(draws) < float(p.chance), drawn, 0)
    return total


RADIO = [
    point(11, 11, 13), point("8.25", "8.25", 10), point(6, 6, 9), point(6, "8.4", 12), point(0, "3.2", 4),
    point(5, "6.5", 9), point(6, 9, 14), point(11, 14, 20), point(38, 38, 38, "1/6"), point(12, 12, 12, "1/6"),
    point(5, "7.95", 15),
]  # fmt: skip
"""The lines of the radio."""


@pytest.mark.parametrize("points", [RADIO, many(40), many(600)], ids=["radio", "forty", "six hundred"])
def test_mean_and_variance_lie_within_their_standard_errors(points: list[ThreePoint]) -> None:
    drawn = simulate(points)
    exact = drawn.exact
    assert drawn.agrees
    assert abs(drawn.mean - float(exact.expected)) < 4 * drawn.standard_error
    values = np.asarray(drawn.values)
    variance = float(exact.variance)
    fourth = float(((values - values.mean()) ** 4).mean())
    error = ((fourth - variance**2) / len(values)) ** 0.5
    assert abs(values.var(ddof=1) - variance) < 4 * error
    assert drawn.deviation == pytest.approx(values.std(ddof=1))


@pytest.mark.parametrize("alpha", [1.0, 1.7, 3.0, 5.0])
def test_the_table_of_a_beta_distribution_is_that_of_scipy(alpha: float) -> None:
    table, exact = np.asarray(_table(alpha)), stats.beta(alpha, 6 - alpha)
    middle = (np.arange(len(table)) + 0.5) / len(table)
    assert np.abs(exact.cdf(table) - middle).max() < 1e-3
    assert abs(table.mean() - exact.mean()) < 1e-4
    assert abs(table.std() / exact.std() - 1) < 1e-3


def test_one_line_is_drawn_as_scipy_says() -> None:
    """Kolmogorov and Smirnov's test at one in a thousand: the values of one line are those of its beta distribution."""
    drawn = simulate([point(2, 5, 11)])
    a, b = (float(x) for x in beta_shape(2, 5, 11))
    assert stats.kstest(np.asarray(drawn.values), stats.beta(a, b, loc=2, scale=9).cdf).pvalue > 0.001


@pytest.mark.parametrize("count", [ALONE + 1, 400, 2000])
def test_the_small_rest_drawn_as_one_is_off_by_less_than_two_percent_points(count: int) -> None:
    """The largest distance between both distribution functions, so every chance is off by no more than that.

    Each line is drawn 40,000 times by numpy. Sampling alone gives distances up to about 0.018 at these sizes.
    """
    points = many(count)
    ours, full = simulate(points), full_simulation(points, 40_000, 7)
    assert ours.alone == ALONE
    assert ours.grouped == count - ALONE
    assert stats.ks_2samp(np.asarray(ours.values), full).statistic < 0.02


def test_a_skewed_rest_keeps_its_skew() -> None:
    """Several hundred lines that lean the same way: the third moment of the draws is the exact one."""
    points = [point(0, 0, 10, "1/20")] * 600
    drawn = simulate(points, draws=20_000)
    exact = sum(float(p.third_moment) for p in points) / float(drawn.exact.variance) ** 1.5
    assert stats.skew(np.asarray(drawn.values)) == pytest.approx(exact, abs=0.08)
    assert exact > 0.1


def test_the_same_seed_gives_the_same_draws_and_another_one_others() -> None:
    assert simulate(RADIO).values == simulate(list(RADIO)).values
    assert simulate(RADIO, seed=2).values != simulate(RADIO).values


def test_nothing_leaves_the_range() -> None:
    for points in (RADIO, many(400)):
        drawn = simulate(points)
        assert float(drawn.exact.low) <= drawn.values[0]
        assert drawn.values[-1] <= float(drawn.exact.high)


def test_what_is_certain_is_no_distribution() -> None:
    drawn = simulate([point(3, 3, 3), point(4, 4, 4, "0")])
    assert set(drawn.values) == {3.0}
    assert (drawn.chance_above(Fraction(3)), drawn.chance_above(Fraction("2.99"))) == (0, 1)
    assert set(simulate([]).values) == {0.0}


def test_chances_and_percentiles_are_read_from_the_draws() -> None:
    drawn = simulate(RADIO)
    values = np.asarray(drawn.values)
    for percent in (0, 5, 50, 95, 100):
        assert drawn.percentile(percent) == pytest.approx(np.percentile(values, percent))
    assert drawn.chance_above(Fraction(100)) == Fraction(int((values > 100).sum()), len(values))
    assert drawn.chance_above(Fraction(100)) == pytest.approx(1 / 6, abs=0.015), "the transformer alone does it"


def test_too_few_draws_are_refused() -> None:
    with pytest.raises(ValueError, match="at least two"):
        simulate(RADIO, draws=1)


def test_a_mean_that_is_off_is_found() -> None:
    drawn = simulate(RADIO)
    moved = Distribution(type(drawn.values)("d", [v + 1 for v in drawn.values]), drawn.exact, 1, 11, 0)
    assert not moved.agrees
