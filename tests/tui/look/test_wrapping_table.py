"""Tables: columns at the same place in every row, and every word readable at any width."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.plain import clean
from logbook.tui.look.inks import Line, Span, line, text_of, width_of
from logbook.tui.look.wrapping_table import Column, WrappingTable
from tests.tui.look.test_inks import HOSTILE

COLUMNS = (
    Column(),
    Column("how many"),
    Column("what", least=12),
    Column("price", right=True),
    Column("from", least=8, below=True),
    Column("for", least=4, below=True),
)
NAILS = ("[ ]", "22", "nails 25, small heads, from the tin", "~4.00", "to buy", "T05 T06")
BEARING = ("[x]", "2", "bearing", "18.00", "here", "T22")


def cells(words: tuple[str, ...]) -> list[Line]:
    """Words as cells."""
    return [line(Span(each)) for each in words]


def drawn(room: int, *rows: tuple[str, ...]) -> list[str]:
    """The head and every row, as letters."""
    table = WrappingTable(COLUMNS, [cells(row) for row in rows], room)
    lines = [table.head]
    for row in rows:
        lines += table.lines(cells(row))
    return [text_of(each).rstrip() for each in lines]


def test_with_room_every_row_is_one_line_and_figures_end_at_one_place() -> None:
    assert drawn(100, NAILS, BEARING) == [
        "     how many  what                                 price  from    for",
        "[ ]  22        nails 25, small heads, from the tin  ~4.00  to buy  T05 T06",
        "[x]  2         bearing                              18.00  here    T22",
    ]


def test_with_less_the_widest_words_wrap() -> None:
    assert drawn(60, NAILS) == [
        "     how many  what                   price  from    for",
        "[ ]  22        nails 25, small        ~4.00  to buy  T05 T06",
        "               heads, from the tin",
    ]


def test_with_little_the_last_columns_stand_below() -> None:
    assert drawn(40, NAILS) == [
        "     how many  what                price",
        "[ ]  22        nails 25, small     ~4.00",
        "               heads, from the",
        "               tin",
        "               to buy  T05 T06",
    ]


def test_what_stands_below_says_what_it_is_where_its_title_is_needed() -> None:
    columns = (Column(), Column("what", least=12), Column("for", least=8, below=True, lead="for"))
    row = cells(("O13", "pine board, planed", "C1 runners"))
    assert [text_of(each).rstrip() for each in WrappingTable(columns, [row], 24).lines(row)] == [
        "O13  pine board, planed",
        "     for C1 runners",
    ]


def test_a_column_without_words_takes_no_room() -> None:
    bare = ("[ ]", "1", "felt", "", "", "T15")
    assert drawn(80, bare) == ["     how many  what  for", "[ ]  1         felt  T15"]


@pytest.mark.parametrize("name", HOSTILE)
@pytest.mark.parametrize("room", [24, 40, 60, 120])
def test_whatever_is_typed_keeps_its_columns(name: str, room: int) -> None:
    row = ("[ ]", "1", clean(name), "~4.00", "to buy", "T05")
    table = WrappingTable(COLUMNS, [cells(row), cells(BEARING)], room)
    price = text_of(table.lines(cells(BEARING))[0]).find("18.00")
    assert price > 0
    first = table.lines(cells(row))[0]
    before = 0
    for span in first:
        if "~4.00" in span.text:
            break
        before += width_of([span])
    assert before == price


LETTERS = st.text(alphabet="abcdef ", min_size=1, max_size=60).map(lambda s: " ".join(s.split())).filter(bool)


@given(st.lists(st.tuples(LETTERS, LETTERS, LETTERS), min_size=1, max_size=5), st.integers(30, 130))
def test_no_word_is_lost_and_no_row_is_too_wide(rows: list[tuple[str, str, str]], room: int) -> None:
    columns = (Column("what", least=8), Column("from", least=8), Column("for", least=8, below=True))
    table = WrappingTable(columns, [cells(row) for row in rows], room)
    for row in rows:
        lines = table.lines(cells(row))
        said = "".join(sorted("".join(text_of(each) for each in lines).replace(" ", "")))
        assert said == "".join(sorted("".join(row).replace(" ", "")))
        assert all(width_of(each) <= room for each in lines)
