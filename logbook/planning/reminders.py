"""What must not be forgotten over all units: what the record warns of, what is wet, and batteries left in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta

from logbook.model.clock import shop_time
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, WorkState
from logbook.planning.countdown import countdowns
from logbook.planning.from_book import WET_AT_MOST
from logbook.planning.running import running, running_words
from logbook.planning.usual import Usual, usual_work
from logbook.planning.usual_waits import book_with_usual_waits
from logbook.teardown.ready import as_done_once, moment_words
from logbook.teardown.stage import WINDOW_SOON, Reminder, do_not_forget

_BATTERY = re.compile(r"\b(batter(y|ies)|cells?|accumulator)\b", re.IGNORECASE)


def reminders(book: Book, now: datetime, *, waits: bool = True) -> tuple[Reminder, ...]:
    """Everything of `do_not_forget`, after work that is still running, wet finishes and batteries left in.

    Raises:
        InputError: the list of usual work was edited into something that cannot be used.
    """
    now = shop_time(now, book.shop)
    book = book_with_usual_waits(book)
    usual = usual_work(book.shop)
    at_work = [u for u in book.units.values() if u.stage not in AT_REST]
    found = [Reminder(u.code, f"at work on {o.code} {o.name} {running_words(o, now)}") for u, o in running(book)]
    # A window that ends within a day is told by `do_not_forget` already.
    running_waits = (c for c in countdowns(book, now) if (waits and not c.closes) or c.until - now > WINDOW_SOON)
    found += [Reminder(c.unit, f"after {c.code} {c.name}: {c.words}") for c in running_waits]
    found += [r for u in at_work for r in _wet(u, usual, now)]
    found += [r for u in book.units.values() for r in _batteries(u)]
    return (*found, *do_not_forget(book, now))


def _wet(unit: Unit, usual: Usual, now: datetime) -> Iterator[Reminder]:
    for operation in unit.operations:
        latest = operation if operation.state is WorkState.DONE else as_done_once(operation)
        if latest.done_at is None or latest.wait is None or "wet finish" not in usual.traits(operation):
            continue
        wet = latest.wait.wet if latest.wait.wet is not None else min(latest.wait.earliest, WET_AT_MOST)
        dry = latest.done_at + timedelta(minutes=wet)
        if now < dry:
            words = f"{operation.code} {operation.name} is wet until {moment_words(dry, now)}: no dust in the same air"
            yield Reminder(unit.code, words)


def _batteries(unit: Unit) -> Iterator[Reminder]:
    """Hazards that speak of a battery and components that are one, as long as nothing says where they went."""
    for component in unit.components:
        inside = (step := unit.step(component.from_step)) is None or step.planned if component.from_step else True
        if _BATTERY.search(component.name) and component.disposal is None and inside:
            yield Reminder(unit.code, f"{component.code} {component.name} is still in: cells leak")
    out = any(_BATTERY.search(s.what) and not s.planned for s in unit.steps)
    named = any(_BATTERY.search(c.name) for c in unit.components)
    if not out and not named and any(_BATTERY.search(h.what) for h in unit.hazards):
        yield Reminder(unit.code, "the battery is still in: cells leak")
