"""How old a price may be before it is flagged."""

from __future__ import annotations

from datetime import date

from logbook.model.dates import months_after
from logbook.model.dates_in_words import day_and_year
from logbook.model.plural import counted


def price_age(on: date | None, months: int, today: date) -> str:
    """What is wrong with the age of a price, in words; empty when nothing is.

    Args:
        on: the day the price is of; None when nobody wrote it down.
        months: a price older than so many calendar months is too old (a setting of the shop).
        today: the day it is looked at.
    """
    if on is None:
        return "price has no date"
    if months_after(on, months) < today:
        return f"price of {day_and_year(on)}, older than {counted(months, 'month')}"
    return ""
