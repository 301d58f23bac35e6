"""Two copies of a unit that went their own ways, joined: what stands, what is renumbered, what is asked."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from logbook.errors import InputError
from logbook.joining import Joined, Side, chosen, joined, values_of
from logbook.model.edits import drop_step
from logbook.model.left_by_joining import in_another_bag, left_open
from logbook.model.paths import put_at, value_at
from logbook.model.shop import Shop
from logbook.model.step import Relation
from logbook.model.unit import LineState, Refit, SubAssembly, Unit
from logbook.model.words import RelationKind, Stage
from logbook.model.work import Operation
from tests.builders import at, hold, part_set, relation, screws, step, unit, wire

BENCH, DESK = "AB, 2026-03-12 20:41", "CD, 2026-03-12 21:10"
BEFORE = unit(step("T01", "plug out"), step("T02", "back panel", bag="1"), step("T03", "chassis"))


def join(bench: Unit, desk: Unit, before: Unit = BEFORE) -> Joined[Unit]:
    """Joined, in either order: the same comes of it."""
    one = Side(bench, BENCH, at("2026-03-12 18:00"), "a")
    other = Side(desk, DESK, at("2026-03-12 19:00"), "b")
    result = joined(before, one, other)
    assert joined(before, other, one) == result
    return result


def grown(base: Unit, *steps: Any) -> Unit:
    return base.model_copy(update={"steps": (*base.steps, *steps)})


def moment(clock: str) -> datetime:
    return at(f"2026-03-12 {clock}")


def questions(result: Joined[Unit]) -> list[str]:
    return [look.what for look in result.to_look_at]


def test_edits_of_different_fields_and_records_both_stand() -> None:
    bench = put_at(BEFORE, ("steps", "T02", "bag"), "4")
    desk = put_at(put_at(BEFORE, ("steps", "T02", "note"), "scratched"), ("notes",), "for the club house")
    result = join(bench, desk)
    assert (result.record.steps[1].bag, result.record.steps[1].note) == ("4", "scratched")
    assert result.record.notes == "for the club house"
    assert not result.to_look_at


def test_new_steps_are_ordered_in_time_and_a_number_given_twice_becomes_a_new_one() -> None:
    bench = grown(BEFORE, step("T04", "dial", at=moment("18:05")), step("T05", "pointer", at=moment("18:20")))
    desk = grown(
        BEFORE,
        step("T04", "valve", at=moment("18:10"), bag="7", connections=[wire("W1", "valve", "tag 2")]),
        step("T05", "socket", at=moment("18:15")),
    )
    desk = desk.model_copy(
        update={
            "relations": (relation("T04", "T05"),),
            "operations": (Operation(code="B01", name="clean the socket", for_steps=("T05",)),),
            "sub_assemblies": (SubAssembly(code="A1", name="valve shelf", came_out_at="T04"),),
            "refit": Refit(lines=(LineState(line="T04:tighten", done=True),)),
        }
    )
    result = join(bench, desk)
    assert [s.code for s in result.record.steps] == ["T01", "T02", "T03", "T04", "T06", "T07", "T05"]
    assert [s.what for s in result.record.steps[3:]] == ["dial", "valve", "socket", "pointer"]
    assert result.record.relations == (relation("T06", "T07"),)
    assert result.record.operations[0].for_steps == ("T07",)
    assert result.record.sub_assemblies[0].came_out_at == "T06"
    assert result.record.refit.lines[0].line == "T06:tighten"
    assert "The number T04 was given twice. T04 valve is T06 now: write it on bag 7." in questions(result)


def test_the_same_step_written_on_both_sides_is_one_step() -> None:
    here = step("T04", "dial", at=moment("18:05"), note="cord kept")
    there = step("T04", "dial", at=moment("18:05"), bag="4")
    result = join(grown(BEFORE, here), grown(BEFORE, there))
    assert [(s.code, s.bag, s.note) for s in result.record.steps[3:]] == [("T04", "4", "cord kept")]
    assert not result.renumbered


def test_one_field_changed_on_both_sides_keeps_both_values_and_asks_once() -> None:
    bench, desk = (put_at(BEFORE, ("steps", "T02", "bag"), bag) for bag in ("4", "5"))
    result = join(bench, desk)
    (look,) = result.to_look_at
    assert look.what == f"step T02, its bag: “4” ({BENCH}) or “5” ({DESK})?"
    assert result.record.to_look_at == (look,)
    assert values_of(result.record, look) == ("4", "5")
    first, second = (chosen(result.record, look, first=which) for which in (True, False))
    assert (first.steps[1].bag, second.steps[1].bag) == ("4", "5")
    assert first.to_look_at == second.to_look_at == ()
    with pytest.raises(InputError, match="settled already"):
        chosen(first, look)


@pytest.mark.parametrize(
    ("path", "here", "there"),
    [
        (("stage",), Stage.REBUILD, Stage.TEARDOWN),
        (("steps", "T02", "fasteners"), (screws(4),), (screws(4), screws(2, kind="bolt M4x20"), screws(4))),
        (("due",), at("2026-05-01").date(), at("2026-06-01").date()),
        (("steps", "T02", "wires"), 3, 4),
    ],
)
def test_any_kind_of_value_can_be_chosen_from_two(path: tuple[str, ...], here: Any, there: Any) -> None:
    bench, desk = (put_at(BEFORE, path, value) for value in (here, there))
    result = join(bench, desk)
    (look,) = result.to_look_at
    assert all(values_of(result.record, look))
    for first, value in ((True, here), (False, there)):
        assert value_at(chosen(result.record, look, first=first), path) == value


def test_ticks_join_and_one_whose_line_was_changed_is_looked_at() -> None:
    bench = BEFORE.model_copy(update={"refit": Refit(lines=(LineState(line="T02", done=True, initials="AB"),))})
    desk = put_at(BEFORE, ("steps", "T02", "fasteners"), (screws(6),))
    ticked = LineState(line="T01", done=True, initials="CD", reading="5")
    desk = desk.model_copy(update={"refit": Refit(lines=(ticked,))})
    result = join(bench, desk)
    assert {(x.line, x.initials) for x in result.record.refit.lines} == {("T01", "CD"), ("T02", "AB")}
    assert questions(result) == [f"T02 was ticked ({BENCH}) while its step was changed ({DESK}). Look again."]


def test_one_line_ticked_on_both_sides_is_ticked_once_as_it_was_first() -> None:
    sides = [
        BEFORE.model_copy(update={"refit": Refit(lines=(LineState(line="T02", done=True, initials=by, at=when),))})
        for by, when in (("AB", moment("20:00")), ("CD", moment("19:00")))
    ]
    result = join(*sides)
    assert [(x.initials, x.at) for x in result.record.refit.lines] == [("CD", moment("19:00"))]
    assert not result.to_look_at


def test_a_check_that_was_done_while_it_was_changed_is_done_again() -> None:
    before = put_at(BEFORE, ("steps", "T02", "hold"), hold("H1", "insulation", limit="over 1 megohm"))
    bench = put_at(before, ("steps", "T02", "hold", "reading"), "1.5 megohms")
    desk = put_at(before, ("steps", "T02", "hold", "limit"), "over 2 megohms")
    result = join(bench, desk, before)
    assert questions(result) == [
        f"step T02, its hold: the check was done ({BENCH}) while it was changed ({DESK}). Do it again."
    ]


def test_what_one_side_took_out_and_the_other_changed_stays_and_is_asked() -> None:
    bench = drop_step(BEFORE, "T02")
    desk = put_at(BEFORE, ("steps", "T02", "bag"), "5")
    result = join(bench, desk)
    assert [s.code for s in result.record.steps] == ["T01", "T02", "T03"]
    (look,) = result.to_look_at
    assert f"step T02: taken out ({BENCH})" in look.what
    assert [s.code for s in chosen(result.record, look, first=True).steps] == ["T01", "T03"]
    assert chosen(result.record, look, first=False).steps == result.record.steps


def test_what_nobody_changed_is_gone_when_one_side_took_it_out() -> None:
    result = join(drop_step(BEFORE, "T02"), put_at(BEFORE, ("notes",), "x"))
    assert [s.code for s in result.record.steps] == ["T01", "T03"]
    assert not result.to_look_at


def test_a_thing_that_was_taken_out_stays_when_the_other_side_names_it() -> None:
    before = BEFORE.model_copy(update={"sets": (part_set("D"),)})
    bench = before.model_copy(update={"sets": ()})
    desk = grown(before, step("T04", "drawer front", each_of="D"))
    result = join(bench, desk, before)
    assert [s.code for s in result.record.sets] == ["D"]
    assert "wrote something that names it" in questions(result)[0]


def test_orders_that_exclude_each_other_leave_one_out_and_say_so() -> None:
    bench = BEFORE.model_copy(update={"relations": (relation("T01", "T03"),)})
    desk = BEFORE.model_copy(update={"relations": (relation("T03", "T01"),)})
    result = join(bench, desk)
    assert len(result.record.relations) == 1
    assert "would close a circle and is left out" in questions(result)[0]


def test_hours_of_both_sides_count() -> None:
    before = BEFORE.model_copy(update={"minutes_worked": 100})
    bench, desk = (before.model_copy(update={"minutes_worked": n}) for n in (130, 115))
    assert join(bench, desk, before).record.minutes_worked == 145


def test_a_bag_begun_on_both_sides_is_looked_at() -> None:
    bench = grown(BEFORE, step("T04", "dial", bag="9", at=moment("18:00")))
    desk = grown(BEFORE, step("T05", "valve", bag="9", at=moment("18:10")))
    result = join(bench, desk)
    asked = f"Bag 9 was begun on both sides: for T04 dial ({BENCH}) and for T05 valve ({DESK}). One bag, or two?"
    assert questions(result) == [asked]
    assert [look.what for look in left_open(result.record)] == [asked]


def test_a_bag_in_doubt_is_asked_until_a_person_says_what_it_is() -> None:
    bench = grown(BEFORE, step("T04", "dial", bag="9"), step("T05", "knob", fasteners=[screws(2, bag="9")]))
    desk = grown(BEFORE, step("T04", "valve", bag="9"))
    record = join(bench, desk).record
    (look,) = (one for one in left_open(record) if one.bag)
    assert (look.first_steps, look.second_steps) == (("T04", "T05"), ("T06",))
    one_bag = chosen(record, look)
    assert (one_bag.steps, look in left_open(one_bag)) == (record.steps, False)
    two_bags = in_another_bag(record, look, first=True, bag=" 10 ")
    assert [step.bag for step in two_bags.steps[3:]] == ["10", "", "9"]
    assert two_bags.steps[4].fasteners[0].bag == "10"
    assert look not in two_bags.to_look_at
    by_hand = put_at(record, ("steps", "T06", "bag"), "11")
    assert look not in left_open(by_hand), "it was renamed in its form"
    assert look in left_open(put_at(by_hand, ("steps", "T06", "bag"), "9"))


@pytest.mark.parametrize(("bag", "why"), [("", "Type the number"), ("9", "Bag 9 is there already. 10 is free.")])
def test_a_bag_is_not_told_apart_by_a_name_that_says_nothing(bag: str, why: str) -> None:
    record = join(grown(BEFORE, step("T04", "dial", bag="9")), grown(BEFORE, step("T05", "valve", bag="9"))).record
    (look,) = left_open(record)
    with pytest.raises(InputError, match=why):
        in_another_bag(record, look, first=False, bag=bag)


def test_words_that_speak_of_an_old_number_are_named() -> None:
    bench = grown(BEFORE, step("T04", "dial", at=moment("18:05")))
    desk = grown(BEFORE, step("T04", "valve", at=moment("18:10")), step("T05", "socket", note="after T04 is cold"))
    assert any(
        "“after T04 is cold” speaks of an old number (T04 is T06 now)" in q for q in questions(join(bench, desk))
    )


def test_relations_stated_on_both_sides_stand_once() -> None:
    same = (Relation(kind=RelationKind.MUST, earlier="T01", later="T02"),)
    sides = [BEFORE.model_copy(update={"relations": same})] * 2
    assert join(*sides).record.relations == same


def test_the_shop_joins_as_a_unit_does() -> None:
    before = Shop()
    one = put_at(before, ("settings", "time_zone"), "Europe/Paris")
    other = put_at(before, ("settings", "quiet_from"), "20:30")
    result = joined(before, Side(one, BENCH, moment("18:00")), Side(other, DESK, moment("19:00")))
    assert (result.record.settings.time_zone, result.record.settings.quiet_from) == ("Europe/Paris", "20:30")
