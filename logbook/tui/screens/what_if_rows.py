"""What if, as lines: what can be tried otherwise, and what the decision becomes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from logbook.costing import Decision, Trial, TrialKind, TrialLine
from logbook.costing.stop_line import StopState
from logbook.model.measures import Effort, hours_and_minutes
from logbook.render.cost_plots import percent_words
from logbook.render.money import estimate_words, figure, money, number_words
from logbook.render.plain import clean, fitted, width
from logbook.tui.look.inks import Line, Span, line, text_of
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.rows import Row

HEADS = {
    TrialKind.RATE: "What an hour counts",
    TrialKind.CASH: "Cash to come: price, quantity, chance",
    TrialKind.WORK: "Hours to come",
    TrialKind.OTHER: "What could be done instead",
}
LABEL, FIGURE = 26, 14
COLUMNS = (Column(), Column("", least=16), Column("", least=20, below=True))
"""Of what can be tried: whether it counts, what it is, its figures."""

_STATE = {
    StopState.UNKNOWN: "not known",
    StopState.UNDER: "under",
    StopState.HIGH_OVER: "HIGH IS OVER",
    StopState.EXPECTED_OVER: "AT RISK",
    StopState.LIKELY_OVER: "PASSED",
}


def trial_rows(lines: tuple[TrialLine, ...], trial: Trial, columns: int) -> list[Row]:
    """Every line with a box: `[x]` counts, `[ ]` is ticked out; what is tried stands behind an arrow."""
    cells = [_trial_cells(of, trial) for of in lines]
    table = WrappingTable(COLUMNS, cells, columns)
    rows: list[Row] = []
    kind: TrialKind | None = None
    for of, said in zip(lines, cells, strict=True):
        if of.kind is not kind:
            kind = of.kind
            rows.append(Row(f"head {kind}", (HEADS[kind],), "head", selectable=False))
        words = tuple(text_of(row).rstrip() for row in table.lines(said))
        rows.append(Row(of.key, words, "new" if of.key in trial.changed else ""))
    return rows


def _trial_cells(of: TrialLine, trial: Trial) -> list[Line]:
    """Whether it counts, what it is, and its figures; what is tried stands before what it was."""
    box = "" if not of.can_leave_out else "[ ]" if of.key in trial.out else "[x]"
    tried = tried_words(of.key, trial)
    figures = f"{tried}  (was {of.words})" if tried else of.words
    return [line(Span(clean(words, limit=200))) for words in (box, of.name, figures)]


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
    lines = [f"{'':<{LABEL}}{'record':>{FIGURE}}{'tried':>{FIGURE}}"]
    for label, figures, beside in _facts(before, after):
        lead = label if width(label) < LABEL else ""
        lines += [] if lead else [label]  # a long name has a line of its own
        row = f"{fitted(lead, LABEL)}{figures}"
        if width(row) + 2 + width(beside) <= columns:
            lines.append(f"{row}  {beside}".rstrip())
        else:
            lines += [row, f"    {beside}"]
    return tuple(fitted(clean(said), columns) for said in lines)


def _facts(before: Decision, after: Decision) -> Iterator[tuple[str, str, str]]:
    """Each fact: what it is called, its two figures, and what is said beside them."""
    old, new = before.compared, after.compared
    yield _fact("expected cash", old.cash.expected, new.cash.expected, signed=True)
    yield _fact("high case", Fraction(old.cash.high), Fraction(new.cash.high), signed=True)
    yield _fact("expected hours", old.hours.expected_hours, new.hours.expected_hours, signed=True)
    if len(new.rates) > 1 and len(old.rates) > 1:
        cost = (d.compared.rows[0].at_rates[1] for d in (before, after))
        yield _fact("cost at my rate", *cost, signed=True)
    if old.stop is not None and new.stop is not None:
        states = f"{_STATE[old.stop.state]:>{FIGURE}}{_STATE[new.stop.state]:>{FIGURE}}"
        chances = [percent_words(d.stop_chance) for d in (before, after) if d.stop_chance is not None]
        words = " -> ".join(chances) if len(chances) == 2 else ""
        yield f"stop line {money(new.stop.amount)}", states, words
    had = {b.code: b for b in old.break_evens}
    for each in new.break_evens[:2]:
        was = had.get(each.code)
        rates = f"{_cents(was.rate if was else None)} -> {_cents(each.rate)} per hour"
        label, figures, _ = _fact(f"saves against “{each.kind}”", was.gap if was else None, each.gap, signed=False)
        yield label, figures, rates


def _fact(label: str, old: Fraction | None, new: Fraction | None, *, signed: bool) -> tuple[str, str, str]:
    figures = f"{_cents(old):>{FIGURE}}{_cents(new):>{FIGURE}}"
    if not signed or old is None or new is None or old == new:
        return label, figures, ""
    return label, figures, f"{'+' if new >= old else ''}{money(new - old)}"


def _cents(value: Fraction | None) -> str:
    return "-" if value is None else money(value)


def _effort(effort: Effort) -> str:
    three = (effort.low, effort.likely, effort.high)
    return " / ".join(hours_and_minutes(m) for m in (three if effort.low != effort.high else three[:1]))
