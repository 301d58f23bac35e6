"""A day as a person says it: “2026-03-12”, “1.12.26”, “fri”, “12 Mar”, “in 3 weeks”, “2 months ago”, “March 2025”."""

from __future__ import annotations

import re
from datetime import date, timedelta

from logbook.errors import InputError
from logbook.model.dates import months_after
from logbook.model.dates_in_words import MONTHS, WEEKDAYS, month_name, whole_day

HOW = "Type a day like 2026-03-12, 12 Mar, fri, or in 3 weeks."

_NAMED = {"today": 0, "tomorrow": 1, "yesterday": -1}
_SPAN = re.compile(r"(in )?(\d{1,4}|an?) ?(d|days?|w|weeks?|mo|months?|y|years?)( ago)?", re.ASCII)
_YEAR = r"(?: (\d{4}|\d{2}))?"
_DAY_OF_MONTH = re.compile(r"(\d{1,2})(?:st|nd|rd|th|\.)? ([a-z]{3,9})\.?" + _YEAR, re.ASCII)
_MONTH_DAY = re.compile(r"([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?" + _YEAR, re.ASCII)
_DOTTED = re.compile(r"(\d{1,2})\. ?(\d{1,2})(?:\. ?(\d{4}|\d{2})?)?", re.ASCII)
_STROKED = re.compile(r"(\d{1,2})/(\d{1,2})(?:/(\d{4}|\d{2}))?", re.ASCII)
_NAMED_DAY = re.compile(r"([a-z]{2,9})\.? (.*\d.*)", re.ASCII)
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
        day = _read(words, today, past=past) or _with_weekday(words, today, past=past)
    except (ValueError, OverflowError) as error:
        raise InputError(f"“{text.strip()[:40]}” is not a day of the calendar. {HOW}") from error
    if day is None:
        raise InputError(f"“{text.strip()[:40]}” was not understood as a day. {HOW}")
    return day


def _read(words: str, today: date, *, past: bool) -> date | None:
    return (
        _iso(words)
        or _from_today(words, today, past=past)
        or _in_figures(words, today, past=past)
        or _in_calendar(words, today, past=past)
    )


def _with_weekday(words: str, today: date, *, past: bool) -> date | None:
    """A date with its weekday before it, “tue 1 dec 2026”; the two must agree."""
    found = _NAMED_DAY.fullmatch(words)
    weekday = parse_weekday(found[1]) if found else None
    if found is None or weekday is None:
        return None
    day = _read(found[2], today, past=past)
    if day is not None and day.isoweekday() != weekday:
        named = WEEKDAYS[day.weekday()].capitalize()
        raise InputError(f"{whole_day(day)} is a {named}. {HOW}")
    return day


def _in_figures(words: str, today: date, *, past: bool) -> date | None:
    """A date in figures: with dots the day stands first; with strokes only when it cannot be the month."""
    if found := _DOTTED.fullmatch(words):
        return _nearest(int(found[1]), int(found[2]), found[3], today, past=past)
    if not (found := _STROKED.fullmatch(words)):
        return None
    one, other = int(found[1]), int(found[2])
    if one <= 12 and other <= 12 and one != other:
        raise InputError(f"“{words}” could be {one} {month_name(other)} or {other} {month_name(one)}. {HOW}")
    day, month = (one, other) if other <= 12 else (other, one)
    return _nearest(day, month, found[3], today, past=past)


def parse_weekday(text: str) -> int | None:
    """The number of a weekday from Monday, 1, to Sunday, 7: “tue”, “Saturday”, “6”; None when it is none or several."""
    words = text.strip().casefold().rstrip(".")
    if words.isascii() and words.isdigit():
        return int(words) if words in tuple("1234567") else None
    named = [i + 1 for i, name in enumerate(WEEKDAYS) if len(words) >= 2 and name.startswith(words)]
    return named[0] if len(named) == 1 else None


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
    count = 1 if span[2].startswith("a") else int(span[2])
    behind = bool(span[4]) or (past and not span[1])
    count = -count if behind else count
    if span[3].startswith(("mo", "y")):
        return months_after(today, count * (12 if span[3].startswith("y") else 1))
    return today + timedelta(count * (7 if span[3].startswith("w") else 1))


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
    return None if month is None else _nearest(day, month, year, today, past=past)


def _nearest(day: int | None, month: int, year: str | None, today: date, *, past: bool) -> date | None:
    """That day of the month in the year said, or else the next one, or the last one in a look back."""
    if year:
        return _day_in(_whole_year(int(year), today), month, day, past=past)
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


def _whole_year(year: int, today: date) -> int:
    """A year of two figures is the one from 79 years ago to 20 years ahead."""
    if year > 99:
        return year
    century = today.year // 100 * 100
    whole = century + year
    return whole if whole <= today.year + 20 else whole - 100


def _day_in(year: int, month: int, day: int | None, *, past: bool) -> date:
    if day is not None:
        return date(year, month, day)
    first = date(year, month, 1)
    return months_after(first, 1) - timedelta(1) if past else first


def _is_leap(year: int) -> bool:
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def _month(word: str) -> int | None:
    return next((i + 1 for i, name in enumerate(MONTHS) if name.startswith(word)), None)
