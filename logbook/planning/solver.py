"""The problem of time as a model for OR-Tools' CP-SAT: some tasks may move, the others stay where they are.

What is not free is work of the same person that stands fixed; this and a complete hint were measured to be what
makes the solver start from the plan that stands (see DEVELOPERS.md).
"""

from __future__ import annotations

import importlib.util
from collections.abc import Collection, Iterable, Mapping
from math import gcd
from typing import Any, NamedTuple

from logbook.errors import InputError
from logbook.planning.bound import least_cost
from logbook.planning.plan_problem import (
    FREE,
    LATE,
    PERSON,
    Apart,
    Follow,
    PlanProblem,
    Schedule,
    Use,
    Window,
    cost,
    finishes,
)

DAY = 24 * 60


class Solved(NamedTuple):
    """What the solver came back with."""

    schedule: Schedule
    proven: bool
    """All open tasks might move, and no schedule costs less."""


def solver_installed() -> bool:
    """Whether the solver is there; without it the first plan still stands."""
    return importlib.util.find_spec("ortools") is not None


def wanted_solver() -> None:
    """Raises InputError with what to install when the solver is not there."""
    if not solver_installed():
        raise InputError(
            "The plan stands, but improving it needs OR-Tools. Install it with: pip install 'restorers-logbook[plan]'"
        )


def solved(
    problem: PlanProblem,
    schedule: Schedule,
    movable: Collection[str],
    *,
    rounds: float = 1.0,
    seed: int = 1,
    parts: bool = False,
    stay: Mapping[str, int] | None = None,
    seconds: float | None = None,
) -> Solved | None:
    """The best schedule found when only `movable` may move, never worse than `schedule`; None for none better.

    Args:
        problem: what is planned.
        schedule: a schedule that stands.
        movable: keys of the tasks that may move.
        rounds: work the solver may do, in its own deterministic unit, so that the answer is the same each time.
        seed: of the solver's own choices.
        parts: loosen small parts of the schedule again and again, which finds better ones sooner but proves nothing.
        stay: starts of an earlier plan; as few as possible are given up before anything else counts.
        seconds: a limit by the clock on top; the answer may then differ from one machine to the next.

    Raises:
        InputError: the solver is not installed.
    """
    wanted_solver()
    from ortools.sat.python import cp_model

    model = _Model(problem, schedule, movable, stay, parts=parts)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers, parameters.random_seed = 1, seed  # one thread: the same answer each time
    parameters.interleave_search = parameters.use_lns_only = parts
    parameters.cp_model_presolve = stay is not None
    parameters.max_deterministic_time = rounds
    if seconds is not None:
        parameters.max_time_in_seconds = seconds
    status = solver.solve(model.model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    proven = status == cp_model.OPTIMAL and len(model.movable) == model.open and model.weighed
    return Solved(model.read(solver), proven)


class _Model:
    """The CP-SAT model, in steps of the greatest length of time that divides everything."""

    def __init__(
        self,
        problem: PlanProblem,
        schedule: Schedule,
        movable: Collection[str],
        stay: Mapping[str, int] | None = None,
        *,
        parts: bool = False,
    ) -> None:
        from ortools.sat.python import cp_model

        self.problem, self.schedule = problem, schedule
        self.model = cp_model.CpModel()
        self.grid = _grid(problem, schedule)
        reach = 0 if parts or stay is not None else self._reach()
        self.horizon = max(self._horizon(), reach)
        self.movable = [k for k in schedule.starts if k in set(movable) and problem.tasks[k].fixed is None]
        self.open = sum(problem.tasks[k].fixed is None for k in schedule.starts)
        self.weighed = reach > 0
        self.start = {k: self._start(k) for k in self.movable}
        self.missed: dict[int, tuple[Any, Any]] = {}
        self.person: list[Any] = []
        for number, follow in enumerate(problem.follows):
            self._follow(number, follow)
        self._limits()
        self._hours()
        for rule in problem.apart:
            self._apart(rule)
        total = self._goals()
        moved = self._stay(stay) if stay is not None else 0
        self.model.minimize(total + moved * (10 * self._worst() + 1))

    def read(self, solver: Any) -> Schedule:
        """The schedule of a solution."""
        starts = {**self.schedule.starts, **{k: solver.value(v) * self.grid for k, v in self.start.items()}}
        inserted = {n: at for n, at in self.schedule.inserted.items() if n not in self.missed}
        inserted |= {n: solver.value(at) * self.grid for n, (z, at) in self.missed.items() if solver.value(z)}
        return Schedule(starts, inserted, self.schedule.unplaced)

    def _horizon(self) -> int:
        """The end of the schedule and a day, because a horizon too short gives no plan at all."""
        problem = self.problem
        ends = [at + problem.tasks[k].minutes for k, at in self.schedule.starts.items()]
        ends += [at + problem.follows[n].work for n, at in self.schedule.inserted.items()]
        return (max(ends, default=problem.start) + DAY) // self.grid

    def _reach(self) -> int:
        """How late anything can end in a schedule that costs no more: only within it is a proof one."""
        spare = cost(self.problem, self.schedule) - least_cost(self.problem, self.schedule)
        ends = finishes(self.problem, self.schedule)
        goals = {g.unit: g for g in self.problem.goals}
        if any(unit not in goals or not goals[unit].weight for unit in ends):
            return 0
        return max((end + spare // goals[unit].weight for unit, end in ends.items()), default=0) // self.grid + 1

    def _start(self, key: str) -> Any:
        task = self.problem.tasks[key]
        first = -(-max(self.problem.start, task.earliest) // self.grid)
        variable = self.model.new_int_var(first, max(first, self.horizon - task.minutes // self.grid), key)
        self.model.add_hint(variable, self.schedule.starts[key] // self.grid)
        return variable

    def _at(self, key: str) -> Any:
        return self.start[key] if key in self.start else self.schedule.starts[key] // self.grid

    def _minutes(self, key: str) -> int:
        return self.problem.tasks[key].minutes // self.grid

    def _span(self, start: Any, length: int) -> Any:
        return self.model.new_fixed_size_interval_var(start, length, "")

    def _follow(self, number: int, follow: Follow) -> None:
        placed = self.schedule.starts
        if follow.earlier not in placed or follow.later not in placed:
            return
        if follow.earlier not in self.start and follow.later not in self.start:
            return
        g, model = self.grid, self.model
        end, later = self._at(follow.earlier) + self._minutes(follow.earlier), self._at(follow.later)
        model.add(later >= end + follow.least // g)
        if follow.latest is None or self.problem.tasks[follow.later].fixed is not None:
            return
        missed, at = model.new_bool_var(""), model.new_int_var(self.problem.start // g, self.horizon, "")
        self.missed[number] = (missed, at)
        model.add(later <= end + follow.latest // g).only_enforce_if(~missed)
        model.add(at >= end + follow.again // g).only_enforce_if(missed)
        model.add(later >= at + (follow.work + follow.settle) // g).only_enforce_if(missed)
        self.person.append(model.new_optional_fixed_size_interval_var(at, follow.work // g, missed, ""))
        was = self.schedule.inserted.get(number)
        model.add_hint(missed, was is not None)
        model.add_hint(at, self.problem.start // g if was is None else was // g)

    def _standing(self, limit: str) -> list[tuple[int, int, int]]:
        """What the tasks that stay take of a limit."""
        spans = []
        for key, at in self.schedule.starts.items():
            if key not in self.start:
                task = self.problem.tasks[key]
                spans += [(at, at + task.minutes + u.after, u.number) for u in task.uses if u.limit == limit]
        if limit == PERSON:
            spans += [
                (at, at + self.problem.follows[n].work, 1)
                for n, at in self.schedule.inserted.items()
                if n not in self.missed
            ]
        return [(a // self.grid, b // self.grid, n) for a, b, n in spans if b > a]

    def _limits(self) -> None:
        moving: dict[str, list[tuple[str, Use]]] = {}
        for key in self.movable:
            for use in self.problem.tasks[key].uses:
                moving.setdefault(use.limit, []).append((key, use))
        if self.person:
            moving.setdefault(PERSON, [])
        for limit, users in moving.items():
            most = self.problem.limit(limit)
            if most is None:
                continue
            spans = [
                self._span(self.start[k], (self.problem.tasks[k].minutes + u.after) // self.grid) for k, u in users
            ]
            if limit == PERSON:
                spans += self.person
            standing = _profile(self._standing(limit), most)
            if most == 1:
                if limit == PERSON and self._all_in_free():
                    standing = [*standing, *((a, b, 1) for a, b in self._closed(FREE))]
                blocks = _merged((a, b) for a, b, _ in standing)
                self.model.add_no_overlap([*spans, *(self._span(a, b - a) for a, b in blocks)])
            else:
                demands = [u.number for _, u in users] + [1] * (len(spans) - len(users))
                blocks3 = [(self._span(a, b - a), n) for a, b, n in standing]
                self.model.add_cumulative(
                    [*spans, *(s for s, _ in blocks3)], [*demands, *(n for _, n in blocks3)], most
                )

    def _all_in_free(self) -> bool:
        """Whether all work by hand that may move lies in free hours, so that what is not free is one list."""
        moving = [self.problem.tasks[k] for k in self.movable]
        by_hand = [t for t in moving if any(u.limit == PERSON for u in t.uses)]
        free = self.problem.hours.get(FREE, ())
        return all(t.hours == FREE or (t.hours and _inside(self.problem.hours[t.hours], free)) for t in by_hand)

    def _closed(self, hours: str) -> list[Window]:
        """What does not belong to the hours, up to past the horizon."""
        inner = [(-(-a // self.grid), b // self.grid) for a, b in self.problem.hours.get(hours, ())]
        inner = [(a, b) for a, b in inner if b > self.problem.start // self.grid and a <= self.horizon]
        edges = [self.problem.start // self.grid - 1, *(x for w in inner for x in w), self.horizon + 2 * DAY]
        pairs = zip(edges[::2], edges[1::2], strict=True)
        return [(a, b) for a, b in pairs if b > a]

    def _hours(self) -> None:
        by_hours: dict[str, list[Any]] = {}
        for key in self.movable:
            task = self.problem.tasks[key]
            if task.hours and task.minutes:
                by_hours.setdefault(task.hours, []).append(self._span(self.start[key], self._minutes(key)))
        one_list = self._all_in_free() and self.problem.limit(PERSON) == 1
        if self.person and not one_list:
            by_hours.setdefault(FREE, []).extend(self.person)
        for hours, spans in by_hours.items():
            if hours == FREE and one_list:
                continue
            closed = [self._span(a, b - a) for a, b in self._closed(hours)]
            for span in spans:
                self.model.add_no_overlap([span, *closed])

    def _apart(self, rule: Apart) -> None:
        for side, against in ((rule.one, rule.other), (rule.other, rule.one)):
            standing = [(k, tail) for k, tail in against if k in self.schedule.starts and k not in self.start]
            blocks = _merged(
                (self._at(k), self._at(k) + self._minutes(k) + -(-tail // self.grid)) for k, tail in standing
            )
            for key, tail in side:
                if key in self.start and blocks:
                    span = self._span(self.start[key], self._minutes(key) + -(-tail // self.grid))
                    self.model.add_no_overlap([span, *(self._span(a, b - a) for a, b in blocks)])
        for one, tail in rule.one:
            for other, rest in rule.other:
                if one != other and one in self.start and other in self.start:
                    a = self._span(self.start[one], self._minutes(one) + -(-tail // self.grid))
                    b = self._span(self.start[other], self._minutes(other) + -(-rest // self.grid))
                    self.model.add_no_overlap([a, b])

    def _goals(self) -> Any:
        ends: dict[str, list[str]] = {}
        inner = {f.earlier for f in self.problem.follows if self._same_unit(f)}
        for key in self.schedule.starts:
            if key not in inner:
                ends.setdefault(self.problem.tasks[key].unit, []).append(key)
        was = finishes(self.problem, self.schedule)
        total: Any = 0
        for goal in self.problem.goals:
            last = ends.get(goal.unit, [])
            if not any(k in self.start for k in last):
                continue
            finish = self.model.new_int_var(self._least_end(last), self.horizon, "")
            self.model.add_hint(finish, was[goal.unit] // self.grid)
            for key in last:
                if key in self.start:
                    self.model.add(finish >= self.start[key] + self._minutes(key))
            total = total + goal.weight * finish
            if goal.due is not None:
                due = goal.due // self.grid
                late = self.model.new_int_var(0, max(1, self.horizon - min(due, 0)), "")
                self.model.add_hint(late, max(0, was[goal.unit] // self.grid - due))
                self.model.add(late >= finish - due)
                total = total + goal.weight * LATE * late
        return total

    def _same_unit(self, follow: Follow) -> bool:
        placed, tasks = self.schedule.starts, self.problem.tasks
        both = follow.earlier in placed and follow.later in placed
        return both and tasks[follow.earlier].unit == tasks[follow.later].unit and follow.least >= 0

    def _least_end(self, keys: Iterable[str]) -> int:
        standing = [self._at(k) + self._minutes(k) for k in keys if k not in self.start]
        return max(standing, default=min(0, self.problem.start // self.grid))

    def _stay(self, stay: Mapping[str, int]) -> Any:
        total: Any = 0
        for key in self.movable:
            if key in stay and stay[key] % self.grid == 0:
                moved = self.model.new_bool_var("")
                self.model.add(self.start[key] == stay[key] // self.grid).only_enforce_if(~moved)
                self.model.add_hint(moved, self.schedule.starts[key] != stay[key])
                total = total + moved
        return total

    def _worst(self) -> int:
        """More than the objective can be, so that staying counts before everything else."""
        return sum(g.weight * (1 + LATE) * (self.horizon + 1) for g in self.problem.goals) // 10 + 1


def _grid(problem: PlanProblem, schedule: Schedule) -> int:
    """The greatest length of time that divides every start, length and wait."""
    numbers = [problem.start, *schedule.starts.values(), *schedule.inserted.values()]
    for task in problem.tasks.values():
        numbers += [task.minutes, task.earliest, *(u.after for u in task.uses)]
    for f in problem.follows:
        numbers += [f.least, f.latest or 0, f.again, f.work, f.settle]
    numbers += [tail for rule in problem.apart for _, tail in (*rule.one, *rule.other)]
    numbers += [goal.due or 0 for goal in problem.goals]
    numbers += [x for windows in problem.hours.values() for window in windows for x in window]
    return gcd(*numbers) or 1


def _merged(spans: Iterable[Window]) -> list[Window]:
    merged: list[Window] = []
    for a, b in sorted(spans):
        if merged and a <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(b, merged[-1][1]))
        elif b > a:
            merged.append((a, b))
    return merged


def _profile(spans: Iterable[tuple[int, int, int]], most: int) -> list[tuple[int, int, int]]:
    """How much is taken from when to when, never more than there is: what was done already may have been more."""
    change: dict[int, int] = {}
    for a, b, n in spans:
        change[a] = change.get(a, 0) + n
        change[b] = change.get(b, 0) - n
    out, now, since = [], 0, 0
    for at in sorted(change):
        if now and at > since:
            out.append((since, at, min(now, most)))
        now, since = now + change[at], at
    return out


def _inside(inner: Iterable[Window], outer: Iterable[Window]) -> bool:
    outer = tuple(outer)
    return all(any(a <= x and y <= b for a, b in outer) for x, y in inner)
