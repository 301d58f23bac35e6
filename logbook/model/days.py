"""A day as a person says it: “2026-03-12”, “fri”, “12 Mar”, “in 3 weeks”, “2 months ago”, “March 2025”."""

from __future__ import annotations

import re
from datetime import date, timedelta

from logbook.errors import InputError
from logbook.model.dates import months_after

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
HOW = "Type a day like 2026-03-12, 12 Mar, fri, or in 3 weeks."

_NAMED = {"today": 0, "tomorrow": 1, "yesterday": -1}
_SPAN = re.compile(r"(?:in )?(\d{1,4}|an?) ?(d|days?|w|weeks?|mo|months?|y|years?)( ago)?", re.ASCII)
_DAY_OF_MONTH = re.compile(r"(\d{1,2})\.? ([a-z]{3,9})\.?(?: (\d{4}))?", re.ASCII)
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? (\d{1,2})(?:,? (\d{4}))?", re.ASCII)
_MONTH = re.compile(r"([a-z]{3,9})\.?(?: (\d{4}))?", re.ASCII)


def parse_day(text: str, today: date, *, past: bool = False) -> date:
    """The day that a person means.

    Args:
        text: a date, a weekday, a day of a month, a month, or a length of time from today.
        today: what “fri” or “in 3 weeks” is counted from.
        past: whether days without a year lie behind today (a look back) or ahead of it (a delivery).
            A whole month is then its last day, else its first.

    Raises:
        InputError: no such day can be read from it.
    """
    words = " ".join(text.lower().replace(",", " ").split())
    try:
        day = _iso(words) or _from_today(words, today, past=past) or _in_calendar(words, today, past=past)
    except (ValueError, OverflowError) as error:
        raise InputError(f"“{text.strip()[:40]}” is not a day of the calendar. {HOW}") from error
    if day is None:
        raise InputError(f"“{text.strip()[:40]}” was not understood as a day. {HOW}")
    return day


def _iso(words: str) -> date | None:
    return date.fromisoformat(words) if re.fullmatch(r"\d{4}-\d{2}-\d{2}", words, re.ASCII) else None


def _from_today(words: str, today: date, *, past: bool) -> date | None:
    if words in _NAMED:
        return today + timedelta(_NAMED[words])
    if len(words) >= 2 and words.isalpha() and (named := [i for i, n in enumerate(WEEKDAYS) if n.startswith(words)]):
        if len(named) > 1:
            return None
        ahead = (named[0] - today.weekday()) % 7 or 7
        return today + timedelta(ahead - 7 * (1 if past and ahead < 7 else 2) if past else ahead)
    if not (span := _SPAN.fullmatch(words)):
        return None
    count = 1 if span[1].startswith("a") else int(span[1])
    count = -count if past or span[3] else count
    if span[2].startswith(("mo", "y")):
        return months_after(today, count * (12 if span[2].startswith("y") else 1))
    return today + timedelta(count * (7 if span[2].startswith("w") else 1))


def _in_calendar(words: str, today: date, *, past: bool) -> date | None:
    day: int | None
    if found := _DAY_OF_MONTH.fullmatch(words):
        day, month, year = int(found[1]), _month(found[2]), found[3]
    elif found := _MONTH_DAY.fullmatch(words):
        day, month, year = int(found[2]), _month(found[1]), found[3]
    elif found := _MONTH.fullmatch(words):
        day, month, year = None, _month(found[1]), found[2]
    else:
        return None
    if month is None:
        return None
    if year:
        return _day_in(int(year), month, day, past=past)
    years = range(today.year, today.year - 9, -1) if past else range(today.year, today.year + 9)
    for each in years:  # 29 Feb may be up to eight years away
        if day == 29 and month == 2 and not _is_leap(each):
            continue
        found_day = _day_in(each, month, day, past=past)
        if past and day is None and (each, month) == (today.year, today.month):
            return today  # this month's last day is still to come
        if (found_day <= today) if past else (found_day >= today):
            return found_day
    return None


def _day_in(year: int, month: int, day: int | None, *, past: bool) -> date:
    if day is not None:
        return date(year, month, day)
    first = date(year, month, 1)
    return months_after(first, 1) - timedelta(1) if past else first


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def _month(word: str) -> int | None:
    return next((i + 1 for i, name in enumerate(MONTHS) if name.startswith(word)), None)


def day_words(day: date, today: date) -> str:
    """A day as one says it: the weekday within a week of today, else `12 Mar`, with the year when it is another."""
    if day == today:
        return "today"
    if 0 < (day - today).days < 7:
        return f"{day:%a}"
    return f"{day.day} {day:%b}" + ("" if day.year == today.year else f" {day.year}")
