"""What a price is in the sums when it is only needed under a condition with a stated chance."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from logbook.model.measures import Estimate
from logbook.model.work import CostLine, Part


class ByChance(NamedTuple):
    """A price as it stands in the sums."""

    price: Estimate | None
    """On three points, with the chance in them; None is unpriced."""
    chance: Fraction | None = None
    """The stated chance, from 0 to 1, that the condition comes true; None: not stated."""
    when_needed: Estimate | None = None
    """What it costs if it is needed, when a chance is stated."""


def price_by_chance(of: Part | CostLine) -> ByChance:
    """The price of a line as it stands in the sums.

    With a stated chance the low case is nothing, the likely one the price from an even chance up, the high one the
    high price.
    """
    if of.chance_percent is None or of.price is None:
        return ByChance(of.price)
    chance, needed = Fraction(of.chance_percent) / 100, _when_needed(of.price)
    nothing = Decimal(0)
    in_sums = Estimate(
        low=needed.low if chance == 1 else nothing,
        likely=needed.likely if chance >= Fraction(1, 2) else nothing,
        high=needed.high if chance > 0 else nothing,
    )
    return ByChance(in_sums, chance, needed)


def _when_needed(price: Estimate) -> Estimate:
    """The price when the thing is needed: a zero that only stood for “not needed” gives way to the next point."""
    likely = price.likely or price.high
    return Estimate(low=price.low or likely, likely=likely, high=price.high)
