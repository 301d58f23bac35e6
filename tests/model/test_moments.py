"""Times of day and moments as people type them, read from a fixed now in local time."""

from __future__ import annotations

from datetime import UTC, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.moments import parse_clock, parse_moment, whole_moment

NOW = datetime(2026, 11, 25, 18, 30).astimezone()
"""A Wednesday, half past six in the evening by the clock on the wall."""


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("18:00", time(18)),
        ("9:05", time(9, 5)),
        ("18.30", time(18, 30)),
        ("18", time(18)),
        ("6 pm", time(18)),
        ("12am", time(0)),
        ("12:15 PM", time(12, 15)),
        ("7h45", time(7, 45)),
    ],
)
def test_a_time_of_day(text: str, clock: time) -> None:
    assert parse_clock(text) == clock


@pytest.mark.parametrize("text", ["", "24:00", "18:60", "13 pm", "0 am", "evening", "18:0", "18:00 h"])
def test_what_is_no_time_of_day_says_how_to_type_one(text: str) -> None:
    with pytest.raises(InputError, match="Type a time like 18:00"):
        parse_clock(text)


@pytest.mark.parametrize(
    ("text", "local"),
    [
        ("2026-03-12 20:41", "2026-03-12 20:41"),
        ("2026-03-12", "2026-03-12 00:00"),
        ("12 Mar 20:41", "2026-03-12 20:41"),
        ("12 Mar 2025, 20:41", "2025-03-12 20:41"),
        ("12.3.26 9:30", "2026-03-12 09:30"),
        ("yesterday 8 pm", "2026-11-24 20:00"),
        ("fri 18:00", "2026-11-20 18:00"),
        ("20:41", "2026-11-25 20:41"),
        ("now", "2026-11-25 18:30"),
        ("12 Mar", "2026-03-12 00:00"),
        ("today", "2026-11-25 00:00"),
    ],
)
def test_a_moment_in_local_time(text: str, local: str) -> None:
    assert f"{parse_moment(text, NOW).astimezone():%Y-%m-%d %H:%M}" == local


@pytest.mark.parametrize("text", ["", "soon", "12 Mar 25:00", "0001-01-01 00:00+14:00", "99:99", "2026-02-30 10:00"])
def test_what_is_no_moment_says_how_to_type_one(text: str) -> None:
    with pytest.raises(InputError, match="Type a day"):
        parse_moment(text, NOW)


@given(st.integers(-600_000_000, 2_300_000_000))
def test_a_moment_shown_whole_reads_back_as_itself(seconds: int) -> None:
    moment = datetime.fromtimestamp(seconds // 60 * 60, UTC)
    assert whole_moment(parse_moment(whole_moment(moment), NOW)) == whole_moment(moment)
