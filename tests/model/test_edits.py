"""Edits of a unit: a new record that shares what stayed the same, or a sentence and nothing changed."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from logbook.errors import CircleError, InputError
from logbook.model.document import UnitDocument, read_document, structure_problems, write_document
from logbook.model.edits import (
    change_step,
    drop_step,
    free_code,
    keep_step,
    next_step_code,
    relate,
    replaced,
    state_order,
    unrelate,
    with_changes,
)
from logbook.model.precedence import precedence
from logbook.model.step import MemberDifference
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from tests.builders import (
    chain,
    codes,
    component,
    handed_pair,
    lump,
    part_set,
    relation,
    screws,
    step,
    steps,
    unit,
)

NAMES = ("must", "better", "together", "loosen", "threaded", "test")


@pytest.mark.parametrize(
    ("letter", "there", "following"),
    [
        ("T", (), "T01"),
        ("T", ("T01", "T02"), "T03"),
        ("T", ("T09",), "T10"),
        ("T", ("T99",), "T100"),
        ("T", ("T03", "T01"), "T04"),
        ("T", ("T11a", "T11b"), "T12"),
        ("T", ("G07",), "T01"),
        ("G", ("T20", "G07"), "G08"),
        ("TT", ("T20", "TT05"), "TT06"),
        ("", ("T04",), "T05"),
    ],
)
def test_next_code(letter: str, there: tuple[str, ...], following: str) -> None:
    assert next_step_code(unit(*(step(c) for c in there), step_letter=letter)) == following


def test_next_code_when_the_numbers_are_used_up() -> None:
    with pytest.raises(InputError, match="R1 has a step T9999 already"):
        next_step_code(unit(step("T9999")))


@given(
    st.lists(st.from_regex(r"\A[A-Z]{1,2}[0-9]{1,3}[a-z]?\Z"), unique=True, max_size=8), st.sampled_from(["T", "G", ""])
)
def test_next_code_is_free_and_can_be_kept(there: list[str], letter: str) -> None:
    grown = unit(*(step(c) for c in there), step_letter=letter)
    code = next_step_code(grown)
    assert code not in there
    assert codes(keep_step(grown, step(code)).steps) == [*there, code]


def test_a_kept_step_is_the_last_and_what_stayed_is_shared() -> None:
    before = unit(*steps(3), components=[component()])
    after = keep_step(before, step("T04", "knobs"))
    assert codes(after.steps) == ["T01", "T02", "T03", "T04"]
    assert codes(before.steps) == ["T01", "T02", "T03"], "the old record is as it was"
    assert after.components is before.components
    assert all(a is b for a, b in zip(after.steps, before.steps, strict=False))
    assert after.steps[-1].order is OrderBasis.PROVEN


def test_a_step_kept_after_others_rests_on_what_is_stated() -> None:
    kept = keep_step(unit(*steps(3)), step("T04"), after=["T01", "T03", "T01"])
    assert kept.steps[-1].order is OrderBasis.STATED
    assert kept.relations == (relation("T01", "T04"), relation("T03", "T04"))


@pytest.mark.parametrize(
    ("kept", "after", "says"),
    [
        (step("T02"), (), "R1 already has a step T02."),
        (step("T04"), ("T09",), "R1 has no step T09, so nothing can be said about its order."),
        (step("T04"), ("T04",), "T04 cannot come before itself."),
        (step("T04", each_of="X"), (), "R1 has no set X; describe the set first."),
        (step("T04", inside="CH"), (), "R1 has no sub-assembly CH; describe it first."),
        (
            step("T04", each_of="D", differences=[MemberDifference(member="D9")]),
            (),
            "T04 tells a difference of D9, which is no member of its set.",
        ),
        (
            step("T04", differences=[MemberDifference(member="D1")]),
            (),
            "T04 tells a difference of D1, which is no member",
        ),
    ],
)
def test_a_step_that_cannot_be_kept(kept: Any, after: tuple[str, ...], says: str) -> None:
    with pytest.raises(InputError) as caught:
        keep_step(unit(*steps(3), sets=[part_set("D", 4)]), kept, after)
    assert says in str(caught.value)


def test_a_changed_step_stays_in_its_place() -> None:
    before = unit(*steps(3), relations=chain("T01", "T02", "T03"))
    after = change_step(before, step("T02", "knobs", fasteners=[screws(4)]))
    assert codes(after.steps) == ["T01", "T02", "T03"]
    assert after.steps[1].what == "knobs"
    assert after.steps[0] is before.steps[0]
    assert after.relations is before.relations


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        (step("T09"), "R1 has no step T09."),
        (step("T02", each_of="X"), "R1 has no set X"),
        (step("T02", inside="XX"), "R1 has no sub-assembly XX"),
    ],
)
def test_a_step_that_cannot_be_changed(changed: Any, says: str) -> None:
    with pytest.raises(InputError, match=says):
        change_step(unit(*steps(3)), changed)


def test_a_step_moved_into_a_lump_it_must_precede_draws_the_circle() -> None:
    radio = unit(*steps(3), sub_assemblies=[lump("CH", "T03")], relations=[relation("T01", "T03")])
    with pytest.raises(CircleError) as caught:
        change_step(radio, step("T01", inside="CH"))
    assert set(caught.value.steps) == {"T01", "T03"}
    assert change_step(radio, step("T02", inside="CH")).steps[1].inside == "CH"


def test_a_dropped_step_takes_its_relations_along() -> None:
    radio = unit(*steps(4), relations=[*chain("T01", "T02", "T03"), relation("T03", "T04", "better")])
    after = drop_step(radio, "T02")
    assert codes(after.steps) == ["T01", "T03", "T04"]
    assert after.relations == (relation("T03", "T04", "better"),)


@pytest.mark.parametrize(
    ("code", "says"),
    [("T09", "R1 has no step T09."), ("T02", "T02 cannot be taken out: the sub-assembly CH chassis came out at it.")],
)
def test_a_step_that_cannot_be_dropped(code: str, says: str) -> None:
    with pytest.raises(InputError) as caught:
        drop_step(unit(*steps(3), sub_assemblies=[lump("CH", "T02")]), code)
    assert str(caught.value) == says


@pytest.mark.parametrize(
    ("kind", "basis"), [(k, OrderBasis.STATED if k == "must" else OrderBasis.PROVEN) for k in NAMES]
)
def test_only_must_makes_the_later_step_rest_on_what_is_stated(kind: str, basis: OrderBasis) -> None:
    after = relate(unit(*steps(3)), relation("T01", "T03", kind))
    assert after.relations == (relation("T01", "T03", kind),)
    assert after.steps[2].order is basis
    assert after.steps[0].order is OrderBasis.PROVEN


@pytest.mark.parametrize(
    ("stated", "says"),
    [
        (relation("T09", "T01"), "R1 has no step T09, so nothing can be said about its order."),
        (relation("T01", "T09"), "R1 has no step T09"),
        (relation("T01", "T02", why="again"), "It is already stated: T01 must come off before T02."),
        (relation("T02", "T02", "better"), "T02 cannot come before itself."),
        (relation("T03", "T01"), "T03 must come off before T01"),
        (relation("T02", "T01", "loosen"), "T02 is loosened before T01"),
        (relation("T02", "T01", "test"), "T02 covers and so came off before T01"),
    ],
)
def test_a_relation_that_cannot_be_stated(stated: Any, says: str) -> None:
    radio = unit(*steps(3), relations=chain("T01", "T02", "T03"))
    with pytest.raises(InputError) as caught:
        relate(radio, stated)
    assert says in str(caught.value)


def test_a_circle_names_its_steps_in_order() -> None:
    radio = unit(*steps(4), relations=chain("T01", "T02", "T03"))
    with pytest.raises(CircleError) as caught:
        relate(radio, relation("T03", "T01"))
    around = caught.value.steps
    assert sorted(around) == ["T01", "T02", "T03"]
    start = around.index("T01")
    assert around[start:] + around[:start] == ("T01", "T02", "T03")


@pytest.mark.parametrize("kind", ["better", "threaded"])
def test_what_only_prefers_closes_no_circle(kind: str) -> None:
    radio = unit(*steps(2), relations=chain("T01", "T02"))
    assert len(relate(radio, relation("T02", "T01", kind)).relations) == 2


def test_the_same_steps_may_have_relations_of_two_kinds() -> None:
    radio = relate(unit(*steps(2)), relation("T01", "T02"))
    assert [r.kind for r in relate(radio, relation("T01", "T02", "threaded")).relations] == [
        RelationKind.MUST,
        RelationKind.THREADED,
    ]


def test_a_relation_taken_back() -> None:
    radio = relate(unit(*steps(2)), relation("T01", "T02", why="in the way"))
    after = unrelate(radio, relation("T01", "T02", why="in the way"))
    assert after.relations == ()
    assert after.steps[1].order is OrderBasis.STATED, "its basis is taken back only by stating it anew"
    with pytest.raises(InputError, match="It is not stated: T01 must come off before T02"):
        unrelate(after, relation("T01", "T02"))


def test_basis_of_the_order() -> None:
    radio = unit(*steps(2))
    after = state_order(radio, "T02", OrderBasis.STATED)
    assert [s.order for s in after.steps] == [OrderBasis.PROVEN, OrderBasis.STATED]
    assert state_order(radio, "T02", OrderBasis.PROVEN) is radio, "nothing to change, so nothing is written"
    with pytest.raises(InputError, match="R1 has no step T09"):
        state_order(radio, "T09", OrderBasis.STATED)


def test_changes_are_validated_like_what_is_read() -> None:
    knob = component("KN", "knob")
    assert with_changes(knob, quantity=4).quantity == 4
    assert knob.quantity == 1
    for wrong in ({"quantity": "4"}, {"quantity": -1}, {"name": ""}, {"colour": "black"}):
        with pytest.raises(ValidationError):
            with_changes(knob, **wrong)


def test_changes_keep_what_is_nested() -> None:
    radio = unit(step("T01", fasteners=[screws(6, 5)]), sets=[handed_pair()])
    after = with_changes(radio, name="radio")
    assert after.name == "radio"
    assert after.steps == radio.steps
    assert after.sets == radio.sets


def test_one_thing_replaced() -> None:
    things = (component("V1", "valve"), component("V2", "valve"))
    assert [t.name for t in replaced(things, component("V2", "spare"), "R1 has no component")] == ["valve", "spare"]
    with pytest.raises(InputError, match=r"^R1 has no component V9\.$"):
        replaced(things, component("V9", "x"), "R1 has no component")


@pytest.mark.parametrize(
    ("taken", "free"), [((), "N1"), (("N1", "N2"), "N3"), (("N2",), "N1"), (("N1", "N3"), "N2"), (("M1",), "N1")]
)
def test_free_code(taken: tuple[str, ...], free: str) -> None:
    assert free_code("N", taken) == free


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_whatever_is_edited_can_be_written_and_read(data: st.DataObject) -> None:
    """Any row of edits leaves a record without contradiction; an edit that was refused changed nothing."""
    radio = unit(*steps(3), sets=[part_set("D", 2)], sub_assemblies=[lump("CH", "T01")])
    for _ in range(data.draw(st.integers(1, 12))):
        before = radio.model_dump_json()
        try:
            radio = data.draw(EDITS)(radio, data)
        except InputError:
            assert radio.model_dump_json() == before
    assert not list(structure_problems(radio))
    precedence(radio)
    kept = UnitDocument(logbook="unit", version=1, unit=radio)
    assert read_document(write_document(kept)) == kept


ANY_CODE = st.integers(1, 8).map(lambda n: f"T{n:02d}")
ANY_RELATION = st.builds(relation, ANY_CODE, ANY_CODE, st.sampled_from(NAMES))
ANY_STEP = st.builds(
    lambda code, each, inside, member: step(
        code, each_of=each, inside=inside, differences=[MemberDifference(member=member)] if member else []
    ),
    ANY_CODE,
    st.sampled_from(["", "", "D", "X"]),
    st.sampled_from(["", "", "CH", "XX"]),
    st.sampled_from(["", "", "D1", "D9"]),
)


def _keep(radio: Unit, data: st.DataObject) -> Unit:
    return keep_step(radio, data.draw(ANY_STEP), data.draw(st.lists(ANY_CODE, max_size=3)))


def _change(radio: Unit, data: st.DataObject) -> Unit:
    return change_step(radio, data.draw(ANY_STEP))


def _drop(radio: Unit, data: st.DataObject) -> Unit:
    return drop_step(radio, data.draw(ANY_CODE))


def _relate(radio: Unit, data: st.DataObject) -> Unit:
    return relate(radio, data.draw(ANY_RELATION))


def _unrelate(radio: Unit, data: st.DataObject) -> Unit:
    return unrelate(radio, data.draw(st.sampled_from(radio.relations) if radio.relations else ANY_RELATION))


def _state(radio: Unit, data: st.DataObject) -> Unit:
    return state_order(radio, data.draw(ANY_CODE), data.draw(st.sampled_from(OrderBasis)))


EDITS = st.sampled_from([_keep, _change, _drop, _relate, _relate, _unrelate, _state])
