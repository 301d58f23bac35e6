"""Calendar months and shelf life: plain date arithmetic that several computations need."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from typing import TypeVar

from logbook.model.base import Frozen
from logbook.model.every_value import with_every_value
from logbook.model.shop import Consumable

R = TypeVar("R", bound=Frozen)


def months_after(day: date, months: int) -> date:
    """The same day of the month so many months later, or that month's last day when it is shorter.

    Beyond the calendar's end it is the last day of the year 9999.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > date.max.year:
        return date.max
    if year < date.min.year:
        return date.min
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def use_by(consumable: Consumable) -> date | None:
    """The last day on which an opened consumable still counts, or None when nothing was said about it."""
    if consumable.opened_on is None or consumable.keeps_months is None:
        return None
    return months_after(consumable.opened_on, consumable.keeps_months)


def is_past(consumable: Consumable, today: date | None) -> bool:
    """Whether an opened consumable is past its shelf life; without a date for today nothing is."""
    last = use_by(consumable)
    return last is not None and today is not None and today > last


def moved(record: R, by: timedelta) -> R:
    """The record with every date and time in it, all the way down, moved by `by`."""

    def later(value: object) -> object:
        return value + by if isinstance(value, date) else value

    return with_every_value(record, later)
