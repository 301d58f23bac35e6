"""How much a number, a length, a time or a date may be: one table for what is typed and for what comes in a document.

Within the limits every computation ends soon and every date is one of the calendar; beyond them stands a slip of a key.
A book that was written before a limit was drawn still opens: the rule stands at the doors, not in the records.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from logbook.model.measures import Effort, Estimate, Length


class Most(NamedTuple):
    """The most that is taken, as a number and in words that stand after “more than”."""

    number: int
    words: str


MOST = Most(1_000_000, "a million. Check the unit and the number")
"""Amounts of money, packs, rates."""
MOST_COUNT = Most(10_000, "10,000, the most that is counted one by one")
MOST_MINUTES = Most(527_040, "527040 minutes, which is a year")
MOST_EFFORT = Most(60_000, "60000 minutes, which is 1000 hours. Split the work")
MOST_LENGTH = Most(100_000, "100 m, the most that is taken for a length")
"""In mm."""
EARLIEST, LATEST = 1900, 2200
"""The first and the last year of a date."""

OF_A_FIELD = {
    "quantity": Most(200, "200 pieces, the most of one kind"),
    "times": Most(1_000, "1,000 times"),
    "times_done": Most(1_000, "1,000 times"),
    "holes": MOST_COUNT,
    "pile_months": Most(1_200, "1200 months, which is a hundred years"),
    "price_old_months": Most(1_200, "1200 months, which is a hundred years"),
    "keeps_months": Most(1_200, "1200 months, which is a hundred years"),
    "untouched_weeks": Most(5_200, "5200 weeks, which is a hundred years"),
    "delivery_days": Most(3_660, "3660 days, which is ten years"),
    "days": Most(3_660, "3660 days, which is ten years"),
    "minutes_worked": Most(10_000_000, "10000000 minutes"),
}
"""Whole numbers whose field has a limit of its own, by its name."""


def beyond(value: Any, least: str, name: str = "", kind: str = "") -> str:
    """What is wrong with a value, in words that stand after it; empty when it may be.

    Args:
        value: of any field.
        least: “above zero” or “from zero” for a number that may not be less, else empty.
        name: of the field.
        kind: of the field, as `FieldKind` names it; “time” for whole minutes.
    """
    said = ""
    match value:
        case tuple():
            said = next((wrong for one in value if (wrong := beyond(one, least, name, kind))), "")
        case Estimate():
            said = _beyond_estimate(value)
        case Decimal():
            said = _beyond_decimal(value, least)
        case Effort():
            said = _more(value.high, MOST_EFFORT)
        case Length():
            said = _more(abs(value.mm), MOST_LENGTH)
        case date():  # and every time, which is a date too
            in_calendar = EARLIEST <= value.year <= LATEST
            said = "" if in_calendar else f"is not between the years {EARLIEST} and {LATEST}."
        case int() if not isinstance(value, bool):
            said = _more(value, OF_A_FIELD.get(name, MOST_MINUTES if kind == "time" else MOST_COUNT))
    return said


def _more(number: Decimal | int, most: Most) -> str:
    return f"is more than {most.words}." if number > most.number else ""


def _beyond_estimate(value: Estimate) -> str:
    if value.low < 0:
        return "is below zero. Type what is to be paid, or 0."
    return _more(value.high, MOST)


def _beyond_decimal(value: Decimal, least: str) -> str:
    if least and (value < 0 or (value == 0 and least == "above zero")):
        return f"is not {least}."
    return _more(abs(value), MOST)
