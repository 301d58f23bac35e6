"""What if, as lines: what can be tried otherwise, and what the decision becomes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from logbook.costing import Decision, Trial, TrialKind, TrialLine
from logbook.costing.stop_line import StopState
from logbook.model.measures import Effort, hours_and_minutes
from logbook.render.cost_plots import percent_words
from logbook.render.money import estimate_words, figure, money, number_words
from logbook.render.plain import clean, fitted
from logbook.tui.widgets.rows import Row

HEADS = {
    TrialKind.RATE: "What an hour counts",
    TrialKind.CASH: "Cash to come: price, quantity, chance",
    TrialKind.WORK: "Hours to come",
    TrialKind.OTHER: "What could be done instead",
}
LABEL, FIGURE = 26, 12

_STATE = {
    StopState.UNKNOWN: "not known",
    StopState.UNDER: "under",
    StopState.HIGH_OVER: "HIGH IS OVER",
    StopState.EXPECTED_OVER: "AT RISK",
    StopState.LIKELY_OVER: "PASSED",
}


def trial_rows(lines: tuple[TrialLine, ...], trial: Trial, columns: int) -> list[Row]:
    """Every line with a box: `[x]` counts, `[ ]` is ticked out; what is tried stands behind an arrow."""
    rows: list[Row] = []
    kind: TrialKind | None = None
    for line in lines:
        if line.kind is not kind:
            kind = line.kind
            rows.append(Row(f"head {kind}", (HEADS[kind],), "head", selectable=False))
        box = "   " if not line.can_leave_out else "[ ]" if line.key in trial.out else "[x]"
        tried = tried_words(line.key, trial)
        figures = f"{tried}  (was {line.words})" if tried else line.words
        name = fitted(clean(line.name, limit=120), max(16, columns - 46))
        rows.append(Row(line.key, (f"{box} {name}  {figures}",), "new" if line.key in trial.changed else ""))
    return rows


def tried_words(key: str, trial: Trial) -> str:
    """What is tried at a line, in words; empty when it is as recorded."""
    words = []
    if key in trial.out:
        words.append("left out")
    if (price := trial.prices.get(key)) is not None:
        words.append(estimate_words(price))
    if (quantity := trial.quantities.get(key)) is not None:
        words.append(f"x{figure(quantity)}")
    if (chance := trial.chances.get(key)) is not None:
        words.append(f"{figure(chance)} %")
    if (effort := trial.efforts.get(key)) is not None:
        words.append(_effort(effort))
    if (rate := trial.rates.get(key)) is not None:
        words.append(number_words(rate))
    return ", ".join(words)


def compared_facts(before: Decision, after: Decision, columns: int) -> tuple[str, ...]:
    """The decision as recorded and as tried, side by side, a line each."""
    lines = (f"{'':<{LABEL}}{'record':>{FIGURE}}{'tried':>{FIGURE}}", *_facts(before, after))
    return tuple(fitted(clean(line), columns) for line in lines)


def _facts(before: Decision, after: Decision) -> Iterator[str]:
    old, new = before.compared, after.compared
    yield _fact("expected cash", old.cash.expected, new.cash.expected, signed=True)
    yield _fact("high case", Fraction(old.cash.high), Fraction(new.cash.high), signed=True)
    yield _fact("expected hours", old.hours.expected_hours, new.hours.expected_hours, signed=True)
    if len(new.rates) > 1 and len(old.rates) > 1:
        cost = (d.compared.rows[0].at_rates[1] for d in (before, after))
        yield _fact("cost at my rate", *cost, signed=True)
    had = {b.code: b for b in old.break_evens}
    for each in new.break_evens[:2]:
        was = had.get(each.code)
        rates = f"  {_cents(was.rate if was else None)} -> {_cents(each.rate)} per hour"
        yield _fact(f"saves against “{each.kind}”", was.gap if was else None, each.gap, signed=False) + rates
    if old.stop is not None and new.stop is not None:
        states = f"{_STATE[old.stop.state]:>{FIGURE}}{_STATE[new.stop.state]:>{FIGURE + 2}}"
        chances = [percent_words(d.stop_chance) for d in (before, after) if d.stop_chance is not None]
        words = f"  {' -> '.join(chances)}" if len(chances) == 2 else ""
        yield f"{fitted(f'stop line {money(new.stop.amount)}', LABEL - 2)}{states:>{2 * FIGURE + 2}}{words}"


def _fact(label: str, old: Fraction | None, new: Fraction | None, *, signed: bool) -> str:
    words = f"{fitted(label, LABEL)}{_cents(old):>{FIGURE}}{_cents(new):>{FIGURE}}"
    if not signed or old is None or new is None or old == new:
        return words
    return f"{words}  {'+' if new >= old else ''}{money(new - old)}"


def _cents(value: Fraction | None) -> str:
    return "-" if value is None else money(value)


def _effort(effort: Effort) -> str:
    three = (effort.low, effort.likely, effort.high)
    return " / ".join(hours_and_minutes(m) for m in (three if effort.low != effort.high else three[:1]))
