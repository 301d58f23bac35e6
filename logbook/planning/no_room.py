"""Which limit stands in the way when something cannot be planned, in a sentence a person can act on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

from logbook.model.measures import hours_and_minutes
from logbook.planning.plan_problem import PERSON, PlanProblem, Task

NAMES = {"free": "free time", "loud": "free time outside quiet hours", "helper": "free time with a helper",
         "loud helper": "free time with a helper, outside quiet hours"}  # fmt: skip
"""What the hours are called in a sentence."""


def never(problem: PlanProblem) -> Mapping[str, str]:
    """Tasks that no plan can place, with the reason: blocked, too much of a limit, too long at a stretch, a circle."""
    open_tasks = [task for task in problem.tasks.values() if task.fixed is None]
    longest = {hours: _longest(problem, hours) for hours in {task.hours for task in open_tasks}}
    found = {task.key: why for task in open_tasks if (why := task.blocked or _alone(problem, task, longest))}
    for circle in _circles(problem):
        for key in circle:
            found.setdefault(key, f"these wait on each other: {', '.join(circle)}")
    return found


def _longest(problem: PlanProblem, hours: str) -> int:
    """Minutes of the longest stretch of some hours that is still to come."""
    return max((end - max(begin, problem.start) for begin, end in problem.hours.get(hours, ())), default=0)


def _alone(problem: PlanProblem, task: Task, longest_of: Mapping[str, int]) -> str:
    for use in task.uses:
        most = problem.limit(use.limit)
        if most is not None and use.number > most:
            return f"it needs {use.number} {use.limit}, and there {'is' if most == 1 else 'are'} {most or 'none'}"
    if not task.hours:
        return ""
    longest = longest_of[task.hours]
    name = NAMES.get(task.hours, task.hours)
    if longest <= 0:
        return f"it needs {name}, and there is none"
    if task.minutes > longest:
        whole, most_words = hours_and_minutes(task.minutes), hours_and_minutes(longest)
        return f"it takes {whole} at a stretch, and the longest {name} is {most_words}"
    return ""


def no_room(problem: PlanProblem, task: Task) -> str:
    """Why a task that fits alone found no place: the hours written down end too soon."""
    windows = problem.hours.get(task.hours, ())
    if not any(b >= max(task.earliest, a) + task.minutes for a, b in windows):
        return "it cannot start before the last of the free time that is written down"
    name = NAMES.get(task.hours, task.hours)
    named = [u.limit for u in task.uses if u.limit != PERSON]
    also = f", or of {' and '.join(named)}" if named else ""
    return f"no {name}{also} is left for it before the free time that is written down ends"


def _circles(problem: PlanProblem) -> Iterator[tuple[str, ...]]:
    """Circles in what waits on what, each with its tasks in recorded order; together they break every circle."""
    into: dict[str, set[str]] = {key: set() for key, task in problem.tasks.items() if task.fixed is None}
    for follow in problem.follows:
        if follow.later in into and follow.earlier in into:
            into[follow.later].add(follow.earlier)
    place = {key: i for i, key in enumerate(problem.tasks)}
    while True:
        try:
            TopologicalSorter(into).prepare()
        except CycleError as error:
            circle = set(error.args[1])
            yield tuple(sorted(circle, key=place.__getitem__))
            into = {key: before - circle for key, before in into.items() if key not in circle}
        else:
            return
