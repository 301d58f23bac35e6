"""A price that is typed is the price of that day: it needs no date of its own to be fresh.

A record with a price says beside it when that price was seen. Who types a price has just seen it, so a price that is
new, or another one than before, is of today unless its day is typed too.
"""

from __future__ import annotations

from datetime import date
from typing import TypeVar

from logbook.model.base import Frozen
from logbook.model.edits import with_changes

F = TypeVar("F", bound=Frozen)


def with_price_dated(record: F, today: date, *, before: Frozen | None = None) -> F:
    """The record with today as the day of a price that is new in it, also in the details inside it, such as a pack.

    The day of a price that is taken away goes with it.

    Args:
        record: as it is to be kept.
        today: the day on which it is typed.
        before: the record that it replaces or is a copy of; None for a new one.
    """
    for name in type(record).model_fields:
        inside, was = getattr(record, name), getattr(before, name, None)
        if isinstance(inside, Frozen) and "price_on" in type(inside).model_fields:
            record = with_changes(record, **{name: with_price_dated(inside, today, before=was)})
    if not {"price", "price_on"} <= type(record).model_fields.keys():
        return record
    price, seen = getattr(record, "price", None), getattr(record, "price_on", None)
    if seen != getattr(before, "price_on", None) or price == getattr(before, "price", None):
        return record
    return with_changes(record, price_on=today if price is not None else None)
