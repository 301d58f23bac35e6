"""Stop lines stay as they were set; what was paid and taken is written down."""

from __future__ import annotations

from decimal import Decimal

import pytest
from pydantic import ValidationError

from logbook.errors import InputError
from logbook.model.one_line import typed
from logbook.model.unit import Unit
from logbook.model.unit_edits import kept_stop_lines, with_effort, with_paid, with_taken
from logbook.model.words import Supply, WorkState
from logbook.model.work import CostLine, Part, StopLine
from tests.builders import at, day, effort, operation, part, unit

FIRST, SECOND = StopLine(amount=Decimal(100)), StopLine(amount=Decimal(120), why="the bushes count")


def lines(*of: StopLine) -> Unit:
    return unit(stop_lines=list(of))


@pytest.mark.parametrize(
    ("before", "after", "refused"),
    [
        ((), (FIRST,), ""),
        ((FIRST,), (FIRST, SECOND), ""),
        ((FIRST,), (FIRST.model_copy(update={"why": "set at the start"}),), ""),
        ((FIRST,), (FIRST.model_copy(update={"amount": Decimal(150)}),), "stays as it is"),
        ((FIRST, SECOND), (FIRST,), "stays as it is"),
        ((FIRST, SECOND), (SECOND,), "stays as it is"),
        ((FIRST, SECOND), (FIRST, SECOND.model_copy(update={"why": "other words"})), "stays as it is"),
        ((FIRST,), (FIRST, FIRST), "only with a reason"),
        ((), (FIRST, FIRST), "only with a reason"),
    ],
)
def test_a_stop_line_moves_only_with_a_reason(
    before: tuple[StopLine, ...], after: tuple[StopLine, ...], refused: str
) -> None:
    if not refused:
        kept_stop_lines(lines(*before), lines(*after))
        return
    with pytest.raises(InputError, match=refused):
        kept_stop_lines(lines(*before), lines(*after))


def test_what_was_paid_and_that_it_was_not_after_all() -> None:
    before = unit(parts=[part("N1")], cost_lines=[CostLine(code="S", name="shipping")])
    after = with_paid(before, ("parts", "N1"), Decimal("6.50"), day("2026-03-20"))
    assert (after.parts[0].paid, after.parts[0].paid_on) == (Decimal("6.50"), day("2026-03-20"))
    assert after.cost_lines[0] is before.cost_lines[0]
    assert after.parts[0].supply is Supply.ORDERED, "what is paid is not bought a second time"
    back = with_paid(after, ("parts", "N1"), None, None)
    assert (back.parts[0].paid, back.parts[0].paid_on) == (None, None)
    assert with_paid(before, ("cost_lines", "S"), Decimal(4), day("2026-03-20")).cost_lines[0].paid == 4


def test_how_long_it_took() -> None:
    before = unit(operations=[operation("B01")])
    so_far = with_taken(before, "B01", 20, at("2026-03-20 18:00"), done=False).operations[0]
    assert (so_far.state, so_far.spent, so_far.done_at) == (WorkState.DOING, 20, None)
    done = with_taken(before, "B01", 35, at("2026-03-20 18:00"), done=True).operations[0]
    assert (done.state, done.spent, done.done_at) == (WorkState.DONE, 35, at("2026-03-20 18:00"))
    assert with_effort(before, "B01", effort(5, 6, 7)).operations[0].effort == effort(5, 6, 7)
    with pytest.raises(InputError, match="no operation B99"):
        with_taken(before, "B99", 1, at("2026-03-20 18:00"), done=True)


@pytest.mark.parametrize(
    ("field", "text", "sentence"),
    [
        ("chance_percent", "120", "a chance is from 0 to 100 %"),
        ("chance_percent", "-1", "a chance is from 0 to 100 %"),
        ("paid", "-3", "from 0 up"),
        ("price", "9 / 5 / 12", "must not decrease"),
    ],
)
def test_bad_input_is_a_sentence_at_the_field(field: str, text: str, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        typed(part("N1"), field, text)


def test_a_document_with_an_impossible_chance_is_refused() -> None:
    with pytest.raises(ValidationError, match="from 0 to 100"):
        Part.model_validate_json('{"code": "N1", "name": "x", "quantity": "1", "chance_percent": "101"}')
