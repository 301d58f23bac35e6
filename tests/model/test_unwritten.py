"""`?` where a thing is not written yet: it is no name, in the line, in a form and in the line for a new thing alike."""

from __future__ import annotations

import pytest

from logbook.model.document import UnitDocument, read_document, write_document
from logbook.model.fields import field_named
from logbook.model.one_line import record_in
from logbook.model.step import Connection, Step
from logbook.model.typed_values import plain_value
from logbook.model.unit import Unit
from logbook.model.unwritten import with_unwritten_left_empty
from logbook.teardown.bench_line import read_line
from tests.builders import step, unit, wire


@pytest.mark.parametrize("typed", ["?", "??", " ? ", "unknown", "not written"])
@pytest.mark.parametrize("end", ["start", "end"])
def test_an_end_that_is_not_written_stays_empty_in_a_form(end: str, typed: str) -> None:
    assert plain_value(Connection, field_named(Connection, end), typed) == ""


@pytest.mark.parametrize("typed", ["?", "unknown"])
def test_the_line_says_the_same(typed: str) -> None:
    (wire,) = read_line(f"plug, wire W6 from tag 2 to {typed}", unit()).step.connections
    assert (wire.start, wire.end) == ("tag 2", "")


@pytest.mark.parametrize(("typed", "kept"), [("?", ""), ("unknown", "unknown"), ("which way up?", "which way up?")])
def test_in_other_words_only_the_sign_says_that_nothing_is_written(typed: str, kept: str) -> None:
    assert plain_value(Step, field_named(Step, "orientation"), typed) == kept


def test_in_the_line_for_a_new_wire_it_is_an_open_end() -> None:
    wire = record_in(Connection, "W6 brown, from tag 2, to ?")
    assert (wire.code, wire.colour, wire.start, wire.end) == ("W6", "brown", "tag 2", "")


def taken_in(record: Unit) -> Unit:
    document = read_document(write_document(UnitDocument(logbook="unit", version=1, unit=record)))
    assert isinstance(document, UnitDocument)
    return document.unit


def test_in_a_document_it_is_left_empty_all_the_way_down() -> None:
    told = step("T01", "motor", orientation="?", note="which way up?", connections=[wire("W6", "tag 2", "unknown")])
    (taken,) = taken_in(unit(told)).steps
    assert (taken.orientation, taken.note) == ("", "which way up?")
    assert [(c.start, c.end) for c in taken.connections] == [("tag 2", "")]


def test_a_name_is_kept_as_it_is_and_what_says_nothing_of_the_kind_is_the_same_record() -> None:
    named = unit(step("T01", "?"))
    assert taken_in(named).steps[0].what == "?"
    assert with_unwritten_left_empty(named) is named
