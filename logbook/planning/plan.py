"""The plan as a person reads it: what is done when, what waits meanwhile, when each unit ends, what is in the way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import NamedTuple

from logbook.model.dates_in_words import day_from_today
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST
from logbook.model.work import Wait
from logbook.planning.from_book import BookProblem, Work
from logbook.planning.material_order import Contrary
from logbook.planning.plan_check import overlapping
from logbook.planning.plan_problem import Schedule, finishes
from logbook.teardown.chasing import STATED, awaited


class PlanEntry(NamedTuple):
    """Work at one stretch."""

    start: datetime
    """By the shop's clock, as everything here."""
    end: datetime
    unit: str
    code: str
    title: str
    kind: str
    """“operation”, “proposed”, “step”, “test” or “inserted”."""
    done: bool = False
    """It lies behind, or is being worked on."""
    guessed: bool = False
    clamps: int = 0
    noisy: bool = False
    helper: bool = False
    why: str = ""
    """Why it stands here and not sooner, where a rule or a missed window says so."""

    @property
    def minutes(self) -> int:
        """How long it takes."""
        return round((self.end - self.start).total_seconds() / 60)


class Background(NamedTuple):
    """A wait that runs by itself."""

    unit: str
    title: str
    start: datetime
    until: datetime
    what: str
    """“in clamps”, “rests” or what the record calls it."""
    closes: datetime | None = None
    """When the window after it closes, for a wait that has one."""


class UnitEnd(NamedTuple):
    """When a unit ends."""

    unit: str
    name: str
    end: datetime
    due: date | None
    late_days: int
    minutes: int
    """Work still planned for it."""


class Inquiry(NamedTuple):
    """Something to ask for on a day."""

    day: date
    unit: str
    what: str


class Unplanned(NamedTuple):
    """Work that has no place, and which limit stands in the way."""

    unit: str
    code: str
    title: str
    why: str


class Plan(NamedTuple):
    """The plan over all units."""

    entries: tuple[PlanEntry, ...]
    background: tuple[Background, ...]
    ends: tuple[UnitEnd, ...]
    calls: tuple[Inquiry, ...]
    unplanned: tuple[Unplanned, ...]
    assumed: tuple[str, ...]
    contrary: tuple[str, ...]
    most_clamps: int
    clamps: int | None
    """How many there are; None when it was not said."""
    made: datetime


def plan_of(book: Book, found: BookProblem, schedule: Schedule) -> Plan:
    """A schedule of `found` as a person reads it."""
    now = found.clock.wall(found.clock.now)
    return Plan(
        entries=tuple(_joined(sorted(_entries(found, schedule), key=lambda e: (e.start, e.unit, e.code)))),
        background=tuple(sorted(_background(found, schedule), key=lambda b: (b.start, b.unit))),
        ends=_ends(book, found, schedule),
        calls=tuple(sorted(c for u in book.units.values() if u.stage not in AT_REST for c in _calls(u, now.date()))),
        unplanned=tuple(_unplanned(found, schedule)),
        assumed=found.assumed,
        contrary=tuple(f"{c.unit}: {c.sentence}" for c in _together(found.contrary)),
        most_clamps=overlapping(found.problem, schedule, "clamps"),
        clamps=found.problem.limit("clamps"),
        made=now,
    )


def _together(contrary: Iterable[Contrary]) -> Iterator[Contrary]:
    """What one rule says of one operation, once for everything it should have gone before."""
    groups: dict[tuple[str, str, str, bool], list[Contrary]] = {}
    for c in contrary:
        groups.setdefault((c.unit, c.earlier, c.rule.code, c.certain), []).append(c)
    for group in groups.values():
        yield group[0]._replace(later=", ".join(dict.fromkeys(c.later for c in group)))


def _entries(found: BookProblem, schedule: Schedule) -> Iterator[PlanEntry]:
    wall = found.clock.wall
    reasons = {later: why for (_, later), why in found.reasons.items() if why}
    for key, start in schedule.starts.items():
        work, task = found.work[key], found.problem.tasks[key]
        if task.fixed is not None and start + task.minutes <= found.clock.now:
            continue
        needs = work.operation.needs if work.operation else None
        yield PlanEntry(
            wall(start), wall(start + task.minutes), work.unit, work.code, work.title, work.kind,
            done=task.fixed is not None, guessed=work.guessed, clamps=needs.clamps if needs else 0,
            noisy=bool(needs and needs.quiet), helper=bool(needs and needs.helper), why=reasons.get(key, ""),
        )  # fmt: skip
    for number, start in schedule.inserted.items():
        follow = found.problem.follows[number]
        later = found.work[follow.later]
        why = f"the window before {later.code} is missed"
        end = wall(start + follow.work)
        yield PlanEntry(
            wall(start), end, later.unit, later.code, found.if_missed.get(number, "sand"), "inserted", why=why
        )


def _joined(entries: list[PlanEntry]) -> Iterator[PlanEntry]:
    """Pieces of one operation that touch are one entry."""
    held: PlanEntry | None = None
    for entry in entries:
        touching = held is not None and held.end == entry.start and held[2:6] == entry[2:6] and not held.done
        if held is not None and touching:
            held = held._replace(end=entry.end)
            continue
        if held is not None:
            yield held
        held = entry
    if held is not None:
        yield held


def _background(found: BookProblem, schedule: Schedule) -> Iterator[Background]:
    wall, now = found.clock.wall, found.clock.now
    for key, start in schedule.starts.items():
        work, task = found.work[key], found.problem.tasks[key]
        wait = _wait_after(work)
        if wait is None or not wait.earliest:
            continue
        end = start + task.minutes
        held = wait.earliest if wait.clamped is None else min(wait.clamped, wait.earliest)
        needs = work.operation.needs if work.operation else None
        clamped = bool(needs and (needs.clamps or needs.press))
        if clamped and held and end + held > now:
            yield Background(work.unit, work.title, wall(end), wall(end + held), "in clamps")
        if (not clamped or wait.earliest > held) and end + wait.earliest > now:
            begin = end + (held if clamped else 0)
            what = "rests" if clamped else wait.what or "waits"
            closes = None if wait.latest is None else wall(end + wait.latest)
            yield Background(work.unit, work.title, wall(begin), wall(end + wait.earliest), what, closes)


def _wait_after(work: Work) -> Wait | None:
    if work.operation is None or (work.piece and work.number < work.of):
        return None
    return work.operation.wait if work.piece or work.number == work.of else work.operation.between


def _ends(book: Book, found: BookProblem, schedule: Schedule) -> tuple[UnitEnd, ...]:
    ends = []
    without_place = {found.work[key].unit for key in schedule.unplaced}
    for unit, end in finishes(found.problem, schedule).items():
        if unit in without_place:
            continue  # what has no place has no end
        record = book.units[unit]
        tasks = [t for k, t in found.problem.tasks.items() if t.unit == unit and k in schedule.starts]
        open_ = [t for t in tasks if t.fixed is None or t.fixed + t.minutes > found.clock.now]
        if open_:
            at = found.clock.wall(end)
            late = 0 if record.due is None else max(0, (at.date() - record.due).days)
            ends.append(UnitEnd(unit, record.name, at, record.due, late, sum(t.minutes for t in open_)))
    return tuple(sorted(ends, key=lambda e: e.end))


def _calls(unit: Unit, today: date) -> Iterator[Inquiry]:
    for awaits in awaited(unit):
        ordered = awaits.place != STATED
        asks = awaits.chase or (awaits.expected if ordered else None)
        if asks is not None:
            yield Inquiry(max(today, asks), unit.code, f"ask after {awaits.what}")


def _unplanned(found: BookProblem, schedule: Schedule) -> Iterator[Unplanned]:
    told = set()
    for key, why in schedule.unplaced.items():
        work = found.work[key]
        if (work.unit, work.code, work.name) not in told:
            told.add((work.unit, work.code, work.name))
            yield Unplanned(work.unit, work.code, work.title, why)


def end_words(end: UnitEnd, today: date) -> str:
    """When a unit ends, and whether that is in time."""
    words = f"{end.unit} ends {day_from_today(end.end.date(), today)}"
    if end.due is None:
        return words
    if end.late_days:
        return f"{words}, {end.late_days} d LATE"
    return f"{words}, in time for {day_from_today(end.due, today)}"
