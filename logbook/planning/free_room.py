"""Where there is still room: what is taken of the person, the limits and the air, and the next time a task fits."""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterator

from logbook.planning.plan_problem import FREE, PERSON, PlanProblem, Task, Use

_Span = tuple[int, int, int]


class Room:
    """What is taken so far. Tasks are put in and lifted out again; nothing is checked on putting in."""

    def __init__(self, problem: PlanProblem) -> None:
        self._problem = problem
        self._windows = {
            name: ([a for a, _ in windows], [b for _, b in windows]) for name, windows in problem.hours.items()
        }
        self._taken: dict[str, list[_Span]] = {name: [] for name in (*problem.limits, PERSON)}
        self._sides: dict[str, list[tuple[list[tuple[int, int, str]], list[tuple[int, int, str]], int]]] = {}
        for rule in problem.apart:
            one: list[tuple[int, int, str]] = []
            other: list[tuple[int, int, str]] = []
            for key, tail in rule.one:
                self._sides.setdefault(key, []).append((one, other, tail))
            for key, tail in rule.other:
                self._sides.setdefault(key, []).append((other, one, tail))

    def put(self, task: Task, start: int) -> None:
        """Take what the task needs from `start` on."""
        for use in task.uses:
            if use.limit in self._taken:
                insort(self._taken[use.limit], (start, start + task.minutes + use.after, use.number))
        for own, _, tail in self._sides.get(task.key, ()):
            insort(own, (start, start + task.minutes + tail, task.key))

    def lift(self, task: Task, start: int) -> None:
        """Give back what `put` took."""
        for use in task.uses:
            if use.limit in self._taken:
                self._taken[use.limit].remove((start, start + task.minutes + use.after, use.number))
        for own, _, tail in self._sides.get(task.key, ()):
            own.remove((start, start + task.minutes + tail, task.key))

    def fit(self, task: Task, earliest: int) -> int | None:
        """The first time from `earliest` on at which the task fits; None when there is none."""
        at: int | None = max(earliest, task.earliest, self._problem.start)
        while at is not None and (at := self._in_hours(task, at)) is not None:
            blocked = self._blocked_until(task, at)
            if blocked is None:
                return at
            at = blocked
        return None

    def _in_hours(self, task: Task, at: int) -> int | None:
        if not task.hours:
            return at
        starts, ends = self._windows.get(task.hours, ([], []))
        i = bisect_right(ends, at) if task.minutes else bisect_left(ends, at)
        while i < len(starts):
            at = max(at, starts[i])
            if at + task.minutes <= ends[i]:
                return at
            i += 1
        return None

    def _blocked_until(self, task: Task, at: int) -> int | None:
        """None when everything the task needs is free from `at` on, else a later time worth trying."""
        for use in task.uses:
            until = self._limit_blocks(use, at, at + task.minutes + use.after)
            if until is not None:
                return until
        for _, other, tail in self._sides.get(task.key, ()):
            end = at + task.minutes + tail
            for a, b, key in other:
                if a >= end:
                    break
                if b > at and key != task.key:
                    return b
        return None

    def _limit_blocks(self, use: Use, at: int, end: int) -> int | None:
        taken, most = self._taken.get(use.limit), self._problem.limit(use.limit)
        if not taken or most is None or end <= at:
            return None
        if most == 1:
            return next((b for _, b, _ in _meeting(taken, at, end)), None)
        meeting = list(_meeting(taken, at, end))
        for moment in [at, *(a for a, _, _ in meeting if a > at)]:
            now = [(a, b, n) for a, b, n in meeting if a <= moment < b]
            if sum(n for _, _, n in now) + use.number > most:
                return min(b for _, b, _ in now)
        return None

    def inserted(self, minutes: int, earliest: int) -> int | None:
        """The first time at which inserted work of so many minutes fits."""
        return self.fit(insertion(minutes), earliest)


def insertion(minutes: int) -> Task:
    """Inserted work as a task: it needs the person and free hours, nothing else."""
    return Task("", "", minutes, (Use(PERSON),), FREE)


def _meeting(taken: list[_Span], at: int, end: int) -> Iterator[_Span]:
    """The spans that meet `at` to `end`, in the order of their starts."""
    last = bisect_left(taken, (end,))
    return (span for span in taken[:last] if span[1] > at)
