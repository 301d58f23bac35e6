"""Drawings: straight edges at every width, known sizes at known columns, a letter on every part."""

from __future__ import annotations

import pytest

from logbook.render.glyphs import ASCII, FINE, Glyphs
from logbook.render.plain import clean
from logbook.tui.look.canvas import Canvas
from logbook.tui.look.inks import text_of, width_of
from logbook.tui.look.to_scale import (
    CaseView,
    Dimension,
    Disc,
    DrawnFace,
    DrawnSheet,
    RectangleKind,
    arranged,
    columns_of,
    dimension,
    margin_of,
    scale_bar,
    sheet_lines,
    view_lines,
    view_size,
)
from tests.tui.look.test_inks import HOSTILE

BOTH = pytest.mark.parametrize("g", [FINE, ASCII], ids=["fine", "ascii"])
EACH = pytest.mark.parametrize("words", HOSTILE)


def sheet(words: str = "P1 top", name: str = "P1") -> DrawnSheet:
    """980 x 260 with two parts, a rest that is kept, waste and a knot."""
    faces = (
        DrawnFace(5, 5, 484, 235, (words, "484 x 235"), "hue1", RectangleKind.PART, name),
        DrawnFace(492, 5, 465, 235, (words,), "hue2", RectangleKind.PART, "P4"),
        DrawnFace(0, 243, 980, 17, ("KEEP O1b",), kind=RectangleKind.KEPT),
        DrawnFace(960, 0, 20, 243, ("20 bin",), kind=RectangleKind.WASTE),
        DrawnFace(970, 100, 10, 10, kind=RectangleKind.DEFECT),
    )
    return DrawnSheet(980, 260, faces, "length", "3")


@BOTH
@EACH
@pytest.mark.parametrize("columns", [20, 60, 80, 120, 200])
def test_every_row_of_a_piece_is_as_wide_as_the_piece(words: str, columns: int, g: Glyphs) -> None:
    mm = 980 / (columns - 1)
    rows = sheet_lines(sheet(clean(words)), mm, "P1", g)
    assert {width_of(row) for row in rows} == {columns}
    if not g.fine and clean(words).isascii():
        assert all(text_of(row).isascii() for row in rows)


def test_a_part_lies_where_it_is_cut() -> None:
    mm = 10.0
    piece = DrawnSheet(980, 260, (DrawnFace(100, 40, 200, 120, ("P1",), "hue1", RectangleKind.PART, "P1"),), "", "3")
    art = [text_of(row) for row in sheet_lines(piece, mm)][1:-1]
    assert len(art) == 14
    assert len(art[0]) == 99
    top, bottom = 13 - 160 // 20, 13 - 40 // 20
    assert art[top][10] == "┏"
    assert art[top][30] == "┓"
    assert art[bottom][10] == "┗"
    assert art[bottom][30] == "┛"
    assert "P1" in art[(top + bottom) // 2] + art[(top + bottom) // 2 + 1]


def test_dimensions_stand_over_their_parts() -> None:
    over = text_of(sheet_lines(sheet(), 10.0)[0])
    assert over.index("484") < over.index("465")
    assert over[0] == "├"
    assert over[49] in "┤├"


@BOTH
def test_only_the_name_of_the_part_under_the_cursor_changes(g: Glyphs) -> None:
    before, after = sheet_lines(sheet(), 10.0, "", g), sheet_lines(sheet(), 10.0, "P4", g)
    changed = [number for number, (one, other) in enumerate(zip(before, after, strict=True)) if one != other]
    assert len(changed) == 1
    marked = [span.text for span in after[changed[0]] if "on-accent" in span.ink]
    assert marked == [" P1 top "], "the words of that part"
    assert not any("on-accent" in span.ink for row in before for span in row)
    assert sheet_lines(sheet(), 10.0, "not on it", g) == before


@BOTH
@pytest.mark.parametrize("columns", range(30))
def test_a_dimension_is_as_long_as_its_size(columns: int, g: Glyphs) -> None:
    said = dimension(columns, "H-W  452 ±0.5", "H-W", g)
    assert len(said) == columns
    assert ("452" in said) == (columns >= 17)
    assert ("H-W" in said) == (columns >= 7)


def test_a_scale_bar_is_as_long_as_it_says() -> None:
    assert scale_bar(10, 99) == "├───── 200 mm ──────┤"
    assert len(scale_bar(10, 99)) == 21
    assert scale_bar(10, 20) == ""


@pytest.mark.parametrize("columns", [20, 60, 100, 200])
@pytest.mark.parametrize("rows", [6, 20, 60])
def test_pieces_share_one_scale_and_none_is_lost(columns: int, rows: int) -> None:
    sizes = [(980.0, 260.0), (660.0, 300.0), (500.0, 320.0), (2400.0, 12.0)]
    mm, shelves = arranged(sizes, columns, rows)
    assert [number for shelf in shelves for number in shelf] == [0, 1, 2, 3]
    for shelf in shelves:
        assert sum(columns_of(sizes[number][0], mm) for number in shelf) + 3 * (len(shelf) - 1) <= columns


def test_lines_join_where_they_meet() -> None:
    art = Canvas(5, 3)
    art.box(0, 0, 4, 2)
    art.stroke(2, 0, 2, 2, heavy=False)
    assert [text_of(row) for row in art.lines()] == ["┌─┬─┐", "│ │ │", "└─┴─┘"]


def test_half_of_a_wide_letter_takes_the_other_half_with_it() -> None:
    art = Canvas(6, 1)
    assert art.words(0, 0, "木製x")
    art.put(1, 0, "|")
    art.put(2, 0, "|")
    assert [text_of(row) for row in art.lines()] == [" || x "]
    assert not art.words(4, 0, "too long")


def view(words: str = "valves") -> CaseView:
    """A front 478 wide and 300 high: an edge, a face with an opening, a disc, held sizes."""
    faces = (
        DrawnFace(0, 0, 13, 300, (), "hue1", RectangleKind.PART, "P2"),
        DrawnFace(13, 12, 452, 276, (), "hue2", RectangleKind.PART, "P5"),
        DrawnFace(258, 142, 180, 70, (words, "180 x 70"), "rule", RectangleKind.OPENING),
    )
    discs = (Disc(143, 176, 165, words), Disc(100, 50, 8))
    across = (Dimension(13, 465, "H-W  452 ±0.5", "good", "H-W"), Dimension(0, 478, "478", "text", "478"))
    return CaseView(
        "front, as it is seen", 478, 300, faces, discs, across, (Dimension(12, 288, "H-H  276", "good", "H-H"),)
    )


@BOTH
@EACH
@pytest.mark.parametrize("mm", [3.0, 7.5, 24.0])
def test_every_row_of_a_view_is_as_wide_as_the_view(words: str, mm: float, g: Glyphs) -> None:
    drawn = view(clean(words))
    rows = view_lines(drawn, mm, "H-W", g)
    assert ({width_of(row) for row in rows}, len(rows)) == ({view_size(drawn, mm)[0]}, view_size(drawn, mm)[1])
    if not g.fine and clean(words).isascii():
        assert all(text_of(row).replace("±", "+").isascii() for row in rows)


def test_held_sizes_reach_from_where_to_where_they_are_held() -> None:
    rows = [text_of(row) for row in view_lines(view(), 5.0)]
    left = margin_of(view())
    held = next(row for row in rows if "H-W" in row)
    assert (held.index("├"), held.index("┤")) == (left + round(13 / 5), left + round(465 / 5))
    whole = next(row for row in rows if " 478 " in row)
    assert (whole.index("├"), whole.index("┤")) == (left, left + round(478 / 5))


def test_every_panel_has_its_code_where_it_is_drawn() -> None:
    text = "\n".join(text_of(row) for row in view_lines(view(), 7.5))
    assert all(code in text for code in ("P2", "P5", "H-H", "front"))


def test_the_held_size_under_the_cursor_is_marked() -> None:
    spans = [span for row in view_lines(view(), 7.5, "H-W") for span in row if "452" in span.text]
    assert [span.ink for span in spans] == ["bold accent"]


def test_words_never_cover_words() -> None:
    art = Canvas(12, 5)
    assert art.middle(0, 0, 11, 4, [("chassis", "")])
    assert not art.middle(0, 0, 11, 4, [("valves", "")])
    assert "chassis" in text_of(art.lines()[2])


def test_the_panel_under_the_cursor_is_marked_at_its_name_and_its_face_stays() -> None:
    before, after = view_lines(view(), 7.5), view_lines(view(), 7.5, "P5")
    changed = [number for number, (one, other) in enumerate(zip(before, after, strict=True)) if one != other]
    assert len(changed) == 1
    assert [span.text for span in after[changed[0]] if "on-accent" in span.ink] == ["P5"]


def test_that_a_part_is_cut_is_said_before_its_name_where_both_find_no_room() -> None:
    cut = sheet("[x] P1 an upright with a very long name")
    cut = cut._replace(faces=tuple(face._replace(mark="[x] ") for face in cut.faces))
    drawn = [text_of(row) for row in sheet_lines(cut, 30.0, "", FINE)]
    assert any("[x] P1" in line for line in drawn)
    assert not any("upright" in line for line in drawn)


@pytest.mark.parametrize("foot", range(100, 160, 3))
def test_an_opening_of_two_rows_has_an_inside_wherever_its_edges_fall(foot: int) -> None:
    opening = DrawnFace(40, foot, 180, 40, ("dial",), kind=RectangleKind.OPENING)
    view = CaseView("front", 480, 320, (opening,))
    drawn = "\n".join(text_of(row) for row in view_lines(view, 12))
    assert "dial" in drawn, drawn
