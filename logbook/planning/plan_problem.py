"""The plan as a bare problem of time: tasks, what follows what, limits by number, hours, and what is kept apart.

All times are whole minutes from one origin, which the caller chooses. Nothing here knows a unit's record, so the
same problem serves the plan of a book and the published instances it is checked against.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

PERSON = "person"
"""The limit that everything done by hand uses."""
FREE = "free"
"""The hours in which inserted work may be done."""

Window = tuple[int, int]
"""A stretch of time, from and to, in minutes."""


class Use(NamedTuple):
    """What a task ties up of a limit, and for how long beyond its own end."""

    limit: str
    number: int = 1
    after: int = 0
    """Minutes beyond the end of the task: in the clamps, or wet."""


class Task(NamedTuple):
    """A piece of work that is done at one stretch."""

    key: str
    unit: str
    minutes: int
    uses: tuple[Use, ...] = (Use(PERSON),)
    hours: str = FREE
    """Name of the hours in which it can be done; empty: at any time."""
    earliest: int = 0
    """Not before this, such as the day a part comes."""
    fixed: int | None = None
    """Where it stands already, done or begun; it does not move and need not lie in free hours."""
    blocked: str = ""
    """Why it cannot be done at all as the record is, in words; empty when nothing but time is in the way."""


class Follow(NamedTuple):
    """`later` comes after `earlier`, not before the wait between them is over."""

    earlier: str
    later: str
    least: int = 0
    """Minutes from the end of the earlier to the start of the later."""
    latest: int | None = None
    """Up to this without anything inserted; None: no limit."""
    again: int = 0
    """When the latest was missed: the inserted work may start from this on."""
    work: int = 0
    """Minutes of the work that is inserted when the latest was missed."""
    settle: int = 0
    """Minutes from the end of the inserted work to the start of the later."""


class Apart(NamedTuple):
    """Two groups of tasks of which none of one may meet any of the other, each with its tail in minutes."""

    one: tuple[tuple[str, int], ...]
    other: tuple[tuple[str, int], ...]
    code: str = ""
    why: str = ""


class Goal(NamedTuple):
    """What a unit's end is worth."""

    unit: str
    weight: int = 1
    due: int | None = None


LATE = 10
"""A minute after the due date counts this many times."""


class PlanProblem(NamedTuple):
    """Everything a plan must respect."""

    tasks: Mapping[str, Task]
    """In their recorded order."""
    follows: tuple[Follow, ...] = ()
    limits: Mapping[str, int] = {}
    """How many there are; what is not named has no limit, but of the person there is one."""
    hours: Mapping[str, tuple[Window, ...]] = {}
    """Windows by name, sorted and apart."""
    apart: tuple[Apart, ...] = ()
    goals: tuple[Goal, ...] = ()
    start: int = 0
    """Now: nothing that is not fixed starts before."""

    def limit(self, name: str) -> int | None:
        """How many there are of something; None: as many as one likes."""
        return self.limits.get(name, 1 if name == PERSON else None)


class Schedule(NamedTuple):
    """When each task starts, what was inserted, and what has no place."""

    starts: Mapping[str, int]
    inserted: Mapping[int, int]
    """Start of the inserted work, by the number of the follow whose latest was missed."""
    unplaced: Mapping[str, str]
    """Why a task has no place, in a sentence."""


def finishes(problem: PlanProblem, schedule: Schedule) -> dict[str, int]:
    """When the last task of each unit ends."""
    ends: dict[str, int] = {}
    for key, start in schedule.starts.items():
        task = problem.tasks[key]
        ends[task.unit] = max(ends.get(task.unit, start), start + task.minutes)
    return ends


def price(goal: Goal, finish: int) -> int:
    """What it costs that a unit ends at `finish`: its weight for each minute, more of them once it is late."""
    late = 0 if goal.due is None else max(0, finish - goal.due)
    return goal.weight * (finish + LATE * late)


def cost(problem: PlanProblem, schedule: Schedule) -> int:
    """What a schedule costs: less is better. Only schedules that place the same tasks can be compared."""
    ends = finishes(problem, schedule)
    return sum(price(goal, ends[goal.unit]) for goal in problem.goals if goal.unit in ends)
