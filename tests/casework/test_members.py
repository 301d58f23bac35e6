"""A case made for a set: mirror images, what is one member's own, and sizes held of one panel or of one drawer."""

from __future__ import annotations

import pytest

from logbook.casework.cut_list import cut_list, has_sound_place
from logbook.casework.worked import completed, worked_case
from logbook.checks import check_unit
from logbook.model.case_plan import CasePlan
from logbook.model.casework_records import Case, HeldDimension
from logbook.model.shop import Defect, Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import FrontKind, StackKind
from tests.builders import at, handed_pair, mm, part_set, shop, unit
from tests.casework.building import both_faces, box, held, inside, millimetres, opening, panel, stack

NOW = at("2026-03-17 18:30")
BETWEEN = CasePlan(front=FrontKind.BETWEEN)


def pair(**more: object) -> Unit:
    """A handed pair of cases, 400 wide inside: the left one has a baffle, the right one its mirror image."""
    left = panel(
        "P5", "baffle", "10.8", leaves=both_faces(), member="L", openings=(opening("speaker", "120", "150", "100"),)
    )
    right = left.model_copy(
        update={"code": "P6", "member": "R", "layers": (), "leaves": (), "openings": (), "mirror_of": "P5"}
    )
    whole = handed_pair().model_copy(update={"whole_unit": True})
    made = box(left, right, plan=BETWEEN, sets=(whole,))
    return made.model_copy(update=more)


def test_a_mirror_image_of_another_member_takes_over_how_it_is_made() -> None:
    worked = worked_case(pair())
    assert worked is not None
    by_code = {p.code: p for p in worked.panels}
    left, right = by_code["P5"], by_code["P6"]
    assert millimetres((right.thickness or 0,)) == [12.0], "10.8 and two leaves of 0.6"
    assert (right.finish, right.rough) == (left.finish, left.rough)
    assert [x.material for x in right.leaves] == ["dark veneer", "backer"]
    assert all(x.size is not None for x in right.leaves)


def test_its_opening_is_as_far_from_the_other_side() -> None:
    """120 from the left of 400 inside is 280 in the mirror; the height stays (by hand)."""
    worked = worked_case(pair())
    assert worked is not None
    centres = {p.code: [(o.centre.x.in_mm(), o.centre.y.in_mm()) for o in p.record.openings] for p in worked.panels}
    assert (centres["P5"], centres["P6"]) == ([("120", "150")], [("280", "150")])
    case = completed(pair())
    assert case is not None
    laid_out = {p.code: p for p in case.panels}
    assert [len(laid_out[code].leaves) for code in ("P5", "P6")] == [2, 2]
    assert laid_out["P6"].openings[0].centre.x.ticks == mm("280").ticks


def test_while_the_inside_width_is_not_known_no_hole_is_cut_where_the_pattern_has_it() -> None:
    of = pair(held_dimensions=())
    worked = worked_case(of)
    assert worked is not None
    lines = {line.code: line for line in cut_list(of, shop(), worked)}
    assert "at x 120, y 150" in lines["P5"].openings[0]
    assert lines["P6"].openings == (
        "speaker: as P5, from the right instead of the left; hold the inside width, and it follows",
    )


def test_a_mirror_image_of_a_mirror_image_is_the_pattern_again() -> None:
    unit = pair()
    assert unit.case is not None
    back = unit.case.panels[-1].model_copy(update={"code": "P7", "name": "front", "member": "L", "mirror_of": "P6"})
    panels = (*(p for p in unit.case.panels if p.code != "P7"), back)
    worked = worked_case(unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})}))
    assert worked is not None
    assert next(p for p in worked.panels if p.code == "P7").thickness is not None


def test_a_stack_through_the_panel_of_one_member_is_not_asked_of_the_other() -> None:
    shaft = stack(StackKind.PROJECTION, "30", panel="P5", need="10")
    unit = pair()
    assert unit.case is not None
    only_left = unit.case.panels[:-1]
    alone = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": only_left, "stacks": (shaft,)})})
    worked = worked_case(alone)
    assert worked is not None
    told = [c for c in worked.consequences if c.place.startswith("G1")]
    assert told
    assert all(c.holds for c in told)
    both = worked_case(unit.model_copy(update={"case": unit.case.model_copy(update={"stacks": (shaft,)})}))
    assert both is not None
    assert all(c.holds is not None for c in both.consequences if c.place.startswith("G1")), "its mirror has one too"


@pytest.mark.parametrize(
    ("dimension", "holds"),
    [
        (held("H-P", "lid width", "424", panel="P1"), True),
        (held("H-P", "lid width", "430", panel="P1"), False),
        (held("H-P", "top width", "424"), True),
        (held("H-P", "P1 depth", "200"), True),
        (held("H-P", "side L height", "300"), True),
    ],
)
def test_a_held_size_of_one_panel_is_held_against_that_panel(dimension: HeldDimension, holds: bool) -> None:
    from logbook.model.words import CaseJoint
    from tests.casework.building import corner

    plan = CasePlan(top=corner(CaseJoint.BUTT_OVER), bottom=corner(CaseJoint.BUTT_OVER))
    worked = worked_case(box(plan=plan, dimensions=(*inside(), dimension)))
    assert worked is not None
    found = {h.code: h for h in worked.held}
    assert found["H-P"].holds is holds, found["H-P"]
    assert found["H-W"].holds, "the width inside stays that of the case"


@pytest.mark.parametrize(
    "dimension",
    [held("H-D2", "drawer 2 inside width", "350"), held("H-D2", "inside width", "350", member="D2")],
)
def test_a_size_held_of_a_drawer_is_not_asked_of_the_chest(dimension: HeldDimension) -> None:
    worked = worked_case(box(dimensions=(*inside(), dimension), sets=(part_set("D", 4),)))
    assert worked is not None
    assert {h.code: h.holds for h in worked.held}["H-W"]
    assert worked.not_held == ()


SPLIT = Defect(x=mm("400"), y=mm("0"), length=mm("5"), width=mm("300"), what="split right across")


@pytest.mark.parametrize(
    ("length", "width", "sound"),
    [("400", "300", True), ("395", "300", True), ("401", "300", False), ("700", "1", False)],
)
def test_a_board_split_right_across_gives_two_short_ones(length: str, width: str, sound: bool) -> None:
    piece = Offcut(code="O1", material="12 ply", length=mm("800"), width=mm("300"), defects=(SPLIT,))
    size = (mm(length).ticks, mm(width).ticks)
    assert has_sound_place(piece, mm("800").ticks, mm("300").ticks, *size) is sound


def test_the_cut_list_offers_no_board_that_is_split_right_across() -> None:
    unit = box(plan=CasePlan())
    piece = Offcut(
        code="O1",
        material="12 ply",
        length=mm("600"),
        width=mm("300"),
        thickness=(mm("12"),),
        defects=(SPLIT.model_copy(update={"x": mm("300")}),),
    )
    worked = worked_case(unit)
    assert worked is not None
    shop = Shop(offcuts=(piece,))
    whys = {s.why for line in cut_list(unit, shop, worked) for s in line.sources}
    assert whys <= {"", "no sound place of that size beside its defects"}
    top = next(line for line in cut_list(unit, shop, worked) if line.code == "P1")
    if top.rough is not None and top.rough.length > mm("300").ticks:
        assert not top.sources[0].fits


def test_nothing_of_a_sound_pair_is_a_problem() -> None:
    assert [p for p in check_unit(pair(), Shop(), NOW) if "P6" in p.place] == []


SIDES_AND_BOARDS = (
    panel("P1", "top"),
    panel("P2", "left side"),
    panel("P3", "right side"),
    panel("P4", "bottom"),
)


def test_the_sides_of_one_case_stay_its_sides_beside_a_pair_that_is_called_left_and_right() -> None:
    """Worked by hand: inside 300 high, 12 above and below between the sides: a side is 324 x 200."""
    made = unit(
        case=Case(panels=SIDES_AND_BOARDS, plan=CasePlan(front=FrontKind.OPEN)),
        held_dimensions=inside(),
        sets=(handed_pair().model_copy(update={"name": "left and right"}),),
    )
    worked = worked_case(made)
    assert worked is not None
    assert not worked.missing
    assert {p.name: millimetres(p.finish) for p in worked.panels}["right side"] == [324.0, 200.0]


def test_a_case_without_any_size_is_a_problem_of_its_check() -> None:
    one_side = (SIDES_AND_BOARDS[0], SIDES_AND_BOARDS[1], SIDES_AND_BOARDS[3])
    made = unit(case=Case(panels=one_side, plan=CasePlan()), held_dimensions=inside())
    said = [p.sentence for p in check_unit(made, shop(), NOW) if p.code == "no-sizes"]
    assert "No panel has a size. The two sides, or their thickness, are not known." in " ".join(said)
