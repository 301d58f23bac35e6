"""Numbers that make no sense are a sentence at the field where they were typed."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.errors import InputError
from logbook.model.shop import Consumable, Pack, Seller
from logbook.model.typed_values import typed
from logbook.model.work import ConsumableUse, MixShare, Part, UseTerm
from tests.builders import estimate

PART = Part(code="N1", name="cord", quantity=Decimal(1))
TERM = UseTerm(amount=Decimal(1))
PACK = Pack(size=Decimal(500), price=Decimal("9.50"))
TIN = Consumable(name="glue", stock=Decimal(3))


@pytest.mark.parametrize(
    ("record", "field", "text", "says"),
    [
        (PART, "quantity", "-2", "quantity: “-2” is not above zero."),
        (PART, "quantity", "0", "quantity: “0” is not above zero."),
        (PART, "quantity", "two", "quantity: “two” is not a number like 0.75."),
        (PART, "price", "9 / 8 / 7", "price: the three must not decrease: low, likely, high."),
        (PART, "price", "-1 / 8 / 9", "price: “-1 / 8 / 9” is below zero."),
        (PART, "price", "1 / 2", "price: type one value, or three"),
        (PART, "pack_size", "0", "pack size: “0” is not above zero."),
        (PART, "mass_g", "-3", "mass, g: “-3” is not above zero."),
        (PACK, "size", "5000000", "size: “5000000” is more than a million. Check the unit and the number."),
        (PACK, "size", "-500", "size: “-500” is not above zero."),
        (PACK, "price", "-9.50", "price: “-9.50” is not from zero."),
        (TIN, "stock", "-1", "stock: “-1” is not from zero."),
        (TIN, "density", "0", "density: “0” is not above zero."),
        (TERM, "rate", "-200", "rate: “-200” is not from zero."),
        (TERM, "coverage", "0", "coverage: “0” is not above zero."),
        (ConsumableUse(code="U1", consumable="glue"), "waste_percent", "-15", "waste percent: “-15” is not from zero."),
        (MixShare(consumable="thinner", parts=Decimal(1)), "parts", "0", "parts: “0” is not above zero."),
        (Seller(name="post"), "shipping", "15 / 5 / 8", "shipping: the three must not decrease"),
    ],
)
def test_what_makes_no_sense_is_refused(record, field: str, text: str, says: str) -> None:
    with pytest.raises(InputError) as refused:
        typed(record, field, text)
    assert str(refused.value).startswith(says)


@pytest.mark.parametrize(
    ("record", "field", "text", "value"),
    [
        (PART, "quantity", "1.5", Decimal("1.5")),
        (PART, "price", "0 / 0 / 38", estimate("0", "0", "38")),
        (TIN, "stock", "0", Decimal(0)),
        (TERM, "amount", "-0.034", Decimal("-0.034")),
        (TERM, "rate", "", None),
        (TERM, "amount", "0.33835", Decimal("0.33835")),
        (TERM, "amount", "0,12345", Decimal("0.12345")),
    ],
)
def test_what_makes_sense_is_taken(record, field: str, text: str, value) -> None:
    assert getattr(typed(record, field, text), field) == value
