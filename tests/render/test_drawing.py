"""A piece drawn in characters keeps its proportions: a drawing that lies about the shape is worse than none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.drawing import NARROWEST, TALLER, DrawnArea, drawing
from logbook.render.glyphs import FINE, bare

SHAPES = [
    ("long board", 980, 260, 78, 9, (61, 9)),
    ("long board, high screen", 980, 260, 118, 20, (118, 17)),
    ("strip", 2400, 12, 78, 9, (78, 3)),
    ("square sheet, never too narrow to read", 600, 600, 78, 9, (NARROWEST, 9)),
]


@pytest.mark.parametrize(("name", "length", "across", "columns", "most", "size"), SHAPES, ids=[s[0] for s in SHAPES])
def test_a_piece_is_as_long_and_high_as_it_is(
    name: str, length: int, across: int, columns: int, most: int, size: tuple[int, int]
) -> None:
    lines = drawing(length, across, [], columns, most)
    assert (len(lines[0]), len(lines)) == size


@given(
    length=st.integers(50, 3000), across=st.integers(50, 3000), columns=st.integers(30, 160), most=st.integers(4, 40)
)
def test_the_scale_is_the_same_along_and_across_where_there_is_room(
    length: int, across: int, columns: int, most: int
) -> None:
    lines = drawing(length, across, [DrawnArea(0, 0, length // 2, across // 2)], columns, most)
    wide, high = len(lines[0]) - 1, len(lines) - 1
    assert wide < columns
    assert high < most
    if wide + 1 > NARROWEST and high > 2:
        # within one character in either direction
        assert (wide - 1) * across <= TALLER * (high + 1) * length
        assert (wide + 1) * across >= TALLER * (high - 1) * length


def test_edges_join_and_what_is_wrong_is_hatched() -> None:
    """100 x 40 in 21 columns and 5 rows: the part ends at half the length, the split at the last fifth."""
    part = DrawnArea(0, 0, 50, 40, " ", ("P1",))
    split = DrawnArea(80, 0, 20, 40, FINE.defect, framed=False)
    lines = drawing(100, 40, [part, split], 24, 5)
    assert lines[0].startswith("┌")
    assert lines[0].endswith("┐")
    assert lines[0].count("┬") == lines[-1].count("┴") == 1
    assert all(line[0] == line[-1] == "│" for line in lines[1:-1])
    assert "P1" in lines[1]
    assert all("▓" in line for line in lines[1:-1])
    assert not set("+-|#") & set("".join(lines))


def test_the_ascii_form_has_the_same_columns() -> None:
    lines = drawing(100, 40, [DrawnArea(0, 0, 50, 20), DrawnArea(50, 20, 50, 20, FINE.defect, framed=False)], 24, 9)
    for line in lines:
        assert len(bare(line)) == len(line)
        assert "?" not in bare(line)
        assert set(bare(line)) <= set("+-| #")
