"""A better plan in rounds, each from the best so far: the same plan for the same number of rounds, on any machine.

First the turns of the units and of stretches of their work are shifted and the first plan made again from them;
then the solver loosens small parts of the plan, twice at once with different choices (see DEVELOPERS.md for what
was measured).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from random import Random
from typing import NamedTuple

from logbook.planning.bound import least_cost
from logbook.planning.first_plan import first_plan, ranked_plan, tails, usual_turns
from logbook.planning.no_room import never
from logbook.planning.plan_problem import PlanProblem, Schedule, cost
from logbook.planning.solver import Solved, solved, wanted_solver

SMALL = 60
"""Up to so many open tasks the whole is solved as well, which can prove that nothing is better."""
SHIFTING = 4
"""Rounds of shifting before the solver starts."""
SHIFTS = 50
"""Orders that are tried in one of them."""
WORK = 0.02
"""Work of the solver in a round, in its own deterministic unit; about half a second of a slow machine.

Many short searches with other choices each were measured to find better plans sooner than few long ones.
"""
PROVING = 0.05
"""Work of the search that tries to prove, in its first round; it grows by as much each round."""
DAY = 24 * 60
TURN = 20.0
"""Days between two units in turn: enough to place one unit's work before the next one's."""


class Improved(NamedTuple):
    """The best plan so far, and how far it can be from the best there is."""

    schedule: Schedule
    cost: int
    bound: int
    """No plan costs less."""
    proven: bool
    """This is the best there is."""
    rounds: int

    @property
    def gap(self) -> float:
        """How far the plan can be from the best, as a share of its own cost; 0 when it is proven best."""
        return 0.0 if self.proven or self.cost <= 0 else max(0.0, (self.cost - self.bound) / self.cost)


def improvements(
    problem: PlanProblem, schedule: Schedule, stop: Callable[[], bool] = lambda: False
) -> Iterator[Improved]:
    """The best so far, first as it stands, then after each round, without end unless nothing can be better.

    Args:
        problem: what is planned.
        schedule: a plan that stands.
        stop: asked between two tries of one round, which can be long in a large book; true ends the round early.

    Raises:
        InputError: the solver is not installed, and the rounds that need none are over.
    """
    bound = least_cost(problem, schedule)
    open_ = [k for k in schedule.starts if problem.tasks[k].fixed is None]
    now = _judged(Improved(schedule, cost(problem, schedule), bound, not open_, 0))
    yield now
    shifting = _Shifting(problem)
    while not now.proven and now.rounds < SHIFTING:
        now = _judged(_with(problem, now, [shifting.round(now.schedule, stop)]))
        yield now
    if now.proven:
        return
    wanted_solver()
    with ThreadPoolExecutor(2) as pool:
        while not now.proven:
            calls = _calls(problem, now.schedule, open_, now.rounds)
            found = [f for f in pool.map(lambda call: call(), calls) if f is not None]
            options = [tightened(problem, f.schedule) for f in found]
            proven = any(f.proven for f in found)
            now = _judged(_with(problem, now, options)._replace(proven=proven))
            yield now


def _calls(problem: PlanProblem, schedule: Schedule, open_: list[str], done: int) -> list[Callable[[], Solved | None]]:
    """The two searches of a round; of a small problem one tries to prove, longer each time."""
    parts = partial(solved, problem, schedule, open_, rounds=WORK, parts=True)
    first = partial(parts, seed=2 * done)
    if len(open_) > SMALL:
        return [first, partial(parts, seed=2 * done + 1)]
    return [first, partial(solved, problem, schedule, open_, rounds=PROVING * (done - SHIFTING + 1), seed=1)]


def _with(problem: PlanProblem, now: Improved, options: list[Schedule]) -> Improved:
    same = [o for o in options if o.starts.keys() == now.schedule.starts.keys()]
    best = min([now.schedule, *same], key=partial(cost, problem))  # the first of equals
    return now._replace(schedule=best, cost=cost(problem, best), rounds=now.rounds + 1)


def _judged(now: Improved) -> Improved:
    return now._replace(proven=True) if now.cost <= now.bound else now


def tightened(problem: PlanProblem, schedule: Schedule) -> Schedule:
    """The same order with everything as early as it goes, where that does not cost more."""
    early = first_plan(problem, before=schedule.starts)
    same = early.starts.keys() == schedule.starts.keys()
    return early if same and cost(problem, early) <= cost(problem, schedule) else schedule


class _Shifting:
    """Shifts the turn of a unit, of a stretch of its work, or of two units, and makes the first plan again."""

    def __init__(self, problem: PlanProblem) -> None:
        self.problem, self.random = problem, Random(1)  # noqa: S311 - the same choices each time are wanted
        turns = {unit: i for i, unit in enumerate(usual_turns(problem))}
        rest = tails(problem)
        self.unplaced = never(problem)
        self.keys = {k: turns[t.unit] * TURN - rest[k] / DAY for k, t in problem.tasks.items()}
        self.units: dict[str, list[str]] = {}
        for key, task in problem.tasks.items():
            if task.fixed is None:
                self.units.setdefault(task.unit, []).append(key)

    def round(self, best: Schedule, stop: Callable[[], bool]) -> Schedule:
        """The best after so many shifts, or until it is to stop; `best` itself when none is better."""
        least = cost(self.problem, best)
        for _ in range(SHIFTS):
            if stop():
                break
            keys = self._shifted()
            option = ranked_plan(self.problem, keys, self.unplaced)
            if option.starts.keys() == best.starts.keys() and (price := cost(self.problem, option)) <= least:
                self.keys = keys
                best, least = (option, price) if price < least else (best, least)
        return best

    def _shifted(self) -> dict[str, float]:
        keys, random, units = dict(self.keys), self.random, sorted(self.units)
        kind, unit = random.random(), random.choice(units)
        mine = self.units[unit]
        if kind < 0.4:
            _shift(keys, mine, random.uniform(-30, 30))
        elif kind < 0.8 or len(units) < 2:
            first = random.randrange(len(mine))
            _shift(keys, mine[first : first + random.randint(1, 10)], random.uniform(-60, 60))
        else:
            other = self.units[random.choice([u for u in units if u != unit])]
            between = keys[mine[0]] - keys[other[0]]
            _shift(keys, mine, -between)
            _shift(keys, other, between)
        return keys


def _shift(keys: dict[str, float], some: list[str], by: float) -> None:
    for key in some:
        keys[key] += by
