"""Ticks, readings, differences and counted bags as edits: what they write, what they refuse, what they leave alone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from logbook.errors import InputError
from logbook.joining import with_codes
from logbook.model.document import UnitDocument, read_document, write_document
from logbook.model.edits import change_step, drop_step, keep_step, relate, with_changes
from logbook.model.step import Connection, Hazard, HoldPoint, MemberDifference, Photo, RefitNotes, Remake, Setting, Step
from logbook.model.unit import LineState, Refit, Unit
from logbook.model.words import Action, Disposition, RelationKind
from logbook.reassembly import (
    Progress,
    changed_words,
    count_bag,
    differs,
    left_over,
    lines_to_look_at_again,
    readiness,
    refit_list,
    tick,
    tick_range,
    untick,
    write_reading,
)
from tests.builders import (
    at,
    component,
    day,
    fastener,
    hold,
    one_way,
    part,
    part_set,
    relation,
    screws,
    step,
    steps,
    tick_line,
    unit,
)

NOW = at("2026-03-12 20:00")
LATER = at("2026-03-13 09:00")


def state(record: Unit, key: str) -> LineState:
    found = {x.line: x for x in record.refit.lines}
    return found.get(key, LineState(line=key))


def held(**more: Any) -> Unit:
    """T02 is a hold point, T01 comes after it."""
    return unit(step("T01"), step("T02", refit=RefitNotes(hold=hold(**more))))


# --- tick -------------------------------------------------------------------------------------------------


def test_a_tick_writes_when_who_and_what_was_seen() -> None:
    record = tick(unit(*steps(2)), "check", at=NOW, initials=" AB ")
    written = state(record, "check")
    assert (written.done, written.at, written.initials, written.override) == (True, NOW, "AB", "")
    assert len(written.step_seen) == len("3:") + 12 + 18 * 7, "the record, then each topic of the line"


def test_a_tick_of_an_older_book_is_compared_as_it_was_marked_then() -> None:
    lid = step("T01", "lid", bag="1", fasteners=(screws(4),))
    older = LineState(line="T01", done=True, at=NOW, step_seen="e135b957e395")
    ticked = unit(lid, refit={"lines": (older,)})
    assert not changed(ticked, "T01"), "as version 1 of the record was marked"
    shimmed = with_changes(lid, fasteners=(*lid.fasteners, fastener("shim 0.8", piece=True)))
    assert changed(change_step(ticked, shimmed), "T01")
    confirmed = state(tick(ticked, "T01", at=LATER), "T01")
    assert (confirmed.at, confirmed.step_seen[:2]) == (NOW, "3:"), "it stands as it stood, by the newer mark"


@pytest.mark.parametrize(
    ("key", "why"),
    [("T09", "T09 is no line of the reassembly list."), ("T01", "A02 refit part 2 is not done"), ("", "no line")],
)
def test_a_tick_is_refused_in_a_sentence(key: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        tick(unit(*steps(2)), key, at=NOW)


def test_a_step_that_is_left_out_says_why_it_has_no_line() -> None:
    with pytest.raises(InputError, match="T02 is no line of the reassembly list: it is not taken off yet"):
        tick(unit(step("T01"), step("T02", planned=True)), "T02", at=NOW)


def test_a_reason_lets_a_line_be_ticked_out_of_turn_and_is_kept() -> None:
    record = tick(unit(*steps(2)), "T01", at=NOW, override="the chassis was never out")
    assert state(record, "T01").override == "the chassis was never out"
    with pytest.raises(InputError, match="not ready"):
        tick(unit(*steps(2)), "T01", at=NOW, override="  ")


def test_a_part_that_is_missing_refuses_the_tick_and_a_count_that_differs_does_not() -> None:
    record = unit(step("T01", bag="1", fasteners=[fastener("screw", 4)]))
    short = tick(count_bag(record, "1", "screw", 3, at=NOW), "check", at=NOW)
    assert state(tick(short, "T01", at=NOW), "T01").done
    without = tick(record.model_copy(update={"parts": (part(for_steps=("T01",)),)}), "check", at=NOW)
    with pytest.raises(InputError, match="new mains cord not here"):
        tick(without, "T01", at=NOW)


@pytest.mark.parametrize(
    ("more", "reading", "initials", "why"),
    [
        ({}, "", "AB", "write the reading of H-W"),
        ({}, "452", "", "needs initials"),
        ({}, "  ", "AB", "write the reading"),
        ({"reading_of": ""}, "", "", "needs initials"),
    ],
)
def test_a_hold_point_wants_its_reading_and_initials(
    more: dict[str, Any], reading: str, initials: str, why: str
) -> None:
    record = tick(held(**more), "check", at=NOW)
    with pytest.raises(InputError, match=why):
        tick(record, "T02", at=NOW, reading=reading, initials=initials)
    with pytest.raises(InputError, match=why):
        tick(record, "T02", at=NOW, reading=reading, initials=initials, override="in a hurry")


def test_a_reading_written_before_serves_the_tick() -> None:
    record = write_reading(tick(held(), "check", at=NOW), "T02", "452.1", "AB", NOW)
    assert not state(record, "T02").done
    record = tick(record, "T02", at=LATER)
    assert (state(record, "T02").reading, state(record, "T02").initials, state(record, "T02").at) == (
        "452.1",
        "AB",
        LATER,
    )


def test_ticking_again_keeps_the_moment_and_adds_what_is_given() -> None:
    record = tick(unit(*steps(1)), "check", at=NOW)
    record = tick(record, "check", at=LATER, initials="CD")
    assert (state(record, "check").at, state(record, "check").initials) == (NOW, "CD")


def test_a_time_without_its_zone_is_refused() -> None:
    with pytest.raises(InputError, match="zone"):
        tick(unit(*steps(1)), "check", at=datetime(2026, 3, 12, 20, 0))  # noqa: DTZ001


def test_a_damaged_paste_is_mended_so_that_the_record_can_be_written() -> None:
    record = differs(tick(unit(*steps(1)), "check", at=NOW, initials="A\ud800"), "T01", "shim\udfff")
    raw = write_document(UnitDocument(logbook="unit", version=1, unit=record))
    again = read_document(raw)
    assert isinstance(again, UnitDocument)
    assert again.unit == record


# --- sets -------------------------------------------------------------------------------------------------


def drawers(**more: Any) -> Unit:
    return tick(unit(step("T01", each_of="D", **more), sets=[part_set("D", 3)]), "check", at=NOW)


def test_the_key_of_a_set_ticks_every_member_and_a_members_key_only_that_one() -> None:
    whole = tick(drawers(), "T01", at=NOW)
    assert [x.line for x in whole.refit.lines if x.done] == ["check", "T01/D1", "T01/D2", "T01/D3"]
    single = tick(drawers(), "T01/D2", at=NOW)
    assert [x.line for x in single.refit.lines if x.done] == ["check", "T01/D2"]
    with pytest.raises(InputError, match="T01/D9 is no line"):
        tick(drawers(), "T01/D9", at=NOW)


def test_one_member_is_taken_back_and_the_others_stay() -> None:
    record = untick(tick(drawers(), "T01", at=NOW), "T01/D2")
    assert [x.line for x in record.refit.lines if x.done] == ["check", "T01/D1", "T01/D3"]
    assert untick(tick(drawers(), "T01", at=NOW), "T01") == drawers()


def test_one_member_is_taken_back_from_a_tick_made_before_it_was_a_set() -> None:
    record = drawers().model_copy(
        update={"refit": Refit(lines=(LineState(line="check", done=True), LineState(line="T01", done=True, at=NOW),
                    LineState(line="T01/D3", done=True, at=LATER, initials="CD")))}
    )  # fmt: skip
    record = untick(record, "T01/D2")
    assert {x.line for x in record.refit.lines if x.done} == {"check", "T01/D1", "T01/D3"}
    assert state(record, "T01/D1").at == NOW
    assert (state(record, "T01/D3").at, state(record, "T01/D3").initials) == (LATER, "CD")


def test_each_member_of_a_hold_point_needs_its_reading() -> None:
    record = write_reading(drawers(refit=RefitNotes(hold=hold())), "T01/D1", "99", "AB", NOW)
    with pytest.raises(InputError, match="write the reading"):
        tick(record, "T01", at=NOW, initials="AB")
    assert state(tick(record, "T01/D1", at=NOW), "T01/D1").done


# --- untick, readings, differences ------------------------------------------------------------------------


def test_a_tick_taken_back_leaves_the_record_as_it_was() -> None:
    before = tick(unit(*steps(2)), "check", at=NOW)
    assert untick(tick(before, "T02", at=NOW, initials="AB"), "T02") == before


def test_a_reading_and_what_differs_outlive_the_tick() -> None:
    record = tick(held(), "check", at=NOW)
    record = differs(tick(record, "T02", at=NOW, reading="452", initials="AB", override="x"), "T02", "one screw longer")
    back = state(untick(record, "T02"), "T02")
    assert back == LineState(line="T02", at=NOW, reading="452", initials="AB", differs="one screw longer")


@pytest.mark.parametrize("key", ["T01", "check", "T09"])
def test_what_is_not_ticked_cannot_be_taken_back(key: str) -> None:
    with pytest.raises(InputError, match=f"{key} is not ticked"):
        untick(unit(*steps(1)), key)


def test_a_tick_at_a_line_that_is_gone_can_be_taken_back() -> None:
    record = tick(tick(unit(*steps(2)), "check", at=NOW), "T02", at=NOW)
    gone = drop_step(record, "T02")
    assert [n.step for n in refit_list(gone).gone] == ["T02"]
    assert refit_list(untick(gone, "T02")).gone == ()


@pytest.mark.parametrize(
    ("reading", "initials", "why"), [("", "", "Nothing to write"), ("452", "", "needs initials"), (" ", " ", "Nothing")]
)
def test_a_reading_that_says_too_little_is_refused(reading: str, initials: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        write_reading(held(), "T02", reading, initials, NOW)


def test_a_reading_may_be_written_at_any_line() -> None:
    record = write_reading(unit(*steps(1)), "T01", "0.4 V", "", NOW)
    assert state(record, "T01") == LineState(line="T01", reading="0.4 V", at=NOW)


def test_a_reading_at_a_ticked_line_leaves_the_moment_of_the_tick() -> None:
    record = write_reading(tick(unit(*steps(1)), "check", at=NOW), "check", "452", "AB", LATER)
    assert (state(record, "check").at, state(record, "check").reading) == (NOW, "452")


def test_what_differs_is_written_and_taken_back() -> None:
    record = differs(unit(*steps(1)), "T01", "  one washer more ")
    assert state(record, "T01").differs == "one washer more"
    assert differs(record, "T01", "") == unit(*steps(1))
    with pytest.raises(InputError, match="no line"):
        differs(record, "T09", "x")


# --- bags -------------------------------------------------------------------------------------------------


def bagged() -> Unit:
    return unit(step("T01", bag="1", fasteners=[fastener("screw", 4), fastener("washer", 4)]))


@pytest.mark.parametrize(
    ("bag", "kind", "n", "why"),
    [
        ("2", "screw", 1, "R1 has no bag 2"),
        ("", "screw", 1, "R1 has no bag"),
        ("1", "nut", 1, "holds no nut; it holds screw and washer"),
        ("1", "screw", -1, "not a number of things"),
        ("1", "screw", 10**7, "not a number of things"),
    ],
)
def test_a_count_of_what_is_not_there_is_refused(bag: str, kind: str, n: int, why: str) -> None:
    with pytest.raises(InputError, match=why):
        count_bag(bagged(), bag, kind, n, at=NOW)


def test_counting_again_replaces_the_count_of_that_kind_only() -> None:
    record = count_bag(bagged(), "1", "screw", 3, at=NOW)
    record = count_bag(record, "1", "washer", 4, at=NOW)
    record = count_bag(record, "1", "screw", 3, "one stripped", at=LATER)
    assert [(c.kind, c.recorded, c.counted, c.explained, c.at) for c in record.refit.counts] == [
        ("screw", 4, 3, "one stripped", LATER),
        ("washer", 4, 4, "", NOW),
    ]


# --- ranges -----------------------------------------------------------------------------------------------

RANGES = [
    ("A01-A03", ["check", "T04", "T03"]),
    ("a1-3", ["check", "T04", "T03"]),
    (" A01 – A02 , A03 ", ["check", "T04", "T03"]),
    ("A02, A01", ["check", "T04"]),
    ("1;2", ["check", "T04"]),
    ("A01-A06", ["check", "T04", "T03", "T02", "T01", "audit"]),
]


@pytest.mark.parametrize(("text", "ticked"), RANGES)
def test_a_range_typed_from_paper(text: str, ticked: list[str]) -> None:
    record = tick_range(unit(*steps(4)), text, NOW, "AB")
    assert [(x.line, x.done, x.initials) for x in record.refit.lines] == [(k, True, "AB") for k in ticked]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "not a range"),
        ("T01", "not a range"),
        ("A03-A01", "runs backwards"),
        ("A00", "has A01 to A06"),
        ("A05-A07", "has A01 to A06"),
        ("A02-A03", "A01 check: look over what goes back is not done"),
        ("A01,,A02", "not a range"),
        ("A1-2-3", "not a range"),
        ("A01" * 5000, "not a range"),
    ],
)
def test_a_range_that_cannot_be_is_refused_whole(text: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        tick_range(unit(*steps(4)), text, NOW, "AB")


def test_nothing_of_a_range_is_kept_when_one_line_of_it_is_refused() -> None:
    record = held()
    with pytest.raises(InputError, match="hold point H1"):
        tick_range(record, "A01-A04", NOW, "AB")
    assert record.refit.lines == ()


def test_a_range_passes_over_what_is_ticked_and_ticks_every_member() -> None:
    record = tick_range(drawers(), "A01-A02", LATER, "CD")
    assert (state(record, "check").at, state(record, "check").initials) == (NOW, "")
    assert [x.line for x in record.refit.lines] == ["check", "T01/D1", "T01/D2", "T01/D3"]


def test_a_cure_within_a_range_is_taken_to_be_over() -> None:
    work = one_way("glued", remake=Remake(method="glue", cure=1440))
    record = unit(step("T01"), step("T02", one_way=work))
    assert state(tick_range(record, "A01-A03", NOW, "AB"), "T01").done
    record = tick_range(record, "A01-A02", NOW, "AB")
    with pytest.raises(InputError, match="curing"):
        tick_range(record, "A03", NOW + timedelta(minutes=1), "AB")
    with pytest.raises(InputError, match="curing"):
        tick(record, "T01", at=NOW + timedelta(minutes=1439))
    assert state(tick(record, "T01", at=NOW + timedelta(minutes=1440)), "T01").done


def test_what_goes_back_together_is_refused_together() -> None:
    record = unit(
        step("T01", stated=True), step("T02", stated=True),
        relations=[relation("T01", "T02", "together")], parts=[part(for_steps=("T01",))],
    )  # fmt: skip
    record = tick(record, "check", at=NOW)
    why = "it goes back together with A03 refit back panel: new mains cord not here"
    with pytest.raises(InputError, match=why):
        tick(record, "T02", at=NOW)
    ready = readiness(record, refit_list(record), NOW)
    assert (ready["T02"].ready, ready["T02"].in_reach, ready["T02"].missing) == (False, False, ())
    assert why in ready["T02"].reasons[0]


def test_a_range_with_a_reason_goes_over_what_is_missing() -> None:
    record = unit(step("T01"), parts=[part(for_steps=("T01",))])
    with pytest.raises(InputError, match="mains cord"):
        tick_range(record, "A01-A02", NOW, "AB")
    done = tick_range(record, "A01-A02", NOW, "AB", "old cord used again")
    assert state(done, "T01").override == "old cord used again"


# --- look again -------------------------------------------------------------------------------------------


def changed(record: Unit, key: str) -> bool:
    return key in lines_to_look_at_again(Progress(record, refit_list(record), LATER))


def test_a_line_whose_step_was_changed_after_its_tick_wants_another_look() -> None:
    record = tick_range(unit(*steps(2)), "A01-A03", NOW, "AB")
    assert not any(changed(record, k) for k in ("check", "T02", "T01"))
    other = change_step(record, step("T02", "part 2", note="two washers, not one"))
    assert [k for k in ("check", "T02", "T01") if changed(other, k)] == ["T02"]
    assert state(other, "T02").done, "a tick never vanishes"
    confirmed = tick(other, "T02", at=LATER)
    assert not changed(confirmed, "T02")
    assert state(confirmed, "T02").at == LATER


def test_what_says_nothing_about_the_way_back_is_no_change() -> None:
    record = tick_range(unit(*steps(1)), "A01-A02", NOW, "AB")
    pictured = step("T01", "part 1", photos=(Photo(file="p.jpg"),), photo_taken=True, minutes=5, by="AB", at=NOW)
    assert not changed(change_step(record, pictured), "T01")


def test_the_opening_check_looks_at_held_dimensions_and_the_audit_at_the_bags() -> None:
    from logbook.model.casework_records import HeldDimension
    from tests.builders import mm

    record = tick_range(bagged(), "A01-A03", NOW, "AB")
    wider = record.model_copy(update={"held_dimensions": (HeldDimension(code="H", what="width", value=mm("452")),)})
    assert (changed(wider, "check"), changed(wider, "audit")) == (True, False)
    fewer = change_step(record, step("T01", bag="1", fasteners=[fastener("screw", 4)]))
    assert (changed(fewer, "check"), changed(fewer, "audit")) == (True, True)


def ticked_whole(record: Unit) -> Unit:
    """Every line of the list ticked, whatever was missing."""
    for line in refit_list(record).lines:
        record = tick_line(record, line, NOW, initials="AB", override="as it is")
    return record


SCRAPPED = component(from_step="T02", disposition=Disposition.SCRAP)
KNOB = step("T02", "knob", bag="2", fasteners=[screws(1)])
THIRD = step("T03", "lid", bag="3", fasteners=[screws(2)])
AGAIN: list[tuple[str, Callable[[Unit], Unit], set[str]]] = [
    ("a step with a bag of its own", lambda r: keep_step(r, THIRD), {"check", "audit"}),
    ("a step that takes nothing", lambda r: keep_step(r, step("T03", "lid")), set()),
    ("another bag", lambda r: change_step(r, with_changes(KNOB, bag="7")), {"check", "audit", "T02"}),
    ("another note", lambda r: change_step(r, with_changes(KNOB, note="blue bag")), {"T02"}),
    ("a part that does not go back", lambda r: with_changes(r, components=(SCRAPPED,)), {"T02"}),
    ("nipped until later", lambda r: relate(r, relation("T01", "T02", RelationKind.LOOSEN)), {"T01", "T02"}),
    ("a bush goes on first", lambda r: relate(r, relation("T01", "T02", RelationKind.THREADED)), {"T01"}),
    ("a picture was taken", lambda r: change_step(r, with_changes(KNOB, photo_taken=True)), set()),
    ("an order alone", lambda r: relate(r, relation("T01", "T02")), set()),
]


@pytest.mark.parametrize(("what", "edit", "again"), AGAIN, ids=[row[0] for row in AGAIN])
def test_a_tick_asks_for_another_look_when_its_line_says_something_else(
    what: str, edit: Callable[[Unit], Unit], again: set[str]
) -> None:
    record = ticked_whole(unit(step("T01", "back", bag="1", fasteners=[screws(4)]), KNOB))
    assert lines_to_look_at_again(Progress(record, refit_list(record), LATER)) == set()
    later = edit(record)
    assert lines_to_look_at_again(Progress(later, refit_list(later), LATER)) == again, what


SAID: list[tuple[str, dict[str, object], str]] = [
    ("a count", {"fasteners": (screws(2),)}, "the pieces and how it is tightened"),
    ("a bag", {"bag": "7"}, "the bag or box"),
    ("a box", {"box": "2"}, "the bag or box"),
    ("a note", {"note": "blue bag"}, "what was noted"),
    ("another way off", {"action": Action.SLID}, "what goes back and what to do"),
    ("a danger", {"hazards": (Hazard(what="mains"),)}, "the dangers"),
    (
        "a hold point",
        {"refit": RefitNotes(hold=HoldPoint(code="H1", what="earth"))},
        "what is checked at the hold",
    ),
    ("a thread hand", {"left_hand": True}, "what to mind"),
    ("how it lay", {"orientation": "label up"}, "how it lies and is seen"),
    ("a wire", {"connections": (Connection(code="W1", start="lug", end="plug"),)}, "what is connected"),
    ("a setting", {"settings": (Setting(what="gap", value="2 mm"),)}, "what is set"),
    ("a test", {"refit": RefitNotes(test="it turns")}, "what is tested"),
    ("a helper", {"helper": "second pair of hands"}, "how it is lifted"),
    ("wires that are all written", {"wires": 0}, ""),
    ("that nobody took it for done", {"no_fasteners": True}, ""),
    ("what was not understood", {"unread": ("bag 4b",)}, ""),
    ("a picture", {"photo_taken": True}, ""),
    ("the words of no guess", {"certainty_note": "which way"}, ""),
]
"""What is said otherwise of a step, and which topics of its line have changed by it, if any."""


@pytest.mark.parametrize(("what", "more", "topics"), SAID, ids=[row[0] for row in SAID])
def test_a_line_tells_what_it_says_otherwise_since_its_tick(what: str, more: dict[str, object], topics: str) -> None:
    record = ticked_whole(unit(step("T01", "back", bag="1", fasteners=[screws(4)]), KNOB))
    later = change_step(record, KNOB.model_copy(update=more))
    progress = Progress(later, refit_list(later), LATER)
    said = changed_words(progress, progress.list.by_key["T02"])
    assert said == (f"changed since it was ticked: {topics}" if topics else ""), what


def test_a_tick_of_an_older_book_says_that_something_changed_and_not_what() -> None:
    seen = LineState(line="T01", done=True, at=NOW, step_seen="2:000000000000")
    record = with_changes(unit(step("T01")), refit=Refit(lines=(seen,)))
    progress = Progress(record, refit_list(record), LATER)
    assert changed_words(progress, progress.list.by_key["T01"]) == "it says something else since it was ticked"


def test_a_step_that_got_another_number_says_the_same() -> None:
    record = ticked_whole(unit(step("T01", "back", bag="1", fasteners=[screws(4)]), KNOB))
    renumbered = with_codes(record, {"Step": {"T02": "T15"}})
    assert lines_to_look_at_again(Progress(renumbered, refit_list(renumbered), LATER)) == set()


def test_what_is_tightened_with_a_line_is_looked_at_again_with_it() -> None:
    screwed = step("T02", "frame", bag="2", fasteners=[screws(4)])
    record = unit(step("T01", "back"), screwed, relations=[relation("T01", "T02", RelationKind.LOOSEN)])
    record = ticked_whole(record)
    stiffer = change_step(record, with_changes(screwed, refit=RefitNotes(torque="2 Nm")))
    assert changed(stiffer, "T01:tighten")


def test_a_line_that_is_not_ticked_has_nothing_to_look_at_again() -> None:
    assert not changed(differs(unit(*steps(1)), "T01", "x"), "T01")


# --- closing ----------------------------------------------------------------------------------------------


def closed(record: Unit) -> list[str]:
    return [x.about for x in left_over(record)]


def test_a_finished_unit_has_nothing_left_over() -> None:
    assert closed(tick_range(unit(*steps(2)), "A01-A04", NOW, "AB")) == []
    assert closed(unit()) == []


def test_lines_not_done_and_members_not_done_are_left_over() -> None:
    assert closed(unit(*steps(1))) == ["check", "T01", "audit"]
    (member,) = [x for x in left_over(tick(drawers(), "T01/D2", at=NOW)) if x.about == "T01"]
    assert member.sentence == "A02 refit back panel, each × 3 is not done for D1, D3."


def test_a_count_that_is_not_explained_keeps_it_open() -> None:
    record = count_bag(bagged(), "1", "screw", 3, at=NOW)
    done = tick_range(record, "A01-A03", NOW, "AB", "counted")
    assert closed(done) == ["bag 1"]
    assert closed(count_bag(done, "1", "screw", 3, "stripped, binned", at=NOW)) == []


def test_a_hold_point_without_its_reading_keeps_it_open() -> None:
    record = tick(held(), "check", at=NOW)
    record = tick(record, "T02", at=NOW, reading="452", initials="AB")
    record = tick_range(record, "A03-A04", NOW, "AB")
    lines = tuple(x.model_copy(update={"reading": ""}) if x.line == "T02" else x for x in record.refit.lines)
    assert closed(record) == []
    assert closed(record.model_copy(update={"refit": Refit(lines=lines)})) == ["T02"]


def test_a_changed_step_keeps_it_open() -> None:
    record = tick_range(unit(*steps(2)), "A01-A04", NOW, "AB")
    assert closed(change_step(record, step("T01", "part 1", note="other way up"))) == ["T01"]


def test_a_tick_whose_step_is_gone_keeps_it_open() -> None:
    record = tick_range(unit(*steps(2)), "A01-A04", NOW, "AB")
    assert closed(drop_step(record, "T01")) == ["T01"]


@pytest.mark.parametrize(
    ("disposition", "handed_in", "open_"),
    [(Disposition.HAZARDOUS, False, True), (Disposition.HAZARDOUS, True, False), (Disposition.SCRAP, False, False)],
)
def test_something_hazardous_is_left_over_until_it_is_handed_in(
    disposition: Disposition, handed_in: bool, open_: bool
) -> None:
    from logbook.model.step import Disposal

    disposal = Disposal(where="collection point", on=day("2026-03-01")) if handed_in else None
    done = tick_range(unit(*steps(1)), "A01-A03", NOW, "AB")
    with_it = done.model_copy(update={"components": (component("CF", disposition=disposition, disposal=disposal),)})
    assert closed(with_it) == (["CF"] if open_ else [])


def glued_pair(first: datetime, second: datetime) -> Unit:
    """A pair of stops glued in, each at its own time; the pair of runners before them came off first."""
    pair = [part_set("LR", ("L", "R"), "sides")]
    glue = one_way("glued", remake=Remake(method="glue", cure=60))
    of = unit(step("T01", "runners", each_of="LR"), step("T02", "stops", each_of="LR", one_way=glue), sets=pair)
    of = tick(of, "check", at=first)
    of = tick(of, "T02/L", at=first)
    return tick(of, "T02/R", at=second)


def test_what_follows_a_joint_goes_on_with_each_member_as_it_has_set() -> None:
    record = glued_pair(NOW, NOW + timedelta(minutes=30))
    at = NOW + timedelta(minutes=61)
    stands = readiness(record, refit_list(record), at)["T01"]
    assert stands.ready
    assert stands.waits == ("R: A02 refit stops, each × 2 is curing; wait until 12 Mar 2026 21:30.",)
    with pytest.raises(InputError, match="R: A02 refit stops, each × 2 is curing"):
        tick(record, "T01/R", at=at)
    with pytest.raises(InputError, match="R: A02 refit stops, each × 2 is curing"):
        tick(record, "T01", at=at)
    record = tick(record, "T01/L", at=at)
    stands = readiness(record, refit_list(record), at)["T01"]
    assert (stands.ready, stands.waits) == (False, ())
    assert stands.missing == ("A02 refit stops, each × 2 is curing; wait until 12 Mar 2026 21:30.",)
    record = tick(record, "T01/R", at=NOW + timedelta(minutes=90))
    assert state(record, "T01/R").done


def pair_of_lamps(*more: Step) -> Unit:
    """Two lamps alike, on each of which a socket, a sleeve and a shade came off, in this order from the last."""
    taken_off = [step(f"T0{n}", what, each_of="LA") for n, what in enumerate(("shade", "sleeve", "socket"), 1)]
    of = unit(*taken_off, *more, sets=[part_set("LA", ("left", "right"), "lamps")])
    return tick(of, "check", at=NOW)


def test_one_lamp_goes_back_wholly_before_the_other_is_begun() -> None:
    record = pair_of_lamps()
    record = tick(record, "T03/left", at=NOW)
    stands = readiness(record, refit_list(record), NOW)
    assert (stands["T02"].ready, stands["T01"].ready) == (True, False)
    assert stands["T02"].waits == ("right: A02 refit socket, each × 2 is not done.",)
    assert stands["T02"].reasons == ()
    record = tick(tick(record, "T02/left", at=NOW), "T01/left", at=NOW)
    with pytest.raises(InputError, match="A02 refit socket, each × 2 is not done"):
        tick(record, "T02/right", at=NOW)
    for code in ("T03", "T02", "T01"):
        record = tick(record, f"{code}/right", at=NOW)
    assert all(stands.done for key, stands in readiness(record, refit_list(record), NOW).items() if key != "audit")


def test_the_whole_line_is_not_ticked_while_one_member_waits() -> None:
    record = tick(pair_of_lamps(), "T03/left", at=NOW)
    with pytest.raises(InputError, match="right: A02 refit socket, each × 2 is not done"):
        tick(record, "T02", at=NOW)


def test_no_member_goes_on_past_what_comes_before_all_of_them() -> None:
    """Shades of both lamps sit on one bar, which goes on after the sockets."""
    record = unit(
        step("T01", "shade", each_of="LA"),
        step("T02", "bar"),
        step("T03", "socket", each_of="LA"),
        sets=[part_set("LA", ("left", "right"), "lamps")],
        relations=[relation("T01", "T02"), relation("T02", "T03"), relation("T01", "T03")],
    )
    record = tick(tick(record, "check", at=NOW), "T03/left", at=NOW)
    stands = readiness(record, refit_list(record), NOW)["T01"]
    assert not stands.ready
    assert "A03 refit bar is not done." in stands.reasons
    with pytest.raises(InputError, match="A03 refit bar is not done"):
        tick(record, "T01/left", at=NOW)


def test_what_one_lamp_lacks_keeps_the_other_back_nowhere() -> None:
    """The right one lost a screw; the left one is refitted wholly meanwhile."""
    lost = MemberDifference(member="right", fasteners=(fastener("screw M4", 2, 1),))
    record = unit(
        step("T01", "shade", each_of="LA"),
        step("T02", "socket", each_of="LA", bag="1", fasteners=[fastener("screw M4", 2)], differences=[lost]),
        sets=[part_set("LA", ("left", "right"), "lamps")],
    )
    record = tick(record, "check", at=NOW)
    stands = readiness(record, refit_list(record), NOW)
    assert (stands["T02"].ready, stands["T02"].in_reach) == (True, True)
    assert [said for said in stands["T02"].waits if not said.startswith("right: ")] == []
    with pytest.raises(InputError, match="right: 1 new screw M4 not here"):
        tick(record, "T02/right", at=NOW)
    record = tick(tick(record, "T02/left", at=NOW), "T01/left", at=NOW)
    with pytest.raises(InputError, match="1 new screw M4 not here"):
        tick(record, "T02/right", at=NOW)


def test_the_hold_of_one_lamp_keeps_back_that_lamp_alone() -> None:
    record = unit(
        step("T01", "cover", each_of="LA"),
        step("T02", "terminal", each_of="LA", refit=RefitNotes(hold=hold(reading_of="earth"))),
        sets=[part_set("LA", ("left", "right"), "lamps")],
    )
    record = tick(record, "check", at=NOW)
    record = tick(record, "T02/left", at=NOW, initials="AB", reading="0.08 ohm")
    stands = readiness(record, refit_list(record), NOW)["T01"]
    assert stands.ready
    assert "right: A02 refit terminal, each × 2 is not done." in stands.waits
    assert tick(record, "T01/left", at=NOW)
    with pytest.raises(InputError, match="hold point H1 at A02 has no reading and no initials for right"):
        tick(record, "T01/right", at=NOW)


def test_initials_behind_a_reading_are_those_of_the_reader() -> None:
    record = tick(held(), "check", at=NOW)
    record = write_reading(record, "T02", "0.08 ohm by KR", "AB", NOW)
    assert (state(record, "T02").reading, state(record, "T02").initials) == ("0.08 ohm", "KR")
    record = tick(record, "T02", at=NOW, reading="0.1 ohm, by CD")
    assert (state(record, "T02").reading, state(record, "T02").initials) == ("0.1 ohm", "CD")


def test_while_no_member_has_set_the_line_waits_for_the_first_of_them() -> None:
    record = glued_pair(NOW, NOW + timedelta(minutes=30))
    stands = readiness(record, refit_list(record), NOW + timedelta(minutes=59))["T01"]
    assert stands.missing == ("A02 refit stops, each × 2 is curing; wait until 12 Mar 2026 21:00.",)
