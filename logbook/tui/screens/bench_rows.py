"""The bench as entries and panes: each unit, what can be done now, what must not be forgotten, the unit in full."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from logbook.model.measures import hours_and_minutes
from logbook.model.plural import counted
from logbook.model.words import AT_REST, SignalWord
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.overview import Overview, age, cash_against_stop, nothing_fits
from logbook.render.plain import clean
from logbook.teardown.chasing import Reminder
from logbook.teardown.operations_ready import NowItem
from logbook.tui.look.amount_scale import Amount, Mark, axis, range_row, scale_for
from logbook.tui.look.bars import against
from logbook.tui.look.inks import BLANK, Line, Span, apart, clipped, fit, flow, group, hanging, line, signal, width_of
from logbook.tui.look.signals import SIGNAL_INKS
from logbook.tui.look.units import stage_bar, unit_block
from logbook.tui.widgets.entries import ListEntry, entry, heading

NUMBERED = 3
"""So many of the things that can be done have a digit as their key."""
NAME_COLUMNS = 22
"""Of the name of a unit, where there is room; it stands whole in the pane beside."""
BLOCK_COLUMNS = 6
"""Of the code of a unit before its words; a longer one takes what it needs."""
BAR_COLUMNS = 24
"""Of the bar of cash against the stop line."""
BARS_FROM = 66
"""Columns of a list from which stages are drawn as well as named."""
FIGURES_FROM = 44
"""Columns from which the stage of a unit stands beside its name."""
DAYS_COLUMNS = 5
"""Of how long a unit was not touched."""
FIGURE_COLUMNS = 10
"""Of cash against the stop line in words, so that what follows stands in a column."""


# One unit in the list


def unit_entry(overview: Overview, hues: Mapping[str, str], columns: int, rows: int, g: Glyphs = FINE) -> ListEntry:
    """A unit on two, three or four rows: who it is and how far, what is next, cash; the fourth is air."""
    lines = _unit_lines(overview, hues, columns, rows, g)
    return entry(overview.code, clipped(lines, columns))


def _unit_lines(overview: Overview, hues: Mapping[str, str], columns: int, rows: int, g: Glyphs) -> Iterator[Line]:
    block = unit_block(overview.code, hues)
    lead = line(block, " " * max(1, BLOCK_COLUMNS - width_of(block)))
    far = _how_far(overview, columns, g)
    room = columns - width_of(lead) - width_of(far) - 2
    ink = "muted" if overview.stage in AT_REST else "bold"
    name = fit(line(Span(clean(overview.name, limit=200), ink)), min(NAME_COLUMNS, room) if room > 0 else 0)
    yield fit(line(lead, fit(name, max(0, room)), "  ", far), columns)
    indent = " " * BLOCK_COLUMNS
    following, cash = following_line(overview), cash_line(overview)
    if rows < 3:
        named = cash if overview.stage in AT_REST else line(Span("cash  ", "muted"), cash)
        first, *more = _wrapped(following, columns - BLOCK_COLUMNS - width_of(named) - 1)
        yield apart(line(indent, first), named, columns)
        yield from (line(indent, row) for row in more)
        return
    yield from (line(indent, row) for row in _wrapped(following, columns - BLOCK_COLUMNS))
    figures = line(fit(cash, max(FIGURE_COLUMNS, width_of(cash))), record_line(overview))
    yield line(indent, Span("cash  ", "muted"), _cash_bar(overview, g), "  ", figures)
    if rows > 3:
        yield BLANK


def _wrapped(words: Line, room: int) -> list[Line]:
    """Words as they are where they fit, else over as many rows as they need."""
    return [words] if width_of(words) <= room else flow(words, room) or [BLANK]


def _how_far(overview: Overview, columns: int, g: Glyphs) -> Line:
    """The stage, drawn where there is room, and for how long nobody touched it."""
    days = line(Span(f"{age(overview.days):>{DAYS_COLUMNS}}", "muted"))
    if columns < FIGURES_FROM:
        return days
    if columns >= BARS_FROM:
        is_today = overview.days is not None and overview.days <= 0
        days = line(Span(" " * len(_UNTOUCHED) if is_today else _UNTOUCHED, "muted"), days)
    word = Span(f"{overview.stage:<11}", "muted" if overview.stage in AT_REST else "")
    return line(stage_bar(overview.stage, g), "  ", word, days) if columns >= BARS_FROM else line(word, days)


_UNTOUCHED = "untouched "
"""Before the days; what was worked on today was not left untouched."""


def following_line(overview: Overview) -> Line:
    """What is to be looked at, then what is next or what it waits for, each state in front as a signal word."""
    left = [part for word, said in overview.left for part in (signal(word, "wait"), f" {said}  ")]
    return line(*left, _next_line(overview))


def _next_line(overview: Overview) -> Line:
    words = clean(overview.next, limit=300)
    if overview.waits:
        return line(signal("WAITS", "wait"), f" {words.removeprefix('WAITS').strip()}")
    if overview.stage in AT_REST:
        return line(Span(words, "muted"))
    lead, _, rest = words.partition(": ")
    if lead == "next" and rest:
        return line(Span("next  ", "muted"), rest)
    return line(words or Span("nothing is next", "muted"))


def cash_line(overview: Overview) -> Line:
    """Expected cash against what is left of the stop line, in whole units: `85 of 100`, and OVER as a signal word."""
    figures = cash_against_stop(overview)
    if overview.stage in AT_REST:
        return line(Span(figures, "muted"))
    spent, slash, stop = figures.removesuffix(" OVER").partition(" / ")
    words = line(Span(spent, "bold wait" if "?" in spent else "bold"), Span(f" of {stop}" if slash else "", "muted"))
    return line(words, " ", signal("OVER", "bad")) if figures.endswith(" OVER") else words


def _cash_bar(overview: Overview, g: Glyphs) -> Line:
    """Cash against the stop line, drawn; a thin line where there is nothing to compare."""
    if overview.expected is None or not overview.stop or overview.stage in AT_REST:
        return (Span(g.track * BAR_COLUMNS, "rule"),)
    return against(float(overview.expected), float(overview.stop), BAR_COLUMNS, g)


def record_line(overview: Overview) -> Line:
    """How complete the record is."""
    return (Span("" if overview.percent is None else f"   record {overview.percent} %", "muted"),)


def rows_for(units: int, rows: int) -> int:
    """How many rows each unit gets in a list of so many: two at least, with a bar of its cash, with air between."""
    return next((each for each in (4, 3) if units * each <= rows), 2)


def problem_entry(code: str, what: str, why: str, columns: int) -> ListEntry:
    """A unit that cannot be shown: what is wrong with it, in full."""
    lead = line(Span(f" {clean(code, limit=12)} ", "bold"), signal(what, "bad"), " ")
    return entry(code, hanging(lead, clean(why, limit=300), columns))


# What now, and what must not be forgotten


class BenchAnswer(NamedTuple):
    """What the bench says first."""

    lines: Sequence[Overview]
    doable: Sequence[NowItem]
    minutes: int
    """How many there are."""
    late: int
    """How many things are overdue to be asked about."""
    left: int = 0
    """How many things joining left to a person, in the shop as well."""


def answer_lines(answer: BenchAnswer, hues: Mapping[str, str], columns: int) -> list[Line]:
    """What can be done first, then how many units wait."""
    lines, doable, minutes, late, left = answer
    if not lines:
        return [line(Span("What came in first?", "bold"))]
    count = counted(len(lines), "unit")
    waiting = sum(overview.waits for overview in lines)
    more = [Span(f"{count}, {waiting} waiting", "wait" if waiting else "muted")]
    more += [Span(f", {late} to chase", "bold wait")] if late else []
    more += [Span(f", joining left {left} (!)", "bold wait")] if left else []
    if not doable:
        nothing = f"{nothing_fits(lines, minutes)}."
        return flow((Span(nothing, "bold"), Span("  "), *more), columns)
    first = doable[0]
    what = Span(clean(first.what, limit=200), "bold")
    minutes_said = "" if first.minutes is None else f", {hours_and_minutes(first.minutes)}"
    busy = Span(minutes_said.replace(" min", "\u00a0min"), "muted")
    head = line(Span("Now: ", "muted"), unit_block(first.unit, hues), " ")
    said = flow((what, busy), columns - width_of(head))
    rows = [line(head, said[0]), *(line(" " * width_of(head), row) for row in said[1:])]
    beside = line(*more)
    if width_of(rows[-1]) + 3 + width_of(beside) <= columns:
        return [*rows[:-1], line(rows[-1], "   ", beside)]
    return [*rows, beside]


def now_entries(
    doable: Sequence[NowItem], reminders: Sequence[Reminder], hues: Mapping[str, str], columns: int, *, short: bool
) -> list[ListEntry]:
    """What can be done now, by number, each with its reason; below it what must not be forgotten.

    Args:
        doable: what can be done.
        reminders: what must not be forgotten.
        hues: of the units.
        columns: of the list.
        short: a reason stands behind what can be done when there is room for all of it, and else not.
    """
    entries = [
        entry(f"now {number}", list(_now_lines(number, item, hues, columns, short=short)))
        for number, item in enumerate(doable)
    ]
    if not doable:
        said = "Nothing is ready. Say how long you have with t; N says what everything waits for."
        entries.append(heading("none", *flow((Span(said, "muted"),), columns)))
    if reminders:
        entries.append(heading("head forget", line(Span("Do not forget", "bold wait"))))
    for number, reminder in enumerate(reminders):
        lead = line("  ", unit_block(reminder.unit, hues), " ")
        entries.append(entry(f"forget {number}", hanging(lead, clean(reminder.sentence, limit=300), columns)))
    return entries


def _now_lines(number: int, item: NowItem, hues: Mapping[str, str], columns: int, *, short: bool) -> Iterator[Line]:
    key = f"{number + 1} " if number < NUMBERED else "  "
    lead = line(Span(key, "bold accent"), unit_block(item.unit, hues), " ")
    busy = line(Span("?" if item.minutes is None else hours_and_minutes(item.minutes), "" if number else "bold"))
    what, why = clean(item.what, limit=200), clean(item.why, limit=200)
    first, *others = hanging(lead, what, columns - width_of(busy) - 1)
    reason = line(Span(f"  {why}" if why else "", "muted"))
    if short:
        room = columns - width_of(busy) - 1 - width_of(first)
        first = line(first, reason) if not others and width_of(reason) <= room else first
        yield apart(first, busy, columns)
        yield from others
        return
    yield apart(first, busy, columns)
    yield from others
    if why:
        yield from hanging(line(" " * width_of(lead)), why, columns, "muted")


# The unit under the cursor, beside the list


def unit_lines(overview: Overview, doable: Sequence[NowItem], columns: int, g: Glyphs = FINE) -> list[Line]:
    """The unit in full: how far it is, what is next, cash on a scale, what can be done, its dangers.

    Args:
        overview: the unit.
        doable: what can be done now of it.
        columns: of the pane.
        g: signs.
    """
    return clipped(_whole_unit(overview, doable, columns, g), columns)


def _whole_unit(overview: Overview, doable: Sequence[NowItem], columns: int, g: Glyphs) -> Iterator[Line]:
    yield line(stage_bar(overview.stage, g), "  ", Span(f"{overview.stage}", "bold"))
    yield from flow(tuple(_how_it_stands(overview)), columns)
    yield BLANK
    yield from flow(following_line(overview), columns)
    if overview.expected is not None and overview.stage not in AT_REST:
        yield BLANK
        yield from _cash_scale(overview, columns, g)
    if doable:
        yield BLANK
        yield group("Can be done now")
        for item in doable:
            busy = "?" if item.minutes is None else hours_and_minutes(item.minutes)
            yield apart(line("  ", clean(item.what, limit=200)), line(busy), columns)
    if overview.dangers:
        yield BLANK
        yield group("Dangers", "D in the unit says what to do")
        yield from danger_lines(overview, columns)


def _how_it_stands(overview: Overview) -> Iterator[Span]:
    if overview.days is not None:
        yield Span("today" if overview.days <= 0 else age(overview.days), "bold")
        yield Span(" last worked on" if overview.days <= 0 else " untouched")
    if overview.percent is not None:
        yield Span(", record ")
        yield Span(f"{overview.percent} %", "bold")
    if overview.to_complete:
        yield Span(f", {counted(overview.to_complete, 'fact')} missing")


def _cash_scale(overview: Overview, columns: int, g: Glyphs) -> Iterator[Line]:
    """Low, expected and high cash to come on one scale with the stop line, and the figures below."""
    assert overview.expected is not None  # noqa: S101 - for the type checker
    low, high = overview.low or overview.expected, overview.high or overview.expected
    values = [float(low), float(overview.expected), float(high)]
    stop = None if overview.stop is None else float(overview.stop)
    scale = scale_for([*values, *([] if stop is None else [stop])], columns)
    yield group("Cash to come")
    yield from axis(scale, None if stop is None else Mark(stop, f"stop {overview.stop:.0f}"), g)
    yield range_row(Amount(values[1], values[0], values[2]), scale, stop, g)
    figures = [Span("low ", "muted"), Span(f"{low:.2f}"), Span("  expected ", "muted")]
    figures += [Span(f"{overview.expected:.2f}", "bold"), Span("  high ", "muted"), Span(f"{high:.2f}")]
    yield from flow(figures, columns)
    if overview.over:
        yield line(signal("OVER", "bad"), " the stop line")
    if overview.unpriced:
        things = "1 thing has" if overview.unpriced == 1 else f"{overview.unpriced} things have"
        yield from flow((Span(f"{things} no price: $ in the unit says it.", "wait"),), columns)


def danger_lines(overview: Overview, columns: int) -> Iterator[Line]:
    """The names of its dangers behind their signal words, each word once."""
    for word in SignalWord:
        names = [clean(danger.what, limit=80) for danger in overview.dangers if danger.signal is word]
        if names:
            yield from hanging(line(signal(word, SIGNAL_INKS[word]), " "), ", ".join(names), columns)
