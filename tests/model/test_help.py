"""The help of every field that a form shows: there, short, with an example, and no word of programming."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest

from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, offered_fields
from logbook.model.one_line import value_of
from logbook.model.shop import Shop
from logbook.model.typed_values import Context
from logbook.model.unit import Unit
from logbook.model.usual_fields import example_value, first_shown, usual_fields

NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)


def kinds(kind: type[Frozen], seen: dict[str, type[Frozen]]) -> dict[str, type[Frozen]]:
    """`kind` and every kind of record that its form leads to."""
    if kind.__name__ not in seen:
        seen[kind.__name__] = kind
        for field in offered_fields(kind):
            if field.record is not None:
                kinds(field.record, seen)
    return seen


KINDS = kinds(Shop, kinds(Unit, {}))


def every_field() -> Iterator[tuple[type[Frozen], Field]]:
    """Every field that a form offers."""
    for kind in KINDS.values():
        for field in offered_fields(kind):
            yield kind, field


FIELDS = list(every_field())
IDS = [f"{kind.__name__}.{field.name}" for kind, field in FIELDS]
_PROGRAMMING = re.compile(
    r"\b(None|null|text|string|str|int|bool|boolean|float|Decimal|tuple|list of|enum|default|True|False)\b|[`_]"
)


@pytest.mark.parametrize(("kind", "field"), FIELDS, ids=IDS)
def test_help_is_a_short_sentence_in_plain_words(kind: type[Frozen], field: Field) -> None:
    assert field.help, "a field wants a docstring: one short sentence with an example in quotes"
    assert not _PROGRAMMING.search(field.help), field.help
    assert not any(re.search(rf"\b{name}\b", field.help) for name in KINDS if re.search("[a-z][A-Z]", name))
    assert field.help.endswith((".", "?", "”"))
    assert field.help[:1].isupper()
    assert len(field.help) <= 116, "it is read whole in two lines of a narrow terminal"


@pytest.mark.parametrize(("kind", "field"), FIELDS, ids=IDS)
def test_the_example_of_a_field_is_taken_when_it_is_typed(kind: type[Frozen], field: Field) -> None:
    if field.record is not None or field.kind is FieldKind.FLAG:
        pytest.skip("it is opened, or turned")
    example = example_value(field)
    assert example
    assert value_of(kind, field, example, Context(NOW, "EUR")) is not None


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_a_form_shows_few_fields_first_and_hides_none(kind: type[Frozen]) -> None:
    first, rest = first_shown(kind, frozenset())
    assert sorted((*first, *rest)) == sorted(offered_fields(kind))
    assert len(usual_fields(kind)) <= 14
    assert all(field in first for field in offered_fields(kind) if field.required)
    seldom = rest[0].name if rest else ""
    if seldom:
        assert seldom in [f.name for f in first_shown(kind, frozenset({seldom}))[0]], "what is filled is shown"


def test_a_record_that_nobody_thought_of_shows_what_it_needs_first() -> None:
    class Tomorrow(Frozen):
        """A record of tomorrow."""

        one: str = ""
        two: str = ""
        needed: str
        three: str = ""
        four: str = ""
        five: str = ""
        six: str = ""
        seven: str = ""
        eight: str = ""
        nine: str = ""
        ten: str = ""

    first, rest = first_shown(Tomorrow, frozenset({"nine"}))
    shown = ["needed", "one", "two", "three", "four", "five", "six", "seven", "nine"]
    assert [f.name for f in first] == shown
    assert [f.name for f in rest] == ["eight", "ten"]
