"""Money that is gone: what was spent and what was paid on a line, and how much of it since the stop line was set."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from logbook.costing.amounts import total
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_day
from logbook.model.unit import Unit


class Gone(NamedTuple):
    """One amount that was spent or paid."""

    on: date | None
    """None: nobody wrote down when."""
    what: str
    amount: Decimal


def gone(unit: Unit) -> list[Gone]:
    """What was spent and paid, in order of days; what has no day first."""
    found = [Gone(s.on, s.what, s.amount) for s in unit.spent if s.amount is not None]
    found += [Gone(c.paid_on, c.consumable, c.paid) for c in unit.consumables if c.paid is not None]
    found += [Gone(p.paid_on, p.name, p.paid) for p in unit.parts if p.paid is not None]
    found += [Gone(c.paid_on, c.name, c.paid) for c in unit.cost_lines if c.paid is not None]
    return sorted(found, key=lambda g: (g.on is not None, g.on or date.min))


class StopShare(NamedTuple):
    """What is gone on either side of the day on which the stop line that holds was set."""

    before: Decimal
    """Up to that day, and on days nobody wrote down."""
    since: Decimal
    """On later days: it counts against the line."""


def gone_by_stop_line(unit: Unit, shop: Shop) -> StopShare:
    """What was spent before and after the last stop line was set; without a line or its day, all of it before."""
    set_at = unit.stop_lines[-1].set_at if unit.stop_lines else None
    everything = gone(unit)
    if set_at is None:
        return StopShare(total(g.amount for g in everything), total(()))
    set_on = shop_day(set_at, shop)
    since = total(g.amount for g in everything if g.on is not None and g.on > set_on)
    before = total(g.amount for g in everything if g.on is None or g.on <= set_on)
    return StopShare(before, since)
