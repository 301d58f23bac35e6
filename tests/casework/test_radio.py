"""R1's case as worked by hand in the example: computed from the plan alone, every written size taken away first."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from logbook.casework import WorkedCase, changes, cut_list, mm, rough_parts, sheets_of, show_area, with_thickness
from logbook.casework import worked_case as work
from logbook.casework.material import areas_of, strip_stock
from logbook.casework.opening_words import opening_area
from logbook.model.casework_records import Panel, Strip
from logbook.model.measures import Length
from logbook.model.unit import Unit
from tests.builders import mm as length
from tests.casework.building import millimetres
from tests.example_records import R1, SHOP


def bare(panel: Panel) -> Panel:
    leaves = tuple(x.model_copy(update={"size": None}) for x in panel.leaves)
    return panel.model_copy(update={"finish": None, "cut": None, "rough": None, "leaves": leaves, "joints": ()})


def computed(unit: Unit = R1) -> Unit:
    assert unit.case is not None
    panels = tuple(bare(p) for p in unit.case.panels)
    return unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})


def worked(unit: Unit) -> WorkedCase:
    found = work(unit, SHOP.settings)
    assert found is not None
    return found


COMPUTED = worked(computed())
RECORDED = worked(R1)


def test_every_panel_of_the_example_comes_out() -> None:
    sizes = {
        p.code: " ".join(f"{x:.1f}" for size in (p.finish, p.cut, p.rough) for x in millimetres(size))
        for p in COMPUTED.panels
    }
    assert sizes == {
        "P1": "478.0 230.0 478.0 229.4 484.0 235.4",
        "P2": "300.8 230.0 300.8 229.4 306.8 235.4",
        "P3": "300.8 230.0 300.8 229.4 306.8 235.4",
        "P4": "465.0 230.0 465.0 229.4 465.0 229.4",
        "P5": "451.0 275.0 451.0 275.0 457.0 281.0",
    }
    assert [mm(p.thickness or 0) for p in COMPUTED.panels] == ["13", "13", "13", "11.8", "10"]
    assert COMPUTED.outside_words == "478 x 300.8 x 230 (+6 / +5.3 / +2 on the old)"


def test_joints_leaves_and_strips_of_the_example_come_out() -> None:
    joints = {
        p.code: [(j.end, str(j.kind), j.width and j.width.in_mm(), j.depth and j.depth.in_mm()) for j in p.joints]
        for p in COMPUTED.panels
    }
    side = [("top", "mitre", None, None), ("bottom", "rabbet", "11.8", "6.5")]
    assert joints == {"P1": [("both ends", "mitre", None, None)], "P2": side, "P3": side, "P4": [], "P5": []}
    assert [[millimetres(x.size) for x in p.leaves] for p in COMPUTED.panels] == [
        [[496, 247.4]] * 2, [[318.8, 247.4]] * 2, [[318.8, 247.4]] * 2, [], [[469, 293]] * 2,
    ]  # fmt: skip
    assert {s.record.code: s.computed and mm(s.computed) for s in COMPUTED.strips} == {
        "S1": "276", "S2": "428", "K1": None, "K2": None,
    }  # fmt: skip


def test_what_was_written_down_is_what_is_computed() -> None:
    assert RECORDED.differing == ()
    assert [p.finish for p in RECORDED.panels] == [p.finish for p in COMPUTED.panels]
    assert RECORDED.consequences == COMPUTED.consequences


def test_held_dimensions_hold() -> None:
    assert [(h.code, h.wanted, h.given, h.sign) for h in COMPUTED.held] == [
        ("H-W", "452 (±0.5)", "452", "holds"),
        ("H-H", "276 (±0.5)", "276", "holds"),
        ("H-D", "210 (+1 -0)", "210", "holds"),
        ("H-S", "4 places (±0.5)", "within 0", "holds"),
        ("H-P", "at least 12", "15", "holds"),
        ("H-V", "at least 30", "42", "holds"),
    ]


CONSEQUENCES = [
    (
        "G1 P4",
        "1.5 + 4 + 4 + 6 + 11.8 = 27.3; 7.7 left for the nut, at least 5 wanted (10 with the old panel)",
        "ok",
    ),
    ("G2 P5", "28 - 3 - 10 = 15 beyond the panel, at least 12 wanted (17 with the old panel)", "ok"),
    (
        "G3 P4",
        "20 long, passes 10, bites 10 into 11.8; 1.8 left before the point shows, at least 1 wanted "
        "(with the old panel the point showed by 0.5)",
        "ok",
    ),
    ("G4 P5", "10 long, passes 1, bites 9 into 10; 1 left before the point shows, at least 1 wanted", "just"),
    ("G5 P5", "20 long, passes 12, bites 8 into 10; 2 left before the point shows, at least 1 wanted", "ok"),
    ("G6 P5", "1.5 + 0.8 + 3.2 + 10 = 15.5; 4.5 left for the nut", "ok"),
    ("G7", "16 long, passes 3, bites 13 into 40", "ok"),
    ("SP S2", "SP speaker flange and S2 top strip: gap 4", "ok"),
    ("CH SP", "CH chassis and SP speaker flange: gap 10", "ok"),
    ("SP DG", "SP speaker flange and DG dial glass: gap 10", "ok"),
]
"""As the example has them: 260 against 264, 70 against 60, 225 against 235."""


@pytest.mark.parametrize(("place", "words", "sign"), CONSEQUENCES)
def test_consequences_of_the_example(place: str, words: str, sign: str) -> None:
    found = [c for c in COMPUTED.consequences if c.place == place]
    assert [words in c.sentence for c in found] == [True]
    assert found[0].sign == sign


def test_nothing_is_wrong_or_unknown() -> None:
    assert {c.sign for c in COMPUTED.consequences} == {"ok", "just"}


def test_a_strip_at_the_bottom_would_foul_the_chassis() -> None:
    """12 high where 10 is clear: 2 too much, on the inner face only."""
    assert R1.case is not None
    strip = Strip(
        code="S3", name="strip", quantity=1, length=length("428"), material="strip", wide=length("12"),
        thick=length("12"), on="P5", edges=("bottom",),
    )  # fmt: skip
    case = R1.case.model_copy(update={"strips": (*R1.case.strips, strip)})
    clash = [c for c in worked(R1.model_copy(update={"case": case})).wrong if c.place == "CH S3"]
    assert [c.sentence for c in clash] == ["CH chassis and S3 bottom strip overlap by 2"]
    assert "2" in clash[0].way_out


def test_openings_on_the_panel() -> None:
    """Panel x = case x - 0.5, y - 0.5."""
    baffle = next(x for x in cut_list(R1, SHOP, COMPUTED) if x.code == "P5")
    places = [words.partition("on the panel ")[2] for words in baffle.openings]
    assert places[:3] == [
        "129.5 from the left, 164.5 from the bottom",
        "334.5 from the left, 164.5 from the bottom",
        "77.5 from the left, 47.5 from the bottom",
    ]
    assert R1.case is not None
    areas = [opening_area(o) for p in R1.case.panels for o in p.openings]
    assert round(float(sum(areas[:2], Fraction(0))) / 1e6, 4) == 0.0340
    whole, clear = (round(Decimal(float(x)), 4) for x in show_area(COMPUTED))
    assert (whole, clear) == (Decimal("0.3723"), Decimal("0.3384"))


def test_material() -> None:
    areas = {f"{a.material} {mm(a.thickness)}": round(float(a.square_metres), 4) for a in areas_of(COMPUTED)}
    assert areas == {
        "12 ply 11.8": 0.3650,
        "9 ply 8.8": 0.1284,
        "dark veneer leaf 0.6": 0.4179,
        "plain backer veneer 0.6": 0.4179,
    }
    (strip,) = strip_stock(R1, SHOP, COMPUTED)
    assert strip.sentence == "softwood strip 12x12: 1580 + 13 cuts x 3 = 1619 of 2400 (O12), leaves 781."
    assert mm(COMPUTED.band.length) == "1544.6"


def test_veneer_wraps_from_side_over_the_top_to_side() -> None:
    wrap = [p for p in rough_parts(COMPUTED) if p.together]
    assert [p.code for p in wrap] == ["P2-face", "P1-face", "P3-face"]
    assert mm(sum(p.length for p in wrap)) == "1133.6"
    backers = [p for p in rough_parts(COMPUTED) if p.material == "plain backer veneer"]
    assert mm(sum(p.length for p in backers)) == "1602.6"


def test_pieces_that_a_part_may_come_from() -> None:
    lines = {x.code: {s.code: s.why for s in x.sources} for x in cut_list(R1, SHOP, COMPUTED)}
    assert lines["P4"]["O01"] == lines["P4"]["O02"] == ""
    assert lines["P4"]["O06"] == "12.2 thick, wanted is 11.8 to within 0.2"
    assert "O04" not in lines["P4"], "another material"
    assert lines["P5"] == {"O03": ""}
    blocks = [x.warnings[0] for x in cut_list(R1, SHOP, COMPUTED) if x.warnings]
    assert [w.partition("(")[2].split()[0] for w in blocks] == ["40", "90"], "K1 and K2 are too short for the saw"


def test_a_baffle_of_13_leaves_the_shafts_exactly_what_they_need() -> None:
    assert R1.case is not None
    sheet = next(s for s in sheets_of(R1.case) if s.codes == ("P5",))
    after = worked(with_thickness(R1, sheet, Length.of("11.8")))
    shafts = next(c for c in after.consequences if c.place == "G2 P5")
    assert (shafts.sign, "28 - 3 - 13 = 12 beyond the panel" in shafts.sentence) == ("just", True)
    assert mm(after.outside[2] if after.outside else 0) == "233"
    further = worked(with_thickness(R1, sheet, Length.of("11.9")))
    assert [h.code for h in further.not_held] == ["H-P"]
    assert "0.1" in further.not_held[0].way_out


def test_other_ply_changes_what_follows_from_it_and_nothing_else() -> None:
    assert R1.case is not None
    sheet = sheets_of(R1.case)[0]
    assert (sheet.material, sheet.codes) == ("12 ply", ("P1", "P2", "P3", "P4"))
    after = with_thickness(R1, sheet, Length.of("12.2"))
    found = {(c.place, c.what): (c.before, c.after) for c in changes(RECORDED, worked(after))}
    assert found["P1", "finish"] == ("478 x 230", "478.8 x 230")
    assert found["P2", "finish"] == ("300.8 x 230", "301.6 x 230")
    assert found["P2", "rabbet bottom"] == ("11.8 wide, 6.5 deep", "12.2 wide, 6.5 deep")
    assert found["P4", "thickness"] == ("11.8", "12.2")
    assert ("P4", "finish") not in found, "its length is inside width and twice the depth of the rabbet"
    assert not [key for key in found if key[0] in ("P5", "S1", "S2", "H-W", "H-H", "H-D")]
    assert worked(after).differing == (), "written sizes that followed from the old thickness follow again"
    assert [h.holds for h in worked(after).held] == [True] * 6
