"""What is left of an operation and of all the work of a unit: one figure for costs, work, what now and plan."""

from __future__ import annotations

from typing import NamedTuple

from logbook.model.measures import Effort
from logbook.model.unit import Unit
from logbook.model.words import WorkState
from logbook.model.work import Operation
from logbook.planning.operations import proposed
from logbook.planning.time_left import left
from logbook.planning.usual_work_lists import KnownUsualWork


class ToCome(NamedTuple):
    """One piece of work that is still to be done."""

    operation: Operation
    left: Effort | None
    """Busy time that it still takes; None while nobody has estimated it."""
    proposed: bool
    """It follows from the record and is not written down; its time is the usual one."""


def work_to_come(unit: Unit, usual: KnownUsualWork) -> tuple[ToCome, ...]:
    """All work of a unit that is not done: what was written down, then what follows from the record.

    Raises:
        InputError: the list of usual work lacks one that is needed here.
    """
    recorded = [ToCome(o, left(o), proposed=False) for o in unit.operations if o.state is not WorkState.DONE]
    following = [ToCome(p.operation, left(p.operation), proposed=True) for p in proposed(unit, usual)]
    return (*recorded, *following)


def worked_so_far(unit: Unit) -> int:
    """Minutes worked on a unit: what its steps and operations took; what was typed in all, where none says.

    A step that was recorded for a set stands for all of its members.
    """
    steps = sum(step.minutes or 0 for step in unit.steps if not step.planned)
    operations = sum(operation.spent or 0 for operation in unit.operations)
    return steps + operations or unit.minutes_worked
