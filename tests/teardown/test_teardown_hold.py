"""A hold point of the teardown: numbered when kept, open until read, told at its line on the way back.

A hold point is one that work does not pass before it is released (common practice of quality plans).
"""

from __future__ import annotations

import pytest

from logbook.errors import InputError
from logbook.model.holds import open_holds
from logbook.model.step import HoldPoint
from logbook.model.unit import Unit
from logbook.reassembly import readiness, refit_list, tick, tick_from_paper, write_reading
from logbook.render.reassembly_list import reassembly_text
from logbook.teardown.bench_line import read_line
from logbook.teardown.complete import to_complete
from logbook.teardown.hold_answers import hold_is_open, hold_sign, with_hold_answered
from logbook.teardown.step_keeping import kept_from_line
from tests.builders import at, part_set, step, unit

NOW = at("2026-03-14 09:00")


def kept(*lines: str) -> Unit:
    """A unit with the steps of those lines."""
    of = unit()
    for line in lines:
        of = kept_from_line(of, read_line(line, of), at=NOW)
    return of


def hold_of(of: Unit, code: str = "T01") -> HoldPoint:
    """The hold point of a step."""
    step = of.step(code)
    assert step is not None
    assert step.hold is not None
    return step.hold


def test_hold_points_are_numbered_as_they_are_kept() -> None:
    of = kept("earth wire, hold earth 0.1 ohm by AB", "cover, hold dead read voltage")
    assert [hold_of(of, code).code for code in ("T01", "T02")] == ["H1", "H2"]
    again = kept_from_line(of, read_line("earth wire, hold earth 0.1 ohm by AB", of, base=of.step("T01")), at=NOW)
    assert (hold_of(again).code, hold_of(again).initials) == ("H1", "AB")


def test_an_open_one_is_said_and_one_answered_is_not() -> None:
    of = kept("earth wire, hold earth 0.1 ohm")
    (earth,) = open_holds(of)
    assert hold_is_open(earth) == "HOLD H1 is open: earth 0.1 ohm"
    assert hold_sign(earth) == "HOLD open"
    assert open_holds(of, but="T01") == ()
    assert [m.field for m in to_complete(of) if m.field == "hold"] == ["hold"]
    read = with_hold_answered(of, "T01", "0.08 ohm, by AB", NOW)
    assert open_holds(read) == ()
    assert (hold_of(read).reading, hold_of(read).initials, hold_of(read).read_at) == ("0.08 ohm", "AB", NOW)
    assert hold_sign(read.steps[0]) == "HOLD initialled"
    without = with_hold_answered(of, "T01", "because the meter is away", NOW)
    assert hold_of(without).without_because == "the meter is away"
    assert hold_sign(without.steps[0]) == "HOLD passed without"


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "Who did the check"),
        ("0.4 V", "Who did the check"),
        ("by AB", "What was read? voltage"),
        ("because", "Why is it passed by"),
    ],
)
def test_half_an_answer_is_refused_with_what_is_wanted(typed: str, why: str) -> None:
    of = kept("cover, hold dead read voltage")
    with pytest.raises(InputError, match=why.replace("?", r"\?")):
        with_hold_answered(of, "T01", typed, NOW)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "earth wire, hold earth 0.1 ohm",
            "HOLD H1 of the teardown: earth 0.1 ohm. It was not done then: do it here, with initials.",
        ),
        (
            "earth wire, hold earth 0.1 ohm reading 0.08 ohm by AB",
            "HOLD H1 of the teardown: earth 0.1 ohm, read 0.08 ohm, initials AB. It is worth reading again here.",
        ),
        (
            "earth wire, hold earth 0.1 ohm because no meter here",
            "HOLD H1 of the teardown: earth 0.1 ohm. "
            "It was passed by then, because no meter here. Do it here, with initials.",
        ),
    ],
)
def test_the_way_back_says_it_at_its_line_and_on_paper(line: str, told: str) -> None:
    of = kept(line)
    listed = refit_list(of)
    assert told in listed.by_key["T01"].what
    ready = readiness(of, listed, NOW)
    for only_ready in (False, True):
        printed = reassembly_text(of, listed, ready, version=1, kept_at=NOW, now=NOW, ready_only=only_ready)
        assert told in " ".join(printed.split())


def test_of_several_that_are_open_an_answer_goes_to_the_one_that_is_asked_about() -> None:
    of = unit(sets=[part_set("D", members=3)])
    of = kept_from_line(of, read_line("drawers, each D, each hold play read mm", of), at=NOW)
    assert hold_is_open(of.steps[0]) == "HOLD H1 for D1 is open: play"
    one = with_hold_answered(of, "T01", "0,3 by AB", NOW)
    assert [d.hold.reading for d in one.steps[0].differences if d.hold] == ["0,3", "", ""]
    assert hold_is_open(one.steps[0]) == "HOLD H2 for D2 is open: play"
    with pytest.raises(InputError, match="2 readings, and open are D1, D2, D3: whose are they"):
        with_hold_answered(of, "T01", "0.3, 0.4 by AB", NOW)
    two = with_hold_answered(one, "T01", "0.4, 0.5 by AB", NOW)
    assert [d.hold.reading for d in two.steps[0].differences if d.hold] == ["0,3", "0.4", "0.5"]


def test_a_measured_step_with_a_hold_point_is_not_left_out_of_the_way_back() -> None:
    of = kept("earth of arms, measured, hold earth read ohm reading 0.1 by AB", "cover")
    listed = refit_list(of)
    assert listed.left_out == ()
    assert any("HOLD H1 of the teardown: earth, read 0.1" in words for line in listed.lines for words in line.what)


def test_the_way_back_does_not_go_past_one_that_is_open_until_it_is_read_there_or_at_the_teardown() -> None:
    of = unit(step("T01", "cover"), kept("earth wire, hold earth read ohm").steps[0].model_copy(update={"code": "T02"}))
    of = tick(of, "check", at=NOW)
    with pytest.raises(InputError, match=r"A02 is hold point H1 \(earth\): write the reading of ohm first"):
        tick(of, "T02", at=NOW)
    with pytest.raises(
        InputError, match=r"A03 refit cover is not ready: .*hold point H1 at A02 has no reading and no init"
    ):
        tick_from_paper(of, "A03", NOW, "AB")
    listed = refit_list(of)
    printed = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)
    assert "To be done now: A02." in printed
    assert "HOLD POINT H1, before A03, A04: earth" in printed
    here = tick(write_reading(of, "T02", "0.08 ohm", "AB", NOW), "T02", at=NOW)
    assert tick(here, "T01", at=NOW).refit.lines[-1].done
    before = with_hold_answered(of, "T02", "0.08 ohm by AB", NOW)
    assert tick(tick(before, "T02", at=NOW), "T01", at=NOW).refit.lines[-1].done
    without = with_hold_answered(of, "T02", "because no meter here", NOW)
    with pytest.raises(InputError, match=r"A02 is hold point H1 \(earth\): write the reading of ohm first"):
        tick(without, "T02", at=NOW)  # a reason to go on taking apart is none to close it again
