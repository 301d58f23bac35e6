"""Costs and the decision as text and as values for JSON: what is still to come, against what could be done instead."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from logbook.costing import (
    BreakEven,
    CashTotals,
    Comparison,
    CostViews,
    Decision,
    DecisionRow,
    HoursTotals,
    Suggestion,
)
from logbook.costing.stop_rules import rule_readings
from logbook.model.measures import hours_and_minutes
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import ComparatorKind
from logbook.render.bill_document import UNKNOWN, priced_page
from logbook.render.cost_pictures import decision_plot
from logbook.render.cost_plots import percent_words
from logbook.render.decision_data import decision_data
from logbook.render.known_sums import Known, known, without_unknown
from logbook.render.money import figure, money, number_words
from logbook.render.page import Page
from logbook.render.plain import clean
from logbook.render.values import plain_values
from logbook.render.weighing import pictures, remark_lines, stop_story, weighed


def cost_text(
    unit: Unit,
    shop: Shop,
    compared: Comparison,
    views: CostViews,
    now: datetime,
    *,
    width: int = 80,
    decided: Decision | None = None,
) -> str:
    """Costs, hours and the decision table of a unit as text; arguments as of `cost_page`, which makes it."""
    return cost_page(unit, shop, compared, views, now, width=width, decided=decided).text()


def cost_page(
    unit: Unit,
    shop: Shop,
    compared: Comparison,
    views: CostViews,
    now: datetime,
    *,
    width: int = 80,
    decided: Decision | None = None,
) -> Page:
    """Costs, hours and the decision table of a unit.

    Args:
        unit: whose costs they are.
        shop: for the currency.
        compared: `comparison(unit, shop, today)`.
        views: `cost_views(unit, shop, today)`.
        now: when this is printed.
        width: columns of plain text.
        decided: `decision(unit, shop, today)`; with it come chances, drivers, ranges and cash over time.
    """
    page = priced_page(
        f"{unit.code} {unit.name}", "COSTS AND DECISION", f"amounts in {shop.settings.currency}", shop, now, width=width
    )
    page.say(answer(compared, decided))
    sure = known(compared)
    _decision(page, compared, decided, sure)
    _stop(page, compared, unit, shop, now)
    _cash(page, compared.cash, sure)
    _hours(page, compared.hours, sure)
    _views(page, views, sure)
    if decided is not None:
        pictures(page, unit, shop, decided)
    return page


def answer(compared: Comparison, decided: Decision | None = None) -> str:
    """What the figures say, in a sentence: “Against buy new: 56.16 cheaper in cash, 2.55 per hour.”.

    With prices or times missing it says so first, because what is missing can turn the answer round; with `decided`
    it says how likely that is, what has no price being guessed from the like.
    """
    if waits_for_prices(compared):
        return _nothing_priced(compared)
    if not compared.break_evens:
        return "There is nothing to compare with yet: no price of a new or used one is written down."
    missing = _missing(compared)
    first = compared.break_evens[0]
    prices_missing = compared.cash.missing > 0
    if first.gap < 0:
        at_least = "at least " if prices_missing else ""
        said = f"{at_least}{money(-first.gap)} dearer in expected cash, even when hours count nothing"
    else:
        at_most = "at most " if prices_missing else ""
        rate = f", {money(first.rate)} per hour of work" if first.rate is not None else ""
        said = f"{at_most}{money(first.gap)} cheaper in cash{rate}"
        chances = decided.chances if decided is not None and prices_missing else ()
        said += "".join(
            f"; the chance that it ends dearer: {percent_words(c.above)}" for c in chances if c.code == first.code
        )
    against = f"Against “{first.kind}”"
    return (
        f"{missing}, so only as far as it is known, against “{first.kind}”: {said}."
        if missing
        else f"{against}: {said}."
    )


NAMED = 3
"""So many things without a price are named in the answer, the rest counted."""


def waits_for_prices(compared: Comparison) -> bool:
    """Whether there is something to compare with, and nothing of the rebuild that has a price."""
    return not compared.cash.known and any(row.cash is not None for row in compared.rows[1:])


def _nothing_priced(compared: Comparison) -> str:
    """What has to be priced before the money says anything: “2 things have no price: mains cord, dial. ...”."""
    nothing = "it cannot be compared with anything in money yet."
    cash = compared.cash
    if not cash.missing:
        return f"Nothing of what it will cost is written down: {nothing}"
    names = [*cash.unpriced, *(words.partition(":")[0] for words in cash.not_counted)]
    named = clean(", ".join(names[:NAMED]), limit=120)
    if len(names) > NAMED:
        named += f" and {len(names) - NAMED} more"
    have = "has" if cash.missing == 1 else "have"
    return f"{counted(cash.missing, 'thing')} {have} no price: {named}. Until one has, {nothing}"


def _missing(compared: Comparison) -> str:
    """What the figures leave out, in words: “3 things have no price and 1 operation has no time”."""
    words = []
    if count := compared.cash.missing:
        words.append(f"{counted(count, 'thing')} {'has' if count == 1 else 'have'} no price")
    if count := len(compared.hours.unestimated):
        words.append(f"{counted(count, 'operation')} {'has' if count == 1 else 'have'} no time")
    return " and ".join(words)


def amount_words(value: Fraction | Decimal | None) -> str:
    """An amount to whole hundredths; `?` when it is not known."""
    return UNKNOWN if value is None else f"{money(value)}"


def _decision(page: Page, compared: Comparison, decided: Decision | None, sure: Known) -> None:
    page.head("What could be done")
    rows = compared.rows if decided is None else decided.rows
    rates = [i for i, rate in enumerate(compared.rates) if rate]
    head = ["", "cash", "range", "hours", *(f"at {figure(compared.rates[i])}/h" for i in rates), "ready"]
    body = [_row(row, rates, sure if _is_summed(row) else None) for row in rows]
    keep = [i for i in range(len(head)) if i < 4 or any(r[i] for r in body)]
    right = tuple(n for n, i in enumerate(keep) if 1 <= i < 4 + len(rates))
    page.table([[row[i] for i in keep] for row in (head, *body)], right=right, headed=True)
    if decided is not None:
        page.plot(decision_plot(tuple(row for row in rows if not (sure.no_cash and _is_summed(row))), compared.stop))
    for row in compared.rows if decided is None else ():
        if row.risk:
            page.say(f"{row.option}: {row.risk}")
    for words in remark_lines(rows):
        page.say(words)
    for name in compared.unpriced:
        page.item(f"{UNKNOWN} ", f"no price: {name}")
    _against(page, compared, decided)
    if compared.parts_value is not None:
        page.say(f"Going on gives up the parts, which would bring {money(compared.parts_value)} now.")
    for words in weighed(decided) if decided is not None else ():
        page.say(words)


def _is_summed(row: DecisionRow) -> bool:
    """Whether the row rests on the sums of the rebuild, from which something may be missing."""
    return not row.code or row.kind is ComparatorKind.SELL_REBUILT


def _row(row: DecisionRow, rates: Sequence[int], sure: Known | None) -> list[str]:
    cash = amount_words(row.cash)
    spread = "" if row.low is None or row.high is None else f"{money(row.low)}-{money(row.high)}"
    hours = "" if row.hours is None else figure(row.hours, 2)
    at_rates = [amount_words(row.at_rates[i]) for i in rates]
    if sure is not None:
        cash, spread, hours = sure.cash(cash), sure.cash(spread), sure.hours(hours)
        at_rates = [sure.both(x) for x in at_rates]
    return [row.option, cash, spread, hours, *at_rates, row.ready]


def _against(page: Page, compared: Comparison, decided: Decision | None) -> None:
    """The gap to each comparator, what it pays for an hour, and the same with the parts counted."""
    if not (compared.break_evens or compared.resales):
        return
    own = next((r for r in compared.rates if r), None)
    hours = f"hours at {figure(own)}" if own is not None else "hours"
    page.head("Against each: what the rebuild saves, and pays for an hour")
    rows = [["", "price", "saves", "per hour", hours, "less parts", "per hour"]]
    for each in compared.break_evens:
        with_parts = (
            ["", ""] if each.gap_with_parts is None else [_cents(each.gap_with_parts), _cents(each.rate_with_parts)]
        )
        even = "-" if each.hours is None else figure(each.hours, 2)
        rows.append([str(each.kind), _cents(each.price), _cents(each.gap), _cents(each.rate), even, *with_parts])
    for sale in compared.resales:
        rows.append(["sell the rebuilt", _cents(sale.net), _cents(sale.left), _cents(sale.per_hour), "", "", ""])
    keep = [i for i in range(7) if i < 4 or any(row[i] not in ("", "-") for row in rows[1:])]
    page.table([[row[i] for i in keep] for row in rows], right=range(1, len(keep)), headed=True)
    for each in compared.break_evens:
        if each.gap < 0:
            chances = {chance.code: chance.above for chance in decided.chances} if decided is not None else {}
            page.say(dearer_words(each, chances.get(each.code)))
        elif each.high_can_pass:
            page.say(f"The high case of the cash alone passes “{each.kind}”: {', '.join(each.because_of)}.")


def dearer_words(against: BreakEven, chance: Fraction | None) -> str:
    """That the rebuild is dearer by its expected cash, with the chance that it is, where that is not quite sure.

    The expected cash can lie above a price that the cash mostly stays under: a few dear cases lift it.
    """
    said = f"Against “{against.kind}” the rebuild's expected cash is dearer, even when hours count nothing"
    if chance is None or chance == 1:
        return f"{said}."
    return f"{said}; the chance that it is: {percent_words(chance)}."


def _cents(value: Fraction | Decimal | None) -> str:
    return "-" if value is None else money(value)


def _stop(page: Page, compared: Comparison, unit: Unit, shop: Shop, now: datetime) -> None:
    page.head("Stop line and test")
    line = compared.stop
    page.say(line.sentence if line else "No stop line is set. Set one before spending more.")
    for words in stop_story(unit.stop_lines, shop) if len(unit.stop_lines) > 1 else ():
        page.say(words, 2)
    for rule in rule_readings(unit, compared, now):
        page.say(rule.sentence if rule.broken else f"The rule: {rule.rule}. Now: {rule.stands}.")
    test = compared.next_test
    if test is not None:
        time = f", {hours_and_minutes(test.minutes)}" if test.minutes is not None else ""
        before = f", before {test.before}" if test.before else ""
        stop = f" Stop if: {test.stop_if}." if test.stop_if else ""
        page.say(f"First the make-or-break test: {test.what}{time}{before}.{stop}")


def _cash(page: Page, cash: CashTotals, sure: Known) -> None:
    page.head("Cash to come")
    rows = [["", "low", "likely", "high"]]
    for line in cash.lines:
        name = f"{line.name} ({line.only_if})" if line.only_if else line.name
        if line.chance is not None:
            name += f" {figure(line.chance * 100, 1)} %"
        price = line.price
        points = [UNKNOWN] * 3 if price is None else [number_words(p) for p in (price.low, price.likely, price.high)]
        rows.append([name, *points])
    rows.append(["sum", *(sure.cash(money(x)) for x in (cash.low, cash.likely, cash.high))])
    page.table(rows, right=(1, 2, 3), headed=True)
    how = "(low + 4 likely + high) / 6" if cash.by_three_sums else "of each line, by its chance, summed"
    if not sure.no_cash:
        page.say(f"expected {how} = {money(cash.expected_shown)}, contingency {money(cash.contingency_shown)}")
    for name in cash.unpriced:
        page.item(f"{UNKNOWN} ", f"no price, not in the sums: {name}")
    for sentence in cash.not_counted:
        page.item(f"{UNKNOWN} ", sentence)


def _hours(page: Page, work: HoursTotals, sure: Known) -> None:
    page.head("Hours to come")
    rows = [["", "low", "likely", "high"]]
    for line in work.lines:
        e = line.effort
        points = [UNKNOWN] * 3 if e is None else [hours_and_minutes(m) for m in (e.low, e.likely, e.high)]
        guess = "~ " if line.proposed else ""
        rows.append([f"{guess}{line.code} {line.name}", *points])
    rows.append(["sum", *(sure.hours(hours_and_minutes(m)) for m in (work.low, work.likely, work.high))])
    page.table(rows, right=(1, 2, 3), headed=True)
    expected = sure.hours(figure(work.expected_hours, 2))
    page.say(f"expected {expected} hours; worked so far {hours_and_minutes(work.worked)}")
    for name in work.unestimated:
        page.item(f"{UNKNOWN} ", f"not estimated, not in the sums: {name}")


def _views(page: Page, views: CostViews, sure: Known) -> None:
    def view(amount: Decimal) -> str:
        return UNKNOWN if sure.no_cash else f"{money(amount)}" + f"+{UNKNOWN}" * bool(views.unpriced)

    bought = UNKNOWN if sure.no_cash else money(views.used_up_bought)
    page.head("The cost in three views, at likely prices")
    page.table(
        [
            ["to pay: whole packs and parts", view(views.to_pay)],
            [
                f"used up: {bought} bought + {money(views.stock_used)} stock",
                view(views.used_up),
            ],
            [f"with own material at replacement ({money(views.own_material)})", view(views.with_own_material)],
            ["already spent, not in the decision", money(views.already_spent)],
        ],
        right=(1,),
    )
    for name in views.unpriced:
        page.item(f"{UNKNOWN} ", f"missing from these: {name}")


def cost_data(
    unit: Unit,
    shop: Shop,
    compared: Comparison,
    views: CostViews,
    *,
    decided: Decision | None = None,
    offered: Sequence[Suggestion] = (),
) -> dict[str, Any]:
    """The same as values for JSON; amounts are exact, as text."""
    more = {} if decided is None else {"decision": decision_data(unit, shop, decided, offered)}
    data = {
        **more,
        "unit": {"code": unit.code, "name": unit.name},
        "currency": shop.settings.currency,
        "answer": answer(compared, decided),
        "comparison": plain_values(compared),
        "views": plain_values(views),
    }
    return without_unknown(data, compared)
