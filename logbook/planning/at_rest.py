"""Units that stand still: the one stated reason, since when, and when to ask again."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from logbook.model.unit import Book
from logbook.planning.from_book import AT_REST


class AtRest(NamedTuple):
    """A unit that stands still: the one reason, since when, and when to ask again."""

    unit: str
    name: str
    reason: str
    """Empty when nothing says why."""
    since: date | None
    chase: date | None
    days: int | None
    """Days since it was last worked on."""


def at_rest(book: Book, today: date) -> tuple[AtRest, ...]:
    """Units that wait or have lain untouched for longer than the settings say, the longest untouched first."""
    weeks = book.shop.settings.untouched_weeks
    found = []
    for unit in book.units.values():
        if unit.stage in AT_REST:
            continue
        open_ = sorted(
            (w for w in unit.waiting if not w.done), key=lambda w: (w.chase or date.max, w.since or date.max)
        )
        days = None if unit.touched is None else max(0, (today - unit.touched.date()).days)
        if open_:
            first = open_[0]
            found.append(AtRest(unit.code, unit.name, first.what, first.since, first.chase, days))
        elif days is not None and days > weeks * 7:
            found.append(AtRest(unit.code, unit.name, "", None, None, days))
    return tuple(sorted(found, key=lambda r: -(r.days or 0)))
