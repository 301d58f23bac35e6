"""A case and a pile that call one sheet by two names meet in the cut list, the need, the layout and its checker."""

from __future__ import annotations

import pytest

from logbook.casework import cut_list, worked_case
from logbook.costing.material_need import material_needs
from logbook.layout.asked import PartKind, parts_of, pieces_of, rules_of
from logbook.layout.checker import problems_of
from logbook.layout.layout_search import search
from logbook.model.case_plan import CasePlan
from tests.builders import offcut, shop
from tests.casework.building import box, corner, leaf, panel
from tests.layout.builders import part, piece, rules

BUTT = CasePlan(top=corner("butt, between"), bottom=corner("butt, between"))


@pytest.mark.parametrize(
    ("drawn", "lies", "thick"),
    [("9 birch ply", "birch ply", "9"), ("birch ply", "birch ply 9", "9"), ("12 ply 12", "12 ply", "12")],
)
def test_one_sheet_by_two_names(drawn: str, lies: str, thick: str) -> None:
    # top and bottom 400 x 200, sides 300 + 2 x 9 (or 2 x 12) x 200: all from one sheet of 1600 x 260
    of_unit = box(plan=BUTT, sides=thick, top=thick, bottom=thick)
    assert of_unit.case is not None
    called = tuple(
        p.model_copy(update={"layers": (p.layers[0].model_copy(update={"material": drawn}),)})
        for p in of_unit.case.panels
    )
    of_unit = of_unit.model_copy(update={"case": of_unit.case.model_copy(update={"panels": called})})
    of_shop = shop(offcuts=[offcut("O01", "1600x260", thick, lies)])

    worked = worked_case(of_unit)
    assert worked is not None
    assert all(s.fits for line in cut_list(of_unit, of_shop, worked) for s in line.sources)
    (need,) = material_needs(of_unit, of_shop)
    assert need.enough
    asked = rules_of(of_shop, of_unit.code)
    parts, pieces = parts_of(of_unit, PartKind.PANELS), pieces_of(of_shop, asked, [of_unit], PartKind.PANELS)
    found = search(parts, pieces, asked)
    assert found.complete
    assert problems_of(found, parts, pieces, asked) == ()


def test_veneer_named_with_and_without_its_thickness_is_one_need() -> None:
    faced = panel("P5", "back", leaves=(leaf("0.6", "0.6 oak veneer"), leaf("0.6", "oak veneer", show=False)))
    needs = material_needs(box(faced, plan=BUTT), shop())
    assert [(str(n.kind), n.material, n.used_in) for n in needs][1:] == [("veneer", "0.6 oak veneer", ("P5",))]


def test_a_piece_of_a_like_name_is_named_before_one_is_bought() -> None:
    wanted = part("P1", 400, 200, material="birch ply")
    pile = [
        piece("O01", 900, 300, material="birch plywood"),
        piece("O02", 900, 300, material="birch plywood", thick="9"),  # of another thickness: no help
        piece("O03", 900, 300, material="oak board"),
    ]
    (missing,) = search([wanted], pile, rules()).unplaced
    assert missing.why == (
        "There is no birch ply 11.8 mm thick in the pile; O01 is birch plywood, and P1 is drawn in birch ply: "
        "if that is the same, call both alike before you buy."
    )


@pytest.mark.parametrize("drawn", ["12 mm plywood", "12 ply"])
def test_every_way_of_naming_ply_meets_a_board_of_plywood(drawn: str) -> None:
    pile = [piece("O01", 900, 300, material="plywood board")]
    (missing,) = search([part("P1", 400, 200, material=drawn)], pile, rules()).unplaced
    assert f"O01 is plywood board, and P1 is drawn in {drawn}: if that is the same" in missing.why
