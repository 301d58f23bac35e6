"""No check cries without a cause: the units of the demo book, and variants of sound units whose truth is known.

Each variant is drawn so that everything in it is right by construction: every wire has two ends and two labels, every
piece to be used again lies in a bag, what is new lies ready, each member's differences are complete, the case is as
its plan gives it. So whatever a check or the list of what is missing says of it is a false alarm.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from logbook.checks import check_unit
from logbook.checks.check_problem import Severity
from logbook.model.case_plan import CasePlan
from logbook.model.document import UnitDocument, read_document
from logbook.model.members import fasteners_of_member
from logbook.model.shop import Shop
from logbook.model.step import Fastener, FastenerDetail, MemberDifference, Step
from logbook.model.unit import PartSet, Unit
from logbook.model.words import FrontKind, StackKind, Stage, Then
from logbook.reassembly import readiness, refit_list
from logbook.teardown.complete import to_complete
from tests.builders import at, fastener, handed_pair, hold, part_set, relation, step, unit, wire
from tests.casework.building import both_faces, box, held, inside, opening, panel, stack

NOW = at("2026-03-17 18:30")
DEMO = Path(__file__).parents[2] / "templates" / "demo"
VARIANTS = range(50)
KNOWN = (1, 2, 3, 4, 5, 7, 8, 9, 10, 11, 12)
"""Checks about which the construction leaves nothing open, so that not even a remark is due."""


def sound_pair(seed: int) -> Unit:
    """A handed pair with its case: the left one drawn, the right one its mirror image, each with what is its own."""
    chance = Random(seed)
    width = str(chance.randrange(300, 600))
    thick = str(chance.choice((9, 10, 12, 15)))
    whole = handed_pair().model_copy(update={"whole_unit": True})
    left = panel(
        "P5", "baffle", thick, leaves=both_faces(), member="L",
        openings=(opening("speaker", str(chance.randrange(100, 200)), "150", "80"),),
    )  # fmt: skip
    right = left.model_copy(
        update={"code": "P6", "member": "R", "layers": (), "leaves": (), "openings": (), "mirror_of": "P5"}
    )
    drawer = held("H-D", "drawer 2 inside width", str(chance.randrange(100, 250)))
    dimensions = (*inside(width), drawer) if chance.random() < 0.5 else inside(width)
    shaft = stack(StackKind.PROJECTION, "60", panel="P5", need="20")
    made = box(
        left, right, plan=CasePlan(front=FrontKind.BETWEEN), sets=(whole, drawers()), dimensions=dimensions,
        case={"stacks": (shaft,)}, stage=Stage.TEARDOWN,
    )  # fmt: skip
    steps = _steps(chance)
    relations = (relation("T02", "T01", "test"),) if chance.random() < 0.5 else ()
    return made.model_copy(update={"steps": steps, "relations": relations})


def drawers() -> PartSet:
    of = part_set("D", 3)
    members = tuple(m.model_copy(update={"position": f"{i} from the top"}) for i, m in enumerate(of.members, 1))
    return of.model_copy(update={"members": members})


def _steps(chance: Random) -> tuple[Step, ...]:
    """Steps of the pair: each member's fasteners in its own bag, or all renewed and lying ready."""
    screw = fastener("wood screw 3x16", chance.randrange(1, 5))
    new = fastener("bolt M6x20", 2, then="renew", renewed_here=True)
    left_hand = FastenerDetail(left_hand=True)
    nut = fastener("nut M12", detail=left_hand)
    left = MemberDifference(member="L", bag="5", fasteners=(nut,) if chance.random() < 0.5 else None)
    right = MemberDifference(member="R", bag="6")
    if chance.random() < 0.4:
        right = MemberDifference(member="R", fasteners=(new,))
    more = {"photo_taken": True, "at": NOW, "by": "AB"}
    return (
        step("T01", "cover", fasteners=[screw], each_of="LR", differences=[left, right], **more),
        step("T02", "lock tested", action="recorded only", each_of="", **more),
        step(
            "T03", "switch", action="unsoldered", wires=2, connections=[wire("W1"), wire("W2", "tag 1", "shell")],
            each_of="", **more,
        ),
        step("T04", "runner", fasteners=[screw], bag="", box="2", each_of="D", **more),
    )  # fmt: skip


@pytest.mark.parametrize("seed", VARIANTS)
def test_nothing_is_said_against_a_sound_unit(seed: int) -> None:
    made = sound_pair(seed)
    said = [p.sentence for p in check_unit(made, Shop(), NOW) if p.severity is Severity.WRONG or p.check in KNOWN]
    assert said == []
    wanted = [m.sentence for m in to_complete(made) if m.field in ("bag", "connections", "note", "sets")]
    assert wanted == []
    missing = [m for r in readiness(made, refit_list(made), NOW).values() for m in r.missing]
    assert missing == []
    for thing in made.steps:
        for member in ("L", "R") if thing.each_of == "LR" else ("",):
            assert fasteners_of_member(thing, member) or thing.code not in ("T01", "T04")


@pytest.mark.parametrize("code", ["R1", "G1", "C1", "L1"])
def test_nothing_of_the_demo_units_is_called_wrong(code: str) -> None:
    document = read_document((DEMO / f"{code}.json").read_bytes(), code)
    assert isinstance(document, UnitDocument)
    said = [p.sentence for p in check_unit(document.unit, Shop(), NOW) if p.severity is Severity.WRONG]
    assert said == []


# --- drawn variants of the example units ---


def example(code: str) -> Unit:
    """A unit of the demo book."""
    document = read_document((DEMO / f"{code}.json").read_bytes(), code)
    assert isinstance(document, UnitDocument)
    return document.unit


def another_of(of: Unit, seed: int) -> Unit:
    """The same job as it could have gone as well: other numbers, bags and members, and steps that lack nothing.

    What is changed is right by construction: as many found as there are places, whole bags under another number, a
    further thing whose step says all that a step can lack. So nothing may be said of it that is not said of the unit.
    """
    chance = Random(seed)
    counted = {c.bag for c in of.refit.counts}
    used = {b for s in of.steps for b in (s.bag, *(f.bag for f in s.fasteners), *(d.bag for d in s.differences)) if b}
    free = iter(f"{number}" for number in range(60, 400))
    other = {bag: bag if bag in counted or chance.random() < 0.5 else next(free) for bag in sorted(used)}
    steps = [_with_other_numbers(s, chance, other, counted) for s in of.steps]
    sets = of.sets or ((drawers(),) if chance.random() < 0.7 else ())
    at_end = max(i for i, s in enumerate(steps) if not s.planned) + 1
    letter = of.step_letter or "T"
    more = [_complete_step(f"{letter}{80 + i}", chance, sets, free) for i in range(chance.randrange(1, 4))]
    steps[at_end:at_end] = more
    return of.model_copy(update={"steps": tuple(steps), "sets": sets})


def _with_other_numbers(of: Step, chance: Random, other: dict[str, str], counted: set[str]) -> Step:
    def changed(f: Fastener, bag: str) -> Fastener:
        number = chance.randrange(1, max(1, f.holes) + 1)
        same = not of.positions and f.holes > 0 and f.found == f.holes and f.then is Then.REUSE and bag not in counted
        count = {"holes": number, "found": number} if same and chance.random() < 0.5 else {}
        return f.model_copy(update={**count, "bag": other.get(f.bag, f.bag)})

    differences = tuple(d.model_copy(update={"bag": other.get(d.bag, d.bag)}) for d in of.differences)
    fasteners = tuple(changed(f, f.bag or of.bag) for f in of.fasteners)
    return of.model_copy(update={"bag": other.get(of.bag, of.bag), "fasteners": fasteners, "differences": differences})


def _complete_step(code: str, chance: Random, sets: tuple[PartSet, ...], bags: Iterator[str]) -> Step:
    """A further step that lacks nothing: for one thing, or for each of a set with what differs."""
    kind = f"screw M{chance.choice((2, 3, 4))}x{chance.choice((6, 8, 10))}"
    screws = fastener(kind)
    of = chance.choice(sets) if sets and chance.random() < 0.7 else None
    differences: list[MemberDifference] = []
    for member in of.members if of is not None else ():
        own = chance.choice((None, None, (fastener(kind, then="renew", renewed_here=True),), ()))
        bag = "" if own == () else next(bags)
        differences.append(MemberDifference(member=member.code, bag=bag, fasteners=own, note="as drawn"))
    read = {"hold": hold(f"H{code}", "runs true", "gap").model_copy(update={"reading": "0.4", "initials": "AB"})}
    return step(
        code, f"bracket {code}", fasteners=[screws], bag=next(bags), photo_taken=True, viewed_from="front",
        at=NOW, by="AB",
        each_of=of.code if of is not None else "", differences=differences, **(read if chance.random() < 0.5 else {}),
    )  # fmt: skip


@pytest.mark.parametrize("seed", VARIANTS)
def test_nothing_more_is_said_of_a_variant_of_an_example_unit(seed: int) -> None:
    of = example(("R1", "G1", "C1", "L1")[seed % 4])
    variant = another_of(of, seed)

    def told(made: Unit) -> set[tuple[str, str]]:
        return {(p.code, p.place) for p in check_unit(made, Shop(), NOW) if p.severity is not Severity.NOTE}

    def lacking(made: Unit) -> set[tuple[str, str]]:
        return {(m.step, m.field) for m in to_complete(made)}

    assert told(variant) <= told(of)
    assert lacking(variant) <= lacking(of)
    new = {s.code for s in variant.steps} - {s.code for s in of.steps}
    ready = readiness(variant, refit_list(variant), NOW)
    assert [m for code in new for m in ready[code].missing] == []


# --- each false alarm that was once given ---


def test_no_bag_is_asked_for_where_nothing_is_used_again() -> None:
    new = fastener("bolt M6x20", 2, then="renew", renewed_here=True)
    members = [MemberDifference(member=m, fasteners=(new,)) for m in ("L", "R")]
    of = unit(
        step("T01", "cover", fasteners=[fastener("rivet", 4, then="scrap")]),
        step("T02", "guard", fasteners=[fastener("screw M4x10", 2)], each_of="LR", differences=members),
        sets=[handed_pair()],
    )
    assert [m.sentence for m in to_complete(of) if m.field == "bag"] == []
    assert not any("no bag" in m for r in readiness(of, refit_list(of), NOW).values() for m in r.missing)


def test_a_test_whose_cover_came_off_after_it_is_not_called_wrong() -> None:
    of = unit(step("T01", "lock"), step("T02", "cover"), relations=[relation("T01", "T02", "test")])
    other = unit(step("T01", "cover"), step("T02", "lock"), relations=[relation("T01", "T02", "test")])
    for made in (of, other):
        assert [p.sentence for p in check_unit(made, Shop(), NOW) if p.severity is Severity.WRONG] == []


def test_a_stack_through_one_members_panel_and_a_held_size_of_one_drawer_are_asked_of_no_other() -> None:
    made = sound_pair(3)
    said = " ".join(p.sentence for p in check_unit(made, Shop(), NOW) if p.severity is not Severity.NOTE)
    assert "?" not in said
    assert "drawer 2" not in said
