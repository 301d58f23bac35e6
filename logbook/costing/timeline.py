"""Cash over time: what was spent on which day, what is ordered or expected when, and what has no day yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from logbook.costing.amounts import ZERO, total
from logbook.costing.cash import CashTotals
from logbook.costing.gone import gone, gone_by_stop_line
from logbook.model.shop import Shop
from logbook.model.unit import Unit


class When(StrEnum):
    """On which side of today an amount lies."""

    GONE = "gone"
    TO_COME = "to come"
    NO_DAY = "no day yet"


@dataclass(frozen=True, slots=True)
class CashEvent:
    """One amount on one day, with the sums up to it."""

    on: date | None
    """None: nobody has said when."""
    when: When
    what: str
    low: Decimal
    likely: Decimal
    high: Decimal
    sum_low: Decimal
    sum_likely: Decimal
    sum_high: Decimal


@dataclass(frozen=True, slots=True)
class Timeline:
    """Everything spent and to come in order of days; what has no day stands last, as one entry for each line."""

    events: tuple[CashEvent, ...]
    stop_at: Decimal | None
    """The sum at which the stop line is reached: the line, and what was spent up to the day it was set."""
    gone_before_stop: Decimal
    """So much of that was gone when the line was set."""
    undated_spent: Decimal
    """Spent on a day nobody wrote down; it stands first."""
    unpriced: int
    """Lines that are in no sum, because they have no price."""


class _Entry(NamedTuple):
    on: date | None
    when: When
    what: str
    low: Decimal
    likely: Decimal
    high: Decimal


def timeline(unit: Unit, shop: Shop, cash: CashTotals) -> Timeline:
    """The cash of a unit over time.

    Args:
        unit: with what was spent and paid, and the days on which parts are ordered or expected.
        shop: for the day on which the stop line was set.
        cash: `cash_to_come` of it.
    """
    spent = gone(unit)
    days = {p.code: p.ordered_on or p.expected_on for p in unit.parts}
    to_come = [
        (days.get(x.code), x.name, x.price.low, x.price.likely, x.price.high)
        for x in cash.lines
        if x.price is not None and x.price.high > 0
    ]
    dated = sorted((x for x in to_come if x[0] is not None), key=lambda x: (str(x[0]), x[1]))
    undated = sorted((x for x in to_come if x[0] is None), key=lambda x: (-x[3], -x[4], x[1]))
    every = [_Entry(on, When.GONE, what, amount, amount, amount) for on, what, amount in spent]
    every += [_Entry(on, When.TO_COME, what, a, m, b) for on, what, a, m, b in dated]
    every += [_Entry(on, When.NO_DAY, what, a, m, b) for on, what, a, m, b in undated]
    return Timeline(
        events=_summed(every),
        stop_at=_stop_at(unit, shop),
        gone_before_stop=gone_by_stop_line(unit, shop).before if unit.stop_lines else ZERO,
        undated_spent=total(a for on, _, a in spent if on is None),
        unpriced=len(cash.unpriced) + len(cash.not_counted),
    )


def _stop_at(unit: Unit, shop: Shop) -> Decimal | None:
    """What is gone in all when the line is reached: the line, on top of what was spent before it was set."""
    if not unit.stop_lines:
        return None
    return total((unit.stop_lines[-1].amount, gone_by_stop_line(unit, shop).before))


def _summed(events: list[_Entry]) -> tuple[CashEvent, ...]:
    low = likely = high = ZERO
    made = []
    for on, when, what, a, m, b in events:
        low, likely, high = total((low, a)), total((likely, m)), total((high, b))
        made.append(CashEvent(on, when, what, a, m, b, low, likely, high))
    return tuple(made)
