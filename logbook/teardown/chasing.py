"""What a unit waits for, what is to be chased, and what must not be forgotten on a day."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import NamedTuple

from logbook.model.dates_in_words import day_from_today
from logbook.model.shop_clock import days_since
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, Supply
from logbook.model.work import Waiting
from logbook.teardown.operations_ready import moment_words, window_ends


def waits_words(reasons: Iterable[Waiting], today: date) -> str:
    """What a unit waits for first and until when, starting with `WAITS`, with the number of the others."""
    waiting = sorted((w for w in reasons if not w.done), key=lambda w: (w.chase or date.max, w.expected or date.max))
    more = f" and {len(waiting) - 1} more" if len(waiting) > 1 else ""
    return _waits(waiting[0], today) + more


def _waits(waiting: Waiting, today: date) -> str:
    words = [f"WAITS {' '.join(waiting.what.split())}"]
    if waiting.expected is not None:
        late = waiting.expected < today
        words.append(f"{'LATE, was due' if late else 'due'} {day_from_today(waiting.expected, today)}")
    if waiting.chase is not None:
        now = waiting.chase <= today
        words.append(f"{'CHASE NOW, since' if now else 'chase'} {day_from_today(waiting.chase, today)}")
    return ", ".join(words)


class Overdue(NamedTuple):
    """Something waited for whose day to ask again, or to come, is past."""

    unit: str
    what: str
    due: date | None
    chase: date | None
    days: int
    """Days past the earlier of the two that are past; 0 when today is the day to ask."""


def overdue(book: Book, today: date) -> tuple[Overdue, ...]:
    """What should be chased today, over all units at work, the longest overdue first."""
    return overdue_of(units_at_work(book), today)


def units_at_work(book: Book) -> Iterator[Unit]:
    """The units that are not at rest."""
    return (u for u in book.units.values() if u.stage not in AT_REST)


def overdue_of(units: Iterable[Unit], today: date) -> tuple[Overdue, ...]:
    """What should be chased today of these units, the longest overdue first."""
    late = [
        Overdue(unit.code, awaits.what, awaits.expected, awaits.chase, days)
        for unit in units
        for awaits in awaited(unit)
        if (days := _days_late(awaits.expected, awaits.chase, today)) is not None
    ]
    return tuple(sorted(late, key=lambda o: -o.days))


STATED = "waiting"
"""The place of what a unit waits for by a stated reason."""


class Awaited(NamedTuple):
    """Something that a unit waits for: a stated reason, or a part that is ordered."""

    what: str
    place: str
    """Code of the part; `STATED` for a reason that somebody wrote down."""
    since: date | None
    expected: date | None
    chase: date | None


def awaited(unit: Unit) -> Iterator[Awaited]:
    """Everything that a unit waits for, each once: a stated reason that names an ordered part stands for it."""
    stated = [w for w in unit.waiting if not w.done]
    for reason in stated:
        yield Awaited(reason.what, STATED, reason.since, reason.expected, reason.chase)
    said = [reason.what.casefold() for reason in stated]
    for part in unit.parts:
        named = any(part.name.casefold() in what for what in said)
        if part.supply is Supply.ORDERED and not named:
            yield Awaited(part.name, part.code, part.ordered_on, part.expected_on, part.chase_on)


def _days_late(due: date | None, chase: date | None, today: date) -> int | None:
    """Days past; a day to ask is reached on the day, a day to come only after it."""
    past = [(today - chase).days] if chase is not None and chase <= today else []
    past += [(today - due).days] if due is not None and due < today else []
    return max(past, default=None)


class Reminder(NamedTuple):
    """Something that must not be forgotten."""

    unit: str
    sentence: str


WINDOW_SOON = timedelta(hours=24)
"""A window that ends within this is a reminder."""


class Lying(NamedTuple):
    """A unit at work with what its record says of it at any time."""

    unit: Unit
    """Its code, reasons for waiting, parts and operations."""
    touched: datetime | None
    """When it was last worked on."""
    one_way: tuple[str, ...]
    """Its next one-way steps without an answer, in sentences."""
    incomplete: str
    """What is first to be completed at the desk; empty when nothing is."""


def not_to_forget(units: Sequence[Lying], weeks: int, now: datetime) -> tuple[Reminder, ...]:
    """What `do_not_forget` says, of units whose records were read before.

    Args:
        units: those at work.
        weeks: how long a unit may lie untouched.
        now: the moment, by the shop's clock.
    """
    reminders = [Reminder(u.unit.code, sentence) for u in units for sentence in u.one_way]
    reminders += [r for u in units for r in _windows(u.unit, now)]
    reminders += [_chase(o) for o in overdue_of((u.unit for u in units), now.date())]
    reminders += [r for u in units for r in _old(u, now, weeks)]
    return tuple(reminders)


def _windows(unit: Unit, now: datetime) -> Iterator[Reminder]:
    for operation, end in window_ends(unit, now):
        if end - now <= WINDOW_SOON:
            missed = f", then {operation.if_missed}" if operation.if_missed else ""
            yield Reminder(
                unit.code, f"window after {operation.code} {operation.name} ends {moment_words(end, now)}{missed}"
            )


def _chase(late: Overdue) -> Reminder:
    what = " ".join(late.what.split())
    if late.chase is not None and late.days == 0:
        return Reminder(late.unit, f"{what}: ask again today")
    return Reminder(late.unit, f"{what}: {late.days} day{'' if late.days == 1 else 's'} overdue, ask again")


def _old(lying: Lying, now: datetime, weeks: int) -> Iterator[Reminder]:
    days = None if lying.touched is None else days_since(lying.touched, now)
    if days is None or days <= weeks * 7:
        return
    if lying.incomplete:
        yield Reminder(lying.unit.code, f"untouched for {days} days: {lying.incomplete}")
    elif not any(awaited(lying.unit)):
        yield Reminder(lying.unit.code, f"untouched for {days} days, and nothing says what it waits for")
