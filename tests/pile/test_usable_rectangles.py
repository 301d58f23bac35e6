"""A piece with two usable rectangles: said in its line, kept, drawn, and both laid out on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.layout.asked import PartKind, piece_of
from logbook.layout.checker import problems_of
from logbook.layout.cut_records import MM, Box
from logbook.layout.layout_search import search
from logbook.layout.pile_line import SECOND_USABLE, read_piece
from logbook.layout.pile_table import pile_table
from logbook.layout.pile_view import Look
from logbook.layout.saw import Saw
from logbook.layout.usable_rectangles import uncovered
from logbook.model.document import ShopDocument, read_document, write_document
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.render.blocks import Drawing
from logbook.render.cut_sheet import cut_sheet_page
from logbook.render.glyphs import FINE
from logbook.render.layout_document import draw_laid
from logbook.render.pile_document import piece_facts, pile_text
from logbook.tui.layout_drawing import Shown, one_piece, sheet_of
from logbook.tui.look.inks import text_of
from logbook.tui.look.to_scale import RectangleKind
from logbook.tui.pile_drawing import piece_lines
from tests.builders import shop
from tests.layout.builders import part, rules
from tests.pile.conftest import NOW, TODAY, laid
from tests.pile.test_at_the_saw import box_of, panel

LINE = "12 ply, 980 x 260, 11.8, true 2, usable 600 x 260, usable 330 x 120 at 650 0"


def kept(line: str) -> Offcut:
    piece = read_piece(line, shop(), TODAY).piece
    assert piece is not None
    return piece


def bad_of(piece: Offcut) -> list[tuple[str, ...]]:
    return [tuple(v.in_mm() for v in (d.x, d.y, d.length, d.width)) for d in piece.defects]


def test_what_lies_around_both_is_no_good() -> None:
    piece = kept(LINE)
    # they reach 650 + 330 = 980 and 260; between them 650 - 600 = 50 of 120, above the second 380 of 260 - 120 = 140
    assert (piece.usable_length, piece.usable_width) != (None, None)
    assert [x.in_mm() for x in (piece.usable_length, piece.usable_width) if x is not None] == ["980", "260"]
    assert bad_of(piece) == [("600", "0", "50", "120"), ("600", "120", "380", "140")]
    reading = read_piece(LINE, shop(), TODAY)
    assert "usable too: 330 x 120 at 650, 0" in [p.meaning for p in reading.phrases]
    assert reading.problems == ()


def test_both_are_laid_out_on() -> None:
    of = piece_of(kept(LINE), shop())
    parts = [part("A", 580, 240), part("B", 320, 110)]
    found = search(parts, [of], rules())
    assert found.complete
    assert problems_of(found, parts, [of], rules()) == ()
    assert {p.part: p.x >= 600 * MM for p in found.placements} == {"A": False, "B": True}
    # a part that only the whole 980 x 120 would hold lies on neither
    assert not search([part("C", 700, 110)], [of], rules()).complete


def test_it_goes_through_documents_and_tables_as_it_is() -> None:
    of_shop = shop(offcuts=[kept(LINE)])
    document = read_document(write_document(ShopDocument(logbook="shop", version=1, shop=of_shop)))
    assert isinstance(document, ShopDocument)
    assert document.shop == of_shop
    assert "600:0:50:120;600:120:380:140" in pile_table(of_shop.offcuts)


def test_they_are_told_as_usable_rectangles_and_not_as_defects() -> None:
    piece = kept(f"{LINE}, split 40 x 30 at 100 50")
    look = Look(shop(offcuts=[piece]), {}, TODAY)
    text = " ".join(pile_text(look).split()).casefold()
    facts = " ".join(piece_facts(piece, (), look))
    assert "usable rectangles o01 600 x 260 and 330 x 120 at 650, 0" in text
    assert "600 x 260 +1" in text
    assert "defects o01 split 40 x 30 at 100, 50" in text
    assert "usable 600 x 260 and 330 x 120 at 650, 0," in facts
    assert "Defect split: 40 x 30 at 100, 50." in facts
    assert "not usable" not in text + facts
    drawn = "\n".join(text_of(row) for row in piece_lines(piece, 78, 9, FINE))
    assert "600 x 260" in drawn
    assert "330 x 120" in drawn
    assert "not usable" not in drawn
    assert ":" in drawn


@pytest.mark.parametrize(
    ("phrase", "why"),
    [
        ("usable 330 x 120 at 700 0", "The usable rectangle at 700 0 reaches beyond the piece."),
        ("usable 0 x 120 at 70 0", "The usable size must be more than 0."),
        ("usable 330 x 120 at 70", "It is typed like “usable 300 x 120 at 650 0”: its size, and where its corner is."),
        ("usable 600 x 110 and 330 x 120", SECOND_USABLE),
        ("usable 600 x 110, usable 330 x 120", SECOND_USABLE),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(phrase: str, why: str) -> None:
    assert read_piece(f"12 ply, 980 x 260, 11.8, {phrase}", shop(), TODAY).problems[0] == why


def cut_out_of_both() -> tuple[Unit, Shop]:
    """A part on each of the two rectangles of a piece that has a split as well, and the layout that is kept."""
    of_shop = shop(offcuts=[kept(f"{LINE}, split 10 x 30 at 585 200")])
    before = box_of(panel("P1", "560x180"), panel("P2", "300x100"))
    return laid(of_shop, {"R1": before}), of_shop


def test_layout_and_cut_sheet_draw_both_as_usable_and_mark_what_lies_around() -> None:
    of, of_shop = cut_out_of_both()
    saw = Saw.of(of, of_shop, PartKind.PANELS)
    drawn = draw_laid(saw, "O01", 78, 12)
    assert "not usable" in "\n".join(drawn)
    assert any(":::" in row for row in drawn)
    assert sum(row.count("▓") for row in drawn) <= 4, "hatched is the split alone"
    page = cut_sheet_page(of, [saw], (), version=1, kept_at=NOW, now=NOW)
    drawing = next(block for block in page.blocks if isinstance(block, Drawing))
    shapes = [(s.kind, s.x // MM, s.y // MM, s.length // MM, s.width // MM) for s in drawing.shapes]
    assert ("usable", 0, 0, 600, 260) in shapes
    assert ("usable", 650, 0, 330, 120) in shapes
    assert [s[1:] for s in shapes if s[0] == "around"] == [(600, 0, 50, 120), (600, 120, 380, 140)]
    assert [s[1:] for s in shapes if s[0] == "defect"] == [(585, 200, 10, 30)]
    assert "not usable" in page.text()


def test_the_screen_draws_them_the_same_way() -> None:
    of, of_shop = cut_out_of_both()
    saw = Saw.of(of, of_shop, PartKind.PANELS)
    piece = next(p for p in saw.pieces if p.code == "O01")
    shown = Shown(saw, {}, "O01", "", FINE)
    faces = sheet_of(shown, piece).faces
    outlines = [(f.x, f.y, f.length, f.width) for f in faces if f.kind is RectangleKind.OUTLINE]
    assert outlines == [(0, 0, 600, 260), (650, 0, 330, 120)]
    assert [f.words for f in faces if f.kind is RectangleKind.NOT_USABLE] == [("not usable",)] * 2
    assert len([f for f in faces if f.kind is RectangleKind.DEFECT]) == 1
    assert "not usable" in "\n".join(text_of(row) for row in one_piece(shown, piece, 78, 16))


BOXES = st.builds(Box, st.integers(0, 30), st.integers(0, 30), st.integers(1, 30), st.integers(1, 30))


@given(st.lists(BOXES, min_size=1, max_size=4))
def test_every_place_is_usable_or_not_and_none_is_both(boxes: list[Box]) -> None:
    length, width, bad = uncovered(boxes)

    def covers(box: Box, x: int, y: int) -> bool:
        return box.x <= x < box.x + box.length and box.y <= y < box.y + box.width

    for x in range(length):
        for y in range(width):
            usable = any(covers(b, x, y) for b in boxes)
            assert sum(covers(b, x, y) for b in bad) == (not usable)
