"""What is being worked on, and for how long."""

from __future__ import annotations

from datetime import datetime, timedelta

from logbook.model.measures import hours_and_minutes
from logbook.model.unit import Book, Unit
from logbook.model.work import Operation


def running(book: Book) -> tuple[tuple[Unit, Operation], ...]:
    """What is being worked on, over all units."""
    return tuple((u, o) for u in book.units.values() for o in u.operations if o.started_at is not None)


def running_words(operation: Operation, now: datetime) -> str:
    """How long it has been worked on, against what was likely: `since 19:05, 25 min of 45`."""
    if operation.started_at is None:
        return ""
    gone = spent_so_far(operation, now)
    likely = None if operation.effort is None else -(-operation.effort.likely // max(1, operation.times))
    of = "" if likely is None else f" of {hours_and_minutes(likely)}"
    return f"since {operation.started_at.astimezone(now.tzinfo):%H:%M}, {hours_and_minutes(gone)}{of}"


def spent_so_far(operation: Operation, at: datetime) -> int:
    """Whole minutes used so far, rounded; a clock set back counts nothing."""
    assert operation.started_at is not None  # noqa: S101 - asked only of work that is being done
    gone = max(timedelta(), at - operation.started_at)
    return (operation.spent or 0) + round(gone / timedelta(minutes=1))
