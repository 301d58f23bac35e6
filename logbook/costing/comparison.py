"""Rebuild or not: what it costs against what could be bought instead, the break-evens, and the stop line.

Money already spent is gone either way and stands in none of these figures. Nothing here is rounded; amounts
are rounded once, half to even, where they are shown (`amounts.cents`).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import cents, total
from logbook.costing.cash import CashTotals, cash_to_come, lines_behind
from logbook.costing.hours import HoursTotals, hours
from logbook.costing.own_material import already_spent
from logbook.costing.stop_line import StopReading, stop_reading
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import ComparatorKind
from logbook.model.work import Comparator, MakeOrBreak

_BUYING = (ComparatorKind.NEW, ComparatorKind.USED_RESTORED, ComparatorKind.USED_AS_IS)
_ORDER = list(ComparatorKind)


@dataclass(frozen=True, slots=True)
class DecisionRow:
    """One thing that can be done, as a row of the decision table. Money coming in is negative."""

    code: str
    """Code of the comparator; empty for the rebuild itself."""
    kind: ComparatorKind | None
    """None for the rebuild."""
    option: str
    what: str
    cash: Fraction | None
    """Expected cash; None while there is no price."""
    low: Decimal | None
    """The range of cash; None where there is no range."""
    high: Decimal | None
    hours: Fraction | None
    """Expected hours of work; None for what is bought or sold."""
    at_rates: tuple[Fraction | None, ...]
    """Cash and hours together, at each rate of `Comparison.rates`."""
    ready: str
    risk: str
    price_on: date | None
    remarks: tuple[str, ...] = ()
    """What else must be known about it, in short sentences."""


@dataclass(frozen=True, slots=True)
class BreakEven:
    """The rebuild against one thing that could be bought instead. All exact."""

    code: str
    kind: ComparatorKind
    what: str
    price: Decimal
    """Price with delivery, tax and disposal."""
    gap: Fraction
    """Price − expected cash to come. Positive: the rebuild is cheaper when hours count nothing."""
    rate: Fraction | None
    """What the rebuild pays for an hour; None when it is dearer already, or when no hours are to come."""
    hours: Fraction | None
    """Hours at which both cost the same at one's own rate; None without a rate, or when dearer already."""
    gap_with_parts: Fraction | None
    """The gap when the parts, which one gives up by going on, are counted; None when they have no value stated."""
    rate_with_parts: Fraction | None
    high_can_pass: bool
    """Whether the high case of the cash alone is above the price."""
    because_of: tuple[str, ...]
    """The fewest lines that make it so."""


@dataclass(frozen=True, slots=True)
class Resale:
    """What selling the rebuilt would leave."""

    code: str
    what: str
    net: Decimal
    """Price less fee and delivery."""
    left: Fraction
    """Net − expected cash to come."""
    per_hour: Fraction | None
    """The same for each expected hour; negative when it pays to stop. None when no hours are to come."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that the decision rests on."""

    cash: CashTotals
    hours: HoursTotals
    rates: tuple[Decimal, ...]
    """Rates for an hour that the rows are reckoned at: 0, one's own, a fair one, as far as set."""
    rows: tuple[DecisionRow, ...]
    break_evens: tuple[BreakEven, ...]
    resales: tuple[Resale, ...]
    parts_value: Decimal | None
    """What the parts would bring now, net; None when not stated."""
    stop: StopReading | None
    next_test: MakeOrBreak | None
    """The first make-or-break test that is still open."""
    already_spent: Decimal
    """Shown, in none of the figures."""
    unpriced: tuple[str, ...]
    """Comparators without a price."""


def comparison(unit: Unit, shop: Shop, today: date | None = None) -> Comparison:
    """The rebuild of a unit against its comparators.

    gap = comparator − expected cash to come; break-even rate = gap / expected hours; break-even hours =
    gap / rate; with parts, their net value is taken off the gap.

    Args:
        unit: with its comparators, stop line, parts and operations.
        shop: the shelf and the settings with the rates.
        today: for the shelf life of stock. Without a date nothing is too old.
    """
    cash, work = cash_to_come(unit, shop, today), hours(unit, shop)
    rates = _rates(shop)
    rebuild = _Rebuild(cash, work.expected_hours, _best_parts_value(unit), shop.settings.rate, work.known)
    ordered = sorted(unit.comparators, key=lambda c: _ORDER.index(c.kind))
    rows = [_row(c, len(rates)) for c in ordered if c.kind is not ComparatorKind.SELL_REBUILT]
    return Comparison(
        cash=cash,
        hours=work,
        rates=rates,
        rows=(_rebuild_row(unit, rebuild, rates), *rows),
        break_evens=tuple(
            _break_even(c, price, rebuild)
            for c in ordered
            if c.kind in _BUYING and cash.known and (price := net_price(c)) is not None
        ),
        resales=tuple(
            _resale(c, -price, rebuild)
            for c in ordered
            if c.kind is ComparatorKind.SELL_REBUILT and cash.known and (price := net_price(c)) is not None
        ),
        parts_value=rebuild.parts_value,
        stop=stop_reading(unit, shop, cash),
        next_test=next((t for t in unit.arrival.make_or_break if t.passed is None), None),
        already_spent=already_spent(unit),
        unpriced=tuple(c.what or str(c.kind) for c in ordered if net_price(c) is None),
    )


def net_price(comparator: Comparator) -> Decimal | None:
    """What choosing the comparator costs in all; negative when it brings money in, None while unpriced.

    Buying: price + delivery. Selling: the sales (or the price, when none are listed) less the fee, which is
    rounded to whole hundredths, and less delivery.
    """
    if comparator.kind in _BUYING:
        return None if comparator.price is None else total((comparator.price, comparator.delivery or Decimal(0)))
    gross = total(s.price for s in comparator.sales) if comparator.sales else comparator.price
    if gross is None:
        return None
    fee = cents(Fraction(gross) * Fraction(comparator.fee_percent or 0) / 100)
    return total((fee, comparator.delivery or Decimal(0), -gross))


@dataclass(frozen=True, slots=True)
class _Rebuild:
    """What every comparator is held against."""

    cash: CashTotals
    hours: Fraction
    parts_value: Decimal | None
    own_rate: Decimal | None
    hours_known: bool

    def at_rate(self, rate: Decimal) -> Fraction | None:
        """Cash and hours together at a rate; None when one that counts is not known."""
        if not self.cash.known or (rate and not self.hours_known):
            return None
        return self.cash.expected + self.hours * Fraction(rate)

    def paid_per_hour(self, gap: Fraction) -> Fraction | None:
        """The break-even rate; None when the rebuild is dearer already, or no hours are to come."""
        return gap / self.hours if gap >= 0 and self.hours_known and self.hours > 0 else None


def _rates(shop: Shop) -> tuple[Decimal, ...]:
    set_rates = (r for r in (shop.settings.rate, shop.settings.fair_rate) if r is not None)
    return tuple(dict.fromkeys((Decimal(0), *set_rates)))


def _rebuild_row(unit: Unit, rebuild: _Rebuild, rates: tuple[Decimal, ...]) -> DecisionRow:
    cash = rebuild.cash
    return DecisionRow(
        code="",
        kind=None,
        option="rebuild",
        what=f"{unit.code} {unit.name}",
        cash=cash.expected if cash.known else None,
        low=cash.low if cash.known else None,
        high=cash.high if cash.known else None,
        hours=rebuild.hours if rebuild.hours_known else None,
        at_rates=tuple(rebuild.at_rate(rate) for rate in rates),
        ready="",
        risk="",
        price_on=None,
    )


def _row(comparator: Comparator, rates: int) -> DecisionRow:
    price = net_price(comparator)
    exact = None if price is None else Fraction(price)
    return DecisionRow(
        code=comparator.code,
        kind=comparator.kind,
        option=str(comparator.kind),
        what=comparator.what,
        cash=exact,
        low=None,
        high=None,
        hours=None,
        at_rates=(exact,) * rates,
        ready=comparator.ready,
        risk=comparator.risk,
        price_on=comparator.price_on,
    )


def _break_even(comparator: Comparator, price: Decimal, rebuild: _Rebuild) -> BreakEven:
    gap = Fraction(price) - rebuild.cash.expected
    with_parts = None if rebuild.parts_value is None else gap - Fraction(rebuild.parts_value)
    own_rate = Fraction(rebuild.own_rate or 0)
    high_over = rebuild.cash.high - price
    return BreakEven(
        code=comparator.code,
        kind=comparator.kind,
        what=comparator.what,
        price=price,
        gap=gap,
        rate=rebuild.paid_per_hour(gap),
        hours=gap / own_rate if own_rate > 0 and gap >= 0 else None,
        gap_with_parts=with_parts,
        rate_with_parts=None if with_parts is None else rebuild.paid_per_hour(with_parts),
        high_can_pass=high_over > 0,
        because_of=tuple(x.name for x in lines_behind(rebuild.cash.lines, high_over)),
    )


def _resale(comparator: Comparator, net: Decimal, rebuild: _Rebuild) -> Resale:
    left = Fraction(net) - rebuild.cash.expected
    return Resale(
        code=comparator.code,
        what=comparator.what,
        net=net,
        left=left,
        per_hour=left / rebuild.hours if rebuild.hours > 0 else None,
    )


def _best_parts_value(unit: Unit) -> Decimal | None:
    """What the parts would bring if the unit were stopped now: the best of the ways listed."""
    prices = (net_price(c) for c in unit.comparators if c.kind is ComparatorKind.SELL_PARTS)
    return max((-p for p in prices if p is not None), default=None)
