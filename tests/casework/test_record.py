"""What becomes of the record: a thickness measured anew, sizes taken over, pairs and sets, parts to be laid out."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.casework import (
    changes,
    completed,
    cut_list,
    rough_parts,
    sheets_of,
    taken_over,
    with_thickness,
    worked_case,
)
from logbook.casework import mm as mm_of
from logbook.errors import InputError
from logbook.model.case_plan import CasePlan, Size
from logbook.model.measures import Length
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import Axis, FrontKind, Grain
from tests.builders import handed_pair, mm, offcut, part_set, shop
from tests.casework.building import both_faces, box, corner, held, inside, layer, millimetres, panel


def recorded(unit: Unit, **finish: str) -> Unit:
    """The unit with finish sizes written down for some panels, such as `P4="412x200"`."""
    assert unit.case is not None
    panels = []
    for p in unit.case.panels:
        long, _, wide = finish.get(p.code, "").partition("x")
        size = Size(length=mm(long), width=mm(wide)) if long else p.finish
        panels.append(p.model_copy(update={"finish": size}))
    return unit.model_copy(update={"case": unit.case.model_copy(update={"panels": tuple(panels)})})


def finishes(unit: Unit) -> dict[str, list[float]]:
    found = worked_case(unit)
    assert found is not None
    return {p.code: millimetres(p.finish) for p in found.panels}


def test_only_some_panels_of_a_sheet() -> None:
    unit = box(plan=CasePlan(bottom=corner("rabbet", "6")))
    assert unit.case is not None
    (sheet,) = sheets_of(unit.case)
    after = with_thickness(unit, sheet, Length.of("15"), ("P4",))
    assert finishes(after)["P2"] == [300 + 12 + 15, 200], "the top stands between the sides as well"
    assert after.case is not None
    assert [p.layers[0].thickness.in_mm() for p in after.case.panels] == ["12", "12", "12", "15"]


@pytest.mark.parametrize(
    ("thickness", "codes", "why"), [("15", ("P9",), "P9 is not of 12 ply 12"), ("0", (), "more than 0")]
)
def test_a_thickness_that_cannot_be(thickness: str, codes: tuple[str, ...], why: str) -> None:
    unit = box()
    assert unit.case is not None
    with pytest.raises(InputError, match=why):
        with_thickness(unit, sheets_of(unit.case)[0], Length.of(thickness), codes)


def test_a_written_size_that_was_the_computed_one_follows_and_another_stays() -> None:
    unit = recorded(box(plan=CasePlan(bottom=corner("butt, over the ends"))), P4="424x200", P1="399x200")
    assert unit.case is not None
    after = with_thickness(unit, sheets_of(unit.case)[0], Length.of("10"))
    assert finishes(after) == {"P1": [399, 200], "P2": [310, 200], "P3": [310, 200], "P4": [420, 200]}
    assert after.case is not None
    assert after.case.panels[1].finish is None, "what was never written down is not written down now"


def test_computed_sizes_are_taken_over() -> None:
    unit = recorded(box(), P1="399x200")
    after = taken_over(unit)
    assert after.case is not None
    assert [p.finish is not None for p in after.case.panels] == [True, False, False, False]
    assert finishes(after)["P1"] == [400, 200]
    with pytest.raises(InputError, match="already"):
        taken_over(after)


@given(st.integers(50, 250), st.integers(50, 250))
@settings(max_examples=25, deadline=None)
def test_there_and_back_again_changes_nothing(first: int, second: int) -> None:
    unit = recorded(box(plan=CasePlan(top=corner("mitre"), bottom=corner("rabbet", "3"))), P1="424x200", P2="324x200")
    assert unit.case is not None
    there = with_thickness(unit, sheets_of(unit.case)[0], Length.of(f"{first / 10} mm"))
    assert there.case is not None
    back = with_thickness(there, sheets_of(there.case)[0], Length.of("12"))
    assert finishes(back) == finishes(unit)
    a, b = worked_case(unit), worked_case(back)
    assert a is not None
    assert b is not None
    assert changes(a, b) == ()
    other = worked_case(with_thickness(unit, sheets_of(unit.case)[0], Length.of(f"{second / 10} mm")))
    assert other is not None
    assert bool(changes(a, other)) is (second != 120)


# Pairs and sets


def test_a_pair_multiplies_its_panels() -> None:
    unit = box(sets=(handed_pair().model_copy(update={"whole_unit": True}),))
    found = worked_case(unit)
    assert found is not None
    assert [(p.code, p.quantity, p.members) for p in found.panels] == [(f"P{i}", 2, ("L", "R")) for i in range(1, 5)]
    case = completed(unit)
    assert case is not None
    assert [p.quantity for p in case.panels] == [2] * 4
    assert {p.code: p.quantity for p in rough_parts(found)} == {"P1": 2, "P2": 2, "P3": 2, "P4": 2}


def test_a_set_that_is_only_part_of_the_unit_does_not() -> None:
    found = worked_case(box(sets=(part_set(),)))
    assert found is not None
    assert {p.quantity for p in found.panels} == {1}


def test_each_member_keeps_its_own_panel_and_its_own_held_dimension() -> None:
    """R has a deeper case and a front of its own: what differs stands apart, what is alike is counted together."""
    own_front = panel("P6", "front", "10", member="R")
    front = panel("P5", "front", "9")
    deeper = held("H-R", "inside depth", "220", along=Axis.DEPTH, member="R")
    unit = box(
        front, own_front, plan=CasePlan(front=FrontKind.OVER), dimensions=[*inside(), deeper],
        sets=(handed_pair().model_copy(update={"whole_unit": True}),),
    )  # fmt: skip
    found = worked_case(unit)
    assert found is not None
    fronts = [(p.code, p.quantity, p.members) for p in found.panels if p.code in ("P5", "P6")]
    assert fronts == [("P5", 1, ("L",)), ("P6", 1, ("R",))]
    sides = [(p.code, p.quantity, p.members, millimetres(p.finish)) for p in found.panels if p.name == "side L"]
    assert sides == [("P2-L", 1, ("L",), [324, 200]), ("P2-R", 1, ("R",), [324, 220])]
    assert {(h.code, h.member) for h in found.held} == {("H-W", ""), ("H-H", ""), ("H-D", "L"), ("H-R", "R")}
    marks = [x.mark for x in cut_list(unit, Shop(), found) if x.name == "side L"]
    assert marks == ["R1 P2-L side L L", "R1 P2-R side L R"]
    case = completed(unit)
    assert case is not None
    assert len({p.code for p in case.panels}) == len(case.panels)


# Cut list and parts


def piece(code: str, size: str, readings: str = "12", **more: Any) -> Offcut:
    """A piece of 12 ply with its readings by calliper."""
    return offcut(code, size, "", **more).model_copy(update={"thickness": tuple(mm(r) for r in readings.split())})


@pytest.mark.parametrize(
    ("of_pile", "why"),
    [
        (piece("O1", "400x200"), ""),
        (piece("O1", "200x400", grain=Grain.WIDTH), ""),
        (piece("O1", "200x400"), "200 too short"),
        (piece("O1", "200x400", grain=Grain.FREE), ""),
        (piece("O1", "395x190"), "5 too short and 10 too narrow"),
        (piece("O1", "400x200", readings="12 12.3"), "12.3 thick, wanted is 12 to within 0.2"),
        (piece("O1", "400x200", readings=""), "not measured"),
        (piece("O1", "400x200", reserved_for="C1 runners"), "reserved for C1 runners"),
        (piece("O1", "400x200", reserved_for="R1, case"), ""),
    ],
)
def test_which_pieces_a_part_may_come_from(of_pile: Offcut, why: str) -> None:
    unit = box()
    found = worked_case(unit)
    assert found is not None
    line = next(x for x in cut_list(unit, shop(offcuts=[of_pile]), found) if x.code == "P1")
    assert [(s.code, s.fits, s.why) for s in line.sources] == [("O1", not why, why)]


def test_a_laminated_panel_is_several_parts() -> None:
    laminated = panel("D1", "divider", leaves=both_faces()).model_copy(update={"layers": (layer("6"), layer("6"))})
    found = worked_case(box(laminated))
    assert found is not None
    parts = [(p.code, p.panel, millimetres((p.length, p.width))) for p in rough_parts(found) if p.panel == "D1"]
    core, leaf = [306, 206], [318, 218]
    assert parts == [("D1.1", "D1", core), ("D1.2", "D1", core), ("D1-face", "D1", leaf), ("D1-back", "D1", leaf)]


def test_parts_without_a_size_are_left_out() -> None:
    found = worked_case(box(dimensions=[held("H-W", "inside width", "400")]))
    assert found is not None
    assert rough_parts(found) == ()


@given(st.integers(-(10**9), 10**9))
@settings(max_examples=200)
def test_figures_read_as_lengths_do(of: int) -> None:
    """To 0.01 mm, halves to the even side, as the record of a length shows them."""
    assert mm_of(of) == Length.from_ticks(of).in_mm()


@pytest.mark.parametrize(("of", "text"), [(400, "0"), (1200, "0.02"), (-400, "0"), (-1200, "-0.02"), (80_000, "1")])
def test_halves_of_a_hundredth(of: int, text: str) -> None:
    assert mm_of(of) == Length.from_ticks(of).in_mm() == text
