"""No check cries without a cause: the units of the demo book, and variants of sound units whose truth is known.

Each variant is drawn so that everything in it is right by construction: every wire has two ends and two labels, every
piece to be used again lies in a bag, what is new lies ready, each member's differences are complete, the case is as
its plan gives it. So whatever a check or the list of what is missing says of it is a false alarm.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from logbook.checks import check_unit
from logbook.checks.problem import Severity
from logbook.model.case_plan import CasePlan
from logbook.model.document import UnitDocument, read_document
from logbook.model.members import fasteners_of_member
from logbook.model.shop import Shop
from logbook.model.step import FastenerDetail, MemberDifference, Step
from logbook.model.unit import PartSet, Unit
from logbook.model.words import FrontKind, StackKind, Stage
from logbook.reassembly import readiness, refit_list
from logbook.teardown.complete import to_complete
from tests.builders import at, fastener, handed_pair, part_set, relation, step, wire
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
