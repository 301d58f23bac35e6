"""The decision in full: every row and column, the chances, the rule of thumb, and what the owner says it is worth.

`comparison` reckons rows and break-evens; this puts beside them what the outlook of cash and hours says. None of it
decides: each figure is one line that a person weighs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.actuals import paid_in_all
from logbook.costing.amounts import cents, plain_number
from logbook.costing.cash import CashTotals
from logbook.costing.comparison import Comparison, DecisionRow, Resale, comparison
from logbook.costing.drivers import Outlook, cash_outlook, hours_outlook
from logbook.costing.ready_when import TimeToReady, ready_when
from logbook.model.amount_words import in_custom, number_words
from logbook.model.dates import months_after
from logbook.model.dates_in_words import day_and_year
from logbook.model.plural import counted
from logbook.model.remembered import remembered
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import ComparatorKind


@dataclass(frozen=True, slots=True)
class Chance:
    """How often the cash alone came to more than a thing costs that could be bought instead."""

    code: str
    kind: ComparatorKind
    price: Decimal
    above: Fraction
    """Share of the draws, from 0 to 1."""


@dataclass(frozen=True, slots=True)
class HalfOfNew:
    """The 50 % rule: a repair above half of the price of new is replaced. Common practice, no law and no verdict."""

    new: Decimal
    half: Fraction
    expected: Fraction
    above: bool
    """Whether the expected cash is above half of new."""
    at_least: bool
    """Whether things without a price can only add to the expected cash: not above then says nothing yet."""


@dataclass(frozen=True, slots=True)
class OwnerValue:
    """What the object is worth to its owner, a number that only the owner can set."""

    value: Decimal
    above_cash: Fraction
    """Value − expected cash to come."""


@dataclass(frozen=True, slots=True)
class Decision:
    """All that is weighed."""

    compared: Comparison
    rows: tuple[DecisionRow, ...]
    """Rebuild, buy new, used restored, used as is, stop and sell the parts, sell the rebuilt; as far as recorded."""
    cash: Outlook
    hours: Outlook
    chances: tuple[Chance, ...]
    """For each thing that could be bought; empty while the cash has no range."""
    stop_chance: Fraction | None
    """Share of the draws in which the cash passes the stop line; None without a line or a range."""
    half_of_new: HalfOfNew | None
    owner: OwnerValue | None
    ready: TimeToReady
    hours_against_gap: str
    """The fifth stop rule: hours left at one's own rate against what the rebuild saves; empty when it does not say."""


@remembered
def decision(unit: Unit, shop: Shop, today: date | None = None) -> Decision:
    """Everything the decision rests on, computed from the record.

    Args:
        unit: with its lines, operations, comparators and stop line.
        shop: shelf, rates, free hours.
        today: for the age of prices and the shelf life of stock; without a date nothing is too old.
    """
    compared = comparison(unit, shop, today)
    cash, work = cash_outlook(compared.cash), hours_outlook(compared.hours)
    ready = ready_when(unit, shop, compared.hours)
    new = next((b for b in compared.break_evens if b.kind is ComparatorKind.NEW), None)
    expected = compared.cash.expected
    return Decision(
        compared=compared,
        rows=_rows(unit, shop, compared, ready, today),
        cash=cash,
        hours=work,
        chances=tuple(
            Chance(b.code, b.kind, b.price, cash.distribution.chance_above(Fraction(b.price)))
            for b in compared.break_evens
            if cash.known
        ),
        stop_chance=cash.distribution.chance_above(Fraction(compared.stop.left))
        if compared.stop is not None and cash.known
        else None,
        half_of_new=None if new is None or not compared.cash.known else _half_of_new(new.price, compared.cash),
        owner=None
        if unit.owner_value is None or not compared.cash.known
        else OwnerValue(unit.owner_value, Fraction(unit.owner_value) - expected),
        ready=ready,
        hours_against_gap=_hours_against_gap(compared, shop),
    )


def _half_of_new(price: Decimal, cash: CashTotals) -> HalfOfNew:
    half = Fraction(price) / 2
    return HalfOfNew(price, half, cash.expected, above=cash.expected > half, at_least=cash.missing > 0)


def _rows(
    unit: Unit, shop: Shop, compared: Comparison, ready: TimeToReady, today: date | None
) -> tuple[DecisionRow, ...]:
    rebuild, *others = compared.rows
    rebuild = replace(rebuild, ready=rebuild.ready or ready.words, remarks=_rebuild_remarks(unit, compared))
    codes = {c.code: c for c in unit.comparators}
    sales = [_sale_row(sale, rebuild, compared.rates) for sale in compared.resales]
    rows = [r if r.code not in codes else replace(r, ready=r.ready or codes[r.code].ready) for r in (*others, *sales)]
    return (rebuild, *(replace(r, remarks=_remarks(r, shop, today)) for r in rows))


def _sale_row(sale: Resale, rebuild: DecisionRow, rates: tuple[Decimal, ...]) -> DecisionRow:
    """Rebuild and then sell: the net price comes off every figure of the rebuild."""
    net = Fraction(sale.net)
    cash = None if rebuild.cash is None else rebuild.cash - net
    hours = rebuild.hours
    return DecisionRow(
        code=sale.code,
        kind=ComparatorKind.SELL_REBUILT,
        option=str(ComparatorKind.SELL_REBUILT),
        what=sale.what,
        cash=cash,
        low=None if rebuild.low is None else rebuild.low - sale.net,
        high=None if rebuild.high is None else rebuild.high - sale.net,
        hours=hours,
        at_rates=tuple(None if cash is None or hours is None else cash + hours * Fraction(r) for r in rates),
        ready=rebuild.ready,
        risk="",
        price_on=None,
    )


def _rebuild_remarks(unit: Unit, compared: Comparison) -> tuple[str, ...]:
    cash, remarks = compared.cash, []
    if missing := len(cash.unpriced) + len(cash.not_counted):
        remarks.append(f"{missing} without a price")
    if compared.hours.unestimated:
        remarks.append(f"{len(compared.hours.unestimated)} without a time")
    if compared.next_test is not None:
        remarks.append(f"first test: {compared.next_test.what}")
    if compared.parts_value is not None:
        remarks.append(f"gives up parts worth {number_words(cents(compared.parts_value))}")
    if paid := paid_in_all(unit):
        remarks.append(f"{number_words(cents(paid))} is gone either way")
    return tuple(remarks)


def _remarks(row: DecisionRow, shop: Shop, today: date | None) -> tuple[str, ...]:
    remarks = [row.risk] if row.risk else []
    if row.cash is None:
        remarks.append("no price")
    if today is not None and row.price_on is not None:
        months = shop.settings.price_old_months
        if months_after(row.price_on, months) < today:
            remarks.append(f"price of {day_and_year(row.price_on)}, older than {counted(months, 'month')}")
    return tuple(remarks)


def _hours_against_gap(compared: Comparison, shop: Shop) -> str:
    rate, hours = shop.settings.rate, compared.hours.expected_hours
    if rate is None or not rate or not hours or not compared.break_evens:
        return ""
    against = compared.break_evens[0]
    worth = hours * Fraction(rate)
    side = "more" if worth > against.gap else "no more"
    return (
        f"{in_custom(plain_number(hours, 2))} hours left at {in_custom(plain_number(rate))} are "
        f"{number_words(cents(worth))}, "
        f"{side} than the {number_words(cents(against.gap))} saved against “{against.kind}”."
    )
