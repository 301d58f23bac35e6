"""What is still to be completed at the desk, and how complete a record is."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.casework_records import HeldDimension
from logbook.model.step import Measurement, Step
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.model.words import Action, Certainty, Disposition, SignalWord
from logbook.teardown.complete import Missing, completeness, to_add_words, to_complete
from logbook.teardown.field_reasons import CALLED, WHY
from logbook.teardown.meant import UNNAMED_HAZARD
from tests.builders import (
    at,
    component,
    fastener,
    handed_pair,
    hazard,
    mm,
    one_way,
    part_set,
    renewed,
    scrapped,
    setting,
    step,
    unit,
    wire,
)


def whole(code: str = "T01", what: str = "lid", action: str | Action = "unscrewed", **more: Any) -> Step:
    """A step with its photo, so that only what the case is about is missing."""
    return step(code, what, action, **({"photo_taken": True} | more))


def sentences(*steps: Step, **more: Any) -> list[str]:
    return [m.sentence for m in to_complete(unit(*steps, **more))]


def measured(what: str = "H-W inside width", value: str = "452", again: str = "", **more: Any) -> Measurement:
    return Measurement(what=what, value=mm(value) if value else None, again=mm(again) if again else None, **more)


MISSING: list[tuple[str, Step, list[str]]] = [
    ("nothing", whole(), []),
    ("photo", step(what="lid"), ["T01 lid: no photo."]),
    ("photo kept as a file", step(photos=[{"file": "a.jpg"}]), []),
    ("wires", whole(wires=4, connections=[wire("W1"), wire("W2")]), ["T01: 4 wires counted, 2 connections written."]),
    ("wires, none written", whole(wires=1), ["T01: 1 wire counted, 0 connections written."]),
    ("more written than counted", whole(wires=1, connections=[wire("W1"), wire("W2")]),
     ["T01: 1 wire counted, 2 connections written."]),
    ("wires all written", whole(wires=1, connections=[wire()]), []),
    ("one end", whole(connections=[wire("W6", "switch", "")]), ["T01: W6 comes from switch and goes where?"]),
    ("other end", whole(connections=[wire("W6", "", "switch")]), ["T01: W6 goes to switch and comes from where?"]),
    ("no end", whole(connections=[wire("W6", "", "")]), ["T01: W6 goes from where to where?"]),
    ("labels", whole(connections=[wire("W6", labels=1)]), ["T01: W6 has 1 label; it needs one at each end."]),
    ("stays on", whole(connections=[wire("W6", labels=0, stays_on=True)]), []),
    ("bag", whole(fasteners=[fastener("clip", 2)]), ["T01 lid: which bag are the fasteners in?"]),
    ("bag of the step", whole(fasteners=[fastener("clip", 2)], bag="1"), []),
    ("own bags", whole(fasteners=[fastener("clip", 2, bag="1"), fastener("tie", bag="2")]), []),
    ("one own bag", whole(fasteners=[fastener("clip", 2, bag="1"), fastener("tie")]),
     ["T01 lid: which bag are the fasteners in?"]),
    ("scrap needs no bag", whole(fasteners=[scrapped("staple", 16)]), []),
    ("nothing found needs no bag",
     whole(fasteners=[fastener("clip", 2, 0)], positions=[{"number": 1}], viewed_from="front"), []),
    ("seen from below", whole(fasteners=[fastener("clip", 2)], bag="1", viewed_from="below"),
     ["T01: seen from below, how did it lie and where was its front?"]),
    ("seen from below, and how it lay", whole(fasteners=[fastener("clip", 2)], bag="1", viewed_from="below",
     orientation="on its back"), []),
    ("size", whole(fasteners=[fastener("screw", 2)], bag="1"), ["T01: what size is screw?"]),
    ("size in the kind", whole(fasteners=[fastener("screw 3x10", 2)], bag="1"), []),
    ("size in the details", whole(fasteners=[fastener("screw", 2, detail={"length": mm("16")})], bag="1"), []),
    ("size of what is renewed", whole(fasteners=[renewed("bush", 8)]), ["T01: what size is bush?"]),
    ("one-way", whole(one_way=one_way(measured=False)),
     ["T01 lid: one-way, and neither measured, traced, photographed nor kept as a pattern."]),
    ("one-way, skipped with a reason", whole(one_way=one_way(skipped_because="rotten")), []),
    ("one-way, joint", whole(one_way=one_way(None, traced=True)),
     ["T01: what takes the place of the joint that cannot be undone?"]),
    ("one-way, rebuilt", whole(one_way=one_way(None, traced=True, rebuilt_by=("B01",))), []),
    ("guess", whole(certainty=Certainty.GUESS), ["T01: what exactly is the guess?"]),
    ("think so", whole(certainty=Certainty.THINK_SO), ["T01: what exactly is the thing not sure of?"]),
    ("guess said", whole(certainty=Certainty.GUESS, certainty_note="which side"), []),
    ("guess settled", whole(certainty=Certainty.GUESS, guess_settled="left"), []),
    ("hazard", whole(hazards=[hazard("gas", prove="")]), ["T01: how is it proved safe (gas)?"]),
    ("hazard unnamed", whole(hazards=[hazard(UNNAMED_HAZARD, prove="")]), ["T01: which hazard? It is only flagged."]),
    ("caution needs no proof", whole(hazards=[hazard("glass", prove="", signal=SignalWord.CAUTION)]), []),
    ("wrong", whole(as_found_wrong=True),
     ["T01: as found is wrong; what should it be?", "T01: what was wrong as found?"]),
    ("wrong, said", whole(as_found_wrong=True, as_found="washer inside", should_be="washer outside"), []),
    ("setting", whole(settings=[setting("pointer", "")]), ["T01: the setting of pointer has no value."]),
    ("setting by length", whole(settings=[setting("pointer", "", length=mm("12"))]), []),
    ("spring", whole(action="spring released"), ["T01: hook hole, which end, and turns of preload of the spring?"]),
    ("spring said", whole(action="spring released", settings=[setting("preload", "3 turns")]), []),
    ("no reading", whole(measurements=[measured(value="")]), ["T01: H-W inside width has no reading."]),
    ("reading in words", whole(measurements=[measured(value="", text="0.4 V", tolerance="below 10 V")]), []),
    ("held once", whole(measurements=[measured(tolerance="± 0.5")]),
     ["T01: H-W inside width is held, but was taken once."]),
    ("held twice", whole(measurements=[measured(again="452.1", tolerance="± 0.5")]), []),
    ("not held", whole(measurements=[measured("flange")]), []),
    ("empty place", whole(fasteners=[fastener("clip", 6, 5)], bag="1"),
     ["T01: which places were empty (1 of 6 clip)?"]),
    ("two kinds of screw", whole(fasteners=[fastener("screw 3x10", 2), fastener("screw 3x20", 2)], bag="1"),
     ["T01: which of screw 3x10 and screw 3x20 goes where?"]),
    ("many of one", whole(fasteners=[fastener("screw 3x10", 4)], bag="1"),
     ["T01: no position map of the lid fasteners."]),
    ("few of one", whole(fasteners=[fastener("screw 3x10", 3)], bag="1"), []),
    ("map without a side", whole(fasteners=[fastener("screw 3x10", 4)], bag="1", positions=[{"number": 1}]),
     ["T01: from which side is the map seen?"]),
    ("stack", whole(fasteners=[fastener("bolt M5x35"), fastener("washer 25")], bag="1"),
     ["T01: in which order do the pieces sit, from the head inwards?"]),
    ("stack said", whole(fasteners=[fastener("bolt M5x35"), fastener("washer 25")], bag="1", stack=["head", "washer"]),
     []),
    ("shim", whole(note="thin shim on one side"), ["T01: which shim? Side, thickness and how many."]),
    ("shim of a member", whole(each_of="D", differences=[{"member": "D2", "note": "a thin Shim"}]),
     ["T01/D2: which shim? Side, thickness and how many."]),
    ("shim said", whole(note="shim card 0.8, one, left rear"), []),
    ("planned", step(planned=True, wires=3, as_found_wrong=True), []),
]  # fmt: skip


@pytest.mark.parametrize(("name", "of", "expected"), MISSING, ids=[name for name, _, _ in MISSING])
def test_what_a_stranger_would_not_find_is_asked_for(name: str, of: Step, expected: list[str]) -> None:
    assert sentences(of) == expected
    complete = completeness(unit(of))
    assert (complete is None) == of.planned
    if complete is not None:
        assert (complete.percent == 100) == (not expected)
        assert complete.wanted - complete.done == len(expected)


def test_a_proof_written_for_the_unit_counts_for_its_steps() -> None:
    flagged = whole(hazards=[hazard("Mains", prove="")])
    assert sentences(flagged, hazards=[hazard("mains", prove="meter")]) == []
    assert sentences(flagged, hazards=[hazard("mains", prove="")]) == ["T01: how is it proved safe (Mains)?"]


def test_a_measurement_named_like_a_held_dimension_is_wanted_twice() -> None:
    held = HeldDimension(code="H-W", what="inside width", value=mm("452"), readings=(mm("452"), mm("452")))
    assert sentences(whole(measurements=[measured()]), held_dimensions=[held]) == [
        "T01: H-W inside width is held, but was taken once."
    ]


@pytest.mark.parametrize(
    ("held", "expected"),
    [
        ({"value": None}, ["Held dimension H-W inside width has no value."]),
        ({"value": mm("452")}, ["Held dimension H-W inside width was not taken twice."]),
        ({"value": mm("452"), "readings": (mm("452"),)}, ["Held dimension H-W inside width was not taken twice."]),
        ({"value": mm("452"), "readings": (mm("452"), mm("452.2"))}, []),
        ({"value": mm("12"), "at_least": True}, []),
    ],
)
def test_a_held_dimension_wants_a_value_and_two_readings(held: dict[str, Any], expected: list[str]) -> None:
    assert sentences(held_dimensions=[HeldDimension(code="H-W", what="inside width", **held)]) == expected


def test_a_component_that_is_out_wants_a_disposition_and_a_hazardous_one_where_it_was_handed_in() -> None:
    lamp = component("L1", "lamp", from_step="T01")
    assert sentences(whole(), components=[lamp]) == ["L1 lamp: keep, clean, repair, renew, pattern, spare or scrap?"]
    assert sentences(step(planned=True), components=[lamp]) == []
    tube = component("M1", "tilt switch", disposition=Disposition.HAZARDOUS)
    assert sentences(components=[tube]) == ["M1 tilt switch is hazardous: handed in where and when?"]
    gone = tube.model_copy(update={"disposal": {"where": "collection point", "on": at("2026-03-12").date()}})
    assert sentences(components=[gone]) == []


def test_every_member_of_a_set_wants_its_bag() -> None:
    screws = [fastener("screw M6", 2)]
    bags = [{"member": "L", "bag": "1"}, {"member": "R", "bag": "2"}]
    both = whole(fasteners=screws, each_of="LR", differences=bags)
    assert sentences(both, sets=[handed_pair()]) == []
    one = whole(fasteners=screws, each_of="LR", differences=bags[:1])
    assert sentences(one, sets=[handed_pair()]) == ["T01 lid: which bag are the fasteners of R in?"]
    renewed_right = {"member": "R", "fasteners": (fastener("screw M6", 2, then="renew"),)}
    right_needs_none = whole(fasteners=screws, each_of="LR", differences=[bags[0], renewed_right])
    assert sentences(right_needs_none, sets=[handed_pair()]) == [], "nothing of the right one is used again"
    boxed = whole(fasteners=screws, each_of="LR", box="2")
    assert sentences(boxed, sets=[handed_pair()]) == [], "a box is a place as well"
    own = {"member": "D2", "fasteners": (fastener("screw", 2, bag="9"),)}
    differing = whole(fasteners=[scrapped("nail", 2)], each_of="D", differences=[own])
    assert sentences(differing, sets=[part_set(interchangeable=True)]) == ["T01: what size is screw?"]


def test_newest_first_and_heaviest_first_within_a_step_and_the_units_own_last() -> None:
    old, new = step("T01", "lid", wires=2), step("T02", "cord", as_found_wrong=True)
    missing = to_complete(unit(old, new, components=[component()]))
    assert [(m.step, m.field) for m in missing] == [
        ("T02", "should_be"),
        ("T02", "as_found"),
        ("T02", "photo_taken"),
        ("T01", "connections"),
        ("T01", "photo_taken"),
        ("", "components"),
    ]
    complete = completeness(unit(old, new, components=[component()]))
    assert complete is not None
    assert [m.weight for m in complete.worst] == [10, 8, 6]
    assert complete.worst[0] == Missing("T01", "connections", "T01: 2 wires counted, 0 connections written.", 10)


def test_what_most_often_keeps_a_unit_from_going_together_weighs_most() -> None:
    # Weights are common practice, no source: wiring, bags and one-way joints first, photos last.
    bare = step(
        wires=2,
        connections=[wire("W1", "", "", labels=0)],
        fasteners=[fastener("screw", 6, 5), fastener("washer 25", 6)],
        one_way=one_way(None, measured=False),
        settings=[setting(value="")],
        as_found_wrong=True,
        hazards=[hazard(prove="")],
        certainty=Certainty.GUESS,
    )
    weights: dict[str, int] = {}
    for missing in to_complete(unit(bare)):
        weights.setdefault(missing.field, missing.weight)
    assert weights == {
        "connections": 10,
        "one_way": 10,
        "bag": 9,
        "settings": 8,
        "should_be": 8,
        "hazards": 7,
        "positions": 7,
        "as_found": 6,
        "certainty_note": 6,
        "fasteners": 5,
        "stack": 5,
        "photo_taken": 5,
    }


def test_nothing_written_is_not_complete_and_not_incomplete() -> None:
    assert completeness(unit()) is None
    assert to_complete(unit()) == ()


def test_how_it_came_off_is_asked_when_nobody_said_it() -> None:
    asked = [m.sentence for m in to_complete(unit(step("T01", "lid", Action.UNSAID))) if m.field == "action"]
    assert asked == ["T01: how did lid come off?"]
    assert not [m for m in to_complete(unit(step("T01", "lid", Action.PRISED))) if m.field == "action"]


def test_percent_is_by_weight_and_rounded_down() -> None:
    # Wanted of the step: how it came off 6, its wires 10, a photo 5; the wires are not written.
    half = completeness(unit(step(wires=2, photo_taken=True)))
    assert half is not None
    assert (half.percent, half.done, half.wanted) == (100 * 11 // 21, 2, 3)
    nearly = completeness(unit(*(whole(f"T{i:03d}") for i in range(1, 200)), step("T200")))
    assert nearly is not None
    assert (nearly.percent, nearly.wanted - nearly.done) == (99, 1)


DEMO = {d.unit.code: d.unit for d in demo_documents() if d.logbook == "unit"}


def test_the_example_radio_lacks_only_photos_and_maps() -> None:
    assert {m.field for m in to_complete(DEMO["R1"])} == {"photo_taken", "positions"}
    radio = completeness(DEMO["R1"])
    assert radio is not None
    assert radio.percent >= 95
    assert radio.worst[0].step == "T20"


@settings(max_examples=60, deadline=None)
@given(of=st.sampled_from(sorted(DEMO)), kept=st.data())
def test_what_is_taken_away_makes_a_record_less_complete_never_more(of: str, kept: st.DataObject) -> None:
    whole_unit: Unit = DEMO[of]
    index = kept.draw(st.integers(0, len(whole_unit.steps) - 1))
    old = whole_unit.steps[index]
    blank = {
        "bag": "",
        "positions": (),
        "stack": (),
        "photo_taken": False,
        "photos": (),
        "viewed_from": old.viewed_from,
    }
    name = kept.draw(st.sampled_from(sorted(blank)))
    poorer_step = old.model_copy(update={name: blank[name]})
    steps = (*whole_unit.steps[:index], poorer_step, *whole_unit.steps[index + 1 :])
    poorer = whole_unit.model_copy(update={"steps": steps})
    if name == "positions" and not old.viewed_from:
        return  # A map without its side is as good as none, so nothing is taken away.
    assert {m for m in to_complete(whole_unit) if m.field != "viewed_from"} <= set(to_complete(poorer))
    before, after = completeness(whole_unit), completeness(poorer)
    assert before is not None
    assert after is not None
    assert after.percent <= before.percent


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ([], "nothing to add at the desk"),
        (["photo_taken"], "1 fact to add at the desk: photos"),
        (["bag", "photo_taken", "photo_taken"], "3 facts to add at the desk, most: photos"),
    ],
)
def test_how_much_is_to_add_says_of_what(fields: list[str], words: str) -> None:
    assert to_add_words([Missing("T01", field, "?", 2) for field in fields]) == words


def test_every_kind_of_fact_has_a_word() -> None:
    assert set(CALLED) == set(WHY)
