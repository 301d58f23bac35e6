"""Panels from held dimensions: a table worked by hand, and boxes that close exactly by plain geometry."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.casework import WorkedCase, WorkedPanel, worked_case
from logbook.casework.given import given_outside
from logbook.model.case_plan import CasePlan
from logbook.model.casework_records import HeldDimension, PanelJoint
from logbook.model.unit import Unit
from logbook.model.words import Axis, BackKind, CaseJoint, FrontKind
from tests.builders import mm
from tests.casework.building import OUTSIDE, both_faces, box, corner, held, inside, layer, millimetres, panel


def worked(unit: Unit) -> WorkedCase:
    found = worked_case(unit)
    assert found is not None
    return found


def part(unit: Unit, code: str) -> WorkedPanel:
    return next(p for p in worked(unit).panels if p.code == code)


def finish(unit: Unit, code: str) -> list[float]:
    return millimetres(part(unit, code).finish)


@pytest.mark.parametrize(
    ("kind", "depth", "length"),
    [
        ("butt, between", "", 400),
        ("butt, over the ends", "", 424),
        ("rabbet", "6", 412),
        ("rabbet", "", 412),
        ("dado", "4", 407),
        ("dado", "", 407),
        ("mitre", "", 424),
    ],
)
def test_length_of_a_part_between_two_sides(kind: str, depth: str, length: float) -> None:
    """Inside 400, sides 12: the panel formulas (common practice, no source), worked by hand."""
    unit = box(plan=CasePlan(bottom=corner(kind, depth)))
    assert finish(unit, "P4") == [length, 200]


@pytest.mark.parametrize(
    ("top", "bottom", "side"),
    [
        ("butt, between", "butt, between", 300 + 10 + 15),
        ("butt, over the ends", "butt, between", 300 + 15),
        ("butt, over the ends", "butt, over the ends", 300),
        ("rabbet", "rabbet", 300 + 10 + 15),
        ("butt, between", "dado", 300 + 10 + 15 + 20),
    ],
)
def test_length_of_a_side(top: str, bottom: str, side: float) -> None:
    more = {"inset": "20"} if bottom == "dado" else {}
    unit = box(plan=CasePlan(top=corner(top), bottom=corner(bottom, **more)), top="10", bottom="15")
    assert finish(unit, "P2") == [side, 200] == finish(unit, "P3")


def test_a_joint_deeper_or_with_other_slack_as_said() -> None:
    unit = box(plan=CasePlan(top=corner("dado", "3", slack="0.5"), bottom=corner("dado", "3", slack="0")))
    assert finish(unit, "P1")[0] == 405.5
    assert finish(unit, "P4")[0] == 406


@pytest.mark.parametrize(
    ("back", "more", "size", "deep"),
    [
        ("in a rabbet", {"back_depth": mm("6")}, [411, 311], 206),
        ("in a rabbet", {"back_depth": mm("6"), "back_set_in": mm("8")}, [411, 311], 208),
        ("in a rabbet", {}, [411, 311], 206),
        ("loose in a groove", {"back_depth": mm("4"), "back_set_in": mm("10")}, [406.5, 306.5], 216),
        ("on blocks, set in", {"back_set_in": mm("7")}, [399, 299], 207),
        ("laid on the edges", {}, [424, 324], 200),
    ],
)
def test_the_back(back: str, more: dict, size: list[float], deep: float) -> None:
    """Inside 400 x 300 x 200, back 6: W + 2r - 1 in a rabbet, W + 2g - 1.5 in a groove (common practice)."""
    unit = box(panel("P6", "back", "6"), plan=CasePlan(back=BackKind(back), **more))
    assert finish(unit, "P6") == size
    assert finish(unit, "P2")[1] == deep


def test_front_let_in_or_laid_on() -> None:
    between = box(
        panel("P5", "baffle", "10"),
        plan=CasePlan(front=FrontKind.BETWEEN, front_set_back=mm("6"), front_gap=mm("0.5")),
    )
    assert finish(between, "P5") == [399, 299]
    assert finish(between, "P2")[1] == 216
    over = box(panel("P5", "front", "10"), plan=CasePlan(front=FrontKind.OVER))
    assert finish(over, "P5") == [424, 324]
    assert millimetres(worked(over).outside) == [424, 324, 210]


def test_lamination_and_veneer_add_up() -> None:
    side = panel("P2", "side L").model_copy(update={"layers": (layer("5.5"), layer("5.6")), "leaves": both_faces()})
    unit = box()
    assert unit.case is not None
    panels = tuple(side if p.code == "P2" else p for p in unit.case.panels)
    unit = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})
    assert millimetres((part(unit, "P2").thickness or 0,)) == [12.3]
    assert millimetres((part(unit, "P3").thickness or 0,)) == [12]
    assert millimetres(worked(unit).outside)[0] == 424.3


def test_a_mirror_image_takes_over_what_it_does_not_say() -> None:
    unit = box()
    assert unit.case is not None
    bare = [p.model_copy(update={"layers": ()}) if p.code == "P3" else p for p in unit.case.panels]
    unit = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": tuple(bare)})})
    assert part(unit, "P3").thickness == part(unit, "P2").thickness
    assert worked(unit).outside is not None
    assert (part(unit, "P2").hand, part(unit, "P3").hand) == ("left", "right")


@pytest.mark.parametrize(
    ("banded", "cut", "name"),
    [
        (("front",), [400, 199], "bottom"),
        (("front", "back"), [400, 198], "bottom"),
        (("front", "left", "right"), [398, 199], "bottom"),
        (("All",), [398, 198], "bottom"),
    ],
)
def test_cut_size_is_less_the_band_on_banded_edges(banded: tuple[str, ...], cut: list[float], name: str) -> None:
    unit = box(plan=CasePlan(band=mm("1")))
    assert unit.case is not None
    panels = tuple(p.model_copy(update={"banded": banded}) if p.name == name else p for p in unit.case.panels)
    unit = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})
    assert millimetres(part(unit, "P4").cut) == cut
    assert millimetres(part(unit, "P4").rough) == cut, "nothing is pressed, so nothing is left on"


def test_rough_and_leaf_sizes() -> None:
    """3 left on at each edge of what is pressed, a leaf a further 6; solid wood 12.5 longer and 5 wider."""
    veneered = panel("D1", "divider", at=mm("100"), leaves=both_faces())
    solid = panel("D2", "divider", at=mm("200"), species="Beech, American")
    unit = box(veneered, solid)
    size = finish(unit, "D1")
    assert size == [300, 200]
    assert millimetres(part(unit, "D1").rough) == [306, 206]
    assert [millimetres(x.size) for x in part(unit, "D1").leaves] == [[318, 218], [318, 218]]
    assert millimetres(part(unit, "D2").rough) == [312.5, 205]


def test_dividers_and_shelves_span_what_they_stand_between() -> None:
    dado = (PanelJoint(end="both ends", kind=CaseJoint.DADO, depth=mm("4")),)
    upright = panel("D1", "divider", "10", at=mm("150"), joints=dado)
    left = panel("D2", "shelf", "10", at=mm("100"), between=("P2", "D1"), set_back=mm("20"))
    right = panel("D3", "shelf", "10", at=mm("120"), between=("P3", "D1"), joints=dado)
    unit = box(left, right, upright)
    assert finish(unit, "D1") == [300 + 8 - 1, 200]
    assert finish(unit, "D2") == [150, 180]
    assert finish(unit, "D3") == [400 - 160 + 8 - 1, 200]


def test_a_recorded_size_wins_and_the_difference_is_told() -> None:
    from logbook.model.case_plan import Size

    unit = box()
    assert unit.case is not None
    wrong = Size(length=mm("405"), width=mm("200"))
    panels = tuple(p.model_copy(update={"finish": wrong}) if p.code == "P4" else p for p in unit.case.panels)
    unit = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})
    bottom = part(unit, "P4")
    assert (finish(unit, "P4"), millimetres(bottom.computed)) == ([405, 200], [400, 200])
    assert [(d.what, millimetres(d.recorded), millimetres(d.computed)) for d in bottom.differences] == [
        ("finish", [405, 200], [400, 200])
    ]
    assert worked(unit).differing == ("P4",)


def test_what_is_missing_is_said_and_no_size_is_guessed() -> None:
    unit = box(dimensions=[held("H-W", "inside width", "400")])
    found = worked(unit)
    assert [p.finish for p in found.panels] == [None] * 4
    assert found.outside is None
    assert any("inside height is not held" in s for s in found.missing)
    assert any("inside depth is not held" in s for s in found.missing)


def test_a_held_outside_leaves_the_inside() -> None:
    dims = [held(c, w, v, kind=OUTSIDE) for c, w, v in (("H1", "width", "424"), ("H2", "height", "324"))]
    unit = box(
        dimensions=[*dims, held("H3", "depth", "206", kind=OUTSIDE)], plan=CasePlan(bottom=corner("rabbet", "6"))
    )
    assert finish(unit, "P4") == [412, 206]
    assert finish(unit, "P2") == [324, 206]
    assert [h.holds for h in worked(unit).held] == [True] * 3


# Plain geometry: whatever the joints, the panels of a box close around the inside and leave nothing out


THICK = st.integers(30, 300).map(lambda n: f"{n / 10}")
SIZE = st.integers(1000, 6000).map(lambda n: f"{n / 10}")


@st.composite
def boxes(draw: st.DrawFn) -> tuple[Unit, str, str]:
    """A box with any joints at top and bottom."""
    sides = draw(THICK)
    kinds = [draw(st.sampled_from(list(CaseJoint))) for _ in range(2)]
    top, bottom = (sides if k is CaseJoint.MITRE else draw(THICK) for k in kinds)
    corners = [
        corner(k, inset=draw(THICK)) if k is CaseJoint.DADO and draw(st.booleans()) else corner(k) for k in kinds
    ]
    width, height, depth = draw(SIZE), draw(SIZE), draw(SIZE)
    plan = CasePlan(top=corners[0], bottom=corners[1])
    unit = box(plan=plan, sides=sides, top=top, bottom=bottom, dimensions=inside(width, height, depth))
    return unit, width, height


def union(rectangles: list[tuple[int, int, int, int]]) -> int:
    """The area that rectangles (left, right, bottom, top) cover together, by cutting the plane at every edge."""
    xs = sorted({x for r in rectangles for x in r[:2]})
    ys = sorted({y for r in rectangles for y in r[2:]})
    return sum(
        (b - a) * (d - c)
        for a, b in pairwise(xs)
        for c, d in pairwise(ys)
        if any(r[0] <= a and b <= r[1] and r[2] <= c and d <= r[3] for r in rectangles)
    )


@given(boxes())
@settings(max_examples=80, deadline=None)
def test_a_box_closes_exactly(made: tuple[Unit, str, str]) -> None:
    """Seen from the front: what the panels cover, the inside, and the feet below an inset part fill the outside."""
    unit, width, height = made
    found = worked(unit)
    assert unit.case is not None
    assert unit.case.plan is not None
    shell = [p.box[:4] for p in found.panels if p.box is not None]
    assert len(shell) == 4
    w, h = mm(width).ticks, mm(height).ticks
    for left, right, bottom, top in shell:
        assert right <= 0 or left >= w or top <= 0 or bottom >= h, "no panel stands in the inside"
    inset = sum(
        c.inset.ticks for c in (unit.case.plan.top, unit.case.plan.bottom) if c is not None and c.inset is not None
    )
    assert found.outside is not None
    outside = found.outside[0] * found.outside[1]
    assert union(shell) + w * h + w * inset == outside
    for p in found.panels:
        assert p.box is not None
        assert p.finish is not None
        long = (p.box.right - p.box.left) if p.code in ("P1", "P4") else (p.box.top - p.box.bottom)
        assert p.finish.length == long


@given(boxes())
@settings(max_examples=60, deadline=None)
def test_working_back_from_the_panels_gives_what_is_held(made: tuple[Unit, str, str]) -> None:
    """The finished sizes alone, by the reverse formulas, give the inside again, and the same outside."""
    unit, _, _ = made
    found = worked(unit)
    assert [h.holds for h in found.held] == [True] * 3
    assert all(h.difference == "0" for h in found.held)
    assert given_outside(found.members[0].case) == found.outside


@given(SIZE, THICK)
@settings(max_examples=40, deadline=None)
def test_a_mitre_is_as_long_inside_as_the_inside(width: str, thick: str) -> None:
    """Long points outside, short points inside: they differ by one thickness at each end, as 45 degrees does."""
    unit = box(plan=CasePlan(top=corner("mitre")), sides=thick, top=thick, dimensions=inside(width))
    top = part(unit, "P1")
    assert top.finish is not None
    assert top.short == mm(width).ticks
    assert top.finish.length - top.short == 2 * mm(thick).ticks


@given(st.sampled_from([BackKind.RABBET, BackKind.GROOVE]), SIZE, SIZE, st.integers(20, 150), THICK)
@settings(max_examples=60, deadline=None)
def test_a_back_fits_its_groove(kind: BackKind, width: str, height: str, depth: int, thick: str) -> None:
    """It never reaches the ground of its groove, and stays in it on both sides even when pushed to one."""
    plan = CasePlan(back=kind, back_depth=mm(f"{depth / 10}"), back_set_in=mm("12"))
    unit = box(panel("P6", "back", "4"), plan=plan, sides=thick, dimensions=inside(width, height))
    back = part(unit, "P6").box
    assert back is not None
    w, h, d = mm(width).ticks, mm(height).ticks, mm(f"{depth / 10}").ticks
    loose = (w + 2 * d) - (back.right - back.left)
    assert loose == mm("1" if kind is BackKind.RABBET else "1.5").ticks
    assert -d < back.left
    assert back.right < w + d
    assert (back.right - back.left) - w - d == d - loose, "pushed to one side, it holds in the other"
    assert (h + 2 * d) - (back.top - back.bottom) == loose


def test_depth_follows_from_a_held_volume() -> None:
    """6 l net in 200 x 150: 0.3 l of a box-shaped part inside asks for 210 of depth: 200 x 150 x 210 = 6.3 l."""
    from decimal import Decimal

    from logbook.model.words import HeldKind
    from tests.casework.building import fitting

    volume = HeldDimension(
        code="H-V", what="volume", kind=HeldKind.VOLUME, litres=Decimal(6), tolerance_percent=Decimal(1)
    )
    part_inside = fitting("M1", "magnet", left="50", right="150", bottom="50", top="100", near="0", far="60")
    dims = [held("H-W", "inside width", "200"), held("H-H", "inside height", "150"), volume]
    unit = box(dimensions=dims, case={"fittings": (part_inside,)})
    found = worked(unit)
    assert millimetres((found.members[0].frame.depth or 0,)) == [210]
    assert found.members[0].litres == Fraction(6)
    assert [h.holds for h in found.held] == [True] * 3
    short = worked(
        box(dimensions=[*dims, held("H-D", "depth", "200", along=Axis.DEPTH)], case={"fittings": (part_inside,)})
    )
    result = next(h for h in short.held if h.code == "H-V")
    assert (result.holds, result.given) == (False, "5.700 l")
    assert "-5.00 %" in result.why
