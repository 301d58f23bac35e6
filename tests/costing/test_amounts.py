"""Rounding, three-point sums and units, against published figures and the decimal module."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.costing.amounts import (
    as_recorded,
    cents,
    converted,
    expected_value,
    plain_number,
    quantity_in_words,
    rounded,
    total,
)

amounts = st.decimals(min_value=-(10**12), max_value=10**12, places=4)


@pytest.mark.parametrize(
    ("exact", "shown"),
    [
        ("0.125", "0.12"),
        ("0.135", "0.14"),
        ("2.675", "2.68"),
        ("2.665", "2.66"),
        ("-0.125", "-0.12"),
        ("-0.005", "0.00"),
        ("5.9549", "5.95"),
        ("1/3", "0.33"),
        ("-2/3", "-0.67"),
        ("12", "12.00"),
    ],
)
def test_cents(exact: str, shown: str) -> None:
    assert str(cents(Fraction(exact))) == shown


@given(amounts, st.integers(0, 4))
def test_rounding_is_that_of_the_decimal_module(value: Decimal, places: int) -> None:
    """Outside check: Python's decimal module, ROUND_HALF_EVEN."""
    assert rounded(value, places) == value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)


@given(st.fractions(), st.integers(0, 6))
def test_rounding_moves_by_half_a_unit_at_most(value: Fraction, places: int) -> None:
    moved = abs(Fraction(rounded(value, places)) - value)
    assert moved <= Fraction(1, 2 * 10**places)


@given(st.lists(amounts, max_size=30))
def test_total_is_exact(values: list[Decimal]) -> None:
    assert Fraction(total(values)) == sum(map(Fraction, values))


def test_total_of_nothing_shows_two_places() -> None:
    assert str(total([])) == "0.00"


def test_total_keeps_a_small_amount_beside_a_huge_one() -> None:
    assert str(total([Decimal("9" * 40), Decimal("0.01")])) == "9" * 40 + ".01"


# Teaching slides on project networks (ja.scribd.com/presentation/396883604): optimistic, likely and pessimistic
# times, the expected time as printed, and what each activity follows. The critical path is printed as 17 weeks.
SLIDES = {
    "A": (5, 6, 7, 6, ""),
    "B": (1, 3, 5, 3, ""),
    "C": (1, 4, 7, 4, ""),
    "D": (1, 2, 3, 2, "A"),
    "E": (1, 2, 9, 3, "B"),
    "F": (1, 5, 9, 5, "C"),
    "G": (2, 2, 8, 3, "C"),
    "H": (4, 4, 10, 5, "EF"),
    "I": (2, 5, 8, 5, "D"),
    "J": (2, 2, 8, 3, "HG"),
}

# “General Foundry”, Render and Stair, Quantitative Analysis for Management; the expected times are printed there.
# The three times behind them are quoted from memory.
FOUNDRY = {
    "A": (1, 2, 3, 2),
    "B": (2, 3, 4, 3),
    "C": (1, 2, 3, 2),
    "D": (2, 4, 6, 4),
    "E": (1, 4, 7, 4),
    "F": (1, 2, 9, 3),
    "G": (3, 4, 11, 5),
    "H": (1, 2, 3, 2),
}


@pytest.mark.parametrize("case", [*(v[:4] for v in SLIDES.values()), *FOUNDRY.values()])
def test_expected_value_as_published(case: tuple[int, int, int, int]) -> None:
    low, likely, high, expected = case
    assert expected_value(low, likely, high) == expected


def test_expected_length_of_the_published_network() -> None:
    ends: dict[str, Fraction] = {}
    for code, (low, likely, high, _, after) in SLIDES.items():
        ends[code] = max((ends[a] for a in after), default=Fraction(0)) + expected_value(low, likely, high)
    assert max(ends.values()) == 17


three_points = st.tuples(amounts, amounts, amounts).map(sorted)


@given(three_points)
def test_expected_lies_between_low_and_high(points: list[Decimal]) -> None:
    assert points[0] <= expected_value(*points) <= points[2]


@given(st.lists(three_points, min_size=1, max_size=10))
def test_expected_of_a_sum_is_the_sum_of_the_expected(lines: list[list[Decimal]]) -> None:
    sums = [total(line[i] for line in lines) for i in range(3)]
    assert expected_value(*sums) == sum(expected_value(*line) for line in lines)


@pytest.mark.parametrize(
    ("amount", "start", "end", "density", "wanted"),
    [
        ("1", "l", "ml", None, "1000"),
        ("250", "ml", "L", None, "0.25"),
        ("1.5", "kg", "g", None, "1500"),
        # NIST SP 811, appendix B: 1 in = 25.4 mm and 1 ft = 0.3048 m, both exact.
        ("1", "in", "mm", None, "25.4"),
        ("1", "ft", "m", None, "0.3048"),
        ("2", "m²", "cm2", None, "20000"),
        ("3", "", "pieces", None, "3"),
        ("4", "sheet", "sheet", None, "4"),
        ("110", "g", "ml", "1.1", "100"),
        ("100", "ml", "g", "1.1", "110"),
        ("1", "kg", "l", "0.8", "1.25"),
        ("1", "g", "ml", None, None),
        ("1", "g", "ml", "0", None),
        ("1", "m", "ml", "1.1", None),
        ("1", "sheet", "", None, None),
        ("1", "m2", "m", "1", None),
    ],
)
def test_units(amount: str, start: str, end: str, density: str | None, wanted: str | None) -> None:
    found = converted(Fraction(amount), start, end, None if density is None else Decimal(density))
    assert found == (None if wanted is None else Fraction(wanted))


@given(
    st.fractions(min_value=0),
    st.sampled_from(["g", "kg", "mg"]),
    st.sampled_from(["ml", "cl", "l"]),
    st.integers(1, 30),
)
def test_mass_to_volume_and_back(amount: Fraction, mass: str, volume: str, tenths: int) -> None:
    density = Decimal(tenths) / 10
    there = converted(amount, mass, volume, density)
    assert converted(there, volume, mass, density) == amount


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        ("171.1095", "ml", "171.11 ml"),
        ("0.13532", "l", "0.1353 l"),
        ("3", "", "3"),
        ("10", "m", "10 m"),
        ("0.00001", "m", "0 m"),
    ],
)
def test_quantity_in_words(value: str, unit: str, words: str) -> None:
    assert quantity_in_words(Decimal(value), unit) == words


def test_what_was_typed_is_shown_as_typed() -> None:
    assert [as_recorded(Decimal(x)) for x in ("0.33835", "12", "100", "1.50", "-0.0340")] == [
        "0.33835",
        "12",
        "100",
        "1.5",
        "-0.034",
    ]
    assert plain_number(Decimal("100")) == "100"
