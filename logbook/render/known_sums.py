"""How far the sums of a unit can be trusted: what has no price or time is never shown as nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from logbook.costing import Comparison


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


def known(compared: Comparison) -> Known:
    """How far the sums of a unit can be trusted."""
    cash, work = compared.cash, compared.hours
    return Known(
        no_cash=not cash.known,
        more_cash=cash.missing > 0,
        no_hours=not work.known,
        more_hours=bool(work.unestimated),
    )


_CASH_SUMS = ("low", "likely", "high", "expected")
_VIEWS = ("to_pay", "used_up_bought", "used_up", "with_own_material")


def without_unknown(data: dict[str, Any], compared: Comparison) -> dict[str, Any]:
    """Values for JSON in which a sum that is not known is None instead of the nothing it adds up to."""
    found = dict(data)
    if not compared.cash.known:
        found["comparison"] = {**data["comparison"], "cash": _without(data["comparison"]["cash"], _CASH_SUMS)}
        found["views"] = _without(data["views"], _VIEWS)
    if not compared.hours.known:
        found["comparison"] = {
            **found["comparison"],
            "hours": _without(data["comparison"]["hours"], _CASH_SUMS),
        }
    return found


def _without(values: dict[str, Any], names: Sequence[str]) -> dict[str, Any]:
    return {name: None if name in names else value for name, value in values.items()}
