"""`H1` in a line: one reading only, and where nobody can know what is meant, a question."""

from __future__ import annotations

import pytest

from logbook.model.casework_records import HeldDimension
from logbook.teardown.bench_line import read_line
from logbook.teardown.step_keeping import kept_from_line, line_of
from tests.builders import at, hold, mm, step, unit, wire

NOW = at("2026-03-12 20:00")


@pytest.mark.parametrize(
    ("said", "code", "what", "reading_of"),
    [
        ("hold H1 earth read ohm", "H1", "earth", "ohm"),
        ("hold H12 earth", "H12", "earth", ""),
        ("hold point H1: earth read ohm", "H1", "earth", "ohm"),
        ("HOLD POINT H1 earth by AB", "H1", "earth", ""),
        ("h1 earth read ohm", "H1", "earth", "ohm"),
        ("H1 hold earth", "H1", "earth", ""),
        ("hold earth read ohm", "H", "earth", "ohm"),
        ('hold "H1 earth" read ohm', "H", "H1 earth", "ohm"),
    ],
)
def test_a_hold_point_with_its_number(said: str, code: str, what: str, reading_of: str) -> None:
    reading = read_line(f"cover, {said}", unit())
    found = reading.step.hold
    assert found is not None
    assert (found.code, found.what, found.reading_of) == (code, what, reading_of)
    assert (reading.step.connections, reading.step.note, reading.problems) == ((), "", ())


@pytest.mark.parametrize("said", ["hose H1 from pump to tap", "H1 hose from pump to tap", "H1 from pump to tap"])
def test_only_a_hose_has_ends(said: str) -> None:
    reading = read_line(f"cover, {said}", unit())
    (hose,) = reading.step.connections
    assert (hose.code, str(hose.kind), hose.start, hose.end) == ("H1", "hose", "pump", "tap")
    assert (reading.step.hold, reading.step.note, reading.problems) == (None, "", ())


OF_A_HOLD = "Of a hold point say “hold H1 earth read ohm”, of a hose “hose H1 from … to …”."


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("H1", f"H1 is not known here. {OF_A_HOLD}"),
        ("H1 452", f"H1 is not known here. {OF_A_HOLD}"),
        ("hold H1", "What is checked at this hold point? Say it like “hold H1 earth read ohm”."),
        ("hold", "What is checked at this hold point? Say it like “hold earth read ohm”."),
    ],
)
def test_what_is_in_doubt_is_asked_and_stands_in_the_note_alone(said: str, asked: str) -> None:
    reading = read_line(f"cover, {said}", unit())
    assert reading.problems == (asked,)
    assert (reading.step.hold, reading.step.connections, reading.step.note) == (None, (), said)


def test_the_question_says_what_has_this_number() -> None:
    held = HeldDimension(code="H3", what="inside width", value=mm("452"))
    of = unit(step("T01", hold=hold("H1")), step("T02", connections=[wire("H2")]), held_dimensions=[held])
    known = [read_line(f"cover, {code}", of).problems[0].partition(". ")[0] for code in ("H1", "H2", "H3")]
    assert known == [
        "H1 is the hold point at T01",
        "H2 is the wire at T02",
        "H3 is a size that is held (inside width)",
    ]


def test_a_number_that_is_taken_is_said_and_the_next_is_given() -> None:
    of = unit(step("T01", hold=hold("H1", reading="452", initials="AB")))
    reading = read_line("cover, hold H1 earth read ohm", of)
    assert reading.problems == ("H1 is the hold point at T01 already; this one gets the next number.",)
    made = kept_from_line(of, reading, at=NOW).steps[-1]
    assert made.hold is not None
    assert made.hold.code == "H2"


def test_a_number_that_is_said_stays_and_the_line_says_the_same_again() -> None:
    of = kept_from_line(unit(), read_line("cover, hold H7 earth read ohm", unit()), at=NOW)
    (made,) = of.steps
    assert made.hold is not None
    assert made.hold.code == "H7"
    again = read_line(line_of(of, made), of, base=made)
    assert again.step.hold == made.hold
    assert again.problems == ()
