"""The decision as lines: what could be done, the limits, the chances, and what drives the high case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from logbook.costing import CashTotals, Comparison, Decision, DecisionRow, HoursTotals, StopState, plain_number
from logbook.costing.amounts import rounded
from logbook.model.measures import hours_and_minutes
from logbook.model.paths import Path
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import ComparatorKind
from logbook.render.cost_plots import as_money, percent_words, up_bars
from logbook.render.costs import amount_words
from logbook.render.known_sums import Known, known
from logbook.render.money import money
from logbook.render.plain import clean, fitted, wrapped
from logbook.render.weighing import stop_story, weighed
from logbook.tui.screens.cost_line import CASH, HOURS, NAME, NARROW, RANGE, RATE, CostLine, head_line


def decision_lines(unit: Unit, shop: Shop, decided: Decision, columns: int) -> Iterator[CostLine]:
    """What could be done, the stop line and its story, the test that comes first, chances, and drivers."""
    sure = known(decided.compared)
    yield from _table(decided, sure, columns)
    yield from _limits(unit, shop, decided.compared)
    yield from _weighed(unit, decided, columns)


def _table(decided: Decision, sure: Known, columns: int) -> Iterator[CostLine]:
    compared = decided.compared
    shown = [i for i, rate in enumerate(compared.rates) if rate][: 1 if columns < 100 else 2]
    spread = columns >= NARROW
    rates = "".join(f"{'at ' + plain_number(compared.rates[i]) + '/h':>{RATE}}" for i in shown)
    yield head_line(
        "decision", f"{'':<{NAME}}{'cash now':>{CASH}}  {_range('range', spread)}{'hours':>{HOURS}}{rates}  ready"
    )
    for row in decided.rows:
        path: Path | None = ("comparators", row.code) if row.code else ("operations",)
        summed = not row.code or row.kind is ComparatorKind.SELL_REBUILT
        text = _row(row, shown, sure if summed else None, spread=spread)
        yield CostLine(f"row {row.option} {row.code}", text, path, _row_why(row, decided))
    if len(decided.rows) == 1:
        text = "nothing to compare with yet: Enter writes down what a new or used one costs"
        yield CostLine("comparators", text, ("comparators",), tone="warning")


def _weighed(unit: Unit, decided: Decision, columns: int) -> Iterator[CostLine]:
    """Drivers of the high case as bars, then what else is weighed, a line each."""
    bars = up_bars(decided.cash.drivers, as_money, columns - 4, 4)
    if bars and decided.cash.known:
        yield head_line("drivers", "What drives the high case (v draws all of it)")
        shown = [d for d in decided.cash.drivers if d.up]
        for driver, bar in zip(shown, bars, strict=False):
            why: tuple[str, ...] = (
                f"Its high case lies {money(driver.up)} above the likely one, its low case {money(driver.down)} below.",
                f"Share of the variance of the sum: {plain_number(driver.share * 100, 0)} %.",
            )
            if driver.stands_in:
                why = (*why, "It has no price; a stand-in from like lines is drawn.")
            yield CostLine(f"driver {driver.code or driver.name}", f"  {bar}", _record_of(unit, driver.code), why)
    for i, words in enumerate(weighed(decided)):
        text = "\n".join(wrapped(clean(words, limit=600), max(30, columns)))
        yield CostLine(f"weighed {i}", text, None, (words,))


def _record_of(unit: Unit, code: str) -> Path | None:
    """Where the line of that code stands in the record."""
    for name in ("parts", "consumables", "cost_lines"):
        if code and any(x.code == code for x in getattr(unit, name)):
            return (name, code)
    return None


def _row(row: DecisionRow, shown: Sequence[int], sure: Known | None, *, spread: bool) -> str:
    """A row of the decision; `sure` is given for the rebuild, whose figures are sums."""
    cash, hours = amount_words(row.cash), "" if row.hours is None else str(rounded(row.hours, 1))
    at_rates = [amount_words(row.at_rates[i]) for i in shown]
    words = "" if row.low is None or row.high is None else f"{money(row.low)} - {money(row.high)}"
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


def _row_why(row: DecisionRow, decided: Decision) -> tuple[str, ...]:
    compared = decided.compared
    remarks = tuple(f"{r[:1].upper()}{r[1:]}." for r in row.remarks)
    if row.kind is ComparatorKind.SELL_REBUILT:
        return (*_sale_why(row, compared), *remarks)
    if not row.code:
        return (
            f"Cash now is the expected cash to come: {three_words(compared.cash)}.",
            f"Hours are the expected busy time still to come: {hours_three_words(compared.hours)}.",
            "At a rate: cash + hours × rate, with the hours not rounded.",
            f"Ready {decided.ready.words}: {decided.ready.why}",
            *remarks,
        )
    words = [row.what + "."] if row.what else []
    words.append("Cash is price with delivery, tax and disposal; what is sold counts less the fee, and below zero.")
    for each in (b for b in compared.break_evens if b.code == row.code):
        words.append(
            f"Gap: {money(each.price)} − expected cash {money(compared.cash.expected_shown)} = {money(each.gap)}."
        )
        if each.rate is not None:
            hours = plain_number(compared.hours.expected_hours, 4)
            words.append(f"Break-even rate: {money(each.gap)} / {hours} hours = {money(each.rate)} per hour of work.")
        if each.hours is not None:
            words.append(f"At your own rate both cost the same after {plain_number(each.hours, 2)} hours.")
        if each.gap_with_parts is not None:
            words.append(f"Less the parts you give up by going on: {money(each.gap_with_parts)}.")
        if each.high_can_pass:
            words.append(f"The high case of the cash alone passes it: {', '.join(each.because_of)}.")
    words += [
        f"The cash alone passed it in {percent_words(c.above)} of the draws."
        for c in decided.chances
        if c.code == row.code
    ]
    return (*words, *remarks)


def _sale_why(row: DecisionRow, compared: Comparison) -> tuple[str, ...]:
    words = ["Rebuild and sell: expected cash to come less what it would bring. Below zero it leaves money."]
    for sale in (s for s in compared.resales if s.code == row.code):
        words.append(f"It would bring {sale.net}, less fee and delivery, and leaves {money(sale.left)}.")
        if sale.per_hour is not None:
            words.append(f"That is {money(sale.per_hour)} for each hour of work still to come.")
    return tuple(words)


def _limits(unit: Unit, shop: Shop, compared: Comparison) -> Iterator[CostLine]:
    if compared.stop is None:
        text = "stop line: none set. Press l to set it before more is spent."
        yield CostLine("stop", text, None, ("A limit of further cash, set before the work.",), "warning")
    else:
        over = compared.stop.state is not StopState.UNDER
        why: tuple[str, ...] = (
            compared.stop.sentence,
            *stop_story(unit.stop_lines, shop),
            "Likely over the line: passed. Expected over: at risk. Only the high case over: it could pass.",
            "What was spent or paid since the day it was set is taken off the line.",
        )
        yield CostLine("stop", _stop_words(compared, known(compared)), None, why, "warning" if over else "")
        for i, words in enumerate(list(stop_story(unit.stop_lines, shop))[1:]):
            yield CostLine(f"stop before {i}", f"  {words}", None, why, "done")
    if (test := compared.next_test) is not None:
        at = unit.arrival.make_or_break.index(test)
        time = f", {hours_and_minutes(test.minutes)}" if test.minutes is not None else ""
        words = f"A make-or-break test that is still open. Stop if: {test.stop_if or '?'}."
        yield CostLine("test", f"first: {test.what}{time}", ("arrival", "make_or_break", at), (words,))


def _stop_words(compared: Comparison, sure: Known) -> str:
    stop = compared.stop
    if stop is None:
        return ""
    gone = f", {money(stop.left)} left" if stop.spent_since else ""
    words = f"stop line {money(stop.amount)}{gone}: "
    if sure.no_cash:
        return words + "cannot be read yet, nothing that is to come has a price (?)"
    if stop.state is StopState.UNDER:
        missing = len(compared.cash.unpriced) + len(compared.cash.not_counted)
        return words + "even the high case is under it" + (f", but {missing} have no price (?)" if missing else "")
    if stop.state is StopState.HIGH_OVER:
        return words + f"likely and expected under, HIGH IS OVER by {money(stop.high_over)}"
    if stop.state is StopState.EXPECTED_OVER:
        return words + f"AT RISK: expected is over by {money(stop.expected_over)}"
    return words + f"PASSED: likely is over by {money(stop.likely_over)}. Stop, or say why not (l)"


def three_words(cash: CashTotals) -> str:
    """How the expected cash came about."""
    if not cash.by_three_sums:
        return f"the sum of the lines, each by its chance = {money(cash.expected_shown)}"
    sums = f"({money(cash.low)} + 4 × {money(cash.likely)} + {money(cash.high)}) / 6"
    return f"{sums} = {money(cash.expected_shown)}"


def hours_three_words(work: HoursTotals) -> str:
    """How the expected hours came about."""
    points = " / ".join(plain_number(Fraction(m, 60), 2) for m in (work.low, work.likely, work.high))
    return f"{points} h, (low + 4 likely + high) / 6 = {plain_number(work.expected_hours, 4)} h"


def _fit(text: str, columns: int) -> str:
    return fitted(clean(text, limit=200), columns)
