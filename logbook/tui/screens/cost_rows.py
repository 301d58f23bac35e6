"""Costs as entries: the decision, the sums, the bill; each with its place in the record and where it comes from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from logbook.costing import (
    BillGroup,
    BillOfMaterials,
    CashTotals,
    Comparison,
    CostViews,
    Decision,
    Timeline,
    bill_of_materials,
    cost_views,
    decision,
    timeline,
)
from logbook.costing.amounts import rounded
from logbook.model.measures import Effort, Estimate, hours_and_minutes
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.costs_document import waits_for_prices
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.known_sums import Known, known
from logbook.render.money import estimate_words, figure, in_custom, money
from logbook.render.weighing import stop_mark
from logbook.tui.look.cost_bars import steps
from logbook.tui.look.inks import Line, Span, flow, hanging, line, width_of
from logbook.tui.screens.bill_rows import bill_rows, bill_why, line_key, record_behind
from logbook.tui.screens.cost_line import CASH, CostEntry, head_line
from logbook.tui.screens.decision_rows import decision_lines, three_words

__all__ = ["CostEntry", "cost_lines", "cost_question"]

NAME = 18
"""Columns of the names before sums."""


def cost_question(words: str, compared: Comparison) -> str:
    """The answer, and how much is missing from it."""
    if waits_for_prices(compared):
        return words  # it names what has no price
    missing = compared.cash.missing + len(compared.hours.unestimated)
    if not missing:
        return words
    return f"{words} {missing} {'thing has' if missing == 1 else 'things have'} no price or time yet (?)."


class Costs(NamedTuple):
    """Everything that the screen shows of a unit's costs."""

    decided: Decision
    views: CostViews
    bill: BillOfMaterials
    over_time: Timeline


def costs_of(unit: Unit, shop: Shop, today: date) -> Costs:
    """The costs of a unit as they follow from its record."""
    decided = decision(unit, shop, today)
    return Costs(
        decided,
        cost_views(unit, shop, today),
        bill_of_materials(unit, shop, today),
        timeline(unit, shop, decided.compared.cash),
    )


def cost_lines(
    unit: Unit, shop: Shop, costs: Costs, now: datetime, columns: int, *, drawn_beside: bool = False, g: Glyphs = FINE
) -> tuple[CostEntry, ...]:
    """Every entry of the costs, in the order in which it is read.

    Args:
        unit: whose costs they are.
        shop: for the days of its stop lines.
        costs: `costs_of` it.
        now: for what has lain untouched since.
        columns: for the text of an entry.
        drawn_beside: drivers and cash over time stand in panes of their own.
        g: signs.
    """
    return (
        *decision_lines(unit, shop, costs.decided, now, columns, drivers=not drawn_beside, g=g),
        *(() if drawn_beside else _over_time(costs.over_time, columns, g)),
        *_sums(unit, costs.decided.compared, costs.views, columns),
        *_bill(unit, costs.bill, columns),
    )


def _over_time(found: Timeline, columns: int, g: Glyphs) -> Iterator[CostEntry]:
    """Cash over time in one row: what is gone, a column for each payment, the likely and the highest sum."""
    if not found.events or found.events[-1].sum_high <= 0:
        return
    last = found.events[-1]
    gone = [event for event in found.events if event.when == "gone"]
    room = max(8, columns - 60)
    heights = [float(event.sum_likely) for event in found.events][-room:]
    spans = [Span("gone ", "muted"), Span(money(gone[-1].sum_likely if gone else Decimal(0))), Span("  ")]
    spans += [Span(steps(heights, g), "head"), Span("  ")]
    spans += [Span(money(last.sum_likely)), Span(" likely  ", "muted")]
    spans += [Span(money(last.sum_high)), Span(" at most", "muted")]
    if found.stop_at is not None:
        spans.append(Span(f"  stop {stop_mark(found)}", "bad" if last.sum_high > found.stop_at else "muted"))
    yield head_line("over time", "Cash over time", "v draws it day by day")
    yield CostEntry(
        "over time", tuple(flow(spans, columns)), ("spent",), ("The sum after each payment, at likely prices.",)
    )


def _sums(unit: Unit, compared: Comparison, views: CostViews, columns: int) -> Iterator[CostEntry]:
    cash, work, sure = compared.cash, compared.hours, known(compared)
    heads = "".join(f"{name:>{CASH}}" for name in ("low", "likely", "high", "expected"))
    yield head_line("sums", "Still to come", f"{'':<{NAME - len('Still to come') - 3}}{heads}")
    points = [sure.cash(money(x)) for x in (cash.low, cash.likely, cash.high)]
    has_contingency = bool(cash.contingency_shown) and not sure.no_cash
    contingency = f"of it contingency {money(cash.contingency_shown)}" if has_contingency else ""
    figures = _figures("cash", points, sure.cash(money(cash.expected_shown)))
    yield CostEntry("cash", _with_remark(figures, contingency, columns), ("parts",), _cash_why(cash))
    exact = (Fraction(minutes, 60) for minutes in (work.low, work.likely, work.high))
    points = [sure.hours(in_custom(str(rounded(x, 2)))) for x in exact]
    figures = _figures("hours", points, sure.hours(in_custom(str(rounded(work.expected_hours, 2)))))
    why = [f"{x.code} {x.name}: {_effort(x.effort)}" for x in work.lines]
    why.append(
        f"Done and not counted: {', '.join(work.done) or 'none'}. Worked so far: {hours_and_minutes(work.worked)}."
    )
    yield CostEntry("hours", _fitting(figures, columns), ("operations",), tuple(why))
    missing = (*(f"{name} has no price" for name in cash.unpriced), *cash.not_counted)
    missing = (*missing, *(f"{name} has no time" for name in work.unestimated))
    for number, words in enumerate(missing):
        reason = "It is in none of the sums, which can only grow by it."
        lines = tuple(flow((Span(f"? {words}", "wait"),), columns))
        yield CostEntry(f"missing {number}", lines, ("parts",), (reason,))
    yield from _views(unit, views, sure, columns)


def _figures(name: str, points: Sequence[str], expected: str) -> Line:
    figures = "".join(f"{point:>{CASH}}" for point in points)
    return line(f"{name:<{NAME}}{figures}", Span(f"{expected:>{CASH}}", "bold"))


def _with_remark(figures: Line, said: str, columns: int) -> tuple[Line, ...]:
    """Figures with a remark beside them, or below and ending where they end: they stay under their heads."""
    remark = Span(said, "muted")
    if not said:
        return _fitting(figures, columns)
    if width_of(figures) + 2 + width_of((remark,)) <= columns:
        return (line(figures, "  ", remark),)
    before = max(0, width_of(figures) - width_of((remark,)))
    return (*_fitting(figures, columns), line(" " * before, remark))


def _fitting(spans: Line, columns: int) -> tuple[Line, ...]:
    """One row, or as many as it takes where it is too long."""
    if width_of(spans) <= columns:
        return (spans,)
    return tuple(flow(spans, columns))


def _effort(effort: Effort | None) -> str:
    if effort is None:
        return "? not estimated"
    points = (effort.low, effort.likely, effort.high)
    return " / ".join(hours_and_minutes(m) for m in points)


def _cash_why(cash: CashTotals) -> tuple[str, ...]:
    lines = [f"{x.kind}: {x.name} {_points(x.price)}{f', {x.only_if}' if x.only_if else ''}" for x in cash.lines]
    lines += [
        f"{x.name}: {figure(x.chance * 100, 2)} % × its price when needed = {money(x.expected)}"
        for x in cash.lines
        if x.chance is not None and x.expected is not None
    ]
    return (f"Expected: {three_words(cash)}. Contingency: expected − likely.", *lines, *cash.not_counted)


def _points(price: Estimate | None) -> str:
    return "? (no price)" if price is None else estimate_words(price)


def _views(unit: Unit, views: CostViews, sure: Known, columns: int) -> Iterator[CostEntry]:
    yield head_line("views", "One rebuild, three views", "at likely prices")
    missing = tuple(f"Missing from a sum: {n}." for n in views.unpriced)
    rows = (
        ("to pay", views.to_pay, "whole packs, parts and the rest: what leaves the purse"),
        ("used up", views.used_up, f"shares of packs {views.used_up_bought} + from stock {views.stock_used}"),
        ("with own material", views.with_own_material, f"used up + own material at replacement {views.own_material}"),
    )
    for name, amount, how in rows:
        words = "?" if sure.no_cash else f"{amount}" + "+?" * bool(missing)
        yield CostEntry(f"view {name}", _view(name, words, how, columns), None, (f"{name}: {how}.", *missing))
    why = ("Gone either way: it decides nothing.", *(f"{s.what} {s.amount or '?'}" for s in unit.spent))
    lines = _view("already spent", str(views.already_spent), "not in the decision", columns)
    yield CostEntry("spent", lines, ("spent",), why)


def _view(name: str, amount: str, how: str, columns: int) -> tuple[Line, ...]:
    lead = line(f"{name:<{NAME}}", Span(f"{amount:>{CASH}}", "bold"), "  ")
    return tuple(hanging(lead, how, columns, "muted"))


def _bill(unit: Unit, bill: BillOfMaterials, columns: int) -> Iterator[CostEntry]:
    rows = bill_rows(bill, columns)
    for group in BillGroup:
        lines = bill.of(group)
        if lines:
            yield head_line(f"bill {group}", "Bill of materials", str(group))
        for number, line_of_bill in enumerate(lines):
            yield CostEntry(
                f"bill {group} {line_of_bill.code or line_of_bill.name} {number}",
                tuple(rows[line_key(line_of_bill, number)]),
                record_behind(unit, line_of_bill),
                bill_why(line_of_bill),
            )
    if not bill.lines:
        yield head_line("bill", "Bill of materials")
        said = "Nothing is needed by the record so far; parts are added in the components (3, then A)."
        yield CostEntry("bill", tuple(flow((Span(said),), columns)))
