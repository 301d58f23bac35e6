"""A new plan from now on that moves as little of the old one as it can, and nothing of what is done."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from logbook.planning.first_plan import PlanPass
from logbook.planning.plan_problem import Follow, PlanProblem, Schedule, Task
from logbook.planning.solver import solved


class Replanned(NamedTuple):
    """The new plan, and what moved."""

    schedule: Schedule
    moved: tuple[str, ...]
    """Tasks that have another start than in the old plan."""
    new: tuple[str, ...]
    """Tasks that the old plan did not have."""


def replanned(problem: PlanProblem, old: Mapping[str, int]) -> Replanned:
    """The old plan repaired in one pass: what can stay stays, what cannot goes to the first place around it.

    Args:
        problem: what is planned from now on; what is done or begun stands fixed in it.
        old: starts of the old plan; what lies before now and was not begun is moved.
    """
    return compared(problem, _Repair(problem, old).run(), old)


def fewest_moves(
    problem: PlanProblem, now: Replanned, old: Mapping[str, int], *, rounds: float = 1.0, seconds: float | None = 2.0
) -> Replanned:
    """The same with fewer moves, when the solver finds it in time; among as few moves the plan that costs less.

    Raises:
        InputError: the solver is not installed.
    """
    open_ = [k for k in now.schedule.starts if problem.tasks[k].fixed is None]
    found = solved(problem, now.schedule, open_, rounds=rounds, seconds=seconds, stay=old)
    if found is None:
        return now
    other = compared(problem, found.schedule, old)
    return other if len(other.moved) <= len(now.moved) else now


def compared(problem: PlanProblem, schedule: Schedule, old: Mapping[str, int]) -> Replanned:
    """A schedule, with what differs from the old starts."""
    open_ = {k: at for k, at in schedule.starts.items() if problem.tasks[k].fixed is None}
    moved = tuple(k for k, at in open_.items() if k in old and old[k] != at)
    return Replanned(schedule, moved, tuple(k for k in open_ if k not in old))


class _Repair(PlanPass):
    """The pass of the first plan, with what can stay put in before anything else."""

    def __init__(self, problem: PlanProblem, old: Mapping[str, int]) -> None:
        place = {key: i for i, key in enumerate(problem.tasks)}
        last = max(old.values(), default=0) + 1
        super().__init__(problem, {key: (float(old.get(key, last)), place[key]) for key in problem.tasks})
        self._old, self._kept = old, dict[str, int]()

    def begin(self) -> None:
        """What stands fixed, then everything that has its old place still free."""
        super().begin()
        for key in sorted(self._old, key=lambda k: (self._old[k], k)):
            task = self.problem.tasks.get(key)
            if task is not None and task.fixed is None and key not in self.unplaced:
                at = self._old[key]
                if self.room.fit(task, at) == at:
                    self._kept[key] = at
                    self.room.put(task, at)

    def place(self, task: Task) -> None:
        """Leave the task where it was when what comes before allows it, else give its place back and look anew."""
        kept = self._kept.get(task.key)
        if kept is not None:
            self.room.lift(task, kept)
            if not self.waits_on(task.key):
                found = self.first(task, kept)
                if found is not None and found[0] == kept:
                    self.settle(task, found)
                    return
        super().place(task)

    def end_of_follower(self, task: Task, start: int, follow: Follow) -> tuple[int, bool] | None:
        """As before, with the place that the follower still holds open to it."""
        later, kept = self.problem.tasks[follow.later], self._kept.get(follow.later)
        if kept is None:
            return super().end_of_follower(task, start, follow)
        self.room.lift(later, kept)
        found = super().end_of_follower(task, start, follow)
        self.room.put(later, kept)
        return found
