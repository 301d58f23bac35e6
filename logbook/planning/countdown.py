"""Waits that run and windows that close, over all units, as they stand at a moment."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import NamedTuple

from logbook.model.measures import hours_and_minutes
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, WorkState
from logbook.model.work import Operation, Wait
from logbook.planning.standing import Whole
from logbook.planning.usual_waits import book_with_usual_waits
from logbook.planning.whole import whole_of
from logbook.teardown.operations_ready import as_done_once, moment_words

WET_AT_MOST = 24 * 60
"""Minutes for which a finish counts as wet at most, when nobody says for how long."""


class Countdown(NamedTuple):
    """A wait that runs, and the window after it."""

    unit: str
    code: str
    name: str
    words: str
    """“opens Thu 09:00”, “sets until Thu 09:00”, “open until 21:30”, “forbidden until Sat 20:10, then sand”."""
    until: datetime
    """When that changes."""
    open_now: bool
    closes: bool = False
    """It is open and will close by itself."""
    missed: bool = False
    """It closed, and nothing was done in it."""
    of_list: bool = False
    """It runs after a line of the reassembly list, and not after an operation."""


def countdowns(book: Book | Whole, now: datetime) -> tuple[Countdown, ...]:
    """Every wait that runs over all units, with its window: what closes first is first, then what opens next.

    A joint that a line of the reassembly made anew is told as long as it sets.
    """
    whole = whole_of(book)
    now = shop_time(now, whole.shop)
    joints = (
        Countdown(s.code, x.code, x.what, f"sets until {moment_words(x.until, now)}", x.until, False, of_list=True)
        for s in whole.standings
        if s.stage not in AT_REST
        for x in s.setting
        if now < x.until
    )
    return _in_turn((*countdowns_of_work(whole.book, now), *joints))


def countdowns_of_work(book: Book, now: datetime) -> tuple[Countdown, ...]:
    """Those of operations alone."""
    now = shop_time(now, book.shop)
    book = book_with_usual_waits(book)
    return _in_turn(
        c
        for unit in book.units.values()
        if unit.stage not in AT_REST
        for operation in unit.operations
        if (c := _countdown(unit, operation, now)) is not None
    )


def _in_turn(found: Iterable[Countdown]) -> tuple[Countdown, ...]:
    return tuple(sorted(found, key=lambda c: (not c.closes, c.open_now, c.until)))


def _countdown(unit: Unit, operation: Operation, now: datetime) -> Countdown | None:
    if operation.state is not WorkState.DONE:
        if not operation.times_done or operation.started_at is not None:
            return None
        operation = as_done_once(operation)
    elif any(operation.code in o.after and o.state is not WorkState.TO_DO for o in unit.operations):
        return None
    if operation.wait is None or operation.done_at is None:
        return None
    return _now_in(unit, operation, operation.wait, operation.done_at, now)


def _now_in(unit: Unit, operation: Operation, wait: Wait, done: datetime, now: datetime) -> Countdown | None:
    """Where now is between the end of the work and the last of its three numbers."""
    head = (unit.code, operation.code, operation.name)
    opens = done + timedelta(minutes=wait.earliest)
    if now < opens:
        return Countdown(*head, f"opens {moment_words(opens, now)}", opens, open_now=False)
    if wait.latest is None:
        return None
    ends = done + timedelta(minutes=wait.latest)
    missed = operation.if_missed or "sand"
    if now <= ends:
        return Countdown(
            *head, f"open until {moment_words(ends, now)}, else {missed}", ends, open_now=True, closes=True
        )
    again = done + timedelta(minutes=wait.latest if wait.after_sanding is None else wait.after_sanding)
    if now < again:
        words = f"MISSED: forbidden until {moment_words(again, now)}, then {missed}"
        return Countdown(*head, words, again, open_now=False, missed=True)
    minutes = f", {hours_and_minutes(operation.if_missed_minutes)}" if operation.if_missed_minutes else ""
    return Countdown(*head, f"MISSED: first {missed}{minutes}", again, open_now=True, missed=True)
