"""A week of the plan as a timeline of plain characters: a line for each day, words inside the blocks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from logbook.planning.plan import Entry, Plan
from logbook.render.plain import clean, width

LABEL = 8
"""Columns for the name of the day."""


LEGEND = "| work begins   . still free   in words below"
"""What the signs say."""


class Span(NamedTuple):
    """Free time on the local clock."""

    start: datetime
    end: datetime


def monday_of(day: date) -> date:
    """The Monday of the week that holds a day."""
    return day - timedelta(days=day.weekday())


def week_lines(plan: Plan, free: Sequence[Span], monday: date, columns: int) -> list[str]:
    """The hours over seven days; free time is dotted, work stands in it by unit and name, `|` where it begins.

    Args:
        plan: the plan.
        free: free time of that week.
        monday: its first day.
        columns: how wide it may be.
    """
    days = [monday + timedelta(days=n) for n in range(7)]
    entries = {day: [e for e in plan.entries if e.start.date() == day] for day in days}
    spans = {day: [s for s in free if s.start.date() == day] for day in days}
    first, last = _hours([*(e for es in entries.values() for e in es), *(s for ss in spans.values() for s in ss)])
    room = max(24, columns - LABEL)
    scale = _Scale(first, max(last, first + 1), room)
    lines = [" " * LABEL + scale.head()]
    for day in days:
        lines.append(f"{day:%a %d}".ljust(LABEL) + _day_line(entries[day], spans[day], scale))
    lines.append(" " * LABEL + LEGEND)
    return [line.rstrip() for line in lines]


def _hours(things: Sequence[Entry | Span]) -> tuple[int, int]:
    if not things:
        return 8, 20
    starts = [t.start.hour for t in things]
    ends = [24 if t.end.date() > t.start.date() else t.end.hour + (t.end.minute > 0) for t in things]
    return min(starts), max(ends)


class _Scale(NamedTuple):
    """Hours to columns."""

    first: int
    last: int
    room: int

    def column(self, moment: datetime, day: date) -> int:
        midnight = datetime.combine(day, time(), moment.tzinfo)
        minutes = (moment - midnight) / timedelta(minutes=1) - self.first * 60
        return max(0, min(self.room, round(minutes * self.room / ((self.last - self.first) * 60))))

    def head(self) -> str:
        line = [" "] * (self.room + 2)
        step = 1 if self.room / (self.last - self.first) >= 3 else 2
        for hour in range(self.first, self.last, step):
            at = round((hour - self.first) * self.room / (self.last - self.first))
            line[at : at + 2] = f"{hour:<2}"
        return "".join(line)


def _day_line(entries: Sequence[Entry], free: Sequence[Span], scale: _Scale) -> str:
    line = [" "] * scale.room
    for span in free:
        a, b = (scale.column(m, span.start.date()) for m in (span.start, span.end))
        line[a:b] = "." * (b - a)
    for entry in entries:
        a, b = (scale.column(m, entry.start.date()) for m in (entry.start, entry.end))
        b = min(scale.room, max(b, a + 1))
        name = "FIRST " + entry.title if entry.kind == "inserted" else entry.title
        line[a:b] = list(_block(f"{entry.unit} {clean(name, limit=80)}", b - a))
    return "".join(line)


def _block(words: str, columns: int) -> str:
    """The words in so many columns after a bar; a sign that is not one column wide would move the rest of the line."""
    narrow = "".join(c if width(c) == 1 else "?" for c in f"|{words}")
    return narrow[:columns].ljust(columns)
