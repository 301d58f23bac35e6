"""What is said of wires, with one letter, twice or of both sides: it stands in the record, or in the note."""

from __future__ import annotations

import pytest

from logbook.model.unit import Unit
from logbook.model.words import Action
from logbook.reassembly import ledger
from logbook.teardown.bench_line import LineReading, read_line
from logbook.teardown.step_keeping import kept_from_line, line_of
from logbook.tui.look.inks import text_of
from logbook.tui.step_words import draft_lines
from tests.builders import at, handed_pair, unit

NOW = at("2026-03-14 09:00")


def read(line: str, of: Unit | None = None) -> LineReading:
    return read_line(line, of if of is not None else unit())


@pytest.mark.parametrize("letter", list("abcdefghijklmnopqrstuvwxyzLNE"))
def test_one_letter_is_no_action_and_stays_in_the_note(letter: str) -> None:
    step = read(f"brown lead, {letter}, unscrewed, 2 screw M3x8, bag 1").step
    assert (step.action, step.also, step.note) == (Action.UNSCREWED, (), letter)
    assert step.fasteners[0].kind == "screw M3x8"


def test_a_second_action_is_shown_beside_the_first() -> None:
    reading = read("motor, unscrewed, cut")
    assert (reading.step.action, reading.step.also) == (Action.UNSCREWED, (Action.CUT,))
    assert any("unscrewed and cut" in text_of(row) for row in draft_lines(reading, 80))


@pytest.mark.parametrize(
    ("line", "colours"),
    [
        ("motor, 1 wire blue", ["blue"]),
        ("motor, 2 wires blue", ["blue", "blue"]),
        ("motor, 2 wire blue", ["blue", "blue"]),
        ("motor, wire blue W6", ["blue"]),
        ("motor, 1 wire brown with white tracer cut", ["brown with white tracer"]),
        ("motor, 1 wire green-yellow from stem to block", ["green-yellow"]),
    ],
)
def test_a_wire_with_a_colour_is_a_connection_and_no_fastener(line: str, colours: list[str]) -> None:
    of = kept_from_line(unit(), read(line), at=NOW)
    motor = of.steps[0]
    assert motor.fasteners == ()
    assert motor.note == ""
    assert [c.colour for c in motor.connections] == colours
    account = ledger(of)
    assert (account.total.holes, account.pieces.holes, account.without_bag) == (0, 0, 0)
    printed = line_of(of, motor)
    assert read_line(printed, of, base=motor).step == motor
    afresh = read_line(printed, unit()).step
    assert [c.colour for c in afresh.connections] == colours


def test_the_ends_of_a_coloured_wire_are_kept() -> None:
    (wire,) = read("motor, 1 wire green-yellow from stem to block").step.connections
    assert (wire.start, wire.end) == ("stem", "block")


def test_what_else_is_said_of_wires_is_the_note_and_things_of_wire_stay_fasteners() -> None:
    step = read("motor, 2 wires live and neutral").step
    assert (step.wires, step.fasteners, step.note) == (2, (), "wires live and neutral")
    assert [f.kind for f in read("motor, 4 wire tie, 2 wire nut").step.fasteners] == ["wire tie", "wire nut"]


@pytest.mark.parametrize("said", ["each", "both", "left and right each", "left and right", "2x"])
def test_every_one_of_a_set_that_is_not_there_is_offered_to_be_made(said: str) -> None:
    reading = read(f"doors, {said}, 2 screw 3x16")
    assert reading.step.note == said
    assert reading.problems == (
        "This unit has no set yet: add “pair” or “set of 4 drawers” to the line, and it is made with the step.",
    )
    made = read(f"doors, pair, {said}, 2 screw 3x16")
    assert (made.step.each_of, made.step.note, made.problems) == ("LR", "", ())
    there = read(f"doors, {said}, 2 screw 3x16", unit(sets=[handed_pair()]))
    assert (there.step.each_of, there.step.note) == ("LR", "")
