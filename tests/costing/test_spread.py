"""Three-point formulas against published worked examples and against scipy's distributions."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from logbook.costing.amounts import expected_value
from logbook.costing.spread import (
    ThreePoint,
    beta_shape,
    beta_third_moment,
    beta_variance,
    classic_variance,
    root,
    spread_of,
)

POINTS = [(2, 5, 11), (0, 0, 38), (5, 5, 9), (1, 9, 9), (Fraction(1, 3), 2, 7)]


@pytest.mark.parametrize(
    ("three", "mean", "variance"),
    [
        ((5, 6, 7), 6, "0.11"),
        ((1, 3, 5), 3, "0.44"),
        ((1, 4, 7), 4, "1.00"),
        ((1, 2, 3), 2, "0.11"),
        ((1, 2, 9), 3, "1.78"),
        ((1, 5, 9), 5, "1.78"),
        ((2, 2, 8), 3, "1.00"),
        ((4, 4, 10), 5, "1.00"),
        ((2, 5, 8), 5, "1.00"),
    ],
)
def test_a_printed_table_of_activities(three: tuple[int, int, int], mean: int, variance: str) -> None:
    """Teaching slides scribd.com/presentation/396883604: expected times and variances as printed there."""
    assert expected_value(*three) == mean
    assert round(classic_variance(three[0], three[2]), 2) == Fraction(variance)


def test_the_path_of_that_table_takes_17_weeks() -> None:
    """The critical path C, F, H, J: 17 weeks as printed; its variances add up to 4.778 (computed from the table)."""
    path = [ThreePoint(*map(Fraction, x)) for x in ((1, 4, 7), (1, 5, 9), (4, 4, 10), (2, 2, 8))]
    found = spread_of(path)
    assert found.expected == 17
    assert round(found.classic_variance, 3) == Fraction("4.778")
    assert round(found.classic_deviation, 3) == Decimal("2.186")


def test_the_two_variances_differ() -> None:
    """2 / 5 / 11: PERT mean 5.5, classic variance 2.25, exact beta 2.75."""
    assert expected_value(2, 5, 11) == Fraction(11, 2)
    assert classic_variance(2, 11) == Fraction("2.25")
    assert beta_variance(2, 5, 11) == Fraction("2.75")


@pytest.mark.parametrize("three", POINTS)
def test_moments_are_those_of_scipy(three: tuple[Fraction, Fraction, Fraction]) -> None:
    low, _likely, high = (float(x) for x in three)
    a, b = (float(x) for x in beta_shape(*three))
    mean, variance, skew = stats.beta(a, b, loc=low, scale=high - low).stats("mvs")
    assert float(expected_value(*three)) == pytest.approx(float(mean))
    assert float(beta_variance(*three)) == pytest.approx(float(variance))
    assert float(beta_third_moment(*three)) == pytest.approx(float(skew) * float(variance) ** 1.5)


def test_a_chance_mixes_zero_in() -> None:
    """Against the moments of a mixture reckoned from scipy's raw moments: p E[X^k]."""
    point = ThreePoint(Fraction(2), Fraction(5), Fraction(11), Fraction(3, 10))
    of_scipy = stats.beta(*(float(x) for x in beta_shape(2, 5, 11)), loc=2, scale=9)
    raw = [0.3 * of_scipy.moment(k) for k in (1, 2, 3)]
    assert float(point.mean) == pytest.approx(raw[0])
    assert float(point.variance) == pytest.approx(raw[1] - raw[0] ** 2)
    assert float(point.third_moment) == pytest.approx(raw[2] - 3 * raw[0] * raw[1] + 2 * raw[0] ** 3)
    assert (point.least, point.most) == (0, 11)


def test_no_range_has_no_distribution() -> None:
    with pytest.raises(ValueError, match="high above its low"):
        beta_shape(3, 3, 3)
    same = ThreePoint(Fraction(3), Fraction(3), Fraction(3))
    assert (same.mean, same.variance, same.third_moment) == (3, 0, 0)


amounts = st.integers(0, 10_000).map(lambda n: Fraction(n, 100))
three_points = st.builds(
    lambda xs, p: ThreePoint(*sorted(xs), Fraction(p, 100)), st.tuples(amounts, amounts, amounts), st.integers(0, 100)
)


@given(st.lists(three_points, max_size=12), st.integers(0, 12))
@settings(max_examples=60)
def test_any_split_of_the_lines_adds_up_exactly(points: list[ThreePoint], at: int) -> None:
    whole, one, other = spread_of(points), spread_of(points[:at]), spread_of(points[at:])
    for name in ("low", "high", "expected", "variance", "classic_variance"):
        assert getattr(whole, name) == getattr(one, name) + getattr(other, name)
    assert whole.low <= whole.expected <= whole.high


def test_a_root_is_exact_to_28_digits() -> None:
    assert root(Fraction(2)) == Decimal(2).sqrt()
    assert root(Fraction(0)) == 0
