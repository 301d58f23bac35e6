"""What is weighed beside the decision table, as sentences and a page: chances, rules, drivers, actuals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.costing import Actuals, Decision, DecisionRow, HalfOfNew, Outlook, Suggestion, actuals, timeline
from logbook.costing.timeline import Timeline
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import Effort, hours_and_minutes
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_day
from logbook.model.unit import Unit
from logbook.model.work import StopLine
from logbook.render.blocks import Tone
from logbook.render.cost_pictures import driver_plot, often_plot, time_plot
from logbook.render.cost_plots import (
    Say,
    as_hours,
    as_money,
    percent_words,
    spread_sentences,
    statistics_sentences,
)
from logbook.render.money import estimate_words, figure, money
from logbook.render.page import Page


def weighed(decided: Decision) -> Iterator[str]:
    """What else is weighed, a sentence each: chances, the 50 % rule, hours against the gap, the owner's value."""
    if decided.chances:
        words = "; ".join(f"“{c.kind}” {money(c.price)}: {percent_words(c.above)}" for c in decided.chances)
        yield f"Chance that the cash alone passes {words}."
    if decided.stop_chance is not None and decided.compared.stop is not None:
        stop = decided.compared.stop
        line = "what is left of the stop line," if stop.spent_since else "the stop line"
        yield f"Chance that it passes {line} {money(stop.left)}: {percent_words(decided.stop_chance)}."
    yield from rules_weighed(decided)


def rules_weighed(decided: Decision) -> Iterator[str]:
    """The 50 % rule, hours against the gap, and what it is worth to its owner, as far as each says something."""
    if (half := decided.half_of_new) is not None:
        cash = f"{'at least ' if half.at_least else ''}{money(half.expected)}"
        yield f"50 % rule (a rule of thumb, no verdict): expected cash {cash} is {_half_words(half)}."
    if decided.hours_against_gap:
        yield decided.hours_against_gap
    if (own := decided.owner) is not None:
        side = "above" if own.above_cash >= 0 else "below"
        yield (
            f"Worth to its owner: {money(own.value)}, {money(abs(own.above_cash))} {side} the expected cash to come. "
            "It is in no other figure."
        )


def _half_words(half: HalfOfNew) -> str:
    """On which side of half of new the cash lies, and what the rule says then."""
    of_new = f"half of new, {money(half.half)}"
    if half.above:
        return f"above {of_new}: replace" + (", though it is still under new" if half.expected < half.new else "")
    if half.at_least:
        return f"not above {of_new}, as far as it is known: it says nothing yet"
    return f"not above {of_new}: repair"


def remark_lines(rows: Sequence[DecisionRow]) -> Iterator[str]:
    """Remarks of each row that has any."""
    for row in rows:
        if row.remarks:
            yield f"{row.option}: {'; '.join(row.remarks)}"


def stop_story(lines: Sequence[StopLine], shop: Shop) -> Iterator[str]:
    """Every stop line with its day and reason, the one that holds first."""
    for i, line in enumerate(reversed(lines)):
        day = day_and_year(shop_day(line.set_at, shop)) if line.set_at else "?"
        holds = "holds" if i == 0 else "before"
        rules = [f"{money(line.least_rate)} an hour at least"] if line.least_rate is not None else []
        rules += [f"{line.months_at_rest} months at rest at most"] if line.months_at_rest is not None else []
        amount = ", ".join([money(line.amount), *rules])
        yield f"{holds}: {amount}, set {day}: {line.why or 'no reason written down'}"


def pictures(page: Page, unit: Unit, shop: Shop, decided: Decision) -> None:
    """Drivers, how often, and cash over time as plots; how the chances came about stands last."""
    outlooks = outlooks_of(decided)
    for name, outlook, say in outlooks:
        page.head(f"What drives the {name}")
        page.plot(driver_plot(outlook.drivers, say))
        for words in spread_sentences(outlook, say):
            page.say(words)
    often = often_plot(decided.cash, as_money)
    if often.rows:
        page.head("How often the cash came to what")
        page.plot(often)
    over_time = time_plot(timeline(unit, shop, decided.compared.cash))
    if over_time.rows:
        page.head("Cash over time")
        page.plot(over_time)
    said = [(name, tuple(statistics_sentences(outlook, say))) for name, outlook, say in outlooks]
    if any(sentences for _, sentences in said):
        page.head("How the chances came about")
    for name, sentences in said:
        if sentences:
            page.say(f"{name.capitalize()}: {' '.join(sentences)}", tone=Tone.NOTE)


def outlooks_of(decided: Decision) -> list[tuple[str, Outlook, Say]]:
    """Cash and hours, as far as something of them is to come."""
    every: list[tuple[str, Outlook, Say]] = [("cash", decided.cash, as_money), ("hours", decided.hours, as_hours)]
    return [each for each in every if each[1].terms or each[1].no_range]


def stop_mark(line: Timeline) -> str:
    """The stop line beside its mark: `113.50 = 100.00 + 13.50 gone before`; nothing without a stop line."""
    if line.stop_at is None:
        return ""
    if not line.gone_before_stop:
        return money(line.stop_at)
    further = money(line.stop_at - line.gone_before_stop)
    return f"{money(line.stop_at)} = {further} + {money(line.gone_before_stop)} gone before"


def unpriced_words(line: Timeline) -> str:
    """That what has no price is not in the drawing."""
    return f"{line.unpriced} without a price {'stands' if line.unpriced == 1 else 'stand'} nowhere in it (?)."


def taken_lines(found: Actuals, offered: Sequence[Suggestion]) -> Iterator[str]:
    """What was paid and taken against the estimate, and what past times suggest; `# ` begins a heading."""
    if not found.paid and not found.taken:
        yield "Nothing was paid or taken yet. Write down what was paid at a line, and the time at an operation."
    if found.paid:
        yield "# Paid, against the estimate"
        for paid in found.paid:
            words = f"paid {money(paid.paid)}, estimate {estimate_words(paid.estimate)}: {paid.verdict}"
            yield f"{paid.code} {paid.name}: {words}"
        yield f"{money(found.paid_sum)} paid; likely was {money(found.likely_of_paid)}."
    if found.taken:
        yield "# Time taken, against the estimate"
        for line in found.taken:
            ratio = f", × {figure(line.ratio, 2)} of expected" if line.ratio is not None else ""
            words = f"took {hours_and_minutes(line.taken)}, estimate {effort_words(line.effort)}{ratio}: {line.verdict}"
            yield f"{line.code} {line.name}: {words}"
        if found.ratio is not None:
            yield f"In all × {figure(found.ratio, 2)} of the expected time of what is done."
    if offered:
        yield "# What past times suggest for what is to come"
        for each in offered:
            yield f"{each.code} {each.name}: {suggestion_words(each)}"
        yield SUGGESTION


SUGGESTION = (
    "Ratios of the same kind of work over all units, shrunk towards 1 when there are few (credibility, Bühlmann 1967). "
    "Nothing is changed by itself."
)


def suggestion_words(offered: Suggestion) -> str:
    """The estimate, the corrected one and what it rests on."""
    return f"{effort_words(offered.effort)} -> {effort_words(offered.suggested)}; {offered.correction.words}"


def taken_text(unit: Unit, offered: Sequence[Suggestion], *, width: int = 80) -> str:
    """What was paid and taken, as a page."""
    page = Page(width)
    page.ends(f"{unit.code} {unit.name}", "PAID AND TAKEN")
    page.rule()
    for line in taken_lines(actuals(unit), offered):
        if line.startswith("# "):
            page.head(line[2:])
        else:
            page.say(line)
    return page.text()


def effort_words(effort: Effort | None) -> str:
    """Three times in words, one alone when they are the same; `?` when nobody has estimated them."""
    if effort is None:
        return "?"
    if effort.low == effort.high:
        return hours_and_minutes(effort.likely)
    return " / ".join(hours_and_minutes(m) for m in (effort.low, effort.likely, effort.high))
