"""The bench as lines: each unit, what can be done now, what must not be forgotten, and what now in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.model.measures import hours_and_minutes
from logbook.render.overview import Overview, age, cash_against_stop
from logbook.render.plain import clean, fitted, under, width
from logbook.teardown.chasing import Reminder
from logbook.teardown.ready import NowItem
from logbook.tui.widgets.rows import Row

NARROW = 70
"""Below so many columns the completeness of the record is left to the line under the list."""


WHAT_COLUMNS = 34
"""Columns for what can be done, where its time stands in a column of its own."""


def _widths(columns: int) -> tuple[int, int]:
    """Columns for the name and for what is next; the rest of a line is always the same."""
    free = max(18, columns - (36 if columns < NARROW else 41))
    name = max(9, min(24, free * 2 // 5))
    return name, free - name


def bench_heads(columns: int) -> str:
    """The heads over the columns of `bench_line`; long ones reach into the free end of the head before them."""
    name, following = _widths(columns)
    narrow, over = ("untouched", 5) if columns < NARROW else ("untouched record", 10)
    heads = f"{'next':<{following + over - len(narrow)}} {narrow}"
    return f"{'':<5}{'what':<{name}} {'stage':<10} {heads} {'cash / stop':>12}"


def bench_line(line: Overview, columns: int) -> str:
    """One unit: code, what, stage, next or waiting, days untouched, how complete, cash against stop line."""
    name, following = _widths(columns)
    percent = "" if line.percent is None else f"{line.percent}%"
    record = "" if columns < NARROW else f"{percent:>4} "
    what = f"{line.code:<5}{fitted(clean(line.name, limit=200), name)} {line.stage:<10}"
    following_words = fitted(clean(line.next, limit=300), following)
    return f"{what} {following_words} {age(line.days):>5} {record}{cash_against_stop(line):>12}"


def detail(line: Overview) -> str:
    """The unit under the cursor in a sentence."""
    parts = [f"{line.code}: {line.next or 'nothing is next'}"]
    if line.percent is not None:
        parts.append(f"record {line.percent} % complete")
    if line.over:
        parts.append("expected cash is OVER the stop line")
    if line.unpriced:
        parts.append(f"{line.unpriced} without a price")
    return "; ".join(parts)


def tone_of(line: Overview | None) -> str:
    """The tone of a unit's line; the words say the same."""
    if line is None or line.stage in ("closed", "stopped"):
        return "done"
    return "warning" if line.over else ""


def bench_question(lines: Sequence[Overview], doable: Sequence[NowItem], minutes: int, late: int = 0) -> str:
    """What now, in a sentence; `late` is how many things are overdue to be asked about."""
    if not lines:
        return "What came in first?"
    waiting = sum(line.waits for line in lines)
    words = f"{len(lines)} unit{'s' if len(lines) != 1 else ''}, {waiting} waiting"
    words += f", {late} to chase. " if late else ". "
    if doable:
        return words + f"Now: {doable[0].unit} {doable[0].what}."
    return words + f"Nothing is ready that fits into {hours_and_minutes(minutes)}."


def now_rows(
    doable: Sequence[NowItem], reminders: Sequence[Reminder], minutes: int, columns: int, *, low: bool
) -> list[Row]:
    """What can be done now, by number, and below it what must not be forgotten; nothing of it is cut.

    On a `low` terminal why something is worth doing now is left out where it takes a line of its own.
    """
    rows = [Row("head now", (f"Now, {hours_and_minutes(minutes)}, with what is here",), "head", selectable=False)]
    rows += [Row(f"now {i}", _now_lines(i, item, columns, low=low), "text") for i, item in enumerate(doable)]
    if not doable:
        rows.append(Row("none", ("   nothing is ready; say how long you have with t",), "done", selectable=False))
    if reminders:
        rows.append(Row("head forget", ("Do not forget",), "head", selectable=False))
        rows += [
            Row(f"forget {i}", under(f"   {r.unit:<4} ", clean(r.sentence, limit=300), columns), "text")
            for i, r in enumerate(reminders)
        ]
    return rows


def _now_lines(i: int, item: NowItem, columns: int, *, low: bool) -> tuple[str, ...]:
    """In one line, its time in a column of its own; where that does not fit, as a sentence in several."""
    lead = f" {i + 1} {item.unit:<4} "
    minutes = "?" if item.minutes is None else f"{item.minutes} min"
    what, why = clean(item.what, limit=200), clean(item.why, limit=200)
    line = f"{lead}{fitted(what, WHAT_COLUMNS)} {minutes:>7}  {why}".rstrip()
    if width(what) <= WHAT_COLUMNS and width(line) <= columns:
        return (line,)
    short = under(lead, f"{what}, {minutes}", columns)
    whole = under(lead, f"{what}, {minutes}: {why}", columns) if why else short
    return short if low and len(whole) > len(short) else whole
