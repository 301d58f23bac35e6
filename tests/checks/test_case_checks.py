"""Checks 10 and 11 on the case of the worked example: what is held is kept, and the pieces are as thick as drawn.

The figures are those that were worked out by hand for the radio R1: 452 and 276 inside, 478 x 300.8 x 230 outside,
piece O06 of 12.2 refused for joints of 11.8. The rules of joints are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.casework.given import given_outside as outside
from logbook.casework.given import given_sizes as inside_sizes
from logbook.casework.lookup import mm
from logbook.checks import CheckProblem, Severity, check_unit
from logbook.model.casework_records import Case, Layer, Panel, PanelJoint, Size
from logbook.model.edits import with_changes
from logbook.model.measures import Length
from logbook.model.shop import Offcut, Shop
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.model.words import CaseJoint
from tests.builders import at, shop, unit
from tests.builders import mm as length

NOW = at("2026-03-17 20:00")
DOCUMENTS = demo_documents()
RADIO: Unit = next(d.unit for d in DOCUMENTS if d.logbook == "unit" and d.unit.code == "R1")
PILE: Shop = next(d.shop for d in DOCUMENTS if d.logbook == "shop")


def found(of: Unit, *checks: int, in_shop: Shop = PILE) -> dict[str, CheckProblem]:
    """What checks 10 and 11 (or those named) say, by their place."""
    problems = [p for p in check_unit(of, in_shop, NOW) if p.check in (checks or (10, 11))]
    return {f"{p.code} {p.place}": p for p in problems}


def panel(code: str, change: Callable[[Panel], Panel], of: Unit = RADIO) -> Unit:
    """The radio with one panel of its case drawn otherwise."""
    assert of.case is not None
    panels = tuple(change(p) if p.code == code else p for p in of.case.panels)
    return with_changes(of, case=with_changes(of.case, panels=panels))


def long(mm_: str) -> Callable[[Panel], Panel]:
    return lambda p: with_changes(p, finish=with_changes(p.finish, length=length(mm_)))


def thick(mm_: str, piece: str = "") -> Callable[[Panel], Panel]:
    return lambda p: with_changes(p, layers=(with_changes(p.layers[0], thickness=length(mm_), piece=piece),))


def from_piece(piece: str) -> Callable[[Panel], Panel]:
    return lambda p: with_changes(p, layers=(with_changes(p.layers[0], piece=piece),))


def joints(*made: PanelJoint) -> Callable[[Panel], Panel]:
    return lambda p: with_changes(p, joints=made)


# The example as it is


def test_the_case_of_the_example_keeps_what_is_held() -> None:
    assert RADIO.case is not None
    sizes = {(s.axis, s.panel): (mm(s.least), mm(s.most)) for s in inside_sizes(RADIO.case)}
    assert sizes == {
        ("width", "P1"): ("452", "452"),
        ("width", "P4"): ("452", "452"),
        ("height", "P2"): ("276", "276"),
        ("height", "P3"): ("276", "276"),
    }
    assert [p for p in found(RADIO).values() if p.severity is not Severity.NOTE] == []


def test_how_much_larger_it_becomes_outside_is_told() -> None:
    assert RADIO.case is not None
    assert tuple(map(mm, outside(RADIO.case) or ())) == ("478", "300.8", "230")
    told = found(RADIO)["outside-changes case"]
    assert "478 x 300.8 x 230: +6 / +5.3 / +2 on the old 472 x 295.5 x 228" in told.sentence
    assert told.severity is Severity.NOTE


def test_the_piece_of_the_other_batch_is_to_be_left() -> None:
    told = found(RADIO, 11)
    assert set(told) == {"piece-to-leave O06"}
    assert "12.2" in told["piece-to-leave O06"].sentence
    assert "P4 drawn for 11.8; 0.2 is allowed" in told["piece-to-leave O06"].sentence


# Check 10


LOST = [
    ("P4", long("464"), "held-size-lost P4 H-W"),
    ("P1", long("479"), "held-size-lost P1 H-W"),
    ("P2", long("300"), "held-size-lost P2 H-H"),
    ("P2", thick("12.8"), "held-size-lost P1 H-W"),
]


@pytest.mark.parametrize(("code", "change", "said"), LOST)
def test_a_held_size_that_is_lost_is_wrong(code: str, change: Callable[[Panel], Panel], said: str) -> None:
    told = found(panel(code, change), 10)
    assert said in told
    assert told[said].severity is Severity.WRONG
    assert "Draw it anew from the measured thickness." in told[said].sentence


KEPT = [("P4", "465.5"), ("P4", "464.5"), ("P2", "301.3"), ("P2", "300.3")]


@pytest.mark.parametrize(("code", "mm_"), KEPT)
def test_a_size_within_its_tolerance_is_kept(code: str, mm_: str) -> None:
    assert not [k for k in found(panel(code, long(mm_)), 10) if k.startswith("held-size-lost")]


def test_joints_that_say_two_things_are_wrong() -> None:
    told = found(panel("P1", joints(PanelJoint(end="left", kind=CaseJoint.BUTT_BETWEEN))), 10)
    assert {"joints-disagree P1 P2", "joints-disagree P1 P3"} <= set(told)


def test_a_rabbet_without_a_depth_is_asked_for() -> None:
    no_depth = joints(
        PanelJoint(end="top", kind=CaseJoint.MITRE),
        PanelJoint(end="bottom", kind=CaseJoint.RABBET, width=length("11.8")),
    )
    assert RADIO.case is not None
    unplanned = with_changes(RADIO, case=with_changes(RADIO.case, plan=None))
    assert "joint-without-depth P2" not in found(panel("P2", no_depth), 10), "the plan says it"
    told = found(panel("P2", no_depth, unplanned), 10)
    assert told["joint-without-depth P2"].severity is Severity.LOOK


def test_a_hole_that_moved_is_found_and_another_hole_is_not_taken_for_it() -> None:
    def moved(by: str) -> Callable[[Panel], Panel]:
        def change(p: Panel) -> Panel:
            shaft = next(o for o in p.openings if o.what == "shaft 1")
            x = Length.from_ticks(shaft.centre.x.ticks + length(by).ticks)
            new = with_changes(shaft, centre=with_changes(shaft.centre, x=x))
            return with_changes(p, openings=tuple(new if o is shaft else o for o in p.openings))

        return change

    assert "hole-moved P5 H-S" in found(panel("P5", moved("2")), 10)
    assert "2 off its place at x 78, y 48" in found(panel("P5", moved("2")), 10)["hole-moved P5 H-S"].sentence
    assert "hole-moved P5 H-S" not in found(panel("P5", moved("0.5")), 10)
    assert "hole-moved P5 H-S" not in found(panel("P5", moved("40")), 10)


def test_a_unit_without_a_case_has_nothing_to_check() -> None:
    assert found(with_changes(RADIO, case=None)) == {}


# Check 11


def test_o06_is_refused_for_the_bottom() -> None:
    told = found(panel("P4", from_piece("O06")), 11)["piece-does-not-fit P4 O06"]
    assert told.severity is Severity.WRONG
    assert told.sentence == (
        "O06 measures 12.2 and P4 bottom is drawn for 11.8, to sit in a rabbet 11.8 wide; 0.2 is allowed. "
        "Take another piece, or draw the panel and its joints anew."
    )


@pytest.mark.parametrize("piece", ["O01", "O02"])
def test_pieces_of_the_right_batch_fit(piece: str) -> None:
    assert not [k for k in found(panel("P4", from_piece(piece)), 11) if k.startswith("piece-does-not-fit")]


def test_a_piece_that_was_never_measured_is_to_be_measured() -> None:
    pile = with_changes(
        PILE, offcuts=tuple(with_changes(o, thickness=()) if o.code == "O01" else o for o in PILE.offcuts)
    )
    told = found(panel("P4", from_piece("O01")), 11, in_shop=pile)
    assert told["piece-not-measured P4 O01"].severity is Severity.LOOK


def test_one_thick_corner_is_enough_to_refuse_a_piece() -> None:
    readings = tuple(map(length, ("11.8", "11.9", "12.1")))
    pile = with_changes(
        PILE, offcuts=tuple(with_changes(o, thickness=readings) if o.code == "O01" else o for o in PILE.offcuts)
    )
    told = found(panel("P4", from_piece("O01")), 11, in_shop=pile)
    assert "measures 11.8 to 12.1" in told["piece-does-not-fit P4 O01"].sentence


def test_a_joint_narrower_than_its_part_is_wrong() -> None:
    told = found(panel("P4", thick("12.2")), 11)
    assert {"joint-width P2 P4", "joint-width P3 P4"} <= set(told)
    assert "rabbet 11.8 wide for P4 bottom, which is 12.2 thick" in told["joint-width P2 P4"].sentence


def test_a_panel_without_a_thickness_is_to_be_measured_first() -> None:
    told = found(panel("P4", lambda p: with_changes(p, layers=())), 10)
    assert "no-thickness P4" in told


@pytest.mark.parametrize(("tolerance", "fits"), [("0.4", True), ("0.39", False)])
def test_the_tolerance_is_a_setting_of_the_shop(tolerance: str, fits: bool) -> None:
    pile = with_changes(PILE, settings=with_changes(PILE.settings, thickness_tolerance=length(tolerance)))
    told = found(panel("P4", from_piece("O06")), 11, in_shop=pile)
    assert ("piece-does-not-fit P4 O06" not in told) is fits


def test_too_small_a_piece_or_another_material_is_not_spoken_of() -> None:
    o06 = next(o for o in PILE.offcuts if o.code == "O06")

    def piece(code: str, material: str, long_: str, wide: str) -> Offcut:
        size = {"length": length(long_), "width": length(wide), "usable_length": None, "usable_width": None}
        return with_changes(o06, code=code, material=material, **size)

    pile = shop(
        offcuts=(
            piece("O90", "12 ply", "100", "100"),
            piece("O91", "12 MDF", "900", "500"),
            piece("O92", "12 PLY", "300", "900"),
        )
    )
    assert [k for k in found(RADIO, 11, in_shop=pile) if k.startswith("piece-to-leave")] == ["piece-to-leave O92"]


# The formulas, in general


LENGTHS = st.integers(200, 900)
THICK = st.integers(6, 25)


def box(joint: CaseJoint, part_length: int, side: int, side_thick: int, part_thick: int, **more: Any) -> Case:
    """Two sides of a thickness with a top and a bottom in the same joint."""
    side_joints = tuple(PanelJoint(end=end, kind=joint, **more) for end in ("top", "bottom"))

    def flat(code: str, name: str, long_: int, thick_: int, of: tuple[PanelJoint, ...] = ()) -> Panel:
        layers = (Layer(material="12 ply", thickness=length(str(thick_))),)
        size = Size(length=length(str(long_)), width=length("200"))
        return Panel(code=code, name=name, layers=layers, finish=size, joints=of)

    return Case(
        panels=(
            flat("P1", "top", part_length, part_thick),
            flat("P2", "side L", side, side_thick, side_joints),
            flat("P3", "side R", side, side_thick, side_joints),
            flat("P4", "bottom", part_length, part_thick),
        )
    )


@given(LENGTHS, LENGTHS, THICK, THICK, st.integers(2, 5))
def test_inside_and_outside_follow_the_table_of_joints(width: int, height: int, s: int, p: int, d: int) -> None:
    """For an inside width W and sides Ts: between W; over the ends W + 2 Ts; rabbet W + 2 d; mitre W + 2 Ts."""
    cases = (
        (box(CaseJoint.BUTT_BETWEEN, width, height + 2 * p, s, p), (width, height), (width + 2 * s, height + 2 * p)),
        (box(CaseJoint.BUTT_OVER, width + 2 * s, height, s, p), (width, height), (width + 2 * s, height + 2 * p)),
        (
            box(CaseJoint.RABBET, width + 2 * d, height + 2 * p, s, p, width=length(str(p)), depth=length(str(d))),
            (width, height),
            (width + 2 * s, height + 2 * p),
        ),
        (box(CaseJoint.MITRE, width + 2 * s, height + 2 * p, s, p), (width, height), (width + 2 * s, height + 2 * p)),
    )
    for case, inside, out in cases:
        sizes = {(x.axis, mm(x.least), mm(x.most)) for x in inside_sizes(case)}
        assert sizes == {("width", str(inside[0]), str(inside[0])), ("height", str(inside[1]), str(inside[1]))}
        assert tuple(map(mm, outside(case) or ())) == (str(out[0]), str(out[1]), "200")


def test_a_dado_leaves_a_width_that_may_be_a_little_more() -> None:
    case = box(CaseJoint.DADO, 412, 300, 18, 12, width=length("12"), depth=length("6"))
    assert {(x.axis, mm(x.least), mm(x.most)) for x in inside_sizes(case)} == {("width", "400", "401")}
    assert outside(case) is None


def test_a_case_in_a_record_of_nothing_else_raises_no_fault() -> None:
    made = with_changes(unit(), case=box(CaseJoint.MITRE, 478, 300, 13, 13))
    assert not [p for p in found(made, in_shop=shop()).values() if p.severity is Severity.WRONG]


# Checks 12 and 13


def test_a_bolt_that_became_too_short_is_wrong() -> None:
    assert found(RADIO, 12, 13) == {}
    told = found(panel("P4", thick("14.6")), 12)
    assert told["grip G1 P4"].severity is Severity.WRONG
    assert "4.9 left for the nut, at least 5 wanted" in told["grip G1 P4"].sentence
    assert "Take one at least 0.1 longer" in told["grip G1 P4"].sentence


def test_the_point_of_a_screw_that_would_show_is_wrong() -> None:
    told = found(panel("P5", thick("8.7")), 12)
    assert set(told) == {"breakthrough G4 P5"}


def test_veneer_on_one_side_is_to_be_looked_at() -> None:
    told = found(panel("P1", lambda p: with_changes(p, leaves=p.leaves[:1])), 13)
    assert told["veneer P1"].severity is Severity.LOOK


def test_a_written_size_that_is_not_the_computed_one_is_to_be_looked_at() -> None:
    assert "recorded-size-differs P4" in found(panel("P4", long("465.2")), 10)
    assert not [k for k in found(RADIO, 10) if k.startswith("recorded-size-differs")]
