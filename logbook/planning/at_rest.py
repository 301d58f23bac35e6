"""Units that stand still: the one stated reason, since when, and when to ask again."""

from __future__ import annotations

from datetime import date, datetime
from typing import NamedTuple

from logbook.model.shop_clock import days_since, shop_time
from logbook.model.unit import Book
from logbook.model.words import AT_REST
from logbook.planning.standing import Whole
from logbook.planning.whole import whole_of
from logbook.teardown.chasing import STATED, awaited


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


def at_rest(book: Book | Whole, now: datetime) -> tuple[AtRest, ...]:
    """Units that wait or have lain untouched for longer than the settings say, the longest untouched first."""
    whole = whole_of(book)
    now = shop_time(now, whole.shop)
    longest = 7 * whole.shop.settings.untouched_weeks
    found = []
    for standing in whole.standings:
        if standing.stage in AT_REST:
            continue
        unit = standing.unit
        days = None if standing.touched is None else days_since(standing.touched, now)
        long_untouched = days is not None and days > longest
        reasons = [a for a in awaited(unit) if long_untouched or a.place == STATED]
        if reasons:
            first = min(reasons, key=lambda a: (a.chase or date.max, a.since or date.max))
            found.append(AtRest(unit.code, unit.name, first.what, first.since, first.chase, days))
        elif long_untouched:
            found.append(AtRest(unit.code, unit.name, "", None, None, days))
    return tuple(sorted(found, key=lambda r: -(r.days or 0)))
