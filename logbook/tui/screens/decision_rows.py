"""The decision as entries: what could be done on one scale, the stop line, chances, and what drives the high case."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from fractions import Fraction
from typing import NamedTuple

from logbook.costing import CashTotals, Comparison, Decision, DecisionRow, HoursTotals, StopState
from logbook.costing.amounts import rounded
from logbook.costing.stop_rules import rule_readings
from logbook.model.measures import hours_and_minutes
from logbook.model.paths import Path
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import ComparatorKind
from logbook.render.cost_plots import as_money, percent_words, statistics_sentences
from logbook.render.costs_document import amount_words
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.known_sums import Known, known
from logbook.render.money import figure, in_custom, money, number_words
from logbook.render.plain import clean, width
from logbook.render.weighing import rules_weighed, stop_story
from logbook.tui.look.amount_scale import Amount, Mark, Scale, axis, empty_row, range_row, scale_for
from logbook.tui.look.bars import rail
from logbook.tui.look.inks import BLANK, Line, Span, fit, flow, hanging, joined, line, signal, text_of
from logbook.tui.screens.cost_drawings import driver_lines, shown_drivers
from logbook.tui.screens.cost_line import CASH, HOURS, RATE, CostEntry, head_line

LEAST_DRAWN = 22
"""Columns that the scale should have; with fewer, rates and hours give way to it."""
NO_SCALE = 12
"""With fewer than so many columns nothing is drawn."""
READY = 12
"""Columns for when it would be ready, at most."""
TWO_RATES = 100
"""From so many columns on, cash and hours stand together at two rates."""
STOP_SIGNALS = {
    StopState.UNDER: ("UNDER", "good"),
    StopState.HIGH_OVER: ("COULD PASS", "wait"),
    StopState.EXPECTED_OVER: ("AT RISK", "bad"),
    StopState.LIKELY_OVER: ("PASSED", "bad"),
}


RULE_SIGNALS = {False: ("RULE", "muted"), True: ("STOP", "bad")}
"""The word before a stop rule that is kept, and before one that is broken."""


class Columns(NamedTuple):
    """How the columns of the table are shared."""

    name: int
    drawn: int
    hours: bool
    rates: tuple[int, ...]
    """Which of the rates are shown, by their place."""
    ready: int
    """0: the scale takes its room, and it stands behind `w`."""


def decision_lines(
    unit: Unit,
    shop: Shop,
    decided: Decision,
    now: datetime,
    columns: int,
    *,
    drivers: bool = True,
    g: Glyphs = FINE,
) -> Iterator[CostEntry]:
    """What could be done, the stop line and its story, the test that comes first, drivers and chances.

    Args:
        unit: with its stop lines and tests.
        shop: for the days.
        decided: `decision` of it.
        now: for what has lain untouched since.
        columns: for the text of an entry.
        drivers: whether what drives the range stands here, or in a pane of its own.
        g: signs.
    """
    sure = known(decided.compared)
    yield from _table(decided, sure, columns, g)
    yield from _limits(unit, shop, decided, now, columns)
    if drivers:
        yield from _drivers(unit, decided, columns, g)
    yield from _chances(decided, columns, g)


def _shared(decided: Decision, columns: int) -> Columns:
    """Names and figures first, what is left is the scale; where that is too little, rates and hours go."""
    name = min(22, max(16, *(width(row.option) for row in decided.rows))) + 1
    ready = min(READY, max([width(row.ready) for row in decided.rows] + [len("ready in")]))
    rates = [number for number, rate in enumerate(decided.compared.rates) if rate]
    rates = rates[: 1 if columns < TWO_RATES else 2]
    for hours, shown in ((True, rates), (True, rates[:1]), (True, []), (False, [])):
        taken = name + CASH + 3 + (HOURS if hours else 0) + RATE * len(shown) + 2 + ready
        if columns - taken >= LEAST_DRAWN:
            return Columns(name, columns - taken, hours, tuple(shown), ready)
    narrow = columns - name - CASH - 3
    if narrow - 2 - ready >= NO_SCALE:
        return Columns(name, narrow - 1 - ready, hours=False, rates=(), ready=ready)
    return Columns(name, max(0, narrow - 1), hours=False, rates=(), ready=0)


def _table(decided: Decision, sure: Known, columns: int, g: Glyphs) -> Iterator[CostEntry]:
    shared = _shared(decided, columns)
    stop = decided.compared.stop
    limit = None if stop is None else Mark(float(stop.left), f"stop {number_words(stop.left)}")
    stop_at = None if limit is None else limit.value
    scale = _scale(decided, limit, shared.drawn)
    yield CostEntry("head decision", _heads(decided, shared, scale, limit, g), head=True)
    for row in decided.rows:
        path: Path | None = ("comparators", row.code) if row.code else ("operations",)
        is_summed = not row.code or row.kind is ComparatorKind.SELL_REBUILT
        words = _row(row, shared, sure if is_summed else None)
        drawn = _drawn(row, sure if is_summed else None, scale, limit, g)
        lines = [_in_columns(words, drawn, shared)]
        if row.risk and row.risk not in text_of(drawn):
            lines += _risk_below(
                row.risk, shared, () if scale is None else joined(empty_row(scale, stop_at, g)), columns
            )
        why, title = _row_why(row, decided), f"{words.name.text}: {words.cash.text}"
        yield CostEntry(f"row {row.option} {row.code}", tuple(lines), path, why, title=title)
    if len(decided.rows) == 1:
        said = flow(
            (Span("What does a new or used one cost? Enter on this question writes it down.", "wait"),),
            columns,
        )
        yield CostEntry("comparators", tuple(said), ("comparators",))


def _scale(decided: Decision, limit: Mark | None, columns: int) -> Scale | None:
    """One scale for all rows; None where there is nothing to draw, or no room."""
    amounts = [x for row in decided.rows for x in (row.cash, row.low, row.high) if x is not None]
    values = [float(x) for x in amounts] + ([limit.value] if limit is not None else [])
    if columns < NO_SCALE or not any(values):
        return None
    return scale_for(values, columns)


class _Words(NamedTuple):
    """The words of a row of the table."""

    name: Span
    cash: Span
    hours: str = ""
    rates: tuple[str, ...] = ()
    ready: str = ""


def _heads(decided: Decision, shared: Columns, scale: Scale | None, limit: Mark | None, g: Glyphs) -> tuple[Line, ...]:
    rates = tuple(f"at {figure(decided.compared.rates[i])}/h" for i in shared.rates)
    words = _Words(Span(""), Span("cash", "muted"), "hours", rates, "ready in")
    if scale is None:
        return (_in_columns(words, (), shared),)
    figures, strokes = axis(scale, limit, g)
    below = _Words(Span(""), Span(""), "", ("",) * len(rates), "")
    return _in_columns(words, figures, shared), _in_columns(below, strokes, shared)


def _in_columns(words: _Words, drawn: Line, shared: Columns) -> Line:
    hours = f"{words.hours:>{HOURS}}" if shared.hours else ""
    rates = "".join(f"{each:>{RATE}}" for each in words.rates)
    cash = Span(" " * (CASH - width(words.cash.text)) + words.cash.text, words.cash.ink)
    return line(
        fit((words.name,), shared.name),
        cash,
        "  ",
        fit(drawn, shared.drawn),
        Span(f" {hours}{rates}  {words.ready}" if shared.ready else "", "muted"),
    )


def _row(row: DecisionRow, shared: Columns, sure: Known | None) -> _Words:
    """The words of one thing that could be done; `sure` is given where its figures are sums."""
    cash = amount_words(row.cash)
    hours = "" if row.hours is None else in_custom(str(rounded(row.hours, 1)))
    at_rates = [amount_words(row.at_rates[i]) for i in shared.rates]
    if sure is not None:
        cash, hours = sure.cash(cash), sure.hours(hours)
        at_rates = [sure.both(words) for words in at_rates]
    words = _Words(Span(clean(row.option, limit=60)), Span(cash, "bold"))
    return words._replace(hours=hours, rates=tuple(at_rates), ready=clean(row.ready, limit=60))


def _drawn(row: DecisionRow, sure: Known | None, scale: Scale | None, limit: Mark | None, g: Glyphs) -> Line:
    """Its range or its price on the common scale."""
    if scale is None:
        return ()
    stop = None if limit is None else limit.value
    if row.cash is None or (sure is not None and sure.no_cash):
        return joined(empty_row(scale, stop, g))
    low = None if row.low is None else float(row.low)
    high = None if row.high is None else float(row.high)
    beside = f"+ {row.risk}" if row.risk else ""
    return range_row(Amount(float(row.cash), low, high, beside), scale, stop, g)


def _risk_below(risk: str, shared: Columns, undrawn: Line, columns: int) -> list[Line]:
    """The risk that a price carries, where the drawing has no room for it: without it the price looks too good."""
    said = Span(f"  + {clean(risk, limit=200)}", "muted")
    if width(said.text) > shared.name + CASH:
        return flow((said,), columns)
    before = fit((said,), shared.name + CASH)
    return [line(before, "  ", undrawn)]


def _drivers(unit: Unit, decided: Decision, columns: int, g: Glyphs) -> Iterator[CostEntry]:
    """What drives the range: up and down from the likely sum."""
    most = 5
    drawn = driver_lines(decided.cash, columns, most, g)
    if not drawn:
        return
    yield head_line("drivers", "What drives the range", "v draws all of it")
    for driver, spans in zip(shown_drivers(decided.cash, most), drawn, strict=False):
        why: tuple[str, ...] = (
            f"Its high case lies {money(driver.up)} above the likely one, its low case {money(driver.down)} below.",
            f"Of how far the sum can be off, it makes: {figure(driver.share * 100, 0)} %.",
        )
        if driver.stands_in:
            why = (*why, "It has no price; prices of similar lines are tried in its place.")
        yield CostEntry(f"driver {driver.code or driver.name}", (spans,), _record_of(unit, driver.code), why)


def _chances(decided: Decision, columns: int, g: Glyphs) -> Iterator[CostEntry]:
    """How likely the cash alone passes each price, a rail each; then the rules of thumb, a sentence each."""
    passed = [(f"{chance.kind}", money(chance.price), chance.above) for chance in decided.chances]
    stop = decided.compared.stop
    if decided.stop_chance is not None and stop is not None:
        name = "what is left of the stop line" if stop.spent_since else "stop line"
        passed.append((name, money(stop.left), decided.stop_chance))
    if passed:
        yield head_line("chances", "Chance that the cash alone passes")
        name_columns = max(width(name) for name, _, _ in passed) + 1
        price_columns = max(len(price) for _, price, _ in passed)
        rail_columns = max(0, min(20, columns - name_columns - price_columns - 22))
        statistics = tuple(statistics_sentences(decided.cash, as_money))
        for number, (name, price, chance) in enumerate(passed):
            spans = line(
                fit((Span(name),), name_columns),
                Span(f"{price:>{price_columns}}  ", "muted"),
                rail(float(chance), rail_columns, g, "wait") if rail_columns else "",
                f"  {percent_words(chance)}",
            )
            why = "The cash to come was tried many times within its ranges; so often it came out above."
            title = f"{name} {price}: {percent_words(chance)}"
            yield CostEntry(f"chance {number}", (spans,), None, (why, *statistics), title=title)
    for number, words in enumerate(rules_weighed(decided)):
        yield CostEntry(f"weighed {number}", tuple(flow((Span(clean(words, limit=600)),), columns)), None, (words,))


def _record_of(unit: Unit, code: str) -> Path | None:
    """Where the line of that code stands in the record."""
    for name in ("parts", "consumables", "cost_lines"):
        if code and any(x.code == code for x in getattr(unit, name)):
            return (name, code)
    return None


def _row_why(row: DecisionRow, decided: Decision) -> tuple[str, ...]:
    compared = decided.compared
    remarks = tuple(f"{r[:1].upper()}{r[1:]}." for r in row.remarks)
    if row.low is not None and row.high is not None:
        remarks = (f"Between {money(row.low)} and {money(row.high)}.", *remarks)
    if row.risk:
        remarks = (f"It carries a {row.risk}.", *remarks)
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
    words = [f"{row.what[:1].upper()}{row.what[1:]}."] if row.what else []
    words += [f"Ready in: {row.ready}."] if row.ready else []
    words.append("Cash is price with delivery, tax and disposal; what is sold counts less the fee, and below zero.")
    for each in (b for b in compared.break_evens if b.code == row.code):
        words.append(
            f"Gap: {money(each.price)} − expected cash {money(compared.cash.expected_shown)} = {money(each.gap)}."
        )
        if each.rate is not None:
            hours = figure(compared.hours.expected_hours, 4)
            words.append(f"Break-even rate: {money(each.gap)} / {hours} hours = {money(each.rate)} per hour of work.")
        if each.hours is not None:
            words.append(f"At your own rate both cost the same after {figure(each.hours, 2)} hours.")
        if each.gap_with_parts is not None:
            words.append(f"Less the parts you give up by going on: {money(each.gap_with_parts)}.")
        if each.high_can_pass:
            words.append(f"The high case of the cash alone passes it: {', '.join(each.because_of)}.")
    words += [
        f"The cash alone passed it in {percent_words(c.above)} of the tries."
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


def _limits(unit: Unit, shop: Shop, decided: Decision, now: datetime, columns: int) -> Iterator[CostEntry]:
    compared = decided.compared
    yield CostEntry("head limits", (BLANK,), head=True)
    if compared.stop is None:
        said = flow((Span("stop line: none set. Press l to set it before more is spent.", "wait"),), columns)
        why = ("A limit of further cash, set before the work.",)
        yield CostEntry("stop", tuple(said), None, why)
    else:
        yield from _stop(unit, shop, compared, now, columns)
    if (test := compared.next_test) is not None:
        at = unit.arrival.make_or_break.index(test)
        time = f", {hours_and_minutes(test.minutes)}" if test.minutes is not None else ""
        said = hanging(line(signal("FIRST", "head"), " "), clean(f"{test.what}{time}", limit=300), columns)
        words = f"A make-or-break test that is still open. Stop if: {test.stop_if or '?'}."
        yield CostEntry("test", tuple(said), ("arrival", "make_or_break", at), (words,))


def _stop(unit: Unit, shop: Shop, compared: Comparison, now: datetime, columns: int) -> Iterator[CostEntry]:
    """How the cash stands against the stop line, and the lines that held before."""
    assert compared.stop is not None  # noqa: S101 - asked by the caller
    story = list(stop_story(unit.stop_lines, shop))
    why: tuple[str, ...] = (
        compared.stop.sentence,
        *story,
        "Likely over the line: passed. Expected over: at risk. Only the high case over: it could pass.",
        "What was spent or paid since the day it was set is taken off the line.",
    )
    sure = known(compared)
    word, ink = ("NOT KNOWN", "wait") if sure.no_cash else STOP_SIGNALS[compared.stop.state]
    said = hanging(line(signal(word, ink), " "), _stop_words(compared, sure), columns)
    yield CostEntry("stop", tuple(said), None, why)
    for rule in rule_readings(unit, compared, now):
        told = rule.sentence if rule.broken else f"The rule: {rule.rule}. Now: {rule.stands}."
        said = hanging(line(signal(*RULE_SIGNALS[rule.broken]), " "), f"{rule.rule}: {rule.stands}", columns)
        yield CostEntry(rule.code, tuple(said), None, (told, *why[1:2]))
    for number, words in enumerate(story[1:]):
        yield CostEntry(f"stop before {number}", tuple(hanging(line("  "), words, columns, "muted")), None, why)


def _stop_words(compared: Comparison, sure: Known) -> str:
    stop = compared.stop
    if stop is None:
        return ""
    gone = f", {money(stop.left)} left" if stop.spent_since else ""
    words = f"stop line {money(stop.amount)}{gone}: "
    if sure.no_cash:
        return words + "says nothing yet, because nothing that is to come has a price (?)"
    if stop.state is StopState.UNDER:
        missing = len(compared.cash.unpriced) + len(compared.cash.not_counted)
        return (
            words
            + "even the high case is under it"
            + (f", but {counted(missing, 'item has', 'items have')} no price (?)" if missing else "")
        )
    if stop.state is StopState.HIGH_OVER:
        return words + f"likely and expected are under it, the high case is over by {money(stop.high_over)}"
    if stop.state is StopState.EXPECTED_OVER:
        return words + f"expected is over by {money(stop.expected_over)}"
    return words + f"likely is over by {money(stop.likely_over)}. Stop, or say why not (l)"


def three_words(cash: CashTotals) -> str:
    """How the expected cash came about."""
    if not cash.by_three_sums:
        return f"the sum of the lines, each by its chance = {money(cash.expected_shown)}"
    sums = f"({money(cash.low)} + 4 × {money(cash.likely)} + {money(cash.high)}) / 6"
    return f"{sums} = {money(cash.expected_shown)}"


def hours_three_words(work: HoursTotals) -> str:
    """How the expected hours came about."""
    points = " / ".join(figure(Fraction(m, 60), 2) for m in (work.low, work.likely, work.high))
    return f"{points} h, (low + 4 likely + high) / 6 = {figure(work.expected_hours, 4)} h"
