"""A page of text: nothing wider than the page, nothing lost, nothing hostile."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.page import Page, moment_words
from logbook.render.plain import width
from tests.builders import at
from tests.hostile import HOSTILE

WORDS = st.lists(st.text("abcxyz0123456789äß漢,.;-", min_size=1, max_size=30), min_size=1, max_size=30).map(" ".join)


def page_of(columns: int = 40) -> Page:
    return Page(columns)


@given(words=WORDS, mark=st.sampled_from(["", "- ", "[ ] A07  ", "a very long mark that takes most of a line: "]))
def test_a_paragraph_fits_and_loses_nothing(words: str, mark: str) -> None:
    page = page_of()
    page.item(mark, words, 3)
    text = page.text()
    assert all(width(line) <= 40 for line in text.splitlines())
    assert "".join((mark + words).split()) == "".join(text.split())


@given(words=WORDS)
def test_later_lines_hang_under_the_first_word(words: str) -> None:
    page = page_of()
    page.item("- ", words, 4)
    first, *rest = page.text().splitlines()
    assert first.startswith("    - ")
    assert all(line.startswith("      ") for line in rest)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_cleaned_wherever_it_comes_in(name: str) -> None:
    text = HOSTILE[name]
    page = page_of(60)
    page.say(text)
    page.item(text, text)
    page.head(text)
    page.ends(text, text)
    page.table([[text, text], ["a", "1"]], right=(1,))
    for line in page.text().splitlines():
        assert width(line) <= 60
        assert line.isprintable()


def test_both_ends_stand_on_one_line_when_there_is_room() -> None:
    page = page_of(20)
    page.ends("R1 radio", "COSTS")
    page.ends("R1 radio of the kitchen", "COSTS")
    assert page.text() == "R1 radio       COSTS\nR1 radio of the\nkitchen\nCOSTS\n"


def test_a_table_stands_in_columns_with_amounts_to_the_right() -> None:
    page = page_of(24)
    page.table([["", "cash"], ["rebuild", "85.24"], ["buy new", "1141.40"]], right=(1,))
    assert page.text() == "            cash\nrebuild    85.24\nbuy new  1141.40\n"


def test_what_does_not_fit_a_table_is_wrapped_in_the_column_that_gives_way() -> None:
    page = page_of(30)
    page.table([["short", "the long one that has to give way here", "12"]], right=(2,), widest=1)
    assert page.text() == "short  the long one that    12\n       has to give way\n       here\n"


@given(rows=st.lists(st.lists(WORDS, min_size=3, max_size=3), min_size=1, max_size=4), columns=st.integers(40, 120))
def test_a_table_never_leaves_the_page_and_loses_nothing(rows: list[list[str]], columns: int) -> None:
    page = page_of(columns)
    page.table(rows, right=(2,), widest=1)
    text = page.text()
    assert all(width(line) <= columns for line in text.splitlines())
    for column in range(3):
        wanted = sorted("".join(row[column] for row in rows).replace(" ", ""))
        assert not [c for c in set(wanted) if text.count(c) < wanted.count(c)]


def test_empty_lines_never_pile_up() -> None:
    page = page_of()
    page.blank()
    page.say("a")
    page.blank()
    page.blank()
    page.head("b")
    assert page.text() == "a\n\nB\n"


def test_a_box_is_never_torn_at_the_end_of_a_line() -> None:
    page = page_of(12)
    page.say("1234567890 [\u00a0] four")
    assert page.text() == "1234567890\n[ ] four\n"


def test_a_moment_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    assert moment_words(None) == "?"
    moment = at("2026-03-12 20:41")
    assert moment_words(moment) == f"{moment.astimezone():%d %b %Y %H:%M}"
