"""Costs as lines: the decision, the sums, the bill; each with its place in the record and where it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from logbook.costing import BillGroup, BillOfMaterials, CashTotals, Comparison, CostViews, Decision, plain_number
from logbook.costing.amounts import rounded
from logbook.model.measures import Effort, Estimate, hours_and_minutes
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.costs import waits_for_prices
from logbook.render.known_sums import Known, known
from logbook.render.money import money
from logbook.tui.screens.bill_rows import bill_why, bill_words, record_behind
from logbook.tui.screens.cost_line import CASH, NAME, CostLine, head_line
from logbook.tui.screens.decision_rows import decision_lines, three_words

__all__ = ["CostLine", "cost_lines", "cost_question"]


def cost_question(words: str, compared: Comparison) -> str:
    """The answer, and how much is missing from it."""
    if waits_for_prices(compared):
        return words  # it names what has no price
    missing = compared.cash.missing + len(compared.hours.unestimated)
    if not missing:
        return words
    return f"{words} {missing} {'thing has' if missing == 1 else 'things have'} no price or time yet (?)."


def cost_lines(
    unit: Unit, shop: Shop, decided: Decision, views: CostViews, bill: BillOfMaterials, *, columns: int
) -> tuple[CostLine, ...]:
    """Every line of the costs, in the order in which it is read."""
    return (
        *decision_lines(unit, shop, decided, columns),
        *_sums(unit, decided.compared, views),
        *_bill(unit, bill, columns),
    )


def _sums(unit: Unit, compared: Comparison, views: CostViews) -> Iterator[CostLine]:
    cash, work, sure = compared.cash, compared.hours, known(compared)
    yield head_line("sums", f"{'Still to come':<{NAME}}{'low':>{CASH}}{'likely':>{CASH}}{'high':>{CASH}}  expected")
    points = "".join(f"{sure.cash(money(x)):>{CASH}}" for x in (cash.low, cash.likely, cash.high))
    expected = f"{money(cash.expected_shown)}, contingency {money(cash.contingency_shown)}"
    text = f"{'cash':<{NAME}}{points}  {sure.cash(expected)}"
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
    lines += [
        f"{x.name}: {plain_number(x.chance * 100, 2)} % × its price when needed = {money(x.expected)}"
        for x in cash.lines
        if x.chance is not None and x.expected is not None
    ]
    return (f"Expected: {three_words(cash)}. Contingency: expected − likely.", *lines, *cash.not_counted)


def _points(price: Estimate | None) -> str:
    if price is None:
        return "? (no price)"
    return f"{price.low} / {price.likely} / {price.high}"


def _views(unit: Unit, views: CostViews, sure: Known) -> Iterator[CostLine]:
    yield head_line("views", "One rebuild, three views, at likely prices")
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
            yield head_line(f"bill {group}", f"Bill of materials: {group}")
        for i, line in enumerate(lines):
            yield CostLine(
                f"bill {group} {line.code or line.name} {i}",
                bill_words(line, columns),
                record_behind(unit, line),
                bill_why(line),
                "done" if line.here else "",
            )
    if not bill.lines:
        yield head_line("bill", "Bill of materials")
        yield CostLine("bill", "nothing is needed by the record so far; parts are added in the components (3, then A)")
