"""A mirror image says of which panel it is one wherever it is cut: on the cut list, the layout, the cut sheet."""

from __future__ import annotations

from logbook.casework import worked_case
from logbook.casework.cut_list import cut_list
from logbook.layout.asked import PartKind
from logbook.layout.mirrored_parts import mirrored_parts
from logbook.layout.saw import Saw
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.cut_sheet import cut_sheet_page
from logbook.render.glyphs import FINE
from logbook.render.layout_document import layout_text
from logbook.tui.layout_drawing import part_names
from logbook.tui.layout_rows import cut_entries, mirrors_of, part_lines
from logbook.tui.look.inks import text_of
from tests.builders import handed_pair, offcut, shop
from tests.pile.conftest import NOW, laid
from tests.pile.test_at_the_saw import box_of, panel

SAID = "P2: mirror of P1 (L), worked the other way round."


def pair_on_one_board() -> tuple[Unit, Shop]:
    """The baffle of the left case, and of the right one its mirror image, both from one board."""
    of_shop = shop(offcuts=[offcut("O01", "980x260")])
    left = panel("P1", "400x200").model_copy(update={"member": "L"})
    right = panel("P2", "400x200").model_copy(update={"member": "R", "mirror_of": "P1"})
    whole = handed_pair().model_copy(update={"whole_unit": True})
    return laid(of_shop, {"R1": box_of(left, right).model_copy(update={"sets": (whole,)})}), of_shop


def test_the_cut_sheet_says_it_with_the_parts_and_again_on_the_page_of_the_piece() -> None:
    of, of_shop = pair_on_one_board()
    said = cut_sheet_page(of, [Saw.of(of, of_shop, PartKind.PANELS)], (), version=1, kept_at=NOW, now=NOW).text()
    assert said.count(SAID) == 2
    assert "P1: mirror" not in said


def test_the_layout_says_it_as_text_and_beside_the_name_on_the_screen() -> None:
    of, of_shop = pair_on_one_board()
    assert SAID in layout_text(of, [Saw.of(of, of_shop, PartKind.PANELS)])
    saw = Saw.of(of, of_shop, PartKind.PANELS)
    mirrors = mirrors_of(saw, [of])
    assert mirrors == {"P2": "mirror of P1 (L)"}
    cuts = [row for entry in cut_entries(saw, "", 76, FINE, mirrors) for row in entry.lines]
    assert any("P2 (mirror of P1 (L))" in row for row in cuts), "at the cut that gives it"
    parts = [text_of(row) for row in part_lines(saw, part_names([of]), 76, mirrors)]
    assert [", mirror of P1 (L)" in row for row in parts if " P2" in row] == [True]


def test_the_cut_list_says_it_of_any_panel_and_not_of_sides_alone() -> None:
    of, of_shop = pair_on_one_board()
    worked = worked_case(of)
    assert worked is not None
    assert {line.code: line.hand for line in cut_list(of, of_shop, worked)} == {"P1": "", "P2": "mirror of P1 (L)"}


def test_layers_leaves_and_parts_of_several_units_are_known_by_their_panel() -> None:
    of, _ = pair_on_one_board()
    parts = ["R1/P1", "R1/P2", "R1/P2.1", "R1/P2v", "R1/P2b2", "R1/P2-2", "R1/P21", "C1/P2"]
    assert list(mirrored_parts(of, parts, several_units=True)) == ["R1/P2", "R1/P2.1", "R1/P2v", "R1/P2b2", "R1/P2-2"]
