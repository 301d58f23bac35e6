"""What a line keeps: its place in the record, its time, its order and the stage of the unit."""

from __future__ import annotations

import pytest

from logbook.errors import CircleError, InputError
from logbook.model.templates import hazard_classes
from logbook.model.unit import Unit
from logbook.model.words import Action, OrderBasis, Stage
from logbook.teardown.bench_line import read_line
from logbook.teardown.relations import said_order
from logbook.teardown.step_keeping import (
    kept_from_line,
    known_hazards,
    last_kept,
    line_of,
    planned_next,
    with_next_place,
)
from tests.builders import at, chain, codes, fastener, hazard, part_set, relation, step, steps, unit, wire

NOW = at("2026-03-20 18:00")


def kept(of: Unit, line: str, code: str | None = None) -> Unit:
    base = of.step(code) if code else None
    return kept_from_line(of, read_line(line, of, code=code, base=base), at=NOW, by="AB")


def test_a_new_step_stands_last_with_time_and_initials_and_starts_the_teardown() -> None:
    of = kept(unit(*steps(2)), "back panel, 4 screw, bag 1")
    new = of.steps[-1]
    assert (new.code, new.what, new.at, new.by, new.bag) == ("T03", "back panel", NOW, "AB", "1")
    assert of.stage is Stage.TEARDOWN


@pytest.mark.parametrize("stage", [Stage.REBUILD, Stage.STOPPED, Stage.TEARDOWN])
def test_only_an_arrived_unit_changes_its_stage(stage: Stage) -> None:
    assert kept(unit(stage=stage), "knobs").stage is stage


def test_what_is_only_planned_starts_nothing_and_has_no_time() -> None:
    of = kept(unit(), "rotor, slid, planned")
    assert of.stage is Stage.ARRIVAL
    assert (of.steps[0].at, of.steps[0].by) == (None, "")


def test_initials_said_in_the_line_hold() -> None:
    assert kept(unit(), "knobs, by CD").steps[0].by == "CD"


def test_a_new_step_stands_before_what_is_only_planned() -> None:
    of = kept(unit(step("T01"), step("T02", planned=True)), "knobs")
    assert codes(of.steps) == ["T01", "T03", "T02"]


def test_a_planned_step_taken_is_done_now_and_stands_after_the_last_done() -> None:
    of = unit(step("T01"), step("T02", planned=True), step("T03", "rotor", planned=True, connections=[wire()]))
    taken = kept(of, "rotor, slid", "T03")
    assert codes(taken.steps) == ["T01", "T03", "T02"]
    done = taken.steps[1]
    assert (done.planned, done.at, done.action) == (False, NOW, Action.SLID)
    assert done.connections == of.steps[2].connections
    assert (codes(planned_next(taken)), last_kept(taken)) == (["T02"], done)


def test_a_planned_step_put_right_stays_planned_in_its_place() -> None:
    of = unit(step("T01", planned=True), step("T02", planned=True))
    changed = kept(of, "rotor, planned", "T01")
    assert codes(changed.steps) == ["T01", "T02"]
    assert (changed.steps[0].what, changed.steps[0].planned, changed.steps[0].at) == ("rotor", True, None)


def test_a_step_put_right_keeps_its_place_and_its_time() -> None:
    earlier = at("2026-03-12 20:41")
    of = unit(step("T01", at=earlier, by="CD"), step("T02"), stage=Stage.REBUILD)
    changed = kept(of, "front panel, bag 2, by CD", "T01")
    assert codes(changed.steps) == ["T01", "T02"]
    first = changed.steps[0]
    assert (first.what, first.bag, first.at, first.by) == ("front panel", "2", earlier, "CD")


def test_the_order_of_the_line_is_stated() -> None:
    of = kept(unit(*steps(3)), "bolts, after T01 T02, better after T03")
    assert said_order(of, "T04") == (("T01", "T02"), ("T03",))
    assert of.steps[-1].order is OrderBasis.STATED


def test_a_line_put_right_takes_back_the_order_it_no_longer_says() -> None:
    of = unit(*steps(3), relations=[*chain("T01", "T03"), relation("T02", "T03", "test")])
    changed = kept(of, "part 3, after T02", "T03")
    assert said_order(changed, "T03") == (("T02",), ())
    assert [str(r.kind) for r in changed.relations] == ["test before covering", "must come off before"]


def test_a_line_that_would_close_a_circle_is_refused() -> None:
    of = unit(*steps(2), relations=chain("T01", "T02"))
    with pytest.raises(CircleError, match="circle"):
        kept(of, "part 1, after T02", "T01")


def test_a_sub_assembly_that_is_gone_is_refused() -> None:
    of = unit()
    reading = read_line("knobs", of)
    stranger = reading._replace(step=reading.step.model_copy(update={"inside": "SP"}))
    with pytest.raises(InputError, match="no sub-assembly SP"):
        kept_from_line(of, stranger, at=NOW)


def test_one_key_goes_through_the_places_for_what_came_off() -> None:
    of = unit(step("T01", bag="3", fasteners=[fastener("nut M4")]), step("T02", box="1", bag="2"))
    draft = step("T03")
    places = []
    for _ in range(5):
        draft = with_next_place(draft, of)
        places.append((draft.bag, draft.box))
    assert places == [("4", ""), ("2", ""), ("", "2"), ("", ""), ("4", "")]


def test_a_place_typed_by_hand_gives_way_to_the_next_bag() -> None:
    draft = with_next_place(step("T02", bag="cup"), unit(step("T01")))
    assert (draft.bag, draft.box) == ("1", "")


def test_a_danger_that_the_unit_names_brings_its_advice_and_overwrites_none() -> None:
    of = unit(hazards=[hazard("Stored charge", "bleed it", "below 10 V")])
    first = kept(of, "capacitor, danger  stored  charge").steps[0].hazards
    assert [(str(h.signal), h.do, h.prove) for h in first] == [("DANGER", "bleed it", "below 10 V")]
    own = unit(
        step("T01", hazards=[hazard("stored charge", "short it slowly", "")]),
        hazards=[hazard("Stored charge", "bleed it", "below 10 V")],
    )
    (changed,) = kept(own, "capacitor, warning stored charge", "T01").steps[0].hazards
    assert (changed.do, changed.prove) == ("short it slowly", "below 10 V")


def test_a_danger_with_the_name_of_a_usual_one_brings_what_is_usually_done_into_the_record() -> None:
    (charge,) = kept(unit(), "capacitor, danger stored charge").steps[0].hazards
    usual = next(h for of in hazard_classes() for h in of.hazards if h.what == "stored charge")
    assert (str(charge.signal), charge.do, charge.prove) == ("DANGER", usual.do, usual.prove)
    (own,) = kept(unit(), "lid, danger loose glass eye").steps[0].hazards
    assert (own.do, own.prove) == ("", "")


def test_dangers_are_offered_once_and_only_with_a_name() -> None:
    of = unit(
        step("T01", hazards=[hazard("mains  voltage"), hazard("spring")]),
        step("T02", hazards=kept(unit(), "x, hazard").steps[0].hazards),
        hazards=[hazard("Mains voltage")],
    )
    assert [h.what for h in known_hazards(of)] == ["Mains voltage", "spring"]


def test_a_step_of_a_unit_that_is_itself_a_pair_is_for_each_of_it_unless_it_says_once() -> None:
    lamps = unit(step("T01", "plugs"), sets=[part_set("P", ("L", "R"), whole_unit=True)], name="two lamps")
    for line, each_of, again in (
        ("shade off, 2 nut M4", "P", "shade off, 2 nut M4"),
        ("carton, once", "", "carton, once"),
        ("shade, each P, bag 1", "P", "shade, bag 1"),
    ):
        read = read_line(line, lamps)
        assert (read.step.each_of, read.unknown) == (each_of, ())
        assert line_of(lamps, read.step) == again
        assert read_line(again, lamps).step == read.step
    kept = kept_from_line(lamps, read_line("shade off, 2 nut M4", lamps), at=at("2026-03-12 20:00"))
    assert kept.steps[-1].each_of == "P"


def test_once_is_a_note_where_the_unit_is_one_thing() -> None:
    assert read_line("carton, once", unit()).step.note == "once"
