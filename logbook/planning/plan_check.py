"""Checks a schedule against its problem, minute by minute where it matters, knowing nothing of how it was found."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.planning.plan_problem import FREE, PERSON, PlanProblem, Schedule


def faults(problem: PlanProblem, schedule: Schedule) -> tuple[str, ...]:
    """Everything that is wrong with a schedule, in sentences; empty when it can be worked as it stands."""
    checks = (_placed, _hours, _follows, _limits, _apart)
    return tuple(fault for check in checks for fault in check(problem, schedule))


def _placed(problem: PlanProblem, schedule: Schedule) -> Iterator[str]:
    for key, task in problem.tasks.items():
        if (key in schedule.starts) == (key in schedule.unplaced):
            yield f"{key} must either have a place or a reason why not."
        start = schedule.starts.get(key)
        if start is None:
            continue
        if task.fixed is not None:
            if start != task.fixed:
                yield f"{key} was moved from {task.fixed} to {start}, but stands where it was done."
        elif start < max(problem.start, task.earliest):
            yield f"{key} starts at {start}, before {max(problem.start, task.earliest)}."
    for key in (*schedule.starts, *schedule.unplaced):
        if key not in problem.tasks:
            yield f"{key} is not a task."


def _hours(problem: PlanProblem, schedule: Schedule) -> Iterator[str]:
    for key, start in schedule.starts.items():
        task = problem.tasks[key]
        if task.fixed is None and task.hours and not _within(problem, task.hours, start, task.minutes):
            yield f"{key} at {start} for {task.minutes} min does not lie in the hours “{task.hours}”."
    for number, start in schedule.inserted.items():
        work = problem.follows[number].work
        if start < problem.start:
            yield f"the work inserted before {problem.follows[number].later} starts at {start}, in the past."
        if not _within(problem, FREE, start, work):
            yield f"the work inserted before {problem.follows[number].later} lies outside the free hours."


def _within(problem: PlanProblem, hours: str, start: int, minutes: int) -> bool:
    return any(a <= start and start + minutes <= b for a, b in problem.hours.get(hours, ()))


def _follows(problem: PlanProblem, schedule: Schedule) -> Iterator[str]:
    for number, follow in enumerate(problem.follows):
        later = schedule.starts.get(follow.later)
        if later is None or problem.tasks[follow.later].fixed is not None:
            continue
        if follow.earlier not in schedule.starts:
            yield f"{follow.later} has a place, but {follow.earlier} before it has none."
            continue
        ended = schedule.starts[follow.earlier] + problem.tasks[follow.earlier].minutes
        if later - ended < follow.least:
            yield f"{follow.later} starts {later - ended} min after {follow.earlier}, not {follow.least}."
        inserted = schedule.inserted.get(number)
        if inserted is None:
            if follow.latest is not None and later - ended > follow.latest:
                yield f"{follow.later} misses the latest {follow.latest} min after {follow.earlier}: {later - ended}."
        elif inserted - ended < follow.again:
            yield f"the work inserted before {follow.later} comes {inserted - ended} min after, not {follow.again}."
        elif later < inserted + follow.work + follow.settle:
            yield f"{follow.later} starts before the inserted work is done."


def _limits(problem: PlanProblem, schedule: Schedule) -> Iterator[str]:
    used: dict[str, list[tuple[int, int, int, bool]]] = {}
    for key, start in schedule.starts.items():
        task = problem.tasks[key]
        for use in task.uses:
            end = start + task.minutes + use.after
            used.setdefault(use.limit, []).append((start, end, use.number, task.fixed is not None))
    for number, start in schedule.inserted.items():
        used.setdefault(PERSON, []).append((start, start + problem.follows[number].work, 1, False))
    for limit, spans in used.items():
        most = problem.limit(limit)
        if most is None:
            continue
        for at in sorted({start for start, *_ in spans}):
            now = [(n, fixed) for start, end, n, fixed in spans if start <= at < end]
            # What is done already may have gone over a limit; only what is still to come must keep to it.
            if sum(n for n, _ in now) > most and not all(fixed for _, fixed in now):
                yield f"{sum(n for n, _ in now)} of {most} {limit} at {at}."


def _apart(problem: PlanProblem, schedule: Schedule) -> Iterator[str]:
    for rule in problem.apart:
        for (one, tail), (other, rest) in ((a, b) for a in rule.one for b in rule.other):
            if one == other or one not in schedule.starts or other not in schedule.starts:
                continue
            a, b = (problem.tasks[key] for key in (one, other))
            first, second = schedule.starts[one], schedule.starts[other]
            meet = first < second + b.minutes + rest and second < first + a.minutes + tail
            if meet and (a.fixed is None or b.fixed is None):
                yield f"{one} and {other} meet: {rule.why or rule.code}."


def overlapping(problem: PlanProblem, schedule: Schedule, limit: str) -> int:
    """The most of a limit that is in use at once."""
    spans = [
        (schedule.starts[key], schedule.starts[key] + t.minutes + use.after, use.number)
        for key, t in problem.tasks.items()
        if key in schedule.starts
        for use in t.uses
        if use.limit == limit
    ]
    return max((sum(n for a, b, n in spans if a <= at < b) for at, _, _ in spans), default=0)
