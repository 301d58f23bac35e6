"""Money, plain numbers and three-point estimates: as typed, as kept, and refused with a sentence."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from logbook.errors import InputError
from logbook.model.measures import (
    Effort,
    Estimate,
    Money,
    Number,
    parse_money,
)
from tests.builders import estimate

MONEY: TypeAdapter[Decimal] = TypeAdapter(Money)
NUMBER: TypeAdapter[Decimal] = TypeAdapter(Number)

MONEY_TYPED = [
    ("12", "12.00"),
    ("12.5", "12.50"),
    ("12,50", "12.50"),
    ("$12.50", "12.50"),
    ("12.50 $", "12.50"),
    ("€ 5", "5.00"),
    ("-3", "-3.00"),
    ("-$3", "-3.00"),
    (" 0 ", "0.00"),
    ("0.005", "0.005"),
    ("0.0125", "0.0125"),
    ("1234.5", "1234.50"),
    ("1.2340", "1.2340"),
    ("999999999999", "999999999999.00"),
]


@pytest.mark.parametrize(("typed", "amount"), MONEY_TYPED)
def test_money_as_typed(typed: str, amount: str) -> None:
    assert str(parse_money(typed)) == amount


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "An amount is needed"),
        ("abc", "is not an amount"),
        (".5", "is not an amount"),
        ("12.", "is not an amount"),
        ("12..5", "is not an amount"),
        ("12.12345", "is not an amount"),
        ("1,234.50", "is not an amount"),
        ("1.234,50", "is not an amount"),
        ("1 000", "is not an amount"),
        ("1e5", "is not an amount"),
        ("NaN", "is not an amount"),
        ("٣", "is not an amount"),
        ("1,234", "could be 1234 or 1.234"),
        ("$1.234", "could be 1234 or 1.234"),
        ("12,000", "could be 12000 or 12.000"),
    ],
)
def test_money_refused_with_a_sentence(typed: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        parse_money(typed)


@given(st.decimals(min_value=-(10**12) + 1, max_value=10**12 - 1, places=2, allow_nan=False))
def test_money_printed_and_typed_again_is_the_same(amount: Decimal) -> None:
    assert parse_money(str(amount)) == amount
    assert MONEY.validate_json(MONEY.dump_json(amount)) == amount


@given(st.text(max_size=30) | st.text(alphabet="0123456789.,-$€ ", max_size=12))
def test_any_text_is_money_or_a_sentence(text: str) -> None:
    try:
        amount = parse_money(text)
    except InputError:
        return
    assert MONEY.validate_json(MONEY.dump_json(amount)) == amount


@given(st.decimals(allow_nan=True, allow_infinity=True) | st.floats() | st.integers() | st.booleans())
def test_a_kept_number_can_always_be_read_again(value: object) -> None:
    for adapter in (MONEY, NUMBER):
        try:
            kept = adapter.validate_python(value)
        except ValidationError:
            continue
        assert not isinstance(value, float | bool), "no float ever stands in a record"
        assert adapter.validate_json(adapter.dump_json(kept)) == kept


@pytest.mark.parametrize(
    "document", ["12.5", "12", "true", "null", '"1e3"', '"1.00001"', '"$5"', '""', '"NaN"', '"1,5"']
)
def test_bad_money_in_a_document(document: str) -> None:
    with pytest.raises(ValidationError):
        MONEY.validate_json(document)


@pytest.mark.parametrize(
    ("document", "number"), [("15", "15"), ('"15"', "15"), ('"0.33835"', "0.33835"), ('"-0.000000001"', "-0.000000001")]
)
def test_number_in_a_document(document: str, number: str) -> None:
    assert NUMBER.validate_json(document) == Decimal(number)


@pytest.mark.parametrize("document", ["1.5", "true", '"1.0000000001"', '"x"', "1000000000000"])
def test_bad_number_in_a_document(document: str) -> None:
    with pytest.raises(ValidationError):
        NUMBER.validate_json(document)


@pytest.mark.parametrize(("typed", "three"), [(("5",), "5.00 5.00 5.00"), (("0", "0", "38"), "0.00 0.00 38.00")])
def test_estimate_of_typed_amounts(typed: tuple[str, ...], three: str) -> None:
    made = estimate(*typed)
    assert f"{made.low} {made.likely} {made.high}" == three


@pytest.mark.parametrize("typed", [("3", "2", "4"), ("1", "5", "4"), ("5", "4"), ("2", "1", "0")])
def test_estimate_out_of_order_is_refused(typed: tuple[str, ...]) -> None:
    with pytest.raises(ValidationError, match="must not decrease"):
        Estimate.of(*typed)


def test_effort_out_of_order_is_refused() -> None:
    with pytest.raises(ValidationError, match="must not decrease"):
        Effort(low=30, likely=20, high=40)
    assert Effort(low=20, likely=20, high=20).likely == 20
