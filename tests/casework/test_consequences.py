"""What follows from the sizes: each rule where it holds, at its limit, and where it does not."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.casework import Consequence, worked_case
from logbook.model.case_plan import CasePlan, HangingRails, Position
from logbook.model.casework_records import HeldDimension, PanelJoint, Strip
from logbook.model.unit import Unit
from logbook.model.words import BackKind, CaseJoint, Face, FrontKind, HeldKind
from tests.builders import mm
from tests.casework.building import (
    both_faces,
    box,
    corner,
    fitting,
    held,
    inside,
    leaf,
    opening,
    panel,
    stack,
)

BAFFLE = CasePlan(front=FrontKind.BETWEEN)


def told(unit: Unit, code: str, place: str = "") -> list[Consequence]:
    found = worked_case(unit)
    assert found is not None
    return [c for c in found.consequences if c.code == code and (not place or c.place == place)]


@pytest.mark.parametrize(
    ("made", "sign", "words"),
    [
        (stack("bolt grip", "35", "10", need="5"), "ok", "35 long, grip 10 + 12 = 22; 13 left for the nut"),
        (stack("bolt grip", "27", "10", need="5"), "just", "5 left for the nut"),
        (stack("bolt grip", "26.9", "10", need="5"), "WRONG", "4.9 left for the nut"),
        (stack("bolt grip", "21", "10"), "WRONG", "21 long, grip 10 + 12 = 22; 1 too short to reach the nut"),
        (stack("projection", "28", "3", need="13"), "just", "28 - 3 - 12 = 13 beyond the panel"),
        (stack("projection", "28", "3.1", need="13"), "WRONG", "= 12.9 beyond the panel"),
        (stack("screw", "21", "10"), "just", "bites 11 into 12; 1 left"),
        (stack("screw", "21.1", "10"), "WRONG", "0.9 left"),
        (stack("screw", "23", "10"), "WRONG", "the point comes out by 1,"),
        (stack("screw", "21.5", "10", margin="0.5"), "just", "0.5 left"),
        (stack("screw", "12", "10", need="5"), "WRONG", "10 left"),
        (stack("screw", "16", "3", panel="", into="40"), "ok", "27 left"),
        (stack("bolt grip", "20", panel="P9"), "?", "? left for the nut"),
    ],
)
def test_bolts_shafts_and_screws(made: object, sign: str, words: str) -> None:
    (found,) = told(box(case={"stacks": (made,)}), {"b": "grip", "p": "projection", "s": "breakthrough"}[made.kind[0]])  # type: ignore[attr-defined]
    assert (found.sign, words in found.sentence) == (sign, True), found.sentence
    assert bool(found.way_out) is (sign in ("WRONG", "?"))


def test_a_way_out_has_the_number() -> None:
    (found,) = told(box(case={"stacks": (stack("bolt grip", "24.5", "10", need="5"),)}), "grip")
    assert found.way_out.startswith("Take one at least 2.5 longer")


# Clashes


def strip(edge: str, wide: str = "12", thick: str = "12", code: str = "S1") -> Strip:
    return Strip(
        code=code, name="strip", quantity=1, length=mm("1"), material="strip", wide=mm(wide), thick=mm(thick), on="P5",
        edges=(edge,),
    )  # fmt: skip


def baffled(*fittings: object, strips: tuple[Strip, ...] = (), openings: tuple = (), **more: object) -> Unit:
    """A box 400 x 300 x 200 inside with a baffle of 10."""
    plan = BAFFLE.model_copy(update=more)
    return box(panel("P5", "baffle", "10", openings=openings), plan=plan, case={"fittings": fittings, "strips": strips})


BLOCK = {"left": "50", "right": "150", "bottom": "10", "top": "60", "near": "0", "far": "100"}


@pytest.mark.parametrize(
    ("other", "words", "holds"),
    [
        ({"left": "150", "right": "200"}, None, True),
        ({"left": "155", "right": "200"}, "gap 5", True),
        ({"left": "149", "right": "200"}, "overlap by 1", False),
        ({"left": "149", "right": "200", "near": "100", "far": "150"}, None, True),
        ({"left": "149", "right": "200", "bottom": "70", "top": "80"}, "gap 10", True),
        ({"left": "149", "right": "200", "face": Face.OUTSIDE}, None, True),
        ({"left": "155", "right": "200", "gap": "6"}, "5 apart, 6 wanted", False),
        ({"left": None, "right": None}, "not known", None),
        ({"left": "160", "right": None}, "gap 10", True),
    ],
)
def test_two_things_inside(other: dict, words: str | None, holds: bool | None) -> None:
    a, b = fitting("A", **BLOCK), fitting("B", **{**BLOCK, **other})
    found = told(baffled(a, b), "clash", "A B")
    if words is None:
        assert found == []
    else:
        assert [(words in c.sentence, c.holds) for c in found] == [(True, holds)], found


def round_thing(code: str, x: str, y: str, diameter: str) -> object:
    return fitting(code, centre=Position(x=mm(x), y=mm(y)), diameter=diameter, near="0", far="20")


def test_round_things_by_their_round_edges() -> None:
    """A 3-4-5 triangle: centres 150 apart, radii 70 and 75."""
    found = told(baffled(round_thing("A", "100", "100", "140"), round_thing("B", "190", "220", "150")), "clash", "A B")
    assert [c.sentence for c in found] == ["A thing and B thing: gap 5"]
    corner_of_block = fitting("B", left="130", right="180", bottom="140", top="200", near="0", far="20")
    found = told(baffled(round_thing("A", "100", "100", "110"), corner_of_block), "clash", "A B")
    assert [c.sentence for c in found] == ["A thing and B thing overlap by 5"]


def test_strips_lie_behind_the_front_and_between_those_at_the_sides() -> None:
    block = fitting("A", left="0", right="400", bottom="11", top="20", near="5", far="50")
    found = told(baffled(block, strips=(strip("bottom"),)), "clash", "A S1")
    assert [(c.holds, "overlap by 1" in c.sentence) for c in found] == [(False, True)]
    behind = fitting("A", left="20", right="380", bottom="11", top="20", near="12", far="50")
    assert told(baffled(behind, strips=(strip("bottom"),)), "clash", "A S1") == []


@pytest.mark.parametrize(
    ("edges", "words"),
    [
        ({"right": "401", "left": "300"}, "reaches 1 into the right side"),
        ({"left": "-2"}, "reaches 2 into the left side"),
        ({"top": "300.5"}, "reaches 0.5 into the top"),
        ({"far": "203"}, "reaches 3 into the back"),
        ({"bottom": "-1"}, "reaches 1 into the bottom"),
    ],
)
def test_what_reaches_into_the_case_itself(edges: dict, words: str) -> None:
    found = told(baffled(fitting("A", **{**BLOCK, **edges})), "clash", "A")
    assert [(c.holds, words in c.sentence) for c in found] == [(False, True)]
    assert told(baffled(fitting("A", **BLOCK)), "clash", "A") == []


# Openings


@pytest.mark.parametrize(
    ("made", "sign", "words"),
    [
        (opening("hole", "30.5", "150", "40"), "just", "10 to the nearest edge"),
        (opening("hole", "30.4", "150", "40"), "WRONG", "9.9 to the nearest edge"),
        (opening("slot", "200", "40", size="100x60"), "WRONG", "9.5 to the nearest edge"),
        (opening("hole", "200", "150", "40"), "", ""),
        (opening("odd", "200", "150"), "?", "has no size"),
    ],
)
def test_openings_keep_away_from_edges(made: object, sign: str, words: str) -> None:
    found = told(baffled(openings=(made,)), "edge-distance")
    assert [(c.sign, words in c.sentence) for c in found] == ([(sign, True)] if sign else [])


def test_openings_of_a_side_keep_away_from_its_rabbet() -> None:
    """The rabbet at the bottom takes the thickness of the bottom from the inner face: 12 of the side's end."""
    hole = opening("handle", "100", "14", "10")
    unit = box(plan=CasePlan(bottom=corner("rabbet", "6")))
    assert unit.case is not None
    panels = tuple(p.model_copy(update={"openings": (hole,)}) if p.code == "P2" else p for p in unit.case.panels)
    unit = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})
    found = told(unit, "edge-distance", "P2")
    assert [c.sentence for c in found] == ["P2 “handle”: 9 to the nearest edge or rabbet, at least 10 wanted"]


def test_wood_between_two_openings() -> None:
    near = (opening("a", "100", "150", "40"), opening("b", "149", "150", "40"))
    (found,) = told(baffled(openings=near), "edge-distance")
    assert (found.holds, "9 of wood between them" in found.sentence) == (False, True)
    far = (opening("a", "100", "150", "40"), opening("b", "150", "150", "40"))
    assert told(baffled(openings=far), "edge-distance") == []


def test_an_opening_into_what_lies_behind_it() -> None:
    hole = (opening("hole", "100", "50", "40"),)
    (found,) = told(baffled(fitting("A", **BLOCK), openings=hole), "clash", "P5 A")
    assert found.holds is False
    assert told(baffled(fitting("A", **BLOCK, covers=("hole",)), openings=hole), "clash", "P5 A") == []
    deep = fitting("A", **{**BLOCK, "near": "40"})
    assert told(baffled(deep, openings=hole), "clash", "P5 A") == []
    (found,) = told(
        baffled(openings=(opening("hole", "200", "20", "19"),), strips=(strip("bottom"),)), "clash", "P5 S1"
    )
    assert "opens 1.5 into S1 bottom strip" in found.sentence


def test_a_pattern_wants_a_check_dimension() -> None:
    traced = opening("cloth", "200", "150", size="100x80", pattern="cloth frame")
    (found,) = told(baffled(openings=(traced,)), "pattern")
    assert found.holds is None
    proved = traced.model_copy(update={"check": mm("95"), "check_what": "over both lugs"})
    assert told(baffled(openings=(proved,)), "pattern") == []


# Joints, faces, edges


@pytest.mark.parametrize(
    ("kind", "depth", "holds"),
    [("rabbet", "8", True), ("rabbet", "8.1", False), ("dado", "6", True), ("dado", "6.1", False)],
)
def test_a_joint_is_not_too_deep(kind: str, depth: str, holds: bool) -> None:
    (found,) = told(box(plan=CasePlan(bottom=corner(kind, depth))), "joint-depth")
    assert found.holds is holds


def test_a_mitre_wants_equal_thickness() -> None:
    assert told(box(plan=CasePlan(top=corner("mitre"))), "mitre") == []
    (found,) = told(box(plan=CasePlan(top=corner("mitre")), top="10"), "mitre")
    assert "10 to 12 does not meet at 45 degrees" in found.sentence


@pytest.mark.parametrize(
    ("leaves", "holds", "words"),
    [
        (both_faces(), True, "0.6 of veneer on each face"),
        ((leaf(),), False, "one side only"),
        ((leaf(show=False),), False, "one side only"),
        ((leaf("0.6"), leaf("0.8", show=False)), False, "0.6 of veneer in front and 0.8 behind"),
    ],
)
def test_veneer_on_both_faces(leaves: tuple, holds: bool, words: str) -> None:
    (found,) = told(box(panel("D1", "divider", leaves=leaves)), "veneer")
    assert (found.holds, words in found.sentence) == (holds, True)


def test_sanding_takes_no_more_than_half_the_leaf() -> None:
    veneered = panel("D1", "divider", leaves=both_faces("0.6"))
    assert [c.holds for c in told(box(veneered, plan=CasePlan(sanding=mm("0.3"))), "sanding")] == [True]
    (found,) = told(box(veneered, plan=CasePlan(sanding=mm("0.31"))), "sanding")
    assert (found.holds, "leaves 0.29" in found.sentence, "0.3;" in found.way_out) == (False, True, True)
    assert told(box(plan=CasePlan(sanding=mm("0.3"))), "sanding") == []


@pytest.mark.parametrize(
    ("chamfer", "chamfers", "band", "wrong"),
    [
        ("0.5", 1, "0.6", []),
        ("0.6", 1, "0.6", ["chamfer"]),
        ("8", 1, "9", []),
        ("5", 2, "9", ["chamfer-flat"]),
        ("9.5", 1, "10", ["chamfer-flat"]),
    ],
)
def test_a_chamfer_stays_in_its_band_and_leaves_a_flat(chamfer: str, chamfers: int, band: str, wrong: list) -> None:
    edge = panel("D1", "divider", chamfer=mm(chamfer), chamfers=chamfers, banded=("front",))
    found = worked_case(box(edge, plan=CasePlan(band=mm(band))))
    assert found is not None
    assert [c.code for c in found.wrong] == wrong


def test_a_rail_let_in_needs_the_depth() -> None:
    rails = HangingRails(board=mm("100"), thickness=mm("18"), let_in=True)
    back = panel("P6", "back", "6")
    plan = CasePlan(back=BackKind.RABBET, back_set_in=mm("10"), rails=rails)
    (found,) = told(box(back, plan=plan), "rails")
    assert "Set the back in by 8 more" in found.way_out
    assert told(box(back, plan=plan.model_copy(update={"back_set_in": mm("18")})), "rails") == []


def test_a_mirror_image_that_is_none() -> None:
    unit = box(sides="12")
    assert unit.case is not None
    thicker = panel("P3", "side R", "10", mirror_of="P2")
    panels = tuple(thicker if p.code == "P3" else p for p in unit.case.panels)
    changed = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})
    assert "thickness" in told(changed, "mirror")[0].sentence
    assert told(unit, "mirror") == []


# Held dimensions


@pytest.mark.parametrize(
    ("outside_at", "holds", "words"), [("424", True, ""), ("423.4", False, "0.6 thinner"), ("425", False, "1 thicker")]
)
def test_inside_and_outside_both_held_fix_the_thickness(outside_at: str, holds: bool, words: str) -> None:
    dims = [*inside(), held("H-O", "outside width", outside_at, kind=HeldKind.OUTSIDE)]
    found = worked_case(box(dimensions=dims))
    assert found is not None
    result = next(h for h in found.held if h.code == "H-O")
    assert (result.holds, words in result.way_out) == (holds, True)


@pytest.mark.parametrize(("x", "holds"), [("100.5", True), ("100.6", False), ("120", None)])
def test_a_held_hole(x: str, holds: bool | None) -> None:
    spot = HeldDimension(
        code="H-S", what="shaft", kind=HeldKind.POSITION, positions=(Position(x=mm("100"), y=mm("50")),),
        plus=mm("0.5"), minus=mm("0.5"),
    )  # fmt: skip
    unit = baffled(openings=(opening("shaft", x, "50", "10"),)).model_copy(
        update={"held_dimensions": (*inside(), spot)}
    )
    found = worked_case(unit)
    assert found is not None
    assert next(h for h in found.held if h.code == "H-S").holds is holds


def test_a_volume_less_what_is_inside() -> None:
    """400 x 300 x 200 = 24 l; a divider of 12 x 300 x 200 takes 0.72 l, a thing of 0.28 l the rest to 23 l."""
    volume = HeldDimension(code="H-V", what="volume", kind=HeldKind.VOLUME, litres=Decimal(23))
    made = box(
        panel("D1", "divider", at=mm("100")),
        dimensions=[*inside(), volume],
        case={"fittings": (fitting("A", litres=Decimal("0.28")),)},
    )
    found = worked_case(made)
    assert found is not None
    assert (found.members[0].litres, next(h for h in found.held if h.code == "H-V").holds) == (23, True)


def test_a_joint_width_is_asked_of_the_sides_alone() -> None:
    """A top that is rabbeted at both ends for the sides never meets the bottom."""
    grooved = PanelJoint(end="both ends", kind=CaseJoint.RABBET, width=mm("12"), depth=mm("6"))
    made = box(bottom="18")
    assert made.case is not None
    panels = tuple(p.model_copy(update={"joints": (grooved,)}) if p.code == "P1" else p for p in made.case.panels)
    made = made.model_copy(update={"case": made.case.model_copy(update={"panels": panels})})
    assert not told(made, "joint-width")
    panels = tuple(p.model_copy(update={"joints": (grooved,)}) if p.code == "P2" else p for p in made.case.panels)
    made = made.model_copy(update={"case": made.case.model_copy(update={"panels": panels})})
    assert [c.place for c in told(made, "joint-width")] == ["P2 P4", "P3 P4"]
