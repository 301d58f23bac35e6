"""A plan at once: task after task goes to the first place where it fits, the most pressing first.

It always stands when there is one of this kind: a window that cannot be kept brings its inserted work. It is
the first plan shown, the start of every improvement, and the whole planner where no solver is installed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from heapq import heapify, heappop, heappush

from logbook.planning.free_room import Room, insertion
from logbook.planning.no_room import never, no_room
from logbook.planning.plan_problem import Follow, Goal, PlanProblem, Schedule, Task

AHEAD = 6
"""How many later starts are tried for a task whose follower would miss its window."""


def first_plan(problem: PlanProblem, units: Sequence[str] = (), before: Mapping[str, int] | None = None) -> Schedule:
    """A schedule that respects everything, made in one pass.

    Args:
        problem: what is to be planned.
        units: which unit goes before which; empty: the one with most weight for its work first, due dates before.
        before: starts of an earlier plan; its order is kept instead.
    """
    return PlanPass(problem, _ranks(problem, units, before)).run()


def ranked_plan(problem: PlanProblem, rank: Mapping[str, float], unplaced: Mapping[str, str] | None = None) -> Schedule:
    """A schedule made in one pass, of the tasks that can be placed the lowest rank first.

    Args:
        problem: what is to be planned.
        rank: of each task.
        unplaced: what `never` says of the problem, where many plans are made of one.
    """
    place = {key: i for i, key in enumerate(problem.tasks)}
    return PlanPass(problem, {key: (rank[key], place[key]) for key in problem.tasks}, unplaced).run()


class PlanPass:
    """One pass over the tasks."""

    def __init__(
        self, problem: PlanProblem, rank: Mapping[str, tuple[float, ...]], unplaced: Mapping[str, str] | None = None
    ) -> None:
        self.problem, self.rank, self.room = problem, rank, Room(problem)
        self.into: dict[str, list[tuple[int, Follow]]] = {key: [] for key in problem.tasks}
        self.out: dict[str, list[Follow]] = {key: [] for key in problem.tasks}
        for number, follow in enumerate(problem.follows):
            self.into[follow.later].append((number, follow))
            self.out[follow.earlier].append(follow)
        self.starts: dict[str, int] = {}
        self.inserted: dict[int, int] = {}
        self.unplaced = dict(never(problem) if unplaced is None else unplaced)

    def run(self) -> Schedule:
        """Every task in its turn."""
        self.begin()
        open_before = {
            key: sum(f.earlier not in self.starts for _, f in self.into[key])
            for key, task in self.problem.tasks.items()
            if task.fixed is None
        }
        ready = [(self.rank[key], key) for key, left in open_before.items() if not left]
        heapify(ready)
        while ready:
            _, key = heappop(ready)
            self.place(self.problem.tasks[key])
            for follow in self.out[key]:
                if follow.later in open_before:
                    open_before[follow.later] -= 1
                    if not open_before[follow.later]:
                        heappush(ready, (self.rank[follow.later], follow.later))
        for key in open_before:
            # Behind a circle nothing ever becomes ready.
            if key not in self.starts and key not in self.unplaced:
                self.unplaced[key] = self.waits_on(key)
        return Schedule(self.starts, self.inserted, self.unplaced)

    def begin(self) -> None:
        """What is done or begun stands where it is."""
        for task in self.problem.tasks.values():
            if task.fixed is not None:
                self.starts[task.key] = task.fixed
                self.room.put(task, task.fixed)

    def waits_on(self, key: str) -> str:
        """What without a place comes before a task, in a sentence; empty when everything before it has one."""
        missing = next((f.earlier for _, f in self.into[key] if f.earlier not in self.starts), None)
        return "" if missing is None else f"it waits for {missing}, which is not planned"

    def place(self, task: Task) -> None:
        """Give a task its place, or say why it has none."""
        if task.key in self.unplaced:
            return
        if waits := self.waits_on(task.key):
            self.unplaced[task.key] = waits
            return
        found = self.first(task, 0)
        if found is None:
            self.unplaced[task.key] = no_room(self.problem, task)
            return
        self.settle(task, self._kept_window(task, found))

    def settle(self, task: Task, found: tuple[int, dict[int, int]]) -> None:
        """Take the place that was found, with the work that has to be inserted before it."""
        start, brought = found
        self.starts[task.key] = start
        self.room.put(task, start)
        for number, at in brought.items():
            self.inserted[number] = at
            self.room.put(insertion(self.problem.follows[number].work), at)

    def first(self, task: Task, earliest: int) -> tuple[int, dict[int, int]] | None:
        """The first start from `earliest` on, with the work that has to be inserted before it."""
        bound, brought = earliest, dict[int, int]()
        for _, follow in self.into[task.key]:
            bound = max(bound, self._end(follow.earlier) + follow.least)
        start = self.room.fit(task, bound)
        while start is not None:
            missed = [
                (number, follow)
                for number, follow in self.into[task.key]
                if follow.latest is not None
                and number not in brought
                and start - self._end(follow.earlier) > follow.latest
            ]
            if not missed:
                return start, brought
            number, follow = missed[0]
            at = self._insert(follow, brought)
            if at is None:
                return None
            brought[number] = at
            start = self._after(task, max(start, at + follow.work + follow.settle), brought)
        return None

    def _insert(self, follow: Follow, brought: Mapping[int, int]) -> int | None:
        """Where the inserted work fits; work brought in for the same task is not there twice."""
        held = [(insertion(self.problem.follows[n].work), at) for n, at in brought.items()]
        for work, at in held:
            self.room.put(work, at)
        found = self.room.inserted(follow.work, self._end(follow.earlier) + follow.again)
        for work, at in held:
            self.room.lift(work, at)
        return found

    def _after(self, task: Task, earliest: int, brought: Mapping[int, int]) -> int | None:
        held = [(insertion(self.problem.follows[n].work), at) for n, at in brought.items()]
        for work, at in held:
            self.room.put(work, at)
        found = self.room.fit(task, earliest)
        for work, at in held:
            self.room.lift(work, at)
        return found

    def _end(self, key: str) -> int:
        return self.starts[key] + self.problem.tasks[key].minutes

    def _kept_window(self, task: Task, found: tuple[int, dict[int, int]]) -> tuple[int, dict[int, int]]:
        """A later start when it lets the follower keep its window and end sooner than missing it would."""
        follows = [f for f in self.out[task.key] if f.latest is not None and self._is_next(f)]
        if not follows:
            return found
        best, best_end = found, self.end_of_follower(task, found[0], follows[0])
        option = found
        for _ in range(AHEAD):
            if best_end is not None and not best_end[1]:
                break
            later = self.first(task, self._next_window(task, option[0]))
            if later is None:
                break
            option = later
            end = self.end_of_follower(task, option[0], follows[0])
            if end is not None and (best_end is None or end[0] < best_end[0]):
                best, best_end = option, end
        return best

    def _next_window(self, task: Task, start: int) -> int:
        windows = self.problem.hours.get(task.hours, ())
        return next((a for a, _ in windows if a > start), start + max(1, task.minutes))

    def _is_next(self, follow: Follow) -> bool:
        others = (f.earlier for _, f in self.into[follow.later] if f is not follow)
        open_ = follow.later not in self.starts and follow.later not in self.unplaced
        return open_ and all(o in self.starts for o in others)

    def end_of_follower(self, task: Task, start: int, follow: Follow) -> tuple[int, bool] | None:
        """When the follower would end if the task started then, and whether its window would be missed."""
        self.starts[task.key] = start
        self.room.put(task, start)
        later = self.problem.tasks[follow.later]
        found = self.first(later, 0)
        self.room.lift(task, start)
        del self.starts[task.key]
        return None if found is None else (found[0] + later.minutes, bool(found[1]))


def _ranks(problem: PlanProblem, units: Sequence[str], before: Mapping[str, int] | None) -> dict[str, tuple[int, ...]]:
    """The lower, the sooner a task is placed."""
    place = {key: i for i, key in enumerate(problem.tasks)}
    if before is not None:
        far = max(before.values(), default=0) + 1
        return {key: (before.get(key, far), place[key]) for key in problem.tasks}
    turn = {unit: i for i, unit in enumerate(units or usual_turns(problem))}
    rest = tails(problem)
    return {key: (turn.get(task.unit, len(turn)), -rest[key], place[key]) for key, task in problem.tasks.items()}


def usual_turns(problem: PlanProblem) -> tuple[str, ...]:
    """Units in the order in which they are best finished: due ones by date, then most weight for the work left."""
    work: dict[str, int] = {}
    for task in problem.tasks.values():
        work[task.unit] = work.get(task.unit, 0) + (task.minutes if task.fixed is None else 0)
    goals = {goal.unit: goal for goal in problem.goals}

    def turn(unit: str) -> tuple[int, int, float]:
        goal = goals.get(unit, Goal(unit, 0))
        return (goal.due is None, goal.due or 0, work[unit] / goal.weight if goal.weight else float("inf"))

    return tuple(sorted(work, key=turn))


def tails(problem: PlanProblem) -> dict[str, int]:
    """The time from the start of each task to the end of the last that waits for it, waits included, nothing else.

    Tasks in a circle have only their own time.
    """
    out: dict[str, list[Follow]] = {}
    left = dict.fromkeys(problem.tasks, 0)
    for follow in problem.follows:
        out.setdefault(follow.earlier, []).append(follow)
        left[follow.earlier] += 1
    into: dict[str, list[Follow]] = {}
    for follow in problem.follows:
        into.setdefault(follow.later, []).append(follow)
    found = {key: task.minutes for key, task in problem.tasks.items()}
    ends = [key for key, count in left.items() if not count]
    while ends:
        key = ends.pop()
        for follow in into.get(key, ()):
            reach = problem.tasks[follow.earlier].minutes + follow.least + found[key]
            found[follow.earlier] = max(found[follow.earlier], reach)
            left[follow.earlier] -= 1
            if not left[follow.earlier]:
                ends.append(follow.earlier)
    return found
