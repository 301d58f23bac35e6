"""What must not be forgotten over all units: what the record warns of, what is wet, and batteries left in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from logbook.model.shop_clock import shop_time
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, WorkState
from logbook.planning.at_work import running, running_words
from logbook.planning.countdown import WET_AT_MOST, countdowns
from logbook.planning.standing import Whole
from logbook.planning.usual_work_lists import KnownUsualWork, usual_work
from logbook.planning.whole import whole_of
from logbook.teardown.chasing import WINDOW_SOON, Lying, Reminder, not_to_forget
from logbook.teardown.operations_ready import as_done_once, moment_words


def reminders(book: Book | Whole, now: datetime, *, waits: bool = True) -> tuple[Reminder, ...]:
    """Everything of `do_not_forget`, after work that is still running, wet finishes and batteries left in.

    Raises:
        InputError: the list of usual work was edited into something that cannot be used.
    """
    whole = whole_of(book)
    known, now = whole.book, shop_time(now, whole.shop)
    usual = usual_work(whole.shop)
    at_work = [s for s in whole.standings if s.stage not in AT_REST]
    found = [Reminder(u.code, f"at work on {o.code} {o.name} {running_words(o, now)}") for u, o in running(known)]
    # A window that ends within a day is told by `not_to_forget` already.
    running_waits = (c for c in countdowns(whole, now) if (waits and not c.closes) or c.until - now > WINDOW_SOON)
    found += [Reminder(c.unit, f"after {c.code} {c.name}: {c.words}") for c in running_waits]
    found += [r for s in at_work for r in _wet(known.units[s.code], usual, now)]
    found += [Reminder(s.code, sentence) for s in whole.standings for sentence in s.batteries]
    lying = [Lying(known.units[s.code], s.touched, s.stop_questions, s.incomplete) for s in at_work]
    return (*found, *not_to_forget(lying, whole.shop.settings.untouched_weeks, now))


def _wet(unit: Unit, usual: KnownUsualWork, now: datetime) -> Iterator[Reminder]:
    for operation in unit.operations:
        latest = operation if operation.state is WorkState.DONE else as_done_once(operation)
        if latest.done_at is None or latest.wait is None or "wet finish" not in usual.traits(operation):
            continue
        wet = latest.wait.wet if latest.wait.wet is not None else min(latest.wait.earliest, WET_AT_MOST)
        dry = latest.done_at + timedelta(minutes=wet)
        if now < dry:
            words = f"{operation.code} {operation.name} is wet until {moment_words(dry, now)}: no dust in the same air"
            yield Reminder(unit.code, words)
