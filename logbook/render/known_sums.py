"""How far the sums of a unit can be trusted: what has no price or time is never shown as nothing."""

from __future__ import annotations

from typing import NamedTuple

from logbook.costing import Comparison
from logbook.model.unit import Unit


class Known(NamedTuple):
    """What the sums rest on: nothing at all is `?`, a sum from which something is missing gets `+?`."""

    no_cash: bool
    more_cash: bool
    no_hours: bool
    more_hours: bool

    def cash(self, words: str) -> str:
        """A sum of cash."""
        return "?" if self.no_cash else words + "+?" * self.more_cash

    def hours(self, words: str) -> str:
        """A sum of hours."""
        return "?" if self.no_hours else words + "+?" * self.more_hours

    def both(self, words: str) -> str:
        """A sum of cash and hours together."""
        if self.no_cash or self.no_hours:
            return "?"
        return words + "+?" * (self.more_cash or self.more_hours)


def known(unit: Unit, compared: Comparison) -> Known:
    """How far the sums of a unit can be trusted; what was never written down is not known, and not zero."""
    cash, work = compared.cash, compared.hours
    more = bool(cash.unpriced or cash.not_counted)
    recorded = bool(unit.parts or unit.consumables or unit.cost_lines)
    priced = any(x.price is not None for x in cash.lines)
    timed = any(x.effort is not None for x in work.lines)
    return Known(
        no_cash=not priced and (more or not recorded),
        more_cash=more,
        no_hours=not timed and (bool(work.unestimated) or not unit.operations),
        more_hours=bool(work.unestimated),
    )
