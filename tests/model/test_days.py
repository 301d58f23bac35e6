"""Days as people say them, read from a fixed today."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.dates_in_words import WEEKDAYS, day_from_today, whole_day
from logbook.model.days import parse_day, parse_weekday

TODAY = date(2026, 11, 25)
"""A Wednesday."""


@pytest.mark.parametrize(
    ("text", "ahead", "behind"),
    [
        ("2026-03-12", "2026-03-12", "2026-03-12"),
        ("today", "2026-11-25", "2026-11-25"),
        (" Tomorrow ", "2026-11-26", "2026-11-26"),
        ("yesterday", "2026-11-24", "2026-11-24"),
        ("fri", "2026-11-27", "2026-11-20"),
        ("WEDNESDAY", "2026-12-02", "2026-11-18"),
        ("tu", "2026-12-01", "2026-11-24"),
        ("in 3 weeks", "2026-12-16", "2026-12-16"),
        ("3 weeks", "2026-12-16", "2026-11-04"),
        ("1.12.26", "2026-12-01", "2026-12-01"),
        ("1.12.2025", "2025-12-01", "2025-12-01"),
        ("1.12.", "2026-12-01", "2025-12-01"),
        ("24. 11", "2027-11-24", "2026-11-24"),
        ("25/11/26", "2026-11-25", "2026-11-25"),
        ("11/25", "2026-11-25", "2026-11-25"),
        ("5/5/26", "2026-05-05", "2026-05-05"),
        ("1 Dec 26", "2026-12-01", "2026-12-01"),
        ("1st Dec", "2026-12-01", "2025-12-01"),
        ("Tue 1 Dec 2026", "2026-12-01", "2026-12-01"),
        ("tue, 1.12.26", "2026-12-01", "2026-12-01"),
        ("1 Dec 80", "1980-12-01", "1980-12-01"),
        ("5 days", "2026-11-30", "2026-11-20"),
        ("a month", "2026-12-25", "2026-10-25"),
        ("3 weeks ago", "2026-11-04", "2026-11-04"),
        ("2 years ago", "2024-11-25", "2024-11-25"),
        ("12 Mar", "2027-03-12", "2026-03-12"),
        ("12. march", "2027-03-12", "2026-03-12"),
        ("Mar 12", "2027-03-12", "2026-03-12"),
        ("Mar 12, 2025", "2025-03-12", "2025-03-12"),
        ("25 nov", "2026-11-25", "2026-11-25"),
        ("march 2025", "2025-03-01", "2025-03-31"),
        ("february 2024", "2024-02-01", "2024-02-29"),
        ("november", "2027-11-01", "2026-11-25"),
        ("29 feb", "2028-02-29", "2024-02-29"),
    ],
)
def test_a_day_lies_ahead_for_a_delivery_and_behind_for_a_look_back(text: str, ahead: str, behind: str) -> None:
    assert parse_day(text, TODAY) == date.fromisoformat(ahead)
    assert parse_day(text, TODAY, past=True) == date.fromisoformat(behind)


@pytest.mark.parametrize(
    "text",
    ["", " ", "t", "soon", "2026-02-30", "2026-13-01", "31 nov", "32 mar", "12 mars bar", "in weeks",
     "0 mar", "12/03/2026", "Mon 1 Dec 2026", "32.1.26", "1.13.26", "١٢ mar", "x" * 10_000],
)  # fmt: skip
def test_what_is_no_day_is_refused_with_a_sentence_that_says_how_to_type_one(text: str) -> None:
    with pytest.raises(InputError, match="Type a day like 2026-03-12") as refused:
        parse_day(text, TODAY)
    assert len(str(refused.value)) < 200


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.sampled_from(WEEKDAYS))
def test_a_weekday_is_within_a_week_and_never_today(today: date, name: str) -> None:
    """The standard library says which weekday a date is."""
    ahead, behind = parse_day(name, today), parse_day(name, today, past=True)
    assert timedelta(0) < ahead - today <= timedelta(7)
    assert timedelta(0) < today - behind <= timedelta(7)
    assert f"{ahead:%A}".lower() == f"{behind:%A}".lower() == name


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)), st.dates(date(1990, 1, 1), date(2090, 1, 1)))
def test_a_day_written_out_is_read_as_itself(day: date, today: date) -> None:
    assert parse_day(day.isoformat(), today) == day
    assert parse_day(f"{day.day} {day:%B} {day.year}", today) == day


@given(st.text(max_size=40))
def test_any_text_is_a_day_or_a_sentence(text: str) -> None:
    try:
        read: object = parse_day(text, TODAY)
    except InputError as refused:
        read = str(refused)[-1:]
    assert isinstance(read, date) or read == "."


@pytest.mark.parametrize(
    ("day", "words"),
    [("2026-11-25", "today"), ("2026-11-27", "Fri"), ("2026-12-01", "Tue"), ("2026-12-02", "2 Dec"),
     ("2026-11-24", "24 Nov"), ("2027-01-05", "5 Jan 2027")],
)  # fmt: skip
def test_a_day_in_words(day: str, words: str) -> None:
    assert day_from_today(date.fromisoformat(day), TODAY) == words


@pytest.mark.parametrize(
    ("text", "number"),
    [("Mon", 1), ("tuesday", 2), ("SAT.", 6), ("7", 7), ("t", None), ("0", None), ("8", None), ("soon", None)],
)
def test_a_weekday_is_a_word_or_a_figure(text: str, number: int | None) -> None:
    assert parse_weekday(text) == number


@given(st.dates(date(1950, 1, 1), date(2046, 1, 1)), st.booleans())
def test_a_day_shown_whole_reads_back_as_itself(day: date, past: bool) -> None:
    assert parse_day(whole_day(day), TODAY, past=past) == day
