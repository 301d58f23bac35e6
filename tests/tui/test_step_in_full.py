"""A step in full: nothing of its record is left out, and nothing is said twice."""

from __future__ import annotations

import pytest

from logbook.model.document import UnitDocument
from logbook.model.fields import FieldKind, in_a_line, is_said, offered_fields, shown
from logbook.model.step import Step
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.teardown.step_keeping import line_of
from logbook.tui.look.inks import text_of, width_of
from logbook.tui.screens.teardown_rows import IN_OTHER_GROUPS, step_in_full
from tests.tui.conftest import NOW

UNITS = [document.unit for document in demo_documents(NOW.date()) if isinstance(document, UnitDocument)]
STEPS = [(unit, step) for unit in UNITS for step in unit.steps]


def words_of(unit: Unit, step: Step, columns: int = 400) -> str:
    return " ".join(" ".join(text_of(row) for row in step_in_full(unit, step, NOW, columns)).split())


@pytest.mark.parametrize(("unit", "step"), STEPS, ids=lambda each: getattr(each, "code", ""))
def test_every_field_that_is_filled_is_said(unit: Unit, step: Step) -> None:
    said = words_of(unit, step)
    for field in offered_fields(Step):
        value = getattr(step, field.name)
        if field.name in IN_OTHER_GROUPS or not is_said(value, field):
            continue
        of_list = field.kind is FieldKind.RECORDS
        for words in [in_a_line(each) for each in value] if of_list else [shown(step, field)]:
            assert " ".join(words.split()) in said, (step.code, field.name)


@pytest.mark.parametrize(("unit", "step"), STEPS, ids=lambda each: getattr(each, "code", ""))
def test_the_step_is_not_said_again_as_its_line(unit: Unit, step: Step) -> None:
    said = words_of(unit, step)
    assert line_of(unit, step) not in said
    for words in (step.note, step.as_found, step.should_be):
        assert not words.strip() or said.count(" ".join(words.split())) == 1, words


@pytest.mark.parametrize("columns", [38, 54, 73])
def test_no_row_is_wider_than_its_pane(columns: int) -> None:
    for unit, step in STEPS:
        assert all(width_of(row) <= columns for row in step_in_full(unit, step, NOW, columns)), step.code
