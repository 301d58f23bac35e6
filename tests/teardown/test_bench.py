"""What the bench screen offers beside the step being written."""

from __future__ import annotations

from logbook.model.step import Measurement
from logbook.model.unit import Arrival, BagCount, Refit
from logbook.model.words import Disposition, SignalWord
from logbook.teardown.beside_the_step import (
    active_hazards,
    before_this,
    next_bag,
    next_box,
    same_kinds,
    stop_questions,
)
from logbook.teardown.draft import with_same
from tests.builders import (
    at,
    component,
    fastener,
    hazard,
    mm,
    one_way,
    part_set,
    renewed,
    scrapped,
    step,
    unit,
)


def kinds(*of_steps: object, limit: int = 9) -> list[tuple[int, str]]:
    return [(f.holes, f.kind) for f in same_kinds(unit(*of_steps), limit)]  # type: ignore[arg-type]


def test_kinds_of_the_latest_step_come_first_in_their_order_each_with_its_last_count() -> None:
    first = step("T01", fasteners=[fastener("screw 3.5x16", 6, 5), fastener("nut M4", 1)])
    second = step("T02", fasteners=[fastener("bolt M4x10", 1), fastener("nut M4", 3)])
    assert kinds(first, second) == [(1, "bolt M4x10"), (3, "nut M4"), (6, "screw 3.5x16")]
    assert kinds(first, second, limit=2) == [(1, "bolt M4x10"), (3, "nut M4")]
    assert kinds() == []


def test_a_kind_offered_again_is_whole_and_has_no_bag_of_the_step_before() -> None:
    before = step(fasteners=[scrapped("staple", 16, 14, bag="3"), fastener("screw", 6, 5, detail={"head": "round"})])
    assert same_kinds(unit(before)) == (scrapped("staple", 16), fastener("screw", 6))
    shim = fastener("shim 0.8", 1, piece=True)
    assert same_kinds(unit(step(fasteners=[shim]))) == (shim,)
    assert with_same(step(), shim).fasteners == (shim,)


def test_kinds_that_only_a_planned_step_names_come_last() -> None:
    assert kinds(step("T01", fasteners=[fastener("a")]), step("T02", fasteners=[fastener("b")], planned=True)) == [
        (1, "a"),
        (1, "b"),
    ]


def test_kinds_of_a_member_that_differs_are_offered_too() -> None:
    differing = step(
        fasteners=[fastener("screw 3x20", 2)],
        each_of="D",
        differences=[{"member": "D2", "fasteners": (fastener("screw 3x25", 2),)}],
    )
    assert kinds(differing) == [(2, "screw 3x20"), (2, "screw 3x25")]


def test_the_next_bag_is_one_more_than_the_highest_number_used_anywhere() -> None:
    assert next_bag(unit()) == "1"
    assert next_bag(unit(step(bag="A"), step("T02", bag="left"))) == "1"
    assert next_bag(unit(step(bag="9"), step("T02", bag="2"))) == "10"
    assert next_bag(unit(step(bag="2", fasteners=[fastener("nut", bag="7")]))) == "8"
    assert next_bag(unit(step(each_of="D", differences=[{"member": "D1", "bag": "12"}]), sets=[part_set()])) == "13"
    assert next_bag(unit(step(bag="2"), components=[component(where_kept="bag 5 in box 1")])) == "6"
    counted = BagCount(bag="20", kind="nut", recorded=1, counted=1)
    assert next_bag(unit(step(bag="2"), refit=Refit(counts=(counted,)))) == "21"
    writing = step("T02", bag="9", fasteners=[fastener("nut", bag="3"), fastener("washer", bag="4")])
    assert next_bag(unit(step(bag="2")), writing) == "5", "its own place is what the key goes on from"


def test_the_next_box_looks_at_steps_and_components() -> None:
    assert next_box(unit()) == "1"
    assert next_box(unit(step(box="3", bag="9"))) == "4"
    assert next_box(unit(step(box="1"), components=[component(where_kept="Box 6, upright")])) == "7"


def test_before_this_is_the_last_step_done_in_one_line() -> None:
    clip = step("T08", "mains-cord\nclip", bag="3", box="1", note="two\nlines")
    planned = step("T09", "cord", planned=True)
    assert before_this(unit(clip, planned)) == "T08  mains-cord clip, unscrewed, bag 3, box 1, two lines"
    assert before_this(unit(planned)) == ""
    assert before_this(unit(step("T07", "lamp"), clip), "T08") == "T07  lamp, unscrewed", "while T08 is put right"
    assert before_this(unit(clip), "T08") == ""


EVENING = at("2026-03-12 22:00")
"""The evening of the steps below."""


def read(text: str = "", *, value: str = "", moment: str = "2026-03-12 20:41") -> Measurement:
    return Measurement(what="capacitor", text=text, value=mm(value) if value else None, at=at(moment))


def test_a_hazard_is_in_force_until_a_reading_at_a_step_of_the_same_danger_and_is_listed_after_it() -> None:
    radio = unit(
        step("T02", hazards=[hazard("stored  Charge")]),
        step(
            "T03",
            hazards=[hazard("stored charge")],
            measurements=[read("0.4 V"), read("0.2 V", moment="2026-03-12 20:44")],
        ),
        step("T04", measurements=[read("3 ohm")]),
        hazards=[hazard("mains voltage", do="Unplug."), hazard("stored charge")],
    )  # fmt: skip
    mains, charge = active_hazards(radio, EVENING)
    assert (mains.hazard.what, mains.proof) == ("mains voltage", None)
    assert mains.sentence == "WARNING mains voltage: not proved safe. Unplug."
    assert charge.proof is not None
    assert (charge.proof.step, charge.proof.reading, charge.proof.at) == ("T03", "0.4 V, 0.2 V", at("2026-03-12 20:44"))
    assert charge.sentence == "WARNING stored charge: proved safe at 20:44: 0.4 V, 0.2 V, at T03."
    assert charge.source == "the unit"


def test_a_reading_of_a_planned_step_or_without_a_value_proves_nothing() -> None:
    unread = step("T01", hazards=[hazard("spring")], measurements=[read()])
    planned = step("T02", hazards=[hazard("spring")], measurements=[read("0 N")], planned=True)
    assert [a.proof for a in active_hazards(unit(unread, planned), EVENING)] == [None]
    done = step("T02", hazards=[hazard("spring")], measurements=[read(value="12.5")], at=at("2026-03-12 21:00"))
    assert [a.proof.reading for a in active_hazards(unit(unread, done), EVENING) if a.proof] == ["12.5 mm"]


def test_the_latest_proof_counts() -> None:
    steps = [step(f"T0{i}", hazards=[hazard("charge")], measurements=[read(f"{i} V")]) for i in (1, 2)]
    assert [a.proof.step for a in active_hazards(unit(*steps), EVENING) if a.proof] == ["T02"]


def test_lasting_dangers_of_steps_done_stay_and_passing_ones_end_with_their_step() -> None:
    radio = unit(
        step("T01", hazards=[hazard("mains"), hazard("glass", signal=SignalWord.CAUTION)]),
        step("T02", hazards=[hazard("gas", signal=SignalWord.DANGER)]),
        step("T03", hazards=[hazard("later")], planned=True),
    )
    # Order of signal words from the worst down as in ANSI Z535.6 and ISO 3864-2.
    assert [a.sentence.split(":")[0] for a in active_hazards(radio, EVENING)] == ["DANGER gas", "WARNING mains"]
    assert [a.source for a in active_hazards(radio, EVENING)] == ["step T02", "step T01"]


def test_hazards_of_the_class_and_of_components_kept_are_in_force_and_those_handed_in_are_not() -> None:
    kept = component("K1", hazards=[hazard("toxic filling", signal=SignalWord.CAUTION)])
    gone = component(
        "K2",
        hazards=[hazard("mercury")],
        disposition=Disposition.HAZARDOUS,
        disposal={"where": "collection point", "on": at("2026-03-13").date()},
    )
    radio = unit(components=[kept, gone], arrival=Arrival(object_class="valve radio"))
    found = active_hazards(radio, EVENING, of_class=[hazard("mains voltage")])
    assert [(a.hazard.what, a.source) for a in found] == [
        ("mains voltage", "class valve radio"),
        ("toxic filling", "component K1"),
    ]


def test_stop_questions_stay_open_until_answered_or_until_a_reason_stands_for_them() -> None:
    assert stop_questions(step()) == ()
    asked = stop_questions(step(one_way=one_way(measured=False)))
    assert [q.answer for q in asked] == ["measured", "traced", "photographed", "pattern_kept", "held_twice"]
    assert all(q.question.endswith("?") for q in asked)
    some = stop_questions(step(one_way=one_way(traced=True, held_twice=True)))
    assert [q.answer for q in some] == ["measured", "photographed", "pattern_kept"]
    assert stop_questions(step(one_way=one_way(measured=False, skipped_because="rotten through"))) == ()


def test_renewed_kinds_are_offered_to_be_renewed_again() -> None:
    assert same_kinds(unit(step(fasteners=[renewed("bush", 8)]))) == (renewed("bush", 8),)
