"""How a day and a moment are written, on every screen and paper: “2 Dec 2026”, “Wed 2 Dec”, “2 Dec 2026 18:00”.

Each has one form, so that the eye finds it again. The moments given here are on the clock of the shop already.
"""

from __future__ import annotations

from datetime import date, datetime

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip


def month_name(number: int) -> str:
    """A month in three letters, 1 to 12: `Dec`."""
    return MONTHS[number - 1][:3].capitalize()


def weekday_name(day: date) -> str:
    """The weekday of a day in three letters: `Wed`."""
    return WEEKDAYS[day.weekday()][:3].capitalize()


def day_of_month(day: date) -> str:
    """A day of a year that is understood: `2 Dec`."""
    return f"{day.day} {month_name(day.month)}"


def day_and_year(day: date) -> str:
    """A day of any year: `2 Dec 2026`."""
    return f"{day_of_month(day)} {day.year}"


def day_of_a_year(day: date, year: int) -> str:
    """A day beside others of a year: `2 Dec`, with its own year when it is another."""
    return day_of_month(day) if day.year == year else day_and_year(day)


def day_year_time(moment: datetime) -> str:
    """A moment of any year: `2 Dec 2026 18:00`."""
    return f"{day_and_year(moment)} {moment:%H:%M}"


def weekday_and_day(day: date) -> str:
    """A day that is planned with: `Wed 2 Dec`."""
    return f"{weekday_name(day)} {day_of_month(day)}"


def weekday_day_time(moment: datetime) -> str:
    """A moment that is planned with: `Wed 2 Dec 18:00`."""
    return f"{weekday_and_day(moment)} {moment:%H:%M}"


def whole_day(day: date) -> str:
    """A day so that nobody can read it in two ways: `Wed 2 Dec 2026`."""
    return f"{weekday_name(day)} {day_and_year(day)}"


def day_from_today(day: date, today: date) -> str:
    """A day as one says it: the weekday within a week of today, else `12 Mar`, with the year when it is another."""
    if day == today:
        return "today"
    if 0 < (day - today).days < 7:
        return weekday_name(day)
    return day_of_a_year(day, today.year)
