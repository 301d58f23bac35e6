"""Checks of what was written down: order, counts, bags, wires, one-way steps, guesses, holds, sizes, closing."""

from __future__ import annotations

from datetime import datetime

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.checks import Severity, check_book, check_unit
from logbook.model.casework_records import HeldDimension
from logbook.model.step import Disposal, MapPosition, MemberDifference, Remake
from logbook.model.unit import BagCount, LineState, Refit, Unit
from logbook.model.words import Action, Certainty, ConnectionKind, Disposition, HeldKind, SignalWord, Stage, WorkState
from logbook.reassembly import ledger
from tests.builders import (
    at,
    book,
    component,
    day,
    handed_pair,
    hazard,
    hold,
    lump,
    mm,
    one_way,
    operation,
    part,
    part_set,
    relation,
    renewed,
    scrapped,
    screws,
    shop,
    step,
    unit,
    wire,
)

NOW: datetime = at("2026-03-17 20:00")


def found(of: Unit, check: int | None = None) -> list[tuple[str, str]]:
    """What the checks say about a unit: short name and place, of one check or of all."""
    return [(p.code, p.place) for p in check_unit(of, shop(), NOW) if check in (None, p.check)]


def a_sound_radio(**more) -> Unit:
    """A small record in which no check finds anything."""
    fields = {
        "relations": [relation("T01", "T02"), relation("T02", "T03")],
        "components": [component("SP", from_step="T03", disposition=Disposition.KEEP)],
        "held_dimensions": [held()],
        "touched": at("2026-03-15 20:00"),
    }
    return unit(
        step("T01", "plug out", Action.RECORDED),
        step("T02", "back panel", fasteners=[screws(6, 6)], bag="1", connections=(wire(),), wires=1),
        step("T03", "baffle", fasteners=[scrapped("pin", 8)], one_way=one_way(), components=["SP"]),
        **{**fields, **more},
    )


def held(**more) -> HeldDimension:
    fields = {"value": mm("452"), "plus": mm("0.5"), "minus": mm("0.5"), "readings": (mm("452"), mm("452.2"))}
    return HeldDimension(code="H-W", what="inside width", **{**fields, **more})


def test_nothing_is_found_in_a_sound_record() -> None:
    assert found(a_sound_radio()) == []
    assert check_unit(unit(), shop(), NOW) == ()


def test_every_problem_is_a_sentence_with_its_unit_and_number() -> None:
    bad = a_sound_radio(
        relations=[relation("T01", "T09")], held_dimensions=[held(readings=())], stage=Stage.CLOSED, parts=[part()]
    )
    problems = check_unit(bad, shop(), NOW)
    assert [p.check for p in problems] == sorted(p.check for p in problems)
    assert len(problems) >= 3
    for p in problems:
        assert p.unit == "R1"
        assert p.sentence[0].isupper()
        assert p.sentence.endswith((".", "?"))


# Check 1 ---------------------------------------------------------------------------------------------


def test_a_circle_of_steps_is_drawn() -> None:
    bad = a_sound_radio(relations=[relation("T01", "T02"), relation("T02", "T03"), relation("T03", "T01")])
    (circle,) = [p for p in check_unit(bad, shop(), NOW) if p.code == "circle"]
    assert (circle.check, circle.severity) == (1, Severity.WRONG)
    assert sorted(circle.place.split()) == ["T01", "T02", "T03"]


@pytest.mark.parametrize(
    ("more", "code", "place"),
    [
        ({"relations": [relation("T01", "T09")]}, "no-such-step", "relation T01 T09"),
        ({"components": [component("SP", from_step="T09")]}, "no-such-step", "SP"),
        ({"parts": [part("N1", for_steps=["T09"])]}, "no-such-step", "N1"),
        ({"parts": [part("N1", for_components=["XX"])]}, "no-such-component", "N1"),
        ({"operations": [operation("B01", after=["B09"])]}, "no-such-operation", "B01"),
        ({"operations": [operation("B01", for_steps=["T09"])]}, "no-such-step", "B01"),
        ({"operations": [operation("B01", needs={"parts": ["N9"]})]}, "no-such-part", "B01"),
        ({"sub_assemblies": [lump("CH", "T09")]}, "no-such-step", "CH"),
    ],
)
def test_a_name_of_nothing(more: dict, code: str, place: str) -> None:
    fields = {"components": [component("SP", from_step="T03")], "relations": [], **more}
    assert (code, place) in found(a_sound_radio(**fields), 1)


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"components": ["XX"]}, "no-such-component"),
        ({"each_of": "D"}, "no-such-set"),
        ({"inside": "CH"}, "no-such-sub-assembly"),
        ({"one_way": one_way(measured=True, rebuilt_by=("B09",))}, "no-such-operation"),
    ],
)
def test_a_step_that_names_nothing(more: dict, code: str) -> None:
    assert found(unit(step("T01", **more)), 1) == [(code, "T01")]


def test_operations_that_wait_for_each_other() -> None:
    after = {"B01": ["B03"], "B02": ["B01"], "B03": ["B02"], "B04": ["B03"]}
    (problem,) = [
        p
        for p in check_unit(unit(operations=[operation(c, after=a) for c, a in after.items()]), shop(), NOW)
        if p.check == 1
    ]
    assert sorted(problem.place.split()) == ["B01", "B02", "B03"]


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=14))
def test_a_circle_of_operations_is_found_exactly_when_there_is_one(pairs: list[tuple[int, int]]) -> None:
    """Outside check: networkx."""
    operations = [operation(f"B{i:02d}", after=[f"B{a:02d}" for a, b in pairs if b == i]) for i in range(7)]
    problems = [p for p in check_unit(unit(operations=operations), shop(), NOW) if p.code == "operations-circle"]
    graph = nx.DiGraph(pairs)
    assert bool(problems) is not nx.is_directed_acyclic_graph(graph)
    if problems:
        circle = [int(c[1:]) for c in problems[0].place.split()]
        assert all(graph.has_edge(b, a) for a, b in zip(circle, [*circle[1:], circle[0]], strict=True))


def test_a_long_chain_of_operations_is_no_trouble() -> None:
    operations = [operation(f"B{i}", after=[f"B{i + 1}"] if i < 4999 else []) for i in range(5000)]
    assert found(unit(operations=operations), 1) == []


def test_many_ways_through_the_operations_are_no_trouble() -> None:
    """Sixty operations of which each waits for the next two: more ways through than could ever be walked."""
    operations = [operation(f"B{i}", after=[f"B{j}" for j in (i + 1, i + 2) if j < 60]) for i in range(60)]
    assert found(unit(operations=operations), 1) == []


# Check 2 ---------------------------------------------------------------------------------------------


def test_a_record_against_its_relations() -> None:
    assert found(a_sound_radio(relations=[relation("T03", "T02")]), 2) == [("recorded-against-relation", "T03 T02")]
    tested_first = a_sound_radio(relations=[relation("T03", "T02", "test")])
    assert found(tested_first, 2) == [], "a cover that came off after its test binds the way back only"
    assert found(a_sound_radio(relations=[relation("T03", "T02", "better")]), 2) == []
    assert found(a_sound_radio(relations=[relation("T03", "T02", "loosen")]), 2) != []


@given(st.permutations(range(5)), st.lists(st.tuples(st.integers(0, 4), st.integers(0, 4)), max_size=6, unique=True))
def test_the_recorded_order_is_topological_or_the_check_says_so(order: list[int], pairs: list[tuple[int, int]]) -> None:
    """Outside check: networkx knows every order of a graph without circles."""
    graph = nx.DiGraph((a, b) for a, b in pairs if a < b)
    graph.add_nodes_from(range(5))
    of = unit(
        *(step(f"T{i:02d}") for i in order), relations=[relation(f"T{a:02d}", f"T{b:02d}") for a, b in graph.edges]
    )
    assert (found(of, 2) == []) is (list(order) in list(nx.all_topological_sorts(graph)))


def test_inside_work_comes_after_its_lump_came_out() -> None:
    bad = unit(step("T01", inside="CH"), step("T02"), sub_assemblies=[lump("CH", "T02")])
    assert found(bad, 2) == [("recorded-against-relation", "T02 T01")]


def test_a_step_done_before_one_that_is_still_planned() -> None:
    of = unit(step("T01", planned=True), step("T02"), relations=[relation("T01", "T02")])
    assert found(of, 2) == [("done-before-planned", "T01 T02")]


def test_times_against_a_relation() -> None:
    early, late = at("2026-03-12 20:00"), at("2026-03-12 21:00")
    of = unit(step("T01", at=late), step("T02", at=early), relations=[relation("T01", "T02")])
    assert found(of, 2) == [("times-against-relation", "T01 T02")]
    assert found(unit(step("T01", at=early), step("T02", at=late), relations=[relation("T01", "T02")]), 2) == []


# Checks 3 and 4 --------------------------------------------------------------------------------------


def test_more_found_than_places() -> None:
    assert found(unit(step("T02", fasteners=[screws(5, 6)], bag="1")), 3) == [("found-over-holes", "T02")]
    assert found(unit(step("T02", fasteners=[screws(6, 5)], bag="1")), 3) == []


def test_more_found_than_places_at_one_member() -> None:
    differs = MemberDifference(member="D2", fasteners=(screws(2, 3),))
    of = unit(step("T02", fasteners=[screws(4)], bag="1", each_of="D", differences=[differs]), sets=[part_set()])
    assert found(of, 3) == [("found-over-holes", "T02/D2")]


@pytest.mark.parametrize(("mapped", "problems"), [(0, []), (6, []), (5, [("map-against-count", "T02")])])
def test_the_position_map_has_as_many_places(mapped: int, problems: list) -> None:
    positions = [MapPosition(number=i, kind="rh wood screw 3.5x16") for i in range(mapped)]
    assert found(unit(step("T02", fasteners=[screws(6, 5)], bag="1", positions=positions)), 3) == problems


def counted(bag: str, recorded: int, counted: int, explained: str = "") -> Refit:
    one = BagCount(bag=bag, kind="rh wood screw 3.5x16", recorded=recorded, counted=counted, explained=explained)
    return Refit(counts=(one,))


@pytest.mark.parametrize(
    ("refit", "codes"),
    [
        (counted("1", 6, 6), []),
        (counted("1", 6, 5), ["count-differs"]),
        (counted("1", 6, 7), ["count-differs"]),
        (counted("1", 6, 5, "one is holding the bench lamp"), []),
        (counted("1", 8, 8), ["bag-record-changed"]),
        (counted("2", 6, 6), ["bag-record-changed"]),
    ],
)
def test_a_bag_counted_at_the_refit(refit: Refit, codes: list[str]) -> None:
    assert [code for code, _ in found(a_sound_radio(refit=refit))] == codes


def test_what_lies_in_which_bag() -> None:
    of = unit(
        step("T02", fasteners=[screws(6, 5), renewed("bush", 8), screws(2, bag=" 9 ")], bag="1"),
        step(
            "C04",
            fasteners=[screws(4)],
            each_of="D",
            bag="2",
            differences=[
                MemberDifference(member="D2", bag="3", fasteners=(screws(3),)),
                MemberDifference(member="D3", done=False),
            ],
        ),
        step("T05", fasteners=[screws(4)], bag="1", planned=True),
        sets=[part_set("D", 4)],
    )
    kind = "rh wood screw 3.5x16"
    held = {bag: of_bag.kinds[kind] for bag, of_bag in ledger(of).bags.items()}
    assert held == {"1": 5, "9": 2, "2": 8, "3": 3}


@pytest.mark.parametrize(
    ("more", "problems"),
    [
        ({"fasteners": [screws(6)]}, [("no-bag", "T02")]),
        ({"fasteners": [screws(6)], "bag": "1"}, []),
        ({"fasteners": [screws(6)], "box": "1"}, []),
        ({"fasteners": [screws(6, bag="4")]}, []),
        ({"fasteners": [screws(6, 0)]}, []),
        ({"fasteners": [renewed("bush", 6), scrapped("pin", 2)]}, []),
        ({"fasteners": [screws(6)], "planned": True}, []),
    ],
)
def test_what_is_reused_has_a_bag(more: dict, problems: list) -> None:
    assert found(unit(step("T02", **more)), 4) == problems


@pytest.mark.parametrize(
    ("differences", "interchangeable", "problems"),
    [
        ([], False, [("members-in-one-bag", "T02 bag 1")]),
        ([], True, []),
        ([MemberDifference(member="L", bag="2")], False, []),
        ([MemberDifference(member="L", note="scratched")], False, [("members-in-one-bag", "T02 bag 1")]),
        ([MemberDifference(member="L", done=False)], False, []),
    ],
)
def test_members_have_a_bag_each(differences: list, interchangeable: bool, problems: list) -> None:
    of_step = step("T02", fasteners=[screws(2)], bag="1", each_of="LR", differences=differences)
    assert found(unit(of_step, sets=[handed_pair(interchangeable=interchangeable)]), 4) == problems


@pytest.mark.parametrize(
    ("bags", "codes"),
    [
        (("1", "1"), []),
        (("A", "a"), ["bag-in-two-units"]),
        (("red tin", "Red  tin"), ["bag-in-two-units"]),
        (("A", "B"), []),
        (("1", "R1-1"), ["bag-of-another-unit"]),
        (("1", "G1-1"), []),
    ],
)
def test_a_bag_belongs_to_one_unit(bags: tuple[str, str], codes: list[str]) -> None:
    units = [unit(step("T02", fasteners=[screws(2)], bag=b), code=c) for c, b in zip(("R1", "G1"), bags, strict=True)]
    problems = [p for p in check_book(book(*units), NOW) if p.check == 4]
    assert [p.code for p in problems] == codes
    assert all(p.unit == "G1" for p in problems)


# Check 5 ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wires", "count", "codes"),
    [
        ([wire()], 1, []),
        ([wire(labels=1)], 1, ["label-missing"]),
        ([wire(labels=0)], None, ["label-missing"]),
        ([wire(labels=3)], None, ["too-many-labels"]),
        ([wire(labels=0, stays_on=True)], None, []),
        ([wire(labels=0, kind=ConnectionKind.PLUG)], None, []),
        ([wire(start=" ")], None, ["wire-end-missing"]),
        ([wire(end="")], None, ["wire-end-missing"]),
        ([wire()], 2, ["wires-not-as-counted"]),
        ([wire(), wire("W2")], 1, ["wires-not-as-counted"]),
        ([wire(), wire("W2", kind=ConnectionKind.HOSE)], 1, []),
        ([wire(), wire()], None, ["wire-undone-twice"]),
        ([wire(stays_on=True), wire()], None, []),
        ([], 4, ["wires-not-as-counted"]),
        ([], 0, []),
    ],
)
def test_wires(wires: list, count: int | None, codes: list[str]) -> None:
    assert [code for code, _ in found(unit(step("T06", connections=wires, wires=count)), 5)] == codes


# Checks 6 and 7 --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("answers", "codes"),
    [
        ({"measured": False}, ["one-way-unanswered"]),
        ({"measured": True}, []),
        ({"traced": True}, []),
        ({"photographed": True}, []),
        ({"pattern_kept": True}, []),
        ({"held_twice": True}, []),
        ({"skipped_because": "it fell apart"}, ["one-way-skipped"]),
        ({"measured": True, "skipped_because": "no photo"}, ["one-way-skipped"]),
    ],
)
@pytest.mark.parametrize("planned", [True, False])
def test_one_way_steps(answers: dict, codes: list[str], planned: bool) -> None:
    assert [c for c, _ in found(unit(step("T16", one_way=one_way(**answers), planned=planned)), 6)] == codes


@pytest.mark.parametrize(
    ("more", "codes"),
    [
        ({"certainty": Certainty.GUESS}, ["guess-open"]),
        ({"certainty": Certainty.GUESS, "guess_settled": "tried both ways"}, []),
        ({"certainty": Certainty.THINK_SO}, []),
        ({"as_found_wrong": True, "as_found": "switch in W7"}, ["wrong-without-right"]),
        ({"as_found_wrong": True, "should_be": "per local code"}, ["wrong-without-found"]),
        ({"as_found_wrong": True, "as_found": "in W7", "should_be": "per local code"}, []),
        ({"as_found_wrong": True, "as_found": "in W7", "refit": {"text": "renew the cord"}}, []),
    ],
)
def test_guesses_and_what_was_found_wrong(more: dict, codes: list[str]) -> None:
    assert [c for c, _ in found(unit(step("T09", **more)), 7)] == codes


# Checks 9 and 10 -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "problems"),
    [
        ({"done": False}, []),
        ({"done": True}, [("hold-passed", "T03 H1")]),
        ({"done": True, "reading": "0.4 V"}, [("hold-passed", "T03 H1")]),
        ({"done": True, "initials": "AB"}, [("hold-passed", "T03 H1")]),
        ({"done": True, "initials": "AB", "reading": "0.4 V"}, []),
        ({"done": True, "initials": " ", "reading": "0.4 V"}, [("hold-passed", "T03 H1")]),
        ({"done": True, "line": "T03/D2"}, [("hold-passed", "T03/D2 H1")]),
        ({"done": True, "line": "T03:test"}, []),
    ],
)
def test_no_work_goes_past_a_hold_point(line: dict, problems: list) -> None:
    of = unit(step("T03", refit={"hold": hold()}), refit=Refit(lines=(LineState(**{"line": "T03", **line}),)))
    assert found(of, 9) == problems


def test_initials_alone_are_enough_when_nothing_is_to_be_read() -> None:
    line = LineState(line="T03", done=True, initials="AB")
    of = unit(step("T03", refit={"hold": hold(reading_of="")}), refit=Refit(lines=(line,)))
    assert found(of, 9) == []


def test_a_hold_point_of_a_remade_joint() -> None:
    of_step = step("T16", one_way=one_way(measured=True, remake=Remake(hold=hold("H4"))))
    assert found(unit(of_step, refit=Refit(lines=(LineState(line="T16", done=True),))), 9) == [
        ("hold-passed", "T16 H4")
    ]


def test_a_hold_point_of_an_operation() -> None:
    done = operation("B10", hold=hold("H2"), state=WorkState.DONE)
    assert found(unit(operations=[done]), 9) == [("hold-passed", "B10 H2")]
    assert found(unit(operations=[operation("B10", hold=hold("H2"))]), 9) == []
    read = operation("B10", hold=hold("H2", reading="452.0", initials="AB"), state=WorkState.DONE)
    assert found(unit(operations=[read]), 9) == []
    unread = operation("B10", hold=hold("H2", initials="AB"), state=WorkState.DONE)
    assert found(unit(operations=[unread]), 9) == [("hold-passed", "B10 H2")]


@pytest.mark.parametrize(
    ("more", "codes"),
    [
        ({}, []),
        ({"readings": ()}, ["not-measured-twice"]),
        ({"readings": (mm("452"),)}, ["not-measured-twice"]),
        ({"readings": (mm("451.6"), mm("452.5"))}, []),
        ({"readings": (mm("451.5"), mm("452.51"))}, ["readings-disagree"]),
        ({"readings": (mm("453"), mm("453"))}, ["readings-disagree"]),
        ({"readings": (mm("452"), mm("452.1")), "plus": None, "minus": None}, ["readings-disagree"]),
        ({"readings": (mm("452"), mm("452")), "plus": None, "minus": None}, []),
        ({"value": None, "readings": (mm("440"), mm("440.1"))}, []),
        ({"at_least": True, "readings": ()}, []),
        ({"at_least": True, "readings": (mm("460"), mm("470"))}, []),
        ({"at_least": True, "readings": (mm("460"), mm("451"))}, ["readings-disagree"]),
        ({"kind": HeldKind.VOLUME, "readings": ()}, []),
    ],
)
def test_held_dimensions(more: dict, codes: list[str]) -> None:
    assert [c for c, _ in found(unit(held_dimensions=[held(**more)]), 10)] == codes


# Check 25 --------------------------------------------------------------------------------------------


ALL_TICKED = tuple(
    LineState(line=key, done=True, initials="AB", reading="ok") for key in ("check", "T03", "T02", "audit")
)


def closed(**more) -> Unit:
    fields = {"stage": Stage.CLOSED, "refit": Refit(lines=ALL_TICKED), **more}
    return a_sound_radio(**fields)


def test_a_unit_may_be_closed_when_nothing_is_open() -> None:
    assert found(closed()) == []


@pytest.mark.parametrize(
    ("refit", "places"),
    [
        (Refit(), ["reassembly"]),
        (Refit(lines=(*ALL_TICKED[:3], LineState(line="audit"))), ["reassembly"]),
        (Refit(lines=ALL_TICKED[2:3]), ["reassembly"]),
        (Refit(lines=ALL_TICKED, counts=counted("1", 6, 5).counts), ["bag 1"]),
        (Refit(lines=ALL_TICKED, counts=counted("1", 6, 5, "lost").counts), []),
    ],
)
def test_a_closed_unit_with_open_lines_or_counts(refit: Refit, places: list[str]) -> None:
    assert [p for _, p in found(closed(refit=refit), 25)] == places


@pytest.mark.parametrize(
    ("of_step", "place"),
    [
        (step("T04", refit={"hold": hold()}), "T04 H1"),
        (step("T04", planned=True), "T04"),
        (step("T04", certainty=Certainty.GUESS), "T04"),
    ],
)
def test_a_closed_unit_with_open_steps(of_step, place: str) -> None:
    of = closed()
    of = of.model_copy(update={"steps": (*of.steps, of_step)})
    assert ("closed-open", place) in found(of, 25)
    going_on = of.model_copy(update={"stage": Stage.REASSEMBLY})
    assert found(going_on, 25) == []


@pytest.mark.parametrize("stage", [Stage.TEARDOWN, Stage.CLOSED, Stage.STOPPED])
def test_what_is_hazardous_is_handed_in(stage: Stage) -> None:
    switch = component("MS", "tilt switch", disposition=Disposition.HAZARDOUS)
    (problem,) = [p for p in check_unit(unit(components=[switch], stage=stage), shop(), NOW) if p.check == 25]
    assert problem.severity is (Severity.LOOK if stage is Stage.TEARDOWN else Severity.WRONG)
    handed_in = switch.model_copy(update={"disposal": Disposal(where="collection point", on=day("2026-03-01"))})
    assert found(unit(components=[handed_in], stage=stage), 25) == []


def test_a_dangerous_part_is_not_left_undecided_at_the_end() -> None:
    danger = component("CA", "capacitor", hazards=[hazard("stored charge", signal=SignalWord.WARNING)])
    assert found(unit(components=[danger], stage=Stage.STOPPED), 25) == [("hazard-undecided", "CA")]
    assert found(unit(components=[danger]), 25) == []
    kept = danger.model_copy(update={"disposition": Disposition.KEEP})
    assert found(unit(components=[kept], stage=Stage.STOPPED), 25) == []
