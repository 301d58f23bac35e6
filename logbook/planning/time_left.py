"""How long an operation still takes."""

from __future__ import annotations

from logbook.model.measures import Effort
from logbook.model.words import WorkState
from logbook.model.work import Operation

LEAST_LEFT = 5
"""Minutes that work begun still takes at least, however long it has taken."""


def left(operation: Operation) -> Effort | None:
    """Busy time that an operation still takes, all of its times together; None when nobody estimated it.

    Of one that is done several times, the times that are still to come take their equal share. Of one that is begun
    the minutes spent are taken off, but never more than leaves a little to do: it is not done yet.
    """
    effort = operation.effort
    if effort is None:
        return None
    if operation.times > 1:
        to_come = max(1, operation.times - operation.times_done)
        low, likely, high = (-(-m // operation.times) * to_come for m in (effort.low, effort.likely, effort.high))
        return Effort(low=low, likely=likely, high=high)
    spent = operation.spent or 0
    if operation.state is not WorkState.DOING or not spent:
        return effort
    low, likely, high = (max(LEAST_LEFT, m - spent) for m in (effort.low, effort.likely, effort.high))
    return Effort(low=low, likely=likely, high=high)


def left_of_next(operation: Operation) -> int | None:
    """Likely minutes of what is done next of it: of the next of its times, else of all that is left."""
    whole = left(operation)
    if whole is None or operation.times < 2:
        return None if whole is None else whole.likely
    return whole.likely // max(1, operation.times - operation.times_done)
