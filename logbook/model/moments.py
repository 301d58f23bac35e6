"""A time of day and a moment as a person types them: “18:00”, “6 pm”, “yesterday 20:41”, “1 Dec 9:30”, “now”."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time

from logbook.errors import InputError
from logbook.model.dates_in_words import day_year_time, whole_day
from logbook.model.days import parse_day

HOW_TIME = "Type a time like 18:00."
HOW_MOMENT = "Type a day and a time like 12 Mar 20:41, or a time of today like 20:41."

_CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))? ?(am|pm)?", re.ASCII)


def parse_clock(text: str) -> time:
    """The time of day that a person typed. Raises InputError with a sentence when it is none."""
    found = _clock_in(" ".join(text.lower().split()))
    if found is None:
        raise InputError(f"“{text.strip()[:40]}” is not a time of day. {HOW_TIME}")
    return found


def _clock_in(words: str) -> time | None:
    found = _CLOCK.fullmatch(words)
    if found is None:
        return None
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    if half and not 1 <= hour <= 12:
        return None
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return time(hour, minute) if hour < 24 and minute < 60 else None


def parse_moment(text: str, now: datetime, *, past: bool = True) -> datetime:
    """The moment that a person typed, in UTC; what is typed is meant by the clock that `now` is read from.

    Args:
        text: a day, a time, or both.
        now: an aware time; a time alone is of its day, and days without a year lie around it.
        past: whether such days lie behind it or ahead.

    Raises:
        InputError: no moment can be read from it.
    """
    words = " ".join(text.replace(",", " ").split())
    if words.lower() == "now":
        return now.astimezone(UTC)
    try:
        written = datetime.fromisoformat(words)
        return (written if written.tzinfo else written.replace(tzinfo=now.tzinfo)).astimezone(UTC)
    except (ValueError, OverflowError):
        pass
    day, clock = _parted(words, now.date(), past=past)
    try:
        return datetime.combine(day, clock, now.tzinfo).astimezone(UTC)
    except (ValueError, OverflowError) as error:
        raise InputError(f"“{text.strip()[:40]}” is not a moment of the calendar. {HOW_MOMENT}") from error


def _parted(words: str, today: date, *, past: bool) -> tuple[date, time]:
    """The day and the time in a moment as typed; a missing day is today, a missing time the start of the day."""
    parts = words.split(" ")
    for count in (2, 1):  # “8 pm” are two words
        last = " ".join(parts[-count:]).lower()
        clock = None if last.isdigit() or len(parts) < count else _clock_in(last)
        before = " ".join(parts[:-count])
        if clock is None:
            continue
        if not before:
            return today, clock
        try:
            return parse_day(before, today, past=past), clock
        except InputError:
            continue
    try:
        return parse_day(words, today, past=past), time()
    except InputError as error:
        raise InputError(f"“{words[:40]}” was not understood as a moment. {HOW_MOMENT}") from error


def by_this_computer(moment: datetime) -> str:
    """A moment by this computer's clock, “02 Dec 2026 20:41”: where nobody can say in which zone the shop is."""
    return day_year_time(moment.astimezone())


def whole_moment(moment: datetime) -> str:
    """A moment so that nobody can read it in two ways: “Tue 1 Dec 2026 20:41”.

    A moment as a record holds it, in UTC, is told by this computer's clock, any other by the clock it is on.
    """
    local = moment.astimezone() if moment.tzinfo is UTC else moment
    return f"{whole_day(local.date())} {local:%H:%M}"
