"""Values for JSON: exact, of few kinds, and never a float."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.model.words import Stage
from logbook.render.values import fraction_words, plain_values
from tests.builders import mm, screws


@dataclass(frozen=True, slots=True)
class _Thing:
    name: str
    price: Decimal | None


class _Named(NamedTuple):
    unit: str
    minutes: int | None


@pytest.mark.parametrize(
    ("value", "plain"),
    [
        (None, None),
        (True, True),
        (3, 3),
        ("a", "a"),
        (Stage.REBUILD, "rebuild"),
        (Decimal("12.50"), "12.50"),
        (Decimal("1E+3"), "1000"),
        (Fraction(1, 4), "0.25"),
        (Fraction(511, 6), "511/6"),
        (Fraction(-5), "-5"),
        (date(2026, 3, 12), "2026-03-12"),
        (datetime(2026, 3, 12, 20, 41, tzinfo=UTC), "2026-03-12T20:41:00+00:00"),
        (_Thing("cord", Decimal("6.50")), {"name": "cord", "price": "6.50"}),
        (_Thing("?", None), {"name": "?", "price": None}),
        (_Named("R1", None), {"unit": "R1", "minutes": None}),
        ((1, (2,)), [1, [2]]),
        (frozenset({"b", "a"}), ["a", "b"]),
        ({"bag 5": Decimal(4)}, {"bag 5": "4"}),
        (mm("3/4 in"), {"mm": "19.05", "typed": "3/4 in"}),
    ],
)
def test_a_value_as_json_holds_it(value: Any, plain: Any) -> None:
    assert plain_values(value) == plain
    assert type(plain_values(value)) in (type(None), bool, int, str, list, dict)


def test_a_record_is_as_in_a_document() -> None:
    assert plain_values(screws(6, 5)) == screws(6, 5).model_dump(mode="json")


def test_a_float_is_refused_because_it_could_have_lost_something() -> None:
    with pytest.raises(TypeError, match="float has no form"):
        plain_values({"sum": 0.1})


@given(st.fractions(), st.integers(-(10**40), 10**40), st.integers(0, 12))
def test_nothing_of_an_exact_number_is_lost(any_fraction: Fraction, whole: int, places: int) -> None:
    for value in (any_fraction, Fraction(whole, 10**places)):
        assert Fraction(fraction_words(value)) == value
        assert json.loads(json.dumps(plain_values(value))) == fraction_words(value)


@given(st.integers(-(10**30), 10**30), st.integers(0, 12))
def test_what_ends_is_written_as_a_decimal(whole: int, places: int) -> None:
    assert "/" not in fraction_words(Fraction(whole, 10**places))
