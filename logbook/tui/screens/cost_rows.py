"""Costs as lines: the decision, the sums, the bill; each with its place in the record and where it comes from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from logbook.costing import (
    BillGroup,
    BillOfMaterials,
    CashTotals,
    Comparison,
    CostViews,
    DecisionRow,
    HoursTotals,
    StopState,
    cents,
    plain_number,
)
from logbook.costing.amounts import rounded
from logbook.model.measures import Effort, Estimate, hours_and_minutes
from logbook.model.paths import Path
from logbook.model.unit import Unit
from logbook.render.costs import amount_words
from logbook.render.plain import clean, fitted
from logbook.tui.screens.bill_rows import bill_why, bill_words, record_behind

NAME, CASH, RANGE, HOURS, RATE = 22, 9, 17, 6, 9
"""Columns of the decision table."""
NARROW = 74
"""Below so many columns the decision table has no range; it stands again in the sums."""


class CostLine(NamedTuple):
    """One line of the costs."""

    key: str
    text: str
    path: Path | None = None
    """The record behind it; None when it is computed from many."""
    why: tuple[str, ...] = ()
    """Where the figure comes from, in sentences."""
    tone: str = ""
    head: bool = False


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


def cost_question(words: str, compared: Comparison) -> str:
    """The answer, and how much is missing from it."""
    missing = len(compared.cash.unpriced) + len(compared.cash.not_counted) + len(compared.hours.unestimated)
    if not missing:
        return words
    return f"{words} {missing} {'thing has' if missing == 1 else 'things have'} no price or time yet (?)."


def cost_lines(
    unit: Unit, compared: Comparison, views: CostViews, bill: BillOfMaterials, columns: int
) -> tuple[CostLine, ...]:
    """Every line of the costs, in the order in which it is read."""
    return (
        *_decision(compared, known(unit, compared), columns),
        *_limits(unit, compared),
        *_sums(unit, compared, views),
        *_bill(unit, bill, columns),
    )


def _head(key: str, text: str) -> CostLine:
    return CostLine(f"head {key}", text, tone="head", head=True)


def _decision(compared: Comparison, sure: Known, columns: int) -> Iterator[CostLine]:
    shown = [i for i, rate in enumerate(compared.rates) if rate][: 1 if columns < 100 else 2]
    spread = columns >= NARROW
    rates = "".join(f"{'at ' + plain_number(compared.rates[i]) + '/h':>{RATE}}" for i in shown)
    yield _head(
        "decision", f"{'':<{NAME}}{'cash now':>{CASH}}  {_range('range', spread)}{'hours':>{HOURS}}{rates}  ready"
    )
    for row in compared.rows:
        path: Path | None = ("comparators", row.code) if row.code else ("operations",)
        text = _row(row, shown, None if row.code else sure, spread=spread)
        yield CostLine(f"row {row.option} {row.code}", text, path, _row_why(row, compared))
    for sale in compared.resales:
        per_hour = f", {cents(sale.per_hour)} per hour" if sale.per_hour is not None else ""
        text = f"{'sell the rebuilt':<{NAME}}{amount_words(-sale.net):>{CASH}}  leaves {cents(sale.left)}{per_hour}"
        why = (
            f"What it would bring, less fee and delivery: {sale.net}. Less expected cash to come: {cents(sale.left)}.",
        )
        yield CostLine(f"sale {sale.code}", text, ("comparators", sale.code), why)
    if len(compared.rows) == 1 and not compared.resales:
        text = "nothing to compare with yet: Enter writes down what a new or used one costs"
        yield CostLine("comparators", text, ("comparators",), tone="warning")


def _row(row: DecisionRow, shown: Sequence[int], sure: Known | None, *, spread: bool) -> str:
    """A row of the decision; `sure` is given for the rebuild, whose figures are sums."""
    cash, hours = amount_words(row.cash), "" if row.hours is None else str(rounded(row.hours, 1))
    at_rates = [amount_words(row.at_rates[i]) for i in shown]
    words = "" if row.low is None or row.high is None else f"{cents(row.low)} - {cents(row.high)}"
    if not words and row.risk:
        words = f"+ {row.risk}"
    if sure is not None:
        cash, hours, words = sure.cash(cash), sure.hours(hours), sure.cash(words)
        at_rates = [sure.both(x) for x in at_rates]
    rates = "".join(f"{x:>{RATE}}" for x in at_rates)
    start = f"{fitted(row.option, NAME)}{cash:>{CASH}}"
    return f"{start}  {_range(words, spread)}{hours:>{HOURS}}{rates}  {clean(row.ready, limit=60)}"


def _range(words: str, shown: bool) -> str:
    return _fit(words, RANGE) if shown else ""


def _row_why(row: DecisionRow, compared: Comparison) -> tuple[str, ...]:
    if not row.code:
        return (
            f"Cash now is the expected cash to come: {_three(compared.cash)}.",
            f"Hours are the expected busy time still to come: {_hours_three(compared.hours)}.",
            "At a rate: cash + hours × rate, with the hours not rounded.",
        )
    words = [row.what + "."] if row.what else []
    words.append("Cash is price with delivery, tax and disposal; what is sold counts less the fee, and below zero.")
    for each in (b for b in compared.break_evens if b.code == row.code):
        words.append(f"Gap: {each.price} − expected cash {compared.cash.expected_shown} = {cents(each.gap)}.")
        if each.rate is not None:
            hours = plain_number(compared.hours.expected_hours, 4)
            words.append(f"Break-even rate: {cents(each.gap)} / {hours} hours = {cents(each.rate)} per hour of work.")
        if each.hours is not None:
            words.append(f"At your own rate both cost the same after {plain_number(each.hours, 2)} hours.")
        if each.gap_with_parts is not None:
            words.append(f"Less the parts you give up by going on: {cents(each.gap_with_parts)}.")
        if each.high_can_pass:
            words.append(f"The high case of the cash alone passes it: {', '.join(each.because_of)}.")
    return tuple(words)


def _limits(unit: Unit, compared: Comparison) -> Iterator[CostLine]:
    if compared.stop is None:
        text = "stop line: none set. Press l to set it before more is spent."
        yield CostLine("stop", text, ("stop_lines",), ("A limit of further cash, set before the work.",), "warning")
    else:
        over = compared.stop.state is not StopState.UNDER
        why = (
            compared.stop.sentence,
            "Likely over the line: passed. Expected over: at risk. Only the high case over: it could pass.",
            f"Spent since the line was set: {compared.stop.spent_since}; it is not in the reading.",
        )
        yield CostLine(
            "stop", _stop_words(compared, known(unit, compared)), ("stop_lines",), why, "warning" if over else ""
        )
    if (test := compared.next_test) is not None:
        at = unit.arrival.make_or_break.index(test)
        time = f", {hours_and_minutes(test.minutes)}" if test.minutes is not None else ""
        words = f"A make-or-break test that is still open. Stop if: {test.stop_if or '?'}."
        yield CostLine("test", f"first: {test.what}{time}", ("arrival", "make_or_break", at), (words,))


def _stop_words(compared: Comparison, sure: Known) -> str:
    stop = compared.stop
    if stop is None:
        return ""
    words = f"stop line {cents(stop.amount)}: "
    if sure.no_cash:
        return words + "cannot be read yet, nothing that is to come has a price (?)"
    if stop.state is StopState.UNDER:
        missing = len(compared.cash.unpriced) + len(compared.cash.not_counted)
        return words + "even the high case is under it" + (f", but {missing} have no price (?)" if missing else "")
    if stop.state is StopState.HIGH_OVER:
        return words + f"likely and expected under, HIGH IS OVER by {cents(stop.high_over)}"
    if stop.state is StopState.EXPECTED_OVER:
        return words + f"AT RISK: expected is over by {cents(stop.expected_over)}"
    return words + f"PASSED: likely is over by {cents(stop.likely_over)}. Stop, or say why not (l)"


def _three(cash: CashTotals) -> str:
    sums = f"({cents(cash.low)} + 4 × {cents(cash.likely)} + {cents(cash.high)}) / 6"
    return f"{sums} = {cash.expected_shown}"


def _hours_three(work: HoursTotals) -> str:
    points = " / ".join(plain_number(Fraction(m, 60), 2) for m in (work.low, work.likely, work.high))
    return f"{points} h, (low + 4 likely + high) / 6 = {plain_number(work.expected_hours, 4)} h"


def _sums(unit: Unit, compared: Comparison, views: CostViews) -> Iterator[CostLine]:
    cash, work, sure = compared.cash, compared.hours, known(unit, compared)
    yield _head("sums", f"{'Still to come':<{NAME}}{'low':>{CASH}}{'likely':>{CASH}}{'high':>{CASH}}  expected")
    points = "".join(f"{sure.cash(str(cents(x))):>{CASH}}" for x in (cash.low, cash.likely, cash.high))
    text = f"{'cash':<{NAME}}{points}  {sure.cash(f'{cash.expected_shown}, contingency {cash.contingency_shown}')}"
    yield CostLine("cash", text, ("parts",), _cash_why(cash))
    exact = (Fraction(m, 60) for m in (work.low, work.likely, work.high))
    points = "".join(f"{sure.hours(str(rounded(x, 2))):>{CASH}}" for x in exact)
    text = f"{'hours':<{NAME}}{points}  {sure.hours(str(rounded(work.expected_hours, 2)))}"
    why = [f"{x.code} {x.name}: {_effort(x.effort)}" for x in work.lines]
    why.append(
        f"Done and not counted: {', '.join(work.done) or 'none'}. Worked so far: {hours_and_minutes(work.worked)}."
    )
    yield CostLine("hours", text, ("operations",), tuple(why))
    missing = (*(f"{n} has no price" for n in cash.unpriced), *cash.not_counted)
    missing = (*missing, *(f"{n} has no time" for n in work.unestimated))
    for i, words in enumerate(missing):
        reason = "It is in none of the sums, which can only grow by it."
        yield CostLine(f"missing {i}", f"  ? {words}", ("parts",), (reason,), "warning")
    yield from _views(unit, views, sure)


def _effort(effort: Effort | None) -> str:
    if effort is None:
        return "? not estimated"
    points = (effort.low, effort.likely, effort.high)
    return " / ".join(hours_and_minutes(m) for m in points)


def _cash_why(cash: CashTotals) -> tuple[str, ...]:
    lines = [f"{x.kind}: {x.name} {_points(x.price)}{f', {x.only_if}' if x.only_if else ''}" for x in cash.lines]
    return (f"Expected: {_three(cash)}. Contingency: expected − likely.", *lines, *cash.not_counted)


def _points(price: Estimate | None) -> str:
    if price is None:
        return "? (no price)"
    return f"{price.low} / {price.likely} / {price.high}"


def _views(unit: Unit, views: CostViews, sure: Known) -> Iterator[CostLine]:
    yield _head("views", "One rebuild, three views, at likely prices")
    missing = tuple(f"Missing from a sum: {n}." for n in views.unpriced)
    rows = (
        ("to pay", views.to_pay, "whole packs, parts and the rest: what leaves the purse"),
        ("used up", views.used_up, f"shares of packs {views.used_up_bought} + from stock {views.stock_used}"),
        ("with own material", views.with_own_material, f"used up + own material at replacement {views.own_material}"),
    )
    for name, amount, how in rows:
        words = "?" if sure.no_cash else f"{amount}" + "+?" * bool(missing)
        yield CostLine(f"view {name}", f"{name:<{NAME}}{words:>{CASH}}  {how}", None, (f"{name}: {how}.", *missing))
    why = ("Gone either way: it decides nothing.", *(f"{s.what} {s.amount or '?'}" for s in unit.spent))
    text = f"{'already spent':<{NAME}}{views.already_spent!s:>{CASH}}  not in the decision"
    yield CostLine("spent", text, ("spent",), why, "done")


def _bill(unit: Unit, bill: BillOfMaterials, columns: int) -> Iterator[CostLine]:
    for group in BillGroup:
        lines = bill.of(group)
        if lines:
            yield _head(f"bill {group}", f"Bill of materials: {group}")
        for i, line in enumerate(lines):
            yield CostLine(
                f"bill {group} {line.code or line.name} {i}",
                bill_words(line, columns),
                record_behind(unit, line),
                bill_why(line),
                "done" if line.here else "",
            )
    if not bill.lines:
        yield _head("bill", "Bill of materials")
        yield CostLine("bill", "nothing is needed by the record so far; parts are added in the components (3, then A)")


def _fit(text: str, columns: int) -> str:
    return fitted(clean(text, limit=200), columns)
