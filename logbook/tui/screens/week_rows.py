"""The week of a plan for its screen: the chart, its work as entries, the weeks at a glance, when units end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta

from logbook.model.dates_in_words import day_of_month, weekday_and_day
from logbook.model.measures import hours_and_minutes
from logbook.planning.plan import Background, Inquiry, Plan, PlanEntry, UnitEnd
from logbook.render.glyphs import Glyphs
from logbook.render.plain import clean
from logbook.render.plan_document import entry_facts, wait_facts
from logbook.tui.look.bars import against
from logbook.tui.look.inks import (
    BLANK,
    Line,
    Span,
    apart,
    flow,
    group,
    hanging,
    line,
    signal,
    width_of,
)
from logbook.tui.look.units import unit_block
from logbook.tui.look.week_chart import Chart, DrawnWait, Weeks, WorkStretch
from logbook.tui.widgets import entries
from logbook.tui.widgets.entries import heading

WEEK = timedelta(weeks=1)


def monday_of(day: date) -> date:
    """The Monday of the week that holds a day."""
    return day - timedelta(days=day.weekday())


def entry_key(entry: PlanEntry) -> str:
    """By which the list and the chart know a piece of work."""
    return f"{entry.start.date()} {entry.unit} {entry.code} {entry.kind} {entry.start:%H%M}"


def chart_of(
    plan: Plan, free: Sequence[tuple[datetime, datetime]], monday: date, hues: Mapping[str, str], today: date
) -> Chart:
    """What the chart of a week is drawn from."""
    sunday = monday + timedelta(days=6)
    work = tuple(
        WorkStretch(entry.unit, _title(entry), entry.start, entry.end, entry_key(entry))
        for entry in plan.entries
        if monday <= entry.start.date() <= sunday
    )
    waits = tuple(
        DrawnWait(
            wait.unit, clean(wait.what, limit=60), wait.start, wait.until, clean(wait.title, limit=60), wait.closes
        )
        for wait in plan.background
    )
    spans = tuple((start, end) for start, end in free if monday <= start.date() <= sunday)
    return Chart(work, waits, spans, hues, today)


def _title(entry: PlanEntry) -> str:
    words = clean(entry.title, limit=80)
    return f"FIRST {words}" if entry.kind == "inserted" else words


def weeks_of(plan: Plan, hues: Mapping[str, str], today: date) -> Weeks:
    """What the weeks at a glance are drawn from."""
    load: dict[date, dict[str, int]] = {}
    for entry in plan.entries:
        day = load.setdefault(entry.start.date(), {})
        day[entry.unit] = day.get(entry.unit, 0) + entry.minutes
    ends: dict[date, list[str]] = {}
    for end in plan.ends:
        ends.setdefault(end.end.date(), []).append(end.unit)
    return Weeks(load, ends, hues, today)


# The list


def week_entries(plan: Plan, monday: date, hues: Mapping[str, str], columns: int) -> Iterator[entries.ListEntry]:
    """The work of a week under its days, each with the waits that begin after it; what is to be asked for last."""
    found = False
    for day in (monday + timedelta(days=number) for number in range(7)):
        work = [entry for entry in plan.entries if entry.start.date() == day]
        calls = [call for call in plan.calls if call.day == day]
        if not work and not calls:
            continue
        found = True
        yield heading(f"day {day}", *flow(group(f"{day:%A} {day.day} {day:%B}"), columns))
        for entry in work:
            waits = [wait for wait in plan.background if wait.start == entry.end and wait.unit == entry.unit]
            yield entries.entry(entry_key(entry), list(_work_lines(entry, waits, hues, columns)))
        for call in calls:
            yield entries.entry(call_key(call), _call_lines(call, hues, columns))
    if not found:
        yield heading("none", line(Span("Nothing is planned for this week.", "muted")))


def call_key(call: Inquiry) -> str:
    """By which the list knows something to ask for."""
    return f"{call.day} call {call.unit} {call.what}"


def _work_lines(entry: PlanEntry, waits: Sequence[Background], hues: Mapping[str, str], columns: int) -> Iterator[Line]:
    guess = "~" if entry.guessed or entry.kind == "proposed" else ""
    times = line(Span(f"{entry.start:%H:%M}", "accent"), Span(f" {entry.end:%H:%M}  ", "muted"))
    head = line(times, unit_block(entry.unit, hues), " ")
    first = line(signal("FIRST", "head"), " ") if entry.kind == "inserted" else BLANK
    facts = ", ".join(_together(fact) for fact in entry_facts(entry))
    title = line(first, clean(entry.title, limit=200), Span(f", {clean(facts, limit=300)}" if facts else "", "muted"))
    right = line(Span(f"{guess}{hours_and_minutes(entry.minutes)}", "muted" if guess else ""))
    rows = _hung(head, title, columns - width_of(right) - 2)
    yield apart(rows[0], right, columns)
    yield from rows[1:]
    for wait in waits:
        tint = f"on-{hues.get(entry.unit, 'hue1').replace('hue', 'tint')}"
        lead = line(" " * width_of(times), Span("  ", tint), " " * (width_of(head) - width_of(times) - 2))
        other = f"{wait.title}: " if wait.title != entry.title else ""
        ink = "wait" if wait.closes is not None else "muted"
        yield from hanging(lead, clean(f"{other}{wait_facts(wait)}", limit=200), columns, ink)


def _together(fact: str) -> str:
    """A short fact that no row ends within: `4 clamps`."""
    return fact.replace(" ", "\u00a0") if len(fact) <= 16 else fact


def _hung(head: Line, spans: Line, columns: int) -> list[Line]:
    lead = width_of(head)
    first, *rest = flow(spans, columns - lead) or [BLANK]
    return [line(head, first), *(line(" " * lead, row) for row in rest)]


def _call_lines(call: Inquiry, hues: Mapping[str, str], columns: int) -> list[Line]:
    head = line(Span("call ", "bold accent"), " " * 8, unit_block(call.unit, hues), " ")
    return _hung(head, line(clean(call.what, limit=200)), columns)


# When units end


def end_parts(end: UnitEnd, hues: Mapping[str, str]) -> Line:
    """A unit and when it ends; too late is a signal."""
    when = weekday_and_day(end.end)
    said = line(unit_block(end.unit, hues), " ends ", Span(when, "bold"))
    if end.late_days:
        return line(said, " ", signal(f"{end.late_days} d LATE", "bad"))
    if end.due is not None:
        return line(said, Span(f", in time for {day_of_month(end.due)}", "good"))
    return said


def ends_lines(plan: Plan, hues: Mapping[str, str], columns: int) -> list[Line]:
    """When the units end, as many beside each other as fit."""
    rows: list[Line] = []
    for end in plan.ends:
        said = end_parts(end, hues)
        if rows and width_of(rows[-1]) + 3 + width_of(said) <= columns:
            rows[-1] = line(rows[-1], "   ", said)
        else:
            rows.append(said)
    return rows


def clamps_line(plan: Plan, g: Glyphs) -> Line:
    """How many clamps are wanted at once, against how many there are."""
    if not plan.most_clamps:
        return BLANK
    if plan.clamps is None:
        return line(Span(f"at most {plan.most_clamps} clamps at once", "muted"))
    bar = against(plan.most_clamps, plan.clamps, 10, g)
    return line(Span("clamps ", "muted"), bar, Span(f" {plan.most_clamps} of {plan.clamps}", "muted"))


def unit_lines(plan: Plan, worst: Mapping[str, datetime], hues: Mapping[str, str], columns: int) -> Iterator[Line]:
    """Each unit with its name, its work and when it ends at worst."""
    for end in plan.ends:
        at_worst = worst.get(end.unit)
        said = f"{hours_and_minutes(end.minutes)}"
        if at_worst is not None:
            said += f", at worst {weekday_and_day(at_worst)}"
        head, name = line(unit_block(end.unit, hues), " "), line(Span(clean(end.name, limit=80), "bold"))
        rows = _hung(head, name, columns)
        if len(rows) == 1 and width_of(rows[0]) + len(said) + 2 <= columns:
            yield apart(rows[0], line(Span(said, "muted")), columns)
        else:
            yield from rows
            yield from _hung(line(" " * width_of(head)), line(Span(said, "muted")), columns)
    for missing in plan.unplanned:
        words = f"{missing.unit} {missing.code} {missing.title}: {missing.why}"
        yield from hanging(line(signal("NOT PLANNED", "wait"), " "), clean(words, limit=400), columns)
