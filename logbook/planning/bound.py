"""How good any plan could be at best: a bound that no plan gets under, whatever found it."""

from __future__ import annotations

from bisect import bisect_left
from graphlib import TopologicalSorter
from itertools import accumulate

from logbook.planning.plan_problem import PERSON, Goal, PlanProblem, Schedule, price

MOST = 13
"""Units whose every order is compared; of more only the others' own ends count."""

LONG_AGO = -(10**9)


def least_cost(problem: PlanProblem, schedule: Schedule) -> int:
    """A cost that no schedule which places the same tasks as `schedule` can be under.

    Two things are certain: a unit cannot end before the longest chain of its own work and waits, started in
    free hours; and by the time so many units have ended, all their work has been done in free hours. The least
    over every order in which the units can end is found from set to set, so that each set is looked at once.
    """
    placed = set(schedule.starts)
    alone = _alone(problem, placed)
    work: dict[str, int] = {}
    for key in placed:
        task = problem.tasks[key]
        by_hand = bool(task.hours) and any(use.limit == PERSON for use in task.uses)
        work[task.unit] = work.get(task.unit, 0) + (task.minutes if by_hand and task.fixed is None else 0)
    goals = sorted((g for g in problem.goals if g.unit in alone), key=lambda g: -g.weight * work.get(g.unit, 0))
    rest = sum(price(g, alone[g.unit]) for g in goals[MOST:])
    return rest + _best_order(problem, goals[:MOST], alone, work)


def _alone(problem: PlanProblem, placed: set[str]) -> dict[str, int]:
    """When each unit could end if it had everything to itself."""
    ends: dict[str, int] = {}
    found: dict[str, int] = {}
    before: dict[str, list[tuple[str, int]]] = {}
    for follow in problem.follows:
        before.setdefault(follow.later, []).append((follow.earlier, follow.least))
    for key in _in_turn(placed, before):
        task = problem.tasks[key]
        if task.fixed is not None:
            found[key] = task.fixed + task.minutes
        else:
            ready = max((found[e] + least for e, least in before.get(key, ()) if e in placed), default=0)
            at = max(ready, task.earliest, problem.start)
            found[key] = _first_in(problem, task.hours, at, task.minutes)
        ends[task.unit] = max(ends.get(task.unit, found[key]), found[key])
    return ends


def _in_turn(placed: set[str], before: dict[str, list[tuple[str, int]]]) -> list[str]:
    graph = {key: [e for e, _ in before.get(key, ()) if e in placed] for key in sorted(placed)}
    return list(TopologicalSorter(graph).static_order())


def _first_in(problem: PlanProblem, hours: str, at: int, minutes: int) -> int:
    """The end of a task started in the first hours that hold it."""
    if not hours:
        return at + minutes
    return next(max(at, a) + minutes for a, b in problem.hours[hours] if max(at, a) + minutes <= b)


def _best_order(problem: PlanProblem, goals: list[Goal], alone: dict[str, int], work: dict[str, int]) -> int:
    """The least cost over every order in which the units end (Held and Karp 1962, over sets of units)."""
    clock, people = _Clock(problem), problem.limit(PERSON) or 1
    count = len(goals)
    total = [0] * (1 << count)
    best = [0] * (1 << count)
    for chosen in range(1, 1 << count):
        low = chosen & -chosen
        total[chosen] = total[chosen ^ low] + work[goals[low.bit_length() - 1].unit]
        done = clock.when(-(-total[chosen] // people))
        best[chosen] = min(
            best[chosen ^ (1 << i)] + price(goals[i], max(done, alone[goals[i].unit]))
            for i in range(count)
            if chosen >> i & 1
        )
    return best[-1]


class _Clock:
    """Tells when so many minutes of free time have passed."""

    def __init__(self, problem: PlanProblem) -> None:
        spans = sorted((max(a, problem.start), b) for w in problem.hours.values() for a, b in w if b > problem.start)
        merged: list[tuple[int, int]] = []
        for a, b in spans:
            if merged and a <= merged[-1][1]:
                merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
            else:
                merged.append((a, b))
        self._ends = [b for _, b in merged]
        self._passed = list(accumulate(b - a for a, b in merged))

    def when(self, minutes: int) -> int:
        if minutes <= 0 or not self._passed:
            return LONG_AGO  # nothing is to be done, which may have ended at any time
        i = bisect_left(self._passed, minutes)
        return self._ends[-1] if i == len(self._ends) else self._ends[i] - (self._passed[i] - minutes)
