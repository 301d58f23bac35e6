"""Sharing an amount, and rounding it: nothing is created or lost, and halves go to the even hundredth."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.costing.amounts import cents, rounded, shared
from logbook.costing.to_buy_records import shared_estimate
from logbook.model.measures import Estimate

AMOUNTS = st.decimals(min_value=0, max_value=10**7, places=2)
WEIGHTS = st.lists(st.fractions(min_value=0, max_value=1000, max_denominator=97), min_size=1, max_size=12)


@pytest.mark.parametrize(
    ("amount", "weights", "shares"),
    [
        ("1.00", [1, 1, 1], ["0.34", "0.33", "0.33"]),
        ("0.01", [1, 2], ["0.00", "0.01"]),
        ("9.50", [171, 400], ["2.85", "6.65"]),
        ("7.95", [0, 0], ["3.98", "3.97"]),
        ("7.95", [3, 0], ["7.95", "0.00"]),
        ("0.00", [1, 2], ["0.00", "0.00"]),
        ("1.0001", [1, 1], ["0.5001", "0.5000"]),
    ],
)
def test_an_amount_is_shared_by_the_largest_remainder(amount: str, weights: list[int], shares: list[str]) -> None:
    assert list(shared(Decimal(amount), weights)) == [Decimal(s) for s in shares]


@given(AMOUNTS, WEIGHTS)
def test_sharing_never_creates_or_loses_a_cent(amount: Decimal, weights: list[Fraction]) -> None:
    shares = shared(amount, weights)
    assert sum(shares) == amount
    assert all(s >= 0 and s == s.quantize(Decimal("0.01")) for s in shares)
    whole = sum(weights) or len(weights)
    for share, weight in zip(shares, weights, strict=True):
        exact = Fraction(amount) * (weight if sum(weights) else 1) / whole
        assert abs(Fraction(share) - exact) < Fraction(1, 100), "nobody is off by a cent"


@given(st.lists(AMOUNTS, min_size=3, max_size=3), WEIGHTS)
def test_three_points_are_shared_to_the_last_cent_and_stay_in_order(points: list[Decimal], weights: list) -> None:
    low, likely, high = sorted(points)
    shares = shared_estimate(Estimate(low=low, likely=likely, high=high), weights)
    assert sum(s.low for s in shares) == low
    assert sum(s.likely for s in shares) == likely
    assert sum(s.high for s in shares) == high


@pytest.mark.parametrize("weights", [[], [1, -1]])
def test_an_amount_needs_somebody_to_share_with(weights: list[int]) -> None:
    with pytest.raises(ValueError, match="weights from zero up"):
        shared(Decimal("1.00"), weights)


@settings(max_examples=200)
@given(st.decimals(min_value=-(10**9), max_value=10**9, places=6), st.integers(0, 4))
def test_rounding_is_that_of_the_decimal_module(value: Decimal, places: int) -> None:
    """Against Python's decimal module, which follows the General Decimal Arithmetic Specification: ROUND_HALF_EVEN."""
    assert rounded(value, places) == value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_EVEN)


@pytest.mark.parametrize(
    ("value", "cent"), [("2.345", "2.34"), ("2.355", "2.36"), ("2.3451", "2.35"), ("-2.345", "-2.34")]
)
def test_halves_go_to_the_even_hundredth(value: str, cent: str) -> None:
    """The rule of NIST SP 811 (2008), appendix B.7.1, for a 5 with nothing behind it: to the even digit."""
    assert cents(Decimal(value)) == Decimal(cent)
