"""Numbers that make no sense are a sentence at the field where they were typed."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.document import beyond_limits
from logbook.model.fields import Field, FieldKind, fields_of
from logbook.model.limits import beyond
from logbook.model.one_line import typed
from logbook.model.shop import Consumable, Pack, Seller, Shop
from logbook.model.unit import Unit
from logbook.model.work import ConsumableUse, MixShare, Operation, Part, UseTerm, Wait
from logbook.session import Session
from tests.builders import component, effort, estimate, mm, offcut, unit
from tests.limits import AT_THE_LIMITS

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
        (
            PART,
            "price",
            "8 12 18",
            "“8 12 18” is not one amount. Type it like 12.50, or low / likely / high like 8 / 12 / 18.",
        ),
        (PART, "price", "9 / 8 / 7", "price for all: the three must not decrease: low, likely, high."),
        (PART, "price", "-1 / 8 / 9", "price for all: “-1 / 8 / 9” is below zero."),
        (PART, "price", "1 / 2", "price for all: type one value, or three"),
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


CURE = Wait(earliest=30)
OPERATION = Operation(code="B01", name="lay out")


@pytest.mark.parametrize(
    ("record", "field", "most", "beyond", "says"),
    [
        (CURE, "earliest", "527040", "9999999", "earliest: “9999999” is more than 527040 minutes, which is a year."),
        (OPERATION, "effort", "60000", "60001", "is more than 60000 minutes, which is 1000 hours. Split the work."),
        (OPERATION, "times", "1000", "1000000", "times: “1000000” is more than 1,000 times."),
        (PART, "price", "1000000", "99999999.9999", "is more than a million. Check the unit and the number."),
        (PART, "paid_on", "2200-12-31", "9999-12-31", "is not between the years 1900 and 2200."),
        (PART, "paid_on", "1900-01-01", "0001-01-01", "is not between the years 1900 and 2200."),
        (offcut(), "width", "100000", "999999999", "is more than 100 m, the most that is taken for a length."),
        (TIN, "keeps_months", "1200", "999999", "is more than 1200 months, which is a hundred years."),
        (component(), "quantity", "200", "100000", "is more than 200 pieces, the most of one kind."),
    ],
)
def test_a_refusal_says_the_most_that_is_taken(record, field: str, most: str, beyond: str, says: str) -> None:
    taken = typed(record, field, most)
    assert next(beyond_limits(taken, "it"), None) is None
    with pytest.raises(InputError) as refused:
        typed(record, field, beyond)
    assert says in str(refused.value)


def every_kind() -> list[type[Frozen]]:
    """Every kind of record of a unit and of the shop."""
    kinds: list[type[Frozen]] = [Unit, Shop]
    for kind in kinds:
        kinds += [f.record for f in fields_of(kind) if f.record is not None and f.record not in kinds]
    return kinds


LIMITED = [
    (kind, field)
    for kind in every_kind()
    for field in fields_of(kind)
    if field.kind in AT_THE_LIMITS and field.kind is not FieldKind.FLAG and field.name != "touched"
]


@pytest.mark.parametrize(("kind", "field"), LIMITED, ids=lambda v: getattr(v, "__name__", getattr(v, "name", "")))
def test_every_number_length_time_and_date_has_a_limit(kind: type[Frozen], field: Field) -> None:
    """What is beyond is refused whatever the field, so that no new field is forgotten."""
    huge = {
        FieldKind.COUNT: 10_000_001,
        FieldKind.MINUTES: 10_000_001,
        FieldKind.MONEY: Decimal(10**9),
        FieldKind.NUMBER: Decimal(10**9),
        FieldKind.LENGTH: mm("999999999"),
        FieldKind.LENGTHS: (mm("1"), mm("999999999")),
        FieldKind.ESTIMATE: estimate("0", "0", "999999999"),
        FieldKind.EFFORT: effort(0, 0, 10_000_000),
        FieldKind.DATE: date(2201, 1, 1),
        FieldKind.MOMENT: datetime(1899, 12, 31, tzinfo=UTC),
    }[field.kind]
    assert beyond(huge, field.least, field.name, field.kind)


def test_the_session_is_a_door_for_edits_that_no_form_made(tmp_path: Path) -> None:
    with Session.open(tmp_path / "book") as session:
        session.add_unit(unit(operations=[OPERATION]))
        kept = session.kept("R1")
        cure = Wait(earliest=9_999_999)
        for name, value in (("wait", cure), ("effort", effort(10_000_000))):
            changed = OPERATION.model_copy(update={name: value})
            with pytest.raises(InputError, match="is more than"):
                session.apply("R1", "no", lambda u, new=changed: u.model_copy(update={"operations": (new,)}))
        with pytest.raises(InputError, match="9999-12-31 is not between"):
            session.apply("R1", "no", lambda u: u.model_copy(update={"due": date(9999, 12, 31)}))
        wide = offcut(size="10x999999999")
        with pytest.raises(InputError, match="is more than 100 m"):
            session.apply_shop("no", lambda s: s.model_copy(update={"offcuts": (wide,)}))
        assert session.kept("R1") == kept
