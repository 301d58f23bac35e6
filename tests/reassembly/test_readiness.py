"""What can be done now and why not: every reason by itself, then how they add up."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from logbook.model.step import RefitNotes, Remake
from logbook.model.unit import BagCount, LineState, Refit, TestResult, Unit
from logbook.model.words import Certainty, Disposition, Source, Supply, WorkState
from logbook.reassembly import readiness, ready_order, refit_list, standing
from tests.builders import (
    at,
    chain,
    component,
    day,
    estimate,
    fastener,
    hold,
    one_way,
    operation,
    part,
    part_set,
    relation,
    renewed,
    screws,
    step,
    steps,
    unit,
    wire,
)

NOW = at("2026-03-12 20:00")


def done(*keys: str, **more: Any) -> Refit:
    return Refit(lines=tuple(LineState(line=k, done=True, **more) for k in keys))


def missing(record: Unit, key: str = "T01") -> tuple[str, ...]:
    return readiness(record, refit_list(record), NOW)[key].missing


def one(parts: list[object] | None = None, **more: Any) -> Unit:
    """A unit of one step with its parts."""
    return unit(step("T01", **more), parts=parts or [])


def test_at_first_only_the_check_can_be_done() -> None:
    record = unit(*steps(2))
    found = readiness(record, refit_list(record), NOW)
    assert {k: r.ready for k, r in found.items()} == {"check": True, "T02": False, "T01": False, "audit": False}
    assert found["T02"].reasons == ("A01 check: look over what goes back is not done.",)
    assert found["T02"].missing == ()
    assert all(r.in_reach for r in found.values())


def test_a_line_is_ready_once_all_before_it_is_done_and_not_again_when_it_is_done_itself() -> None:
    record = unit(*steps(2), refit=done("check", "T02"))
    found = readiness(record, refit_list(record), NOW)
    assert (found["T02"].ready, found["T02"].done, found["T02"].reasons) == (False, True, ())
    assert (found["T01"].ready, found["T01"].done) == (True, False)
    assert found["audit"].reasons == ("A03 not done.",)


REASONS: list[tuple[Unit, str | None]] = [
    (one(), None),
    # fasteners
    (one(fasteners=[renewed("bush", 8)]), "8 new bush not here (renewed)."),
    (one(fasteners=[renewed("bush", 8, renewed_here=True)]), None),
    (one(fasteners=[screws(6, found=5, kind="screw")], bag="1"), "1 new screw not here (missing on arrival)."),
    (one(fasteners=[screws(6, found=5, stays_empty=True)], bag="1"), None),
    # where the old ones lie
    (one(fasteners=[screws(6, kind="screw")]), "6 screw to be used again lie in no bag or box."),
    (one(fasteners=[screws(1, kind="screw")]), "1 screw to be used again lies in no bag or box."),
    (one(fasteners=[screws(6)], box="2"), None),
    (one(fasteners=[screws(6, bag="3")]), None),
    # where the wires go
    (one(connections=[wire("W6")]), None),
    (one(connections=[wire("W6", end="")]), "W6: one end is at switch tag 2, the other is not written down."),
    (one(connections=[wire("W6", "", "")]), "W6: where its ends go is not written down."),
    (one(connections=[wire("W6", "", "", stays_on=True)]), None),
    (
        one(wires=3, connections=[wire("W6")]),
        "T01: 3 wires counted at the bench, 1 written down. "
        "Write each missing one from the photos, in the line of this step: W1 brown: cord to switch 1.",
    ),
    # parts
    (one([part(for_steps=("T01",))]), "new mains cord not here (to buy)."),
    (one([part(for_steps=("T01",), price=estimate("5", "6.50", "9"))]), "new mains cord not here (to buy, 6.50)."),
    (one([part(for_steps=("T01",), source=Source.SPARE)]), "new mains cord not here (another unit's spare)."),
    (one([part(for_steps=("T01",), supply=Supply.ORDERED)]), "new mains cord not here (ordered)."),
    (
        one([part(for_steps=("T01",), supply=Supply.ORDERED, expected_on=day("2026-03-20"))]),
        "new mains cord not here (ordered, expected 20 Mar 2026).",
    ),
    (one([part(for_steps=("T01",), supply=Supply.HERE)]), None),
    (one([part(for_steps=("T01",), only_if="only if open")]), None),
    (one([part(for_steps=("T02",))]), None),
    (one([part(name="new cord", for_steps=("T01",))]), "new cord not here (to buy)."),
    # a part that renews a fastener is said once
    (
        one([part("N1", "bush set", fastener="bush", for_steps=("T01",))], fasteners=[renewed("bush", 8)]),
        "new bush set not here (to buy).",
    ),
    (
        one(
            [part("N1", "bush set", fastener="bush", for_steps=("T01",))],
            fasteners=[renewed("bush", 8, renewed_here=True)],
        ),
        None,
    ),
    # what is renewed and is no fastener
    (
        one(refit=RefitNotes(renew=("grille cloth",))),
        "new grille cloth: no part is written down for it, so it is not known to be here.",
    ),
    (one([part(for_steps=("T01",), supply=Supply.HERE)], refit=RefitNotes(renew=("grille cloth",))), None),
    # answers
    (one(certainty=Certainty.GUESS, certainty_note="which shim"), "T01 is a guess: which shim."),
    (one(certainty=Certainty.GUESS, guess_settled="the thin one"), None),
    (one(certainty=Certainty.THINK_SO), None),
]


@pytest.mark.parametrize(("record", "sentence"), REASONS)
def test_what_a_line_itself_may_lack(record: Unit, sentence: str | None) -> None:
    assert missing(record) == (() if sentence is None else (sentence,))


def results(*passed: bool | None) -> list[TestResult]:
    return [TestResult(what="windings", passed=p) for p in passed]


COMPONENTS = [
    (Disposition.KEEP, {}, None),
    (Disposition.UNDECIDED, {}, None),
    (Disposition.SCRAP, {}, "The old speaker does not go back (scrap), and no part is written down for it."),
    (Disposition.REPAIR, {}, "repair of speaker not done."),
    (Disposition.CLEAN, {}, "cleaning of speaker not done."),
    (Disposition.TEST, {}, "test of speaker not done."),
    (Disposition.REPAIR, {"repaired": True}, None),
    (Disposition.TEST, {"tests": results(True)}, None),
    (Disposition.TEST, {"tests": results(None)}, "test of speaker not done."),
    (Disposition.TEST, {"tests": results(True, False)}, "test of speaker not done. It failed a test."),
    (Disposition.REPAIR, {"tests": results(True)}, "repair of speaker not done."),
    (Disposition.RENEW, {}, "speaker is to be renewed, but no part is written down for it."),
    (Disposition.RENEW, {"repaired": True}, None),
]


@pytest.mark.parametrize(("disposition", "more", "sentence"), COMPONENTS)
@pytest.mark.parametrize("named_by", ["component", "step"])
def test_what_a_component_still_needs(
    disposition: Disposition, more: dict[str, Any], sentence: str | None, named_by: str
) -> None:
    by_step = named_by == "step"
    record = unit(
        step("T01", components=("SP",) if by_step else ()),
        components=[component("SP", disposition=disposition, from_step="" if by_step else "T01", **more)],
    )
    assert missing(record) == (() if sentence is None else (sentence,))


@pytest.mark.parametrize(
    ("supply", "sentences"), [(Supply.NEEDED, ("new speaker cone not here (to buy).",)), (Supply.HERE, ())]
)
def test_a_component_that_is_renewed_waits_for_its_part(supply: Supply, sentences: tuple[str, ...]) -> None:
    record = unit(
        step("T01"),
        components=[component("SP", disposition=Disposition.RENEW, from_step="T01")],
        parts=[part("N1", "speaker cone", for_components=("SP",), supply=supply)],
    )
    assert missing(record) == sentences


WORK = [
    ({}, "B01 glue is not done."),
    ({"state": WorkState.DOING}, "B01 glue is not done."),
    ({"state": WorkState.DONE}, None),
    ({"state": WorkState.DONE, "done_at": at("2026-03-12 19:30"), "wait": {"what": "glue sets", "earliest": 30}}, None),
    (
        {"state": WorkState.DONE, "done_at": at("2026-03-12 19:30"), "wait": {"what": "glue sets", "earliest": 31}},
        "B01 glue: glue sets; wait until 12 Mar 2026 20:01.",
    ),
]


@pytest.mark.parametrize(("more", "sentence"), WORK)
def test_work_that_builds_a_part_anew_is_waited_for_at_the_opening_check(
    more: dict[str, Any], sentence: str | None
) -> None:
    anew = step("T02", one_way=one_way("glued", rebuilt_by=("B01",)))
    record = unit(step("T01"), anew, operations=[operation("B01", "glue", **more)])
    assert missing(record, "check") == (() if sentence is None else (sentence,))


@pytest.mark.parametrize(("more", "sentence"), WORK)
def test_work_for_a_step_is_waited_for_at_its_line(more: dict[str, Any], sentence: str | None) -> None:
    record = unit(step("T01"), operations=[operation("B01", "glue", for_steps=("T01",), **more)])
    assert missing(record) == (() if sentence is None else (sentence,))


def test_work_that_does_not_exist_is_said() -> None:
    anew = step("T01", one_way=one_way("glued", rebuilt_by=("B09",)))
    assert missing(unit(anew), "check") == ("B09 is named as the work for it, but there is no such operation.",)


# --- waits ------------------------------------------------------------------------------------------------


def glued(ticked_at: str | None) -> Unit:
    """T02 is glued, 60 minutes in clamps and 120 to cure; T01 follows it, T03 does not."""
    work = one_way("glued", remake=Remake(method="hide glue", clamp=60, cure=120))
    record = unit(
        step("T01", stated=True), step("T02", stated=True, one_way=work), step("T03", stated=True),
        relations=[relation("T01", "T02")],
    )  # fmt: skip
    return record if ticked_at is None else record.model_copy(update={"refit": done("check", "T02", at=at(ticked_at))})


@pytest.mark.parametrize(
    ("ticked_at", "waits"), [("2026-03-12 17:00", False), ("2026-03-12 17:01", True), ("2026-03-12 20:00", True)]
)
def test_clamps_and_cure_run_from_the_tick(ticked_at: str, waits: bool) -> None:
    record = glued(ticked_at)
    found = readiness(record, refit_list(record), NOW)
    assert found["T01"].ready is not waits
    assert found["T03"].ready
    if waits:
        end = (at(ticked_at) + timedelta(minutes=180)).strftime("%d %b %Y %H:%M")
        assert found["T01"].missing == (f"A03 refit back panel is curing; wait until {end}.",)


def test_the_audit_waits_for_a_cure_as_well() -> None:
    record = unit(step("T01", one_way=one_way("glued", remake=Remake(cure=60))), refit=done("check", "T01", at=NOW))
    audit = readiness(record, refit_list(record), NOW)["audit"]
    assert (audit.ready, audit.missing) == (False, ("A02 refit back panel is curing; wait until 12 Mar 2026 21:00.",))


def test_the_end_of_a_wait_is_said_in_the_time_zone_asked_in() -> None:
    from datetime import timezone

    east = NOW.astimezone(timezone(timedelta(hours=5)))
    record = glued("2026-03-12 20:00")
    assert "13 Mar 2026 04:00" in readiness(record, refit_list(record), east)["T01"].missing[0]


# --- hold points ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "initials", "said"),
    [
        ("", "", "hold point H1 at A02 has no reading and no initials."),
        ("452", "", "hold point H1 at A02 has no initials."),
        ("", "AB", "hold point H1 at A02 has no reading."),
        (" ", "AB", "hold point H1 at A02 has no reading."),
        ("452", "AB", None),
    ],
)
def test_a_hold_point_passed_without_what_it_asks_keeps_the_next_line_back(
    reading: str, initials: str, said: str | None
) -> None:
    record = unit(
        step("T01"),
        step("T02", refit=RefitNotes(hold=hold())),
        refit=Refit(
            lines=(
                LineState(line="check", done=True),
                LineState(line="T02", done=True, reading=reading, initials=initials),
            )
        ),
    )
    found = readiness(record, refit_list(record), NOW)["T01"]
    assert found.ready is (said is None)
    assert found.reasons == (() if said is None else (said,))


def test_a_hold_point_that_asks_for_no_reading_wants_initials_only() -> None:
    record = unit(
        step("T01"),
        step("T02", refit=RefitNotes(hold=hold(reading_of=""))),
        refit=done("check", "T02", initials="AB"),
    )
    assert readiness(record, refit_list(record), NOW)["T01"].ready


# --- counts -----------------------------------------------------------------------------------------------


def test_an_open_count_is_said_and_the_line_stays_ready_but_the_audit_does_not() -> None:
    counts = (BagCount(bag="1", kind="screw", recorded=4, counted=3),)
    record = unit(
        step("T01", bag="1", fasteners=[fastener("screw", 4)]),
        step("T02", bag="2", fasteners=[fastener("screw", 4)]),
        refit=Refit(lines=done("check", "T02").lines, counts=counts),
    )
    found = readiness(record, refit_list(record), NOW)
    sentence = "bag 1: 1 screw short (4 recorded, 3 counted); find it or write why."
    assert (found["T01"].ready, found["T01"].reasons) == (True, (sentence,))
    assert found["T02"].reasons == ()
    ticked = record.model_copy(update={"refit": Refit(lines=done("check", "T02", "T01").lines, counts=counts)})
    audit = readiness(ticked, refit_list(ticked), NOW)["audit"]
    assert (audit.ready, audit.reasons[0]) == (False, sentence)


# --- standing and order -----------------------------------------------------------------------------------


def waiting(*needs: tuple[str, str], relations: object = ()) -> Unit:
    """Six free steps; each need is a part's name and the step it is for."""
    made = [step(f"T{i:02d}", f"part {i}", stated=True) for i in range(1, 7)]
    parts = [part(f"N{i}", name, for_steps=(code,)) for i, (name, code) in enumerate(needs)]
    return unit(*made, parts=parts, relations=list(relations))


STANDINGS = [
    # check, six steps, audit: eight lines
    (waiting(), "8 of 8 lines are in reach."),
    (waiting(("cord", "T01")), "6 of 8 lines are in reach; the new cord would free 2 more."),
    # T02 and T03 follow T06: the part for T06 frees four, and the audit
    (
        waiting(("cord", "T06"), relations=[relation("T02", "T06"), relation("T03", "T02")]),
        "4 of 8 lines are in reach; the new cord would free 4 more.",
    ),
    # two things missing: neither frees the audit
    (waiting(("cord", "T01"), ("cloth", "T02")), "5 of 8 lines are in reach; the new cloth would free 1 more."),
    (unit(), "Nothing has been taken off yet, so nothing goes back."),
]


@pytest.mark.parametrize(("record", "sentence"), STANDINGS)
def test_the_standing_is_one_sentence(record: Unit, sentence: str) -> None:
    assert standing(record, refit_list(record), NOW).sentence == sentence


def test_the_standing_counts_what_is_done() -> None:
    record = waiting(("cord", "T01")).model_copy(update={"refit": done("check", "T06")})
    now = standing(record, refit_list(record), NOW)
    assert (now.done, now.in_reach, now.total, now.frees) == (2, 4, 8, ("the new cord", 2))
    assert now.sentence == "2 of 8 lines are done, 4 more are in reach; the new cord would free 2 more."


def test_the_same_part_for_two_lines_is_one_thing() -> None:
    record = unit(
        *(step(f"T{i:02d}", stated=True) for i in (1, 2)), parts=[part("N1", "cord", for_steps=("T01", "T02"))]
    )
    assert standing(record, refit_list(record), NOW).frees == ("the new cord", 3)


def order(record: Unit) -> list[str]:
    return [x.key for x in ready_order(record, refit_list(record), NOW)]


def test_the_ready_order_leaves_out_what_is_missing_and_all_that_waits_for_it() -> None:
    record = waiting(("cord", "T06"), relations=chain("T02", "T06"))
    assert order(record) == ["check", "T05", "T04", "T03", "T01"]


def test_the_ready_order_does_not_repeat_what_is_done() -> None:
    record = waiting(("cord", "T06")).model_copy(update={"refit": done("check", "T05")})
    assert order(record) == ["T04", "T03", "T02", "T01"]


def test_better_before_is_kept_where_it_can_be() -> None:
    """T04 better before T01, recorded the other way round: on the way back T01 goes first when nothing forbids it."""
    record = waiting(relations=[relation("T04", "T01", "better")])
    assert order(record) == ["check", "T06", "T05", "T03", "T02", "T01", "T04", "audit"]
    through_others = waiting(relations=[relation("T04", "T01", "better"), *chain("T01", "T02", "T04")])
    assert order(through_others) == ["check", "T06", "T05", "T04", "T03", "T02", "T01", "audit"]
    one_of_two = waiting(relations=[relation("T04", "T01", "better"), relation("T01", "T04", "better")])
    assert order(one_of_two) == ["check", "T06", "T05", "T04", "T03", "T02", "T01", "audit"]
    forbidden = waiting(relations=[relation("T04", "T01", "better"), relation("T01", "T04")])
    assert order(forbidden) == ["check", "T06", "T05", "T04", "T03", "T02", "T01", "audit"]


def test_what_goes_back_together_waits_together() -> None:
    record = waiting(("cord", "T01"), relations=[relation("T01", "T06", "together")])
    assert order(record) == ["check", "T05", "T04", "T03", "T02"]
    both = waiting(relations=[relation("T01", "T05", "together"), relation("T06", "T01", "better")])
    assert order(both) == ["check", "T04", "T03", "T02", "T05", "T01", "T06", "audit"]


def test_a_set_is_done_when_each_member_is() -> None:
    record = unit(step("T01", each_of="D"), sets=[part_set("D", 2)], refit=done("check", "T01/D1"))
    lst = refit_list(record)
    assert not readiness(record, lst, NOW)["T01"].done
    assert readiness(record, lst, NOW)["T01"].ready
    whole = record.model_copy(update={"refit": done("T01/D1", "T01/D2")})
    assert readiness(whole, lst, NOW)["T01"].done
    as_one = record.model_copy(update={"refit": done("T01")})
    assert readiness(as_one, lst, NOW)["T01"].done, "ticked before it was recorded as a set"


@pytest.mark.parametrize(
    ("undone", "expected"),
    [
        (3, ["B01 work 1 is not done.", "B02 work 2 is not done.", "B03 work 3 is not done."]),
        (5, ["B01-B05 (5 pieces of work) not done; the first is B01 work 1."]),
    ],
)
def test_much_work_still_to_do_is_named_together(undone: int, expected: list[str]) -> None:
    codes = tuple(f"B{n:02d}" for n in range(1, undone + 1))
    radio = unit(
        step("T01", "bottom", one_way=one_way(rebuilt_by=codes)),
        operations=tuple(operation(c, f"work {n}") for n, c in enumerate(codes, 1)),
    )
    found = readiness(radio, refit_list(radio), NOW)
    assert list(found["check"].reasons) == expected
