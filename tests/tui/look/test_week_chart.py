"""The week as a chart: straight edges, blocks at their hours, waits over the edge of a day, windows that close."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.glyphs import ASCII, FINE, Glyphs
from logbook.render.plain import clean
from logbook.tui.look import week_chart
from logbook.tui.look.inks import Line, text_of, width_of
from logbook.tui.look.week_chart import (
    LABEL,
    Chart,
    DrawnWait,
    WeekDrawing,
    Weeks,
    WorkStretch,
    hours_for,
    month_lines,
)
from tests.tui.look.test_inks import HOSTILE

BOTH = pytest.mark.parametrize("g", [FINE, ASCII], ids=["fine", "ascii"])
EACH = pytest.mark.parametrize("words", HOSTILE)
MONDAY = date(2026, 11, 30)
HUES = {"C1": "hue1", "R1": "hue4"}


def week_lines(chart: Chart, monday: date, columns: int, chosen: str = "", **how: Any) -> list[Line]:
    return WeekDrawing(chart, monday, columns, **how).lines(chosen)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment of the week; day 0 is Monday."""
    return datetime(2026, 11, 30, hour, minute, tzinfo=UTC) + timedelta(days=day)


EVENING = Chart(
    (
        WorkStretch("C1", "glue drawer 1", at(1, 19), at(1, 20), "a"),
        WorkStretch("R1", "cut veneer", at(1, 20), at(1, 21), "b"),
        WorkStretch("R1", "press stack 1", at(5, 10), at(5, 11), "c"),
    ),
    (
        DrawnWait("C1", "in clamps", at(1, 20), at(1, 21), "glue drawer 1"),
        DrawnWait("R1", "in clamps", at(5, 11), at(6, 11), "press stack 1"),
        DrawnWait("R1", "dries", at(5, 13), at(5, 14), "first coat", closes=at(5, 18)),
    ),
    ((at(1, 19), at(1, 21)), (at(5, 9), at(5, 18))),
    HUES,
    date(2026, 12, 1),
)


@BOTH
@EACH
@pytest.mark.parametrize("columns", [20, 60, 90, 200])
def test_every_row_is_as_wide_as_asked(words: str, columns: int, g: Glyphs) -> None:
    said = clean(words)
    for minutes in (1, 15, 60, 400):
        work = (WorkStretch("R1", said, at(0, 9), at(0, 9) + timedelta(minutes=minutes), "k"),)
        wait = DrawnWait("R1", said, at(0, 9), at(3, 9), said, closes=at(4, 9))
        chart = Chart(work, (wait,) * 3, ((at(0, 9), at(0, 17)),), {"R1": "hue2"}, MONDAY)
        rows = week_lines(chart, MONDAY, columns, chosen="k", g=g)
        assert {width_of(row) for row in rows} == {columns}
        if not g.fine and said.isascii() and columns >= 60:
            assert all(text_of(row).isascii() for row in rows)
    weeks = Weeks({MONDAY: {"R1": 30}}, {MONDAY: [said]}, {})
    assert {width_of(row) for row in month_lines(weeks, MONDAY, 2, columns, g)} == {columns}


@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 22), st.integers(1, 90)), max_size=8), st.integers(10, 200))
def test_hours_fill_the_room_whatever_is_free(spans: list[tuple[int, int, int]], columns: int) -> None:
    found = [(at(day, hour), at(day, hour) + timedelta(minutes=minutes)) for day, hour, minutes in spans]
    hours = hours_for(found, columns)
    assert hours.columns == max(columns, 2 * len(hours.shown))
    for start, end in found:
        first, last = hours.at(start, start.date()), hours.at(end, start.date())
        assert 0 <= first <= last <= hours.columns


def test_a_block_stands_at_its_hours() -> None:
    hours, *rows = [text_of(row) for row in week_lines(EVENING, MONDAY, 108)]
    tuesday = next(row for row in rows if row.startswith("Tue"))
    assert hours.index("┊19") == tuesday.index("▏C1 glue")
    assert hours.index("20", LABEL + 20) == tuesday.index("▏R1 cut")
    saturday = next(row for row in rows if row.startswith("Sat"))
    assert hours.index("10") == saturday.index("▏R1 press")
    assert saturday[hours.index("9") : hours.index("10")].strip("·") == ""


def test_hours_that_no_day_uses_are_left_out() -> None:
    head = text_of(week_lines(EVENING, MONDAY, 108)[0])
    assert "18" not in head
    assert "┊19" in head
    assert head.split()[0] == "9"


def test_evenings_that_serve_many_days_are_wider() -> None:
    evenings = [(at(day, 19), at(day, 21)) for day in range(4)]
    hours = {hour.hour: hour.columns for hour in hours_for([*evenings, (at(5, 8), at(5, 16))], 100).shown}
    assert hours[19] > 1.8 * hours[9]


def test_waits_say_until_when_and_go_over_the_edge_of_the_day() -> None:
    rows = [text_of(row) for row in week_lines(EVENING, MONDAY, 108)]
    on_saturday = next(row for row in rows if "until Sun 11:00" in row)
    assert on_saturday.rstrip().endswith("►")
    on_sunday = rows[rows.index(next(row for row in rows if row.startswith("Sun"))) + 1]
    assert on_sunday[LABEL] == "◄"


def test_an_open_window_is_doubled_and_says_when_it_closes() -> None:
    rows = week_lines(EVENING, MONDAY, 108)
    window = next(row for row in rows if "closes 18:00" in text_of(row))
    assert "═" in text_of(window)
    assert text_of(window).rstrip()[-1] in "┫►"
    assert any(span.ink.startswith("wait") for span in window)


def test_what_finds_no_lane_is_counted() -> None:
    rows = [text_of(row) for row in week_lines(EVENING, MONDAY, 108, lanes=1)]
    assert any(row.startswith("+1 wait") for row in rows)
    assert len(week_lines(EVENING, MONDAY, 108, lanes=0)) == 8


def test_without_colour_units_have_patterns_and_the_chosen_is_underlined() -> None:
    rows = week_lines(EVENING, MONDAY, 300, chosen="b", plain=True)
    spans = [span for row in rows for span in row]
    assert any("under" in span.ink and "cut veneer" in span.text for span in spans)
    saturday = next(text_of(row) for row in rows if text_of(row).startswith("Sat"))
    assert "press stack 1 ──" in saturday


def test_weeks_at_a_glance() -> None:
    weeks = Weeks({at(1, 0).date(): {"C1": 90, "R1": 1}, MONDAY: {}}, {at(5, 0).date(): ["C1"]}, HUES, at(1, 0).date())
    rows = month_lines(weeks, MONDAY, 2, 70)
    assert [width_of(row) for row in rows] == [70] * 4
    first, ends = text_of(rows[1]), text_of(rows[2])
    assert first.startswith("30 ")
    assert first[10:].startswith("1 Dec ▄▁"), "half of three hours, and a minute still shows"
    assert ends[50:].startswith("C1 end")


def test_only_the_day_of_the_cursor_is_drawn_anew() -> None:
    drawn = WeekDrawing(EVENING, MONDAY, 108)
    before, after = drawn.lines(), drawn.lines("a")
    anew = [text_of(row) for row, old in zip(after, before, strict=True) if row is not old]
    assert [row[:6] for row in anew if row[:LABEL].strip(" +1wait")] == ["Tue  1"]
    assert drawn.lines("b") != after
    assert drawn.lines() == before


def test_what_goes_on_for_centuries_is_looked_at_for_days() -> None:
    spans = [(at(1, 8) + timedelta(days=3 * n), at(1, 8).replace(year=2200)) for n in range(500)]
    days = week_chart._days_of_hours(spans)
    assert sorted(days) == list(range(24))
    assert all(len(found) > 3 for found in days.values())
    assert max(len(found) for found in days.values()) < 1510, "not the 63,000 days that each of them lasts"
