"""`?` where a thing is not written yet: it is no name, in the line, in a form and in the line for a new thing alike."""

from __future__ import annotations

import pytest

from logbook.model.fields import field_named
from logbook.model.one_line import record_in
from logbook.model.step import Connection, Step
from logbook.model.typed_values import plain_value
from logbook.teardown.bench_line import read_line
from tests.builders import unit


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
