"""Text behind a lead: what finds no room stands below, under its beginning."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from logbook.render.plain import clean, under, width


def test_rows_begin_under_the_first() -> None:
    assert under("what  ", "a long name of a thing", 18) == ("what  a long name", "      of a thing")
    assert under("what  ", "short", 18) == ("what  short",)
    assert under("what  ", "", 18) == ("what  ",)


def test_at_most_so_many_rows_and_a_sign_where_it_is_cut() -> None:
    assert under("", "one two three four", 5, most=2) == ("one", "two …")
    assert under("", "one two", 3, most=2) == ("one", "two")


@given(st.text(max_size=80), st.integers(20, 90), st.integers(0, 4))
def test_no_row_is_wider_than_there_is_room(text: str, columns: int, most: int) -> None:
    rows = under("lead  ", clean(text), columns, most)
    assert all(width(row) <= columns for row in rows)
    assert not most or len(rows) <= most
