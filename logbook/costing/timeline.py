"""Cash over time: what was spent on which day, what is ordered or expected when, and what has no day yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

from logbook.costing.amounts import ZERO, total
from logbook.costing.cash import CashTotals
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


def timeline(unit: Unit, cash: CashTotals) -> Timeline:
    """The cash of a unit over time.

    Args:
        unit: with what was spent and paid, and the days on which parts are ordered or expected.
        cash: `cash_to_come` of it.
    """
    gone = _gone(unit)
    days = {p.code: p.ordered_on or p.expected_on for p in unit.parts}
    to_come = [
        (days.get(x.code), x.name, x.price.low, x.price.likely, x.price.high)
        for x in cash.lines
        if x.price is not None and x.price.high > 0
    ]
    dated = sorted((x for x in to_come if x[0] is not None), key=lambda x: (str(x[0]), x[1]))
    undated = sorted((x for x in to_come if x[0] is None), key=lambda x: (-x[3], -x[4], x[1]))
    every = [_Entry(on, When.GONE, what, amount, amount, amount) for on, what, amount in gone]
    every += [_Entry(on, When.TO_COME, what, a, m, b) for on, what, a, m, b in dated]
    every += [_Entry(on, When.NO_DAY, what, a, m, b) for on, what, a, m, b in undated]
    return Timeline(
        events=_summed(every),
        stop_at=_stop_at(unit, gone),
        undated_spent=total(a for on, _, a in gone if on is None),
        unpriced=len(cash.unpriced) + len(cash.not_counted),
    )


def _gone(unit: Unit) -> list[tuple[date | None, str, Decimal]]:
    """What was spent and paid, in order of days; what has no day first."""
    found: list[tuple[date | None, str, Decimal]] = [
        (s.on, s.what, s.amount) for s in unit.spent if s.amount is not None
    ]
    found += [(c.paid_on, c.consumable, c.paid) for c in unit.consumables if c.paid is not None]
    found += [(p.paid_on, p.name, p.paid) for p in unit.parts if p.paid is not None]
    found += [(c.paid_on, c.name, c.paid) for c in unit.cost_lines if c.paid is not None]
    return sorted(found, key=lambda x: (x[0] is not None, str(x[0] or "")))


def _stop_at(unit: Unit, gone: list[tuple[date | None, str, Decimal]]) -> Decimal | None:
    if not unit.stop_lines:
        return None
    line = unit.stop_lines[-1]
    day = line.set_at.astimezone().date() if line.set_at is not None else None
    before = total(a for on, _, a in gone if on is None or day is None or on <= day)
    return total((line.amount, before))


def _summed(events: list[_Entry]) -> tuple[CashEvent, ...]:
    low = likely = high = ZERO
    made = []
    for on, when, what, a, m, b in events:
        low, likely, high = total((low, a)), total((likely, m)), total((high, b))
        made.append(CashEvent(on, when, what, a, m, b, low, likely, high))
    return tuple(made)
