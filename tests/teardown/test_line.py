"""Lines as people type them at the bench, and what they are read as."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Action, Certainty, SignalWord, Then
from logbook.teardown.before_keeping import AskedFirst, asked_before_keeping
from logbook.teardown.bench_line import UNSAID, read_line
from logbook.teardown.member_phrases import OFFER
from logbook.teardown.vocabulary import ACTION_FORMS, ACTION_LETTERS, JOINT_WORDS, action_of
from logbook.teardown.write import write_line
from tests.builders import (
    fastener,
    handed_pair,
    hazard,
    lump,
    one_way,
    part_set,
    renewed,
    scrapped,
    step,
    unit,
    wire,
)


def bench() -> Unit:
    """A unit half taken apart, so that lines can name its steps, kinds, sets and sub-assemblies."""
    return unit(
        step("T01", "plug out"),
        step("T02", "back panel", fasteners=[fastener("rh wood screw 3.5x16", 6, 5)], bag="1"),
        step("T04", "valves", "unplugged", box="1", fasteners=[scrapped("felt pad", 2), fastener("clamp")]),
        step("T08", "cord clip", fasteners=[fastener("bolt M4x10"), fastener("nut M4", bag="7")], bag="3"),
        step("T10", "pointer", "recorded only"),
        step("T12", "baffle", planned=True),
        sets=[part_set("D", 4, "drawers"), part_set("LR", ("L", "R"), "left and right side")],
        sub_assemblies=[lump("S1", "T10", "chassis")],
    )


NEXT = "T13"


def said(what: str = "lid", action: str | Action = Action.UNSAID, **more: Any) -> Step:
    return step(NEXT, what, action, **more)


def danger(what: str, signal: SignalWord = SignalWord.WARNING) -> Any:
    return hazard(what, do="", prove="", signal=signal)


LINES: list[tuple[str, Step]] = [
    # what came off
    ("back panel", said("back panel")),
    ("  Back   panel  ", said("Back panel")),
    ("back panel,", said("back panel")),
    ("4 knobs", said("4 knobs")),
    ('"side, left", cut', said("side, left", "cut")),
    ('"side, left" of the case', said("side, left of the case")),
    ("note holder", said("note holder")),
    ('glass 1/4", cut', said('glass 1/4"', "cut")),
    ('"9"" scale"', said('9" scale"')),
    ("מכסה, unscrewed", said("מכסה", "unscrewed")),
    ("lid 🪛, uns", said("lid 🪛", "unscrewed")),
    ("unplug the aerial", said("unplug the aerial", "unplugged")),
    ("Unsolder speaker leads, wires 2", said("Unsolder speaker leads", "unsoldered", wires=2)),
    ("unsolder speaker leads, cut", said("unsolder speaker leads", "cut")),
    ("split pin", said("split pin")),
    # how
    ("lid, unscrewed", said("lid", "unscrewed")),
    ("lid, UNSCREWED", said("lid", "unscrewed")),
    ("lid, uns", said("lid", "unscrewed")),
    ("lid, unso", said(action="unsoldered")),
    ("lid, u", said(note="u")),
    ("lid, p", said(note="p")),
    ("lid; pris", said(action="prised")),
    ("lid, loosened", said(action="loosened only")),
    ("lid, loosened only", said(action="loosened only")),
    ("lid, rec", said(action="recorded only")),
    ("lid, slid off", said(action="slid")),
    ("springs, let down", said("springs", "spring released")),
    ("lid, drilled", said(action="drilled out")),
    ("lid, lifted  out", said(action="lifted out")),
    ("lid, unscrewed from below", said("lid", "unscrewed", viewed_from="below")),
    ("lid, unscrewed 4 bolts M5x35", said("lid", "unscrewed", fasteners=[fastener("bolts M5x35", 4)])),
    ("lid, cut 2 wires", said(action="cut", wires=2)),
    ("lid, un", said(note="un")),
    ("lid, loose", said(note="loose")),
    ("lid, cut washer under the head", said(note="cut washer under the head")),
    ("lid, cut, slid", said(action="cut", also=(Action.SLID,))),
    # fasteners
    ("lid, 4 bolt M5x35", said(fasteners=[fastener("bolt M5x35", 4)])),
    ("lid,4 bolt M5x35", said(fasteners=[fastener("bolt M5x35", 4)])),
    ("lid, 6/5 screw 2.5x10", said(fasteners=[fastener("screw 2.5x10", 6, 5)])),
    ("lid, 6 / 5 screw 2.5x10", said(fasteners=[fastener("screw 2.5x10", 6, 5)])),
    ("lid, 5 of 6 screws 2.5x10", said(fasteners=[fastener("screws 2.5x10", 6, 5)])),
    ("lid, 4 screw 2,5x10", said(fasteners=[fastener("screw 2,5x10", 4)])),
    ("lid, 4 screw 2.5 × 10", said(fasteners=[fastener("screw 2.5 × 10", 4)])),
    ("lid, 4x bolt M5x35", said(fasteners=[fastener("bolt M5x35", 4)])),
    ("lid, 4 x bolt M5x35", said(fasteners=[fastener("bolt M5x35", 4)])),
    ("lid, 4× bolt M5x35", said(fasteners=[fastener("bolt M5x35", 4)])),
    ("lid, 4bolt M5x35", said(fasteners=[fastener("bolt M5x35", 4)])),
    ("lid, 4M5x35", said(fasteners=[fastener("M5x35", 4)])),
    ("lid, bolt M5x35 x4", said(fasteners=[fastener("bolt M5x35", 4)])),
    ("lid, washers 4x", said(fasteners=[fastener("washers", 4)])),
    ("lid, screw 3.5 x16", said(note="screw 3.5 x16")),
    ("lid, wiped 3x", said(note="wiped 3x")),
    ("lid, 8 bush renew", said(fasteners=[renewed("bush", 8)])),
    ("lid, 8 bush -> renew", said(fasteners=[renewed("bush", 8)])),
    ("lid, 8 bush, renew", said(fasteners=[renewed("bush", 8)])),
    ("lid, scrap 16 staples", said(fasteners=[scrapped("staples", 16)])),
    ("lid, 16 staple scrap", said(fasteners=[scrapped("staple", 16)])),
    ("lid, 4 bolt reuse", said(fasteners=[fastener("bolt", 4)])),
    ("lid, 4 bolt, 4 washer, scrap", said(fasteners=[fastener("bolt", 4), scrapped("washer", 4)])),
    ("lid, 4 washer bag 5, bag 4", said(fasteners=[fastener("washer", 4, bag="5")], bag="4")),
    ("lid, 4 felt bag 5 renew", said(fasteners=[renewed("felt", 4, bag="5")])),
    ("lid, 6/5 screw stays empty", said(fasteners=[fastener("screw", 6, 5, stays_empty=True)])),
    ("lid, 4 bolt M5 and 4 nut", said(fasteners=[fastener("bolt M5", 4), fastener("nut", 4)])),
    ("lid, 4 bolt M5 + 4 nut", said(fasteners=[fastener("bolt M5", 4), fastener("nut", 4)])),
    ('lid, 4 "bolt, brass"', said(fasteners=[fastener("bolt, brass", 4)])),
    ('lid, 2 bolt 1/4" x 2"', said(fasteners=[fastener('bolt 1/4" x 2"', 2)])),
    ("lid, 1 nut 1/2-12 left-hand", said(fasteners=[fastener("nut 1/2-12 left-hand", 1)])),
    ("lid, 0 screw", said(fasteners=[fastener("screw", 0)])),
    ("lid, 4 bag 5", said(fasteners=[fastener("bag 5", 4)])),
    ("lid, 4 renew", said(note="4 renew")),
    ("lid, 12 mm deep", said(note="12 mm deep")),
    ("lid, 2 turns out", said(note="2 turns out")),
    ("lid, 4", said(note="4")),
    ("lid, 1000001 screws", said(note="1000001 screws")),
    ("lid, 99999999999999999999 screws", said(note="99999999999999999999 screws")),
    ("lid, 2nd screw stiff", said(note="2nd screw stiff")),
    # kinds the unit has already
    ("lid, 2 Bolts M4 x 10", said(fasteners=[fastener("bolt M4x10", 2)])),
    ("lid, 3 rh wood screws 3,5×16", said(fasteners=[fastener("rh wood screw 3.5x16", 3)])),
    ("lid, 2 Clamps", said(fasteners=[fastener("clamp", 2)])),
    ('lid, 2 "Clamps"', said(fasteners=[fastener("Clamps", 2)])),
    ('lid, 2 "bolts M4x10"', said(fasteners=[fastener("bolts M4x10", 2)])),
    ("lid, nuts M4 x2", said(fasteners=[fastener("nut M4", 2)])),
    ("lid, same as T08", said(fasteners=[fastener("bolt M4x10"), fastener("nut M4")])),
    ("lid, same as t2", said(fasteners=[fastener("rh wood screw 3.5x16", 6, 5)])),
    ("lid, same as T99", said(note="same as T99")),
    # bags and boxes
    ("lid, bag 4", said(bag="4")),
    ("lid, bag4", said(bag="4")),
    ("lid, Bag no. 4", said(bag="4")),
    ("lid, bag #4", said(bag="4")),
    ("lid, in bag 4", said(bag="4")),
    ("lid, bag A", said(bag="A")),
    ('lid, bag "4, left"', said(bag="4, left")),
    ("lid, new bag", said(bag="8")),
    ("lid, bag next", said(bag="8")),
    ("lid, box 2 FRAGILE", said(box="2", note="FRAGILE")),
    ("lid, next box", said(box="2")),
    ("lid, bag torn at the side", said(note="bag torn at the side")),
    ("lid, bag 4, bag 5", said(bag="4", note="bag 5")),
    ("lid, bag 4, bag 4", said(bag="4")),
    ("lid, bag", said(note="bag")),
    # wires, time, weight
    ("lid, wire 2", said(wires=2)),
    ("lid, 2 wires", said(wires=2)),
    ("lid, 2 wire clips", said(fasteners=[fastener("wire clips", 2)])),
    ("lid, wires 0", said(wires=0)),
    ("lid, 5 min", said(minutes=5)),
    ("lid, minutes 5", said(minutes=5)),
    ("lid, took 1 h 20 min", said(minutes=80)),
    ("lid, 1,5 h", said(minutes=90)),
    ("lid, 1:30 h", said(minutes=90)),
    ("lid, 5.8 kg", said(weight_kg=Decimal("5.8"))),
    ("lid, 450 g", said(weight_kg=Decimal("0.45"))),
    # sets and sub-assemblies
    ("fronts, each D", said("fronts", each_of="D")),
    ("fronts, each of drawers", said("fronts", each_of="D")),
    ("fronts, for each drawer, 2 screw", said("fronts", each_of="D", fasteners=[fastener("screw", 2)])),
    ("fronts, each lr", said("fronts", each_of="LR")),
    ("fronts, each leg", said("fronts", note="each leg")),
    ("lid, in chassis", said(inside="S1")),
    ("lid, in the chassis", said(inside="S1")),
    ("lid, in good order", said(note="in good order")),
    # flags
    ("lid, hazard", said(hazards=[danger("not said what")])),
    ("lid, hazard stored charge", said(hazards=[danger("stored charge")])),
    ("lid, DANGER: live chassis", said(hazards=[danger("live chassis", SignalWord.DANGER)])),
    ("lid, hazard caution glass", said(hazards=[danger("glass", SignalWord.CAUTION)])),
    ("lid, notice", said(hazards=[danger("not said what", SignalWord.NOTICE)])),
    ("lid, one-way", said(one_way=one_way(None, measured=False))),
    ("lid, one way, glued", said(one_way=one_way(None, measured=False), note="glued")),
    ("lid, one-way glued, measured, traced", said(one_way=one_way("glued", measured=True, traced=True))),
    (
        "lid, one-way stapled pattern kept and held twice",
        said(one_way=one_way("stapled, pinned or nailed", pattern_kept=True, held_twice=True)),
    ),
    ("lid, one-way because the tape is lost", said(one_way=one_way(None, skipped_because="the tape is lost"))),
    ("lid, guess", said(certainty=Certainty.GUESS)),
    ("lid, guess which side", said(certainty=Certainty.GUESS, certainty_note="which side")),
    ("lid, think so", said(certainty=Certainty.THINK_SO)),
    ("lid, not sure about the shim", said(certainty=Certainty.THINK_SO, certainty_note="about the shim")),
    ("lid, 1 shim card 0.8 bag 2", said(fasteners=(fastener("shim card 0.8", bag="2", piece=True),))),
    ("lid, 2 stop blocks", said(fasteners=(fastener("stop blocks", 2, piece=True),))),
    ("lid, 2 block screw", said(fasteners=(fastener("block screw", 2),))),
    ("lid, left-hand", said(left_hand=True)),
    ("lid, LEFT HAND THREAD", said(left_hand=True)),
    ("lid, left hand side is chipped", said(note="left hand side is chipped")),
    ("lid, wrong", said(as_found_wrong=True)),
    ("lid, as found wrong", said(as_found_wrong=True)),
    ("lid, as found wrong: washer inside", said(as_found_wrong=True, as_found="washer inside")),
    ("lid, as-found loose", said(as_found="loose")),
    ("lid, as found", said(note="as found")),
    ("lid, wrong: washer inside", said(as_found_wrong=True, as_found="washer inside")),
    ("lid, as found loose, should be tight", said(as_found="loose", should_be="tight")),
    ("lid, photo", said(photo_taken=True)),
    ("lid, photo 0417", said(photo_taken=True, note="photo 0417")),
    ("lid, still to do", said(planned=True)),
    ("lid, from below", said(viewed_from="below")),
    ("lid, seen from the left end", said(viewed_from="the left end")),
    ("lid, from a donor", said(note="from a donor")),
    ("lid, by AB", said(by="AB")),
    ("lid, by hand", said(note="by hand")),
    ("lid, initials rb", said(by="rb")),
    # the note
    ("lid, felt dry, came off in two pieces", said(note="felt dry, came off in two pieces")),
    ("lid, note bag 4, 4 bolt M5", said(note="bag 4, 4 bolt M5")),
    ("lid, NOTE: stiff", said(note="stiff")),
    ("lid, stiff, note very, bag 4", said(note="stiff, very, bag 4")),
    ('lid, note "two\\nlines"', said(note="two\nlines")),
    ('lid, "bag 4"', said(note="bag 4")),
    ("lid\nbag 4\nphoto", said(bag="4", photo_taken=True)),
    ("lid,,;, photo;", said(photo_taken=True)),
    ('lid, "open, bag 4', said(note='"open', bag="4")),
    ("lid, notes on the back", said(note="on the back")),
    ("lid, noted", said(note="noted")),
    # all together
    (
        "chassis bolts, uns, 4 bolt M5x35, 4 washer, 4 tube, 8 bush renew, bag 4, from below, photo",
        said(
            "chassis bolts",
            "unscrewed",
            fasteners=[fastener("bolt M5x35", 4), fastener("washer", 4), fastener("tube", 4), renewed("bush", 8)],
            bag="4",
            viewed_from="below",
            photo_taken=True,
        ),
    ),
]  # fmt: skip


def without_what_is_asked(of: Step) -> Step:
    """The step without what is asked at the desk because it was not understood (see `test_said_as_it_is`)."""
    return of.model_copy(update={"unread": ()})


@pytest.mark.parametrize(("line", "expected"), LINES, ids=[line for line, _ in LINES])
def test_a_line_is_read_as_it_was_meant(line: str, expected: Step) -> None:
    reading = read_line(line, bench())
    assert without_what_is_asked(reading.step) == expected
    assert reading.complete
    assert (reading.after, reading.better_after) == ((), ())


@pytest.mark.parametrize(("line", "expected"), LINES, ids=[line for line, _ in LINES])
def test_every_one_of_these_steps_is_printed_as_a_line_that_reads_the_same(line: str, expected: Step) -> None:
    assert read_line(write_line(expected, unit=bench()), bench()).step == expected


@pytest.mark.parametrize(
    ("line", "after", "better", "note"),
    [
        ("lid, after T10", ("T10",), (), ""),
        ("lid, after t10 T2 and 4", ("T10", "T02", "T04"), (), ""),
        ("lid, after T01, T02, photo", ("T01", "T02"), (), ""),
        ("lid, after T01, after T02, after T01", ("T01", "T02"), (), ""),
        ("lid, after 1,2", ("T01", "T02"), (), ""),
        ("lid, better after T04", (), ("T04",), ""),
        ("lid, after T01, better after T04, T08", ("T01",), ("T04", "T08"), ""),
        ("lid, after last", ("T10",), (), ""),
        ("lid, after T99", (), (), "after T99"),
        ("lid, after T01 T99", ("T01",), (), "after T99"),
        ("lid, after T13", (), (), "after T13"),
        ("lid, after cleaning", (), (), "after cleaning"),
        ("lid, T01", (), (), "T01"),
    ],
)  # fmt: skip
def test_the_order_that_a_line_says(line: str, after: tuple[str, ...], better: tuple[str, ...], note: str) -> None:
    reading = read_line(line, bench())
    assert (reading.after, reading.better_after, reading.step.note) == (after, better, note)
    again = read_line(write_line(reading.step, reading.after, reading.better_after), bench())
    assert (again.after, again.better_after) == (after, better)
    assert again.step == without_what_is_asked(reading.step)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("lid, after T99", "There is no step T99."),
        ("lid, after T13", "A step cannot come before itself."),
        ("lid, bag 4, bag 5", "The bag already given; what is different stands in the note."),
        ("lid, cut, slid", None),
        ("lid, one-way glued, one-way nailed", None),
        (
            "lid, one-way because late, one-way because rusty",
            "The one-way joint already given; what is different stands in the note.",
        ),
        ("lid, bag", "Which bag?"),
        (
            "lid, each leg",
            "There is no set called leg, but D drawers, LR left and right side. "
            "For a new one add “pair” or “set of 4 leg”.",
        ),
        ("lid, same as T99", "There is no step T99."),
        ("lid, 1/2 nut", "More found (2) than places (1): a size stands after the kind, like “1 nut 1/2”."),
        (
            "lid, 6 screw M4,4 nut M4",
            "The comma between digits is read as a decimal comma; a blank after it parts two phrases.",
        ),
        ("4 bolt M4x10, bag 4", "What came off stands first; this is read as its name."),
        ("bag 4, unscrewed", "What came off stands first; this is read as its name."),
        (", unscrewed", "What came off? The first phrase says it."),
        ("lid, 4 nuts", None),
        ("4 knobs, bag 2", None),
        ("", None),
    ],
)
def test_what_may_be_meant_otherwise_is_said_in_a_sentence(line: str, sentence: str | None) -> None:
    assert read_line(line, bench()).problems == (() if sentence is None else (sentence,))


def test_a_line_without_what_came_off_is_not_complete_yet_but_keeps_the_rest() -> None:
    reading = read_line(", cut, bag 4", bench())
    assert not reading.complete
    assert reading.step == said(UNSAID, "cut", bag="4")
    assert write_line(reading.step) == ", cut, bag 4"
    assert not read_line("   ", bench()).complete
    assert read_line("   ", bench()).phrases == ()


def test_each_phrase_says_where_it_stands_and_how_it_was_read() -> None:
    line = "lid,  4 nuts M4 , cut; shiny"
    phrases = read_line(line, bench()).phrases
    assert [line[p.start : p.end] for p in phrases] == ["lid", "4 nuts M4", "cut", "shiny"] == [p.text for p in phrases]
    assert [p.field for p in phrases] == ["what", "fasteners", "action", "note"]
    assert [p.meaning for p in phrases] == ["came off: lid", "4 nut M4, reuse", "cut", "not understood: kept as a note"]
    assert read_line(line, bench()).unknown == ("shiny",)
    assert read_line("lid, note shiny", bench()).unknown == ()


def test_the_code_is_the_next_one_unless_given() -> None:
    assert read_line("lid", bench()).step.code == NEXT
    assert read_line("lid", bench(), code="T02").step.code == "T02"
    assert read_line("lid", unit()).step.code == "T01"


def test_an_edited_line_keeps_the_details_of_the_fasteners_it_still_names() -> None:
    detail = {"drive": "slotted"}
    before = step(
        "T02",
        "lid",
        fasteners=[fastener("screw", 4, detail=detail, renewed_here=True), fastener("nut", 2)],
        hazards=[hazard("mains", do="unplug", prove="meter")],
        connections=[wire()],
        one_way=one_way("glued", rebuilt_by=("B01",), measured=True),
    )
    after = read_line("lid, 6/5 screw, 3 clip, hazard mains, one-way riveted, photo", bench(), base=before).step
    assert after.fasteners == (fastener("screw", 6, 5, detail=detail, renewed_here=True), fastener("clip", 3))
    assert after.hazards == before.hazards
    assert after.one_way == one_way("riveted", rebuilt_by=("B01",))
    assert after.connections == before.connections
    assert after.photo_taken
    assert after.code == "T02"
    assert read_line("lid", bench(), base=before).step.one_way is None


def test_every_beginning_of_an_action_word_means_one_action_or_none() -> None:
    beginnings = {form[:n] for form in ACTION_FORMS for n in range(3, len(form) + 1)}
    for beginning in beginnings:
        fitting = {a for form, a in ACTION_FORMS.items() if form.startswith(beginning)}
        action = action_of(beginning)
        assert action is None or action in fitting
        if beginning in ACTION_FORMS:
            assert action is ACTION_FORMS[beginning]
    ambiguous = {b for b in beginnings if len({a for f, a in ACTION_FORMS.items() if f.startswith(b)}) > 1}
    assert ambiguous == {"uns", "unb"}
    assert {a for a in Action if action_of(a[:4] if a is not Action.SPRING_RELEASED else "spring r") is not a} <= {
        Action.LOOSENED,
        Action.DISCARDED,
        Action.CUT,
        Action.SLID,
        Action.BLED,
        Action.CLEANED,
    }


EVERYDAY = [
    ("knob, unclipped", Action.UNCLIPPED),
    ("unclip dial lamp", Action.UNCLIPPED),
    ("felt, peeled off", Action.PEELED),
    ("felt, peeled", Action.PEELED),
    ("strap, undone", Action.UNDONE),
    ("lacing, untied", Action.UNDONE),
    ("aerial, unplugged", Action.UNPLUGGED),
    ("spring, unhooked", Action.UNHOOKED),
    ("drawer, slid out", Action.SLID),
    ("bezel, levered off", Action.PRISED),
    ("bezel, prised off", Action.PRISED),
    ("lamp, popped out", Action.PRISED),
    ("fan, unbolted", Action.UNSCREWED),
    ("cord, cut off", Action.CUT),
    ("bracket, sawn through", Action.CUT),
    ("pin, broke off", Action.SPLIT),
]


@pytest.mark.parametrize(("line", "action"), EVERYDAY)
def test_everyday_words_of_taking_apart_say_how_it_came_off(line: str, action: Action) -> None:
    reading = read_line(line, bench())
    assert (reading.step.action, reading.unknown) == (action, ())


def test_what_broke_off_is_one_way_and_what_is_broken_is_how_it_was_found() -> None:
    assert read_line("pin, broke off", bench()).step.one_way is not None
    found = read_line("glass, broken", bench())
    assert (found.step.one_way, found.unknown) == (None, ("broken",))


STOPS = [
    ("cord, cut", True),
    ("rivets, drilled out", True),
    ("motor, unscrewed and cut", True),
    ("pin, broke off", True),
    ("bottom, split, one-way", True),
    ("bezel, prised off", False),
    ("case halves, split", False),
    ("cable tie, cut", False),
    ("cord, cut, planned", False),
    ("cord, cut, one-way measured", False),
    ("cord, cut, one-way because new cord is here", False),
]


@pytest.mark.parametrize(("line", "asks"), STOPS)
def test_the_stop_question_is_asked_of_what_cannot_be_undone(line: str, asks: bool) -> None:
    first = asked_before_keeping(read_line(line, bench()), bench(), "AB")
    assert (first is not None and first.asked is AskedFirst.STOP) is asks


def test_each_action_has_one_letter_and_each_then_and_joint_a_word() -> None:
    assert sorted(ACTION_LETTERS.values()) == sorted(Action)
    assert all(action_of(str(a)) is a for a in Action)
    for then in Then:
        assert read_line(f"lid, 1 clip {then}", bench()).step.fasteners[0].then is then
    for word, joint in JOINT_WORDS.items():
        found = read_line(f"lid, one-way {word}", bench()).step.one_way
        assert found is not None
        assert found.joint is joint


def test_a_set_that_is_not_there_is_offered_to_be_made_and_then_is() -> None:
    (problem,) = read_line("arms, each arms, 2 screw", unit()).problems
    assert (
        problem == "There is no set called arms: say “pair” or “set of 4 arms” instead, and it is made with the step."
    )
    assert read_line("arms, pair, 2 screw", unit()).problems == ()
    assert read_line("arms, set of 4 arms, 2 screw", unit()).problems == ()


@pytest.mark.parametrize("said", ["each unscrewed", "both unscrewed", "each of them unscrewed"])
def test_how_each_came_off_is_no_name_of_a_set(said: str) -> None:
    reading = read_line(f"lamps, {said}", unit())
    assert (reading.step.action, reading.step.note) == (Action.UNSCREWED, "")
    assert reading.problems == (OFFER,), "the set itself is still to be made"
    mistyped = read_line("lamps, each unscrwed", unit(sets=[handed_pair()]))
    assert mistyped.problems == ("There is no set called unscrwed. If it is how they came off, say “each unscrewed”.",)


def test_a_set_that_is_called_like_an_action_keeps_its_name() -> None:
    of = unit(sets=[part_set("C", name="cut")])
    step = read_line("lamps, each cut", of).step
    assert (step.action, step.each_of) == (Action.UNSAID, "C")
