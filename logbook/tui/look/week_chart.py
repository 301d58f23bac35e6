"""A week as a chart: a row of work for each day, light bars below it for what waits by itself, windows that close.

Each unit has a hue and its code, and where there is no colour a pattern as well. Free time is a lighter ground with
dots. What goes on over the edge of a day has an arrow there. Hours that no day uses are left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from logbook.model.dates_in_words import day_of_month
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.plain import width
from logbook.tui.look.bars import filled
from logbook.tui.look.inks import Line, Span, cells_in, fit, joined, line
from logbook.tui.look.palette import HUES

LABEL = 8
"""Columns for the name of a day."""
EVENINGS = 2.2
"""How much wider hours are that serve three days or more, where those are few."""
LEAST_HOUR = 2
"""Columns of an hour, so that its figure can be read."""
ONLY_CODE = 6
"""Up to so many columns a block says the unit's code alone."""
FULL_DAY = 180
"""Minutes of work that fill a day's column in the weeks at a glance."""
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


class WorkStretch(NamedTuple):
    """Work at one stretch."""

    unit: str
    title: str
    start: datetime
    end: datetime
    key: str = ""
    """By which the cursor finds it."""


class DrawnWait(NamedTuple):
    """A wait that runs by itself, and the window after it when that closes."""

    unit: str
    what: str
    """What it waits for: `in clamps`."""
    start: datetime
    until: datetime
    after: str = ""
    """Which work it follows."""
    closes: datetime | None = None

    @property
    def last(self) -> datetime:
        """When nothing of it is left to draw."""
        return self.until if self.closes is None else max(self.until, self.closes)


class Chart(NamedTuple):
    """What a chart of days is drawn from."""

    work: tuple[WorkStretch, ...]
    waits: tuple[DrawnWait, ...]
    free: tuple[tuple[datetime, datetime], ...]
    hues: Mapping[str, str]
    """The hue of each unit."""
    today: date | None = None


class Hour(NamedTuple):
    """An hour that is shown, its first column and how many it has."""

    hour: int
    column: int
    columns: int


class Hours(NamedTuple):
    """The hours that are shown; those that no day uses are left out."""

    shown: tuple[Hour, ...]

    @property
    def columns(self) -> int:
        """Of a day."""
        last = self.shown[-1]
        return last.column + last.columns

    def at(self, moment: datetime, day: date) -> int:
        """Column of a moment on a day; what is not shown is where the next hour that is begins."""
        hours = (moment - datetime.combine(day, time(), moment.tzinfo)) / timedelta(hours=1)
        for shown in self.shown:
            if hours < shown.hour:
                return shown.column
            if hours < shown.hour + 1:
                return shown.column + round((hours - shown.hour) * shown.columns)
        return self.columns


def hours_for(spans: Sequence[tuple[datetime, datetime]], columns: int) -> Hours:
    """The hours in which anything is done or could be; where few serve many days (evenings), these are wider."""
    used = _days_of_hours(spans) or {hour: set() for hour in range(8, 20)}
    often = {hour for hour, days in used.items() if len(days) >= 3}
    wider = often if len(often) * 2 <= len(used) else set()
    weights = {hour: EVENINGS if hour in wider else 1.0 for hour in sorted(used)}
    room = max(LEAST_HOUR * len(used), columns)
    sizes = {hour: max(LEAST_HOUR, int(room * weight / sum(weights.values()))) for hour, weight in weights.items()}
    for hour in _shared_out(sizes, weights, room):
        sizes[hour] += 1 if sum(sizes.values()) < room else -1
    found, at = [], 0
    for hour, size in sizes.items():
        found.append(Hour(hour, at, size))
        at += size
    return Hours(tuple(found))


def _shared_out(sizes: Mapping[int, int], weights: Mapping[int, float], room: int) -> Iterator[int]:
    """Which hours give or take a column, until all have exactly the room: the widest first."""
    widest = sorted(sizes, key=lambda hour: (-weights[hour], hour))
    for number in range(len(widest) * room):
        missing = room - sum(sizes.values())
        if not missing:
            return
        hour = widest[number % len(widest)]
        if missing > 0 or sizes[hour] > LEAST_HOUR:
            yield hour


LONG = timedelta(days=4)
"""What goes on for so long uses every hour on more than three days, and more need not be known."""


def _days_of_hours(spans: Sequence[tuple[datetime, datetime]]) -> dict[int, set[date]]:
    """Each hour with days on which it is used: all of them, or more than three where something goes on for long."""
    used: dict[int, set[date]] = {}
    for start, end in spans:
        hour = start.replace(minute=0, second=0, microsecond=0)
        until = min(end, hour + LONG)
        while hour < until:
            used.setdefault(hour.hour, set()).add(hour.date())
            hour += timedelta(hours=1)
    return used


class WeekDrawing:
    """The chart of seven days. A day is drawn anew only when the cursor comes to it or leaves it.

    Args:
        chart: what is drawn.
        monday: the first day.
        columns: width of each row; less than is readable is taken as the least.
        lanes: rows of waits below a day at most; those that find none are counted at the left.
        plain: no colour at all, so that blocks get their unit's pattern.
        g: signs.
    """

    def __init__(
        self, chart: Chart, monday: date, columns: int, *, lanes: int = 2, plain: bool = False, g: Glyphs = FINE
    ) -> None:
        self._columns, self._lanes = columns, lanes
        self._days = [monday + timedelta(days=number) for number in range(7)]
        spans = [(work.start, work.end) for work in chart.work]
        hours = hours_for([*spans, *chart.free], columns - LABEL)
        self._week = _Week(chart, hours, "", plain or not g.fine, g)
        self._day_of = {work.key: work.start.date() for work in chart.work}
        self._head = fit(self._week.hours_line(), columns)
        self._drawn: dict[tuple[date, str], list[Line]] = {}

    def lines(self, chosen: str = "") -> list[Line]:
        """All rows, with the work of that key as the one under the cursor."""
        rows = [self._head]
        for day in self._days:
            rows += self._day(day, chosen if self._day_of.get(chosen) == day else "")
        return rows

    def _day(self, day: date, chosen: str) -> list[Line]:
        if (day, chosen) not in self._drawn:
            rows = self._week._replace(chosen=chosen).day(day, self._lanes)
            self._drawn[day, chosen] = [fit(row, self._columns) for row in rows]
        return self._drawn[day, chosen]


class _Week(NamedTuple):
    """What every row needs."""

    chart: Chart
    hours: Hours
    chosen: str
    plain: bool
    g: Glyphs

    def hours_line(self) -> Line:
        """The hours above the chart; a stroke where hours are left out."""
        words = ""
        before = None
        for shown in self.hours.shown:
            sign = "" if before is None or shown.hour == before + 1 else self.g.grid
            words += f"{sign}{shown.hour}".ljust(shown.columns)[: shown.columns]
            before = shown.hour
        return line(" " * LABEL, Span(words, "muted"))

    def day(self, day: date, lanes: int) -> Iterator[Line]:
        """The work of a day, and its waits below."""
        here = day == self.chart.today
        name = f"{day:%a} {day.day:>2}{self.g.since if here else ''}"
        yield line(fit(line(Span(name, "bold accent" if here else "muted")), LABEL), self.work(day))
        rows, more = self.waits(day, lanes)
        for number, row in enumerate(rows):
            said = f"+{more} wait" if more and number == len(rows) - 1 else ""
            yield line(Span(f"{said:<{LABEL}}", "wait"), row)

    def work(self, day: date) -> Line:
        """The work of a day in its free time."""
        row = [Span(" ")] * self.hours.columns
        for start, end in self.chart.free:
            if start.date() == day:
                for column in range(self.hours.at(start, day), self.hours.at(end, day)):
                    row[column] = Span(self.g.waste, "faint on-raised")
        taken = 0
        for work in sorted(self.chart.work, key=lambda work: work.start):
            if work.start.date() == day:
                first = max(taken, self.hours.at(work.start, day))  # the shortest has a column of its own
                first = min(first, self.hours.columns - 1)
                taken = min(max(self.hours.at(work.end, day), first + 1), self.hours.columns)
                row[first:taken] = self.block(work, taken - first)
        return joined(row)

    def block(self, work: WorkStretch, columns: int) -> list[Span]:
        """A block in single cells: an edge, the unit's code, the title as far as it goes, then the unit's pattern."""
        hue = self.chart.hues.get(work.unit, "hue1")
        here = bool(self.chosen) and work.key == self.chosen
        ground, ink = hue, f"bold ink on-{hue}"
        if here:  # reversed like the others it would be lost
            ground = "paper" if self.plain else "text"
            ink = "bold under text on-paper" if self.plain else "bold ink on-text"
        edge = self.g.edge if columns > 2 else ""
        words = f"{work.unit} {work.title}" if columns > ONLY_CODE else work.unit
        row = cells_in(edge, len(edge), f"paper on-{ground}")
        room = columns - len(edge)
        row += cells_in(words, min(room, width(words)), ink)
        pattern = self.g.patterns[(int(hue[3:]) - 1) % HUES] if self.plain and not here else " "
        left = columns - len(row)
        if left:
            row += cells_in(f" {pattern * left}", left, f"ink on-{ground}")
        return row

    def waits(self, day: date, lanes: int) -> tuple[list[Line], int]:
        """Waits of a day in as few rows as they need, and how many found no room."""
        rows: list[list[tuple[int, int, DrawnWait]]] = []
        more = 0
        for first, last, wait in sorted(self._waits_on(day), key=lambda found: (found[0], -found[1])):
            free = next((row for row in rows if row[-1][1] <= first), None)
            if free is not None:
                free.append((first, last, wait))
            elif len(rows) < lanes:
                rows.append([(first, last, wait)])
            else:
                more += 1
        return [self._wait_row(day, row) for row in rows], more

    def _waits_on(self, day: date) -> Iterator[tuple[int, int, DrawnWait]]:
        for wait in self.chart.waits:
            if not wait.start.date() <= day <= wait.last.date():
                continue
            midnight = datetime.combine(day, time(), wait.start.tzinfo)
            first = self.hours.at(max(wait.start, midnight), day)
            last = self.hours.at(min(wait.last, midnight + timedelta(days=1)), day)
            if last > first:
                yield first, last, wait

    def _wait_row(self, day: date, bars: Sequence[tuple[int, int, DrawnWait]]) -> Line:
        row = [Span(" ")] * self.hours.columns
        for first, last, wait in bars:
            row[first:last] = self._wait(day, wait, last - first)
        return joined(row)

    def _wait(self, day: date, wait: DrawnWait, columns: int) -> list[Span]:
        """A light bar: which unit, what it waits for, until when; an open window doubled, with its end."""
        hue = self.chart.hues.get(wait.unit, "hue1")
        tint = hue.replace("hue", "tint")
        left = self.g.since if wait.start.date() < day else ""
        right = self.g.onward if wait.last.date() > day else ""
        window = wait.closes is not None and wait.until.date() <= day
        until = f" until {wait.until:%a %H:%M}" if right else f" until {wait.until:%H:%M}"
        if wait.closes is not None and wait.closes.date() == day:
            until, right = f", closes {wait.closes:%H:%M}", self.g.closes
        words = self._wait_words(wait, until, columns - len(left) - len(right) - 2)
        fill = self.g.window if window else self.g.track
        ink = f"{'wait' if window else hue} on-{tint}"
        middle = columns - len(left) - len(right)
        if middle < 0:
            return cells_in(left + right, columns, ink)
        said = cells_in(words, min(middle, width(words)), ink)
        return [
            *cells_in(left, len(left), ink),
            *said,
            *cells_in(fill * (middle - len(said)), middle - len(said), ink),
            *cells_in(right, len(right), ink),
        ]

    def _wait_words(self, wait: DrawnWait, until: str, room: int) -> str:
        """What is said of a wait, by the room there is: without the work, without the time, the code, nothing."""
        said = [f"{wait.unit} {wait.what}{until}", f"{wait.unit} {wait.what}", wait.unit]
        if wait.after:
            said.insert(0, f"{wait.unit} {wait.after}: {wait.what}{until}")
        return next((f" {words} " for words in said if width(words) <= room), "")


class Weeks(NamedTuple):
    """Weeks at a glance."""

    load: Mapping[date, Mapping[str, int]]
    """For each day the minutes of each unit."""
    ends: Mapping[date, Sequence[str]]
    """For each day the codes of the units that end."""
    hues: Mapping[str, str]
    today: date | None = None


def month_lines(weeks: Weeks, monday: date, count: int, columns: int, g: Glyphs = FINE) -> list[Line]:
    """So many weeks as rows of days: for each unit a column as high as it is worked on, and below which units end.

    Args:
        weeks: what is drawn.
        monday: the first day.
        count: how many weeks.
        columns: width, seven equal cells.
        g: signs.
    """
    cell = max(4, columns // 7)
    rows = [line(*(Span(name.ljust(cell)[:cell], "muted") for name in WEEKDAYS))]
    for number in range(count):
        first = monday + timedelta(weeks=number)
        days = [first + timedelta(days=day) for day in range(7)]
        rows.append(line(*(fit(_day_cell(weeks, day, g), cell) for day in days)))
        ends = [" ".join(weeks.ends.get(day, ())) for day in days]
        if any(ends):
            rows.append(line(*(fit(line(Span(f"{said} end" if said else "", "bold good")), cell) for said in ends)))
    return [fit(row, columns) for row in rows]


def _day_cell(weeks: Weeks, day: date, g: Glyphs) -> Line:
    load = weeks.load.get(day, {})
    ink = "bold accent" if day == weeks.today else "muted" if load else "rule"
    label = f"{day.day} " if day.day > 1 else f"{day_of_month(day)} "
    levels = len(g.steps) - 1
    bars = [
        Span(g.steps[filled(minutes / FULL_DAY, levels)] if g.fine else unit[:1], weeks.hues.get(unit, "hue1"))
        for unit, minutes in load.items()
        if minutes
    ]
    return line(Span(label, ink), *bars)
