"""Where each unit stands: its next action in a sentence, what it waits for, and what must not be forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import NamedTuple

from logbook.model.clock import days_since, shop_time
from logbook.model.days import day_words
from logbook.model.edits import next_step_code
from logbook.model.holds import open_holds
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, Disposition, Stage, Supply, WorkState
from logbook.model.work import Waiting
from logbook.teardown.bench import stop_questions
from logbook.teardown.complete import to_complete
from logbook.teardown.ready import NowItem, failed_test, moment_words, now_list, ready_steps, window_ends

__all__ = [
    "NowItem", "Overdue", "Reminder", "days_untouched", "do_not_forget", "next_action", "now_list", "overdue",
]  # fmt: skip

_KEPT = frozenset({Disposition.KEEP, Disposition.CLEAN, Disposition.REPAIR, Disposition.SPARE})


def next_action(unit: Unit, today: date) -> str:
    """What is next for a unit, in a few words for its line on the bench.

    What somebody typed wins. Then what it waits for, starting with `WAITS`; then what the record suggests at
    its stage. A unit at rest says why, or what was kept of it.
    """
    if unit.next_action.strip():
        return f"next: {' '.join(unit.next_action.split())}"
    if unit.stage in AT_REST:
        return _at_rest(unit)
    waiting = sorted(
        (w for w in unit.waiting if not w.done), key=lambda w: (w.chase or date.max, w.expected or date.max)
    )
    if waiting:
        more = f" and {len(waiting) - 1} more" if len(waiting) > 1 else ""
        return _waits(waiting[0], today) + more
    return f"next: {_suggested(unit)}"


def _at_rest(unit: Unit) -> str:
    kept = sum(c.quantity for c in unit.components if c.disposition in _KEPT)
    if unit.stage is Stage.STOPPED and kept:
        return f"parts kept: {kept}"
    return str(unit.stage)


def _waits(waiting: Waiting, today: date) -> str:
    words = [f"WAITS {' '.join(waiting.what.split())}"]
    if waiting.expected is not None:
        late = waiting.expected < today
        words.append(f"{'LATE, was due' if late else 'due'} {day_words(waiting.expected, today)}")
    if waiting.chase is not None:
        now = waiting.chase <= today
        words.append(f"{'CHASE NOW, since' if now else 'chase'} {day_words(waiting.chase, today)}")
    return ", ".join(words)


def _suggested(unit: Unit) -> str:
    """What the record suggests at the stage of the unit."""
    test = next((t for t in unit.arrival.make_or_break if t.passed is None), None)
    if unit.stage is Stage.REASSEMBLY:
        return "reassembly"  # which line, the list says
    if unit.stage is Stage.TEARDOWN:
        return _next_in_teardown(unit)
    if test is not None:
        return f"test: {test.what}"
    if unit.stage is Stage.ARRIVAL:
        return "write down how it was found" if not unit.arrival.as_found else f"step {next_step_code(unit)}"
    return _next_in_rebuild(unit)


def _next_in_teardown(unit: Unit) -> str:
    waiting = next(iter(open_holds(unit)), None)
    if waiting is not None and waiting.hold is not None:
        lacks = " and the ".join(waiting.hold_lacks)
        return f"hold point {waiting.hold.code} of {waiting.what}: write the {lacks}"
    ready = ready_steps(unit)
    if ready:
        return f"{ready[0].code} {ready[0].what}"
    left = len(to_complete(unit))
    if left:
        return f"complete {left} thing{'' if left == 1 else 's'} at the desk"
    return f"step {next_step_code(unit)}"


def _next_in_rebuild(unit: Unit) -> str:
    to_do = [o for o in unit.operations if o.state is not WorkState.DONE]
    unread = next((o for o in unit.operations if o.state is WorkState.DONE and o.hold_lacks), None)
    if unread is not None and unread.hold is not None:
        return f"hold point {unread.hold.code} of {unread.name}: write the {' and the '.join(unread.hold_lacks)}"
    passed = {o.code for o in unit.operations if o.passed}
    in_turn = [o for o in to_do if set(o.after) <= passed]
    ready = next((o for o in in_turn if not failed_test(unit, o)), None)
    if ready is None and in_turn:
        return f"decide what becomes of it: {failed_test(unit, in_turn[0])}"
    if ready is None:
        return "reassembly" if not to_do else f"{to_do[0].name}, which waits on an operation that does not exist"
    missing = {p.code: p for p in unit.parts if p.supply is not Supply.HERE}
    part = next((missing[c] for c in (ready.needs.parts if ready.needs else ()) if c in missing), None)
    return f"get {part.name}, for {ready.name}" if part is not None else ready.name


def days_untouched(unit: Unit, now: datetime) -> int | None:
    """Days since the unit was last worked on, by the clock of `now`; None when no moment of work is written down."""
    last = unit.touched or max((s.at for s in unit.steps if s.at is not None), default=None)
    return None if last is None else days_since(last, now)


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
    late = [
        Overdue(unit.code, awaits.what, awaits.expected, awaits.chase, days)
        for unit in book.units.values()
        if unit.stage not in AT_REST
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


def do_not_forget(book: Book, now: datetime) -> tuple[Reminder, ...]:
    """Warnings over all units at work, what cannot be put right later first.

    One-way steps that come next without an answer to their stop question; windows about to close; what is to
    be chased; guesses and as-found-wrong of units that have lain untouched for long, with what else is
    missing there.
    """
    now = shop_time(now, book.shop)
    at_work = [u for u in book.units.values() if u.stage not in AT_REST]
    reminders = [r for u in at_work for r in _one_way_coming(u)]
    reminders += [r for u in at_work for r in _windows(u, now)]
    reminders += [_chase(o) for o in overdue(book, now.date())]
    weeks = book.shop.settings.untouched_weeks
    reminders += [r for u in at_work for r in _old(u, now, weeks)]
    return tuple(reminders)


def _one_way_coming(unit: Unit) -> Iterator[Reminder]:
    for step in unit.steps:
        if step.planned and step.one_way is not None and not step.one_way.answered and stop_questions(step):
            what = f"{step.code} {' '.join(step.what.split())}"
            yield Reminder(unit.code, f"{what}: not measured, traced or photographed before it is {step.action}")


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


def _old(unit: Unit, now: datetime, weeks: int) -> Iterator[Reminder]:
    days = days_untouched(unit, now)
    if days is None or days <= weeks * 7:
        return
    missing = sorted(to_complete(unit), key=lambda m: -m.weight)
    if missing:
        others = f" (and {len(missing) - 1} more to complete)" if len(missing) > 1 else ""
        yield Reminder(unit.code, f"untouched for {days} days: {missing[0].sentence}{others}")
    elif not any(awaited(unit)):
        yield Reminder(unit.code, f"untouched for {days} days, and nothing says what it waits for")
