"""Edits that one key or one line makes: what changes, what stays, what is refused."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from logbook.errors import InputError
from logbook.model.step import Hazard
from logbook.model.unit import Arrival
from logbook.model.unit_edits import (
    hazards_beside_class,
    waiting_of_line,
    with_disposition,
    with_object_class,
    with_repaired,
    with_stage,
    with_stop_line,
    with_supply,
    with_test_result,
    with_waiting,
    with_waiting_done,
)
from logbook.model.words import Disposition, Stage, Supply
from logbook.model.work import MakeOrBreak, StopLine, Waiting
from tests.builders import at, component, part, unit

TODAY = date(2026, 3, 20)
"""A Friday."""
MAINS, CHARGE, OWN = Hazard(what="mains"), Hazard(what="stored charge"), Hazard(what="sharp edge")


def test_the_reason_is_kept_while_it_is_stopped_and_goes_when_it_goes_on() -> None:
    stopped = with_stage(unit(), Stage.STOPPED, " dearer than new ")
    assert (stopped.stage, stopped.why_stopped) == (Stage.STOPPED, "dearer than new")
    on = with_stage(stopped, Stage.REBUILD, "not used")
    assert (on.stage, on.why_stopped) == (Stage.REBUILD, "")
    assert with_stage(on, Stage.REBUILD) is on


def test_a_class_brings_its_hazards_before_those_written_by_hand() -> None:
    had = unit(hazards=[OWN], arrival=Arrival(origin="kerb"))
    now = with_object_class(had, "valve radio", [MAINS, CHARGE, MAINS])
    assert now.hazards == (MAINS, CHARGE, OWN)
    assert (now.arrival.object_class, now.arrival.origin) == ("valve radio", "kerb")


def test_a_second_class_adds_its_hazards_and_no_warning_goes() -> None:
    had = unit(hazards=[CHARGE, OWN], arrival=Arrival(object_class="stored charge"))
    now = with_object_class(had, "anything with a plug", [MAINS])
    assert now.hazards == (MAINS, CHARGE, OWN)
    assert with_object_class(now, "stored charge", [CHARGE]).hazards == now.hazards


def test_hazards_beside_the_class_are_told_by_their_danger_and_not_by_their_letters() -> None:
    had = unit(hazards=[Hazard(what="mains voltage", do="pull the plug"), CHARGE])
    assert hazards_beside_class(had, [MAINS]) == ("stored charge",)


@pytest.mark.parametrize(
    ("text", "what", "expected", "chase", "since"),
    [
        ("2 bearings, due mon, chase in 5 days", "2 bearings", "2026-03-23", "2026-03-25", "2026-03-20"),
        ("bolt soaking", "bolt soaking", None, None, "2026-03-20"),
        ("cord, two-core, since 12 mar", "cord, two-core", None, None, "2026-03-12"),
        ("varnish , EXPECTED 2026-04-01 ,", "varnish", "2026-04-01", None, "2026-03-20"),
        ("due", "due", None, None, "2026-03-20"),
        ("due date of the loan, by tomorrow", "due date of the loan", "2026-03-21", None, "2026-03-20"),
    ],
)
def test_a_line_of_waiting(text: str, what: str, expected: str | None, chase: str | None, since: str) -> None:
    read = waiting_of_line(text, TODAY)
    assert read.what == what
    assert read.expected == (date.fromisoformat(expected) if expected else None)
    assert read.chase == (date.fromisoformat(chase) if chase else None)
    assert read.since == date.fromisoformat(since)


@pytest.mark.parametrize("text", ["", " , ,", "bearings, due never"])
def test_a_line_of_waiting_that_says_nothing_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        waiting_of_line(text, TODAY)


def test_a_wait_is_over_and_holds_again() -> None:
    had = with_waiting(unit(waiting=[Waiting(what="glue")]), Waiting(what="bearings"))
    over = with_waiting_done(had, 1, done=True)
    assert [w.done for w in over.waiting] == [False, True]
    assert with_waiting_done(over, 1, done=False) == had
    with pytest.raises(InputError, match="not there any more"):
        with_waiting_done(had, 2, done=True)


@pytest.mark.parametrize("passed", [True, False, None])
def test_a_make_or_break_test_gets_a_result(passed: bool | None) -> None:
    tests = (MakeOrBreak(what="windings"), MakeOrBreak(what="runs", passed=True))
    now = with_test_result(unit(arrival=Arrival(make_or_break=tests)), 0, passed=passed)
    assert [t.passed for t in now.arrival.make_or_break] == [passed, True]
    with pytest.raises(InputError):
        with_test_result(now, 2, passed=True)


def test_another_disposition_makes_a_repair_not_done() -> None:
    had = unit(components=[component("SP", disposition=Disposition.REPAIR, repaired=True), component("V1", "valve")])
    now = with_disposition(had, "SP", Disposition.CLEAN)
    assert (now.components[0].disposition, now.components[0].repaired) == (Disposition.CLEAN, False)
    assert now.components[1] is had.components[1], "what did not change is shared"
    assert with_disposition(had, "SP", Disposition.REPAIR).components[0].repaired
    with pytest.raises(InputError, match="has no component X"):
        with_disposition(had, "X", Disposition.KEEP)


@pytest.mark.parametrize("disposition", list(Disposition))
def test_only_what_is_to_be_worked_on_can_be_done(disposition: Disposition) -> None:
    had = unit(components=[component(disposition=disposition)])
    if disposition in (Disposition.CLEAN, Disposition.REPAIR, Disposition.TEST):
        assert with_repaired(had, "SP", repaired=True).components[0].repaired
    else:
        with pytest.raises(InputError, match="choose that first"):
            with_repaired(had, "SP", repaired=True)


def test_what_is_ordered_keeps_the_day_of_its_order() -> None:
    ordered = with_supply(unit(parts=[part()]), "N1", Supply.ORDERED, TODAY)
    assert ordered.parts[0].ordered_on == TODAY
    here = with_supply(ordered, "N1", Supply.HERE, date(2026, 4, 1))
    again = with_supply(here, "N1", Supply.ORDERED, date(2026, 4, 2))
    assert (here.parts[0].supply, again.parts[0].ordered_on) == (Supply.HERE, TODAY)
    with pytest.raises(InputError, match="has no part X"):
        with_supply(ordered, "X", Supply.HERE, TODAY)


def test_a_stop_line_is_set_freely_and_moved_only_with_a_reason() -> None:
    set_at = at("2026-03-20 18:00")
    first = with_stop_line(unit(), Decimal("100.00"), "", set_at)
    assert first.stop_lines == (StopLine(amount=Decimal("100.00"), set_at=set_at),)
    with pytest.raises(InputError, match="only with a reason"):
        with_stop_line(first, Decimal(120), " ", set_at)
    moved = with_stop_line(first, Decimal(120), "the bushes too", set_at)
    assert [(s.amount, s.why) for s in moved.stop_lines] == [(Decimal(100), ""), (Decimal(120), "the bushes too")]
    with pytest.raises(InputError, match="from 0 up"):
        with_stop_line(unit(), Decimal(-1), "", set_at)
