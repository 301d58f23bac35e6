"""Random problems of time for tests, and the published ones read from their files."""

from __future__ import annotations

import csv
from itertools import islice
from pathlib import Path

from hypothesis import strategies as st

from logbook.planning.improve import Improved, improvements
from logbook.planning.plan_problem import FREE, PERSON, Apart, Follow, Goal, PlanProblem, Schedule, Task, Use, Window

DATA = Path(__file__).parent.parent / "data" / "plan"
DAY = 24 * 60


def week(*windows: tuple[int, float, float], weeks: int = 12) -> tuple[Window, ...]:
    """Windows of (weekday from 0, from hour, to hour), for so many weeks."""
    return tuple(
        (int(w * 7 * DAY + day * DAY + a * 60), int(w * 7 * DAY + day * DAY + b * 60))
        for w in range(weeks)
        for day, a, b in windows
    )


EVENINGS = week((1, 19, 21), (3, 19, 21), (5, 9, 12.5), (5, 13.5, 17), (6, 10, 12.5))


def task(key: str, minutes: int = 30, unit: str = "", **more: object) -> Task:
    """A task by hand in free hours."""
    uses = more.pop("uses", ())
    assert isinstance(uses, tuple)
    return Task(key, unit or key.partition("/")[0], minutes, (Use(PERSON), *uses), **more)  # type: ignore[arg-type]


def problem(*tasks: Task, follows: tuple[Follow, ...] = (), free: tuple[Window, ...] = EVENINGS, **more) -> PlanProblem:
    """A problem in which every unit counts alike."""
    units = dict.fromkeys(t.unit for t in tasks)
    more.setdefault("goals", tuple(Goal(u) for u in units))
    more.setdefault("hours", {FREE: free})
    return PlanProblem({t.key: t for t in tasks}, follows, **more)


@st.composite
def problems(draw: st.DrawFn, most: int = 14) -> PlanProblem:
    """Random operations with waits and windows, limits, free hours, things done already, and what is kept apart."""
    count = draw(st.integers(1, most))
    lengths = st.sampled_from((15, 30, 45, 60, 90, 120))
    tasks, follows = [], []
    for i in range(count):
        unit = draw(st.sampled_from("ABC"))
        uses = []
        if draw(st.integers(0, 3)) == 0:
            uses.append(Use("clamps", draw(st.integers(1, 6)), draw(st.sampled_from((0, 60, 240)))))
        if draw(st.integers(0, 3)) == 0:
            uses.append(Use("finishing place", 1, draw(st.sampled_from((0, 360)))))
        fixed = draw(st.sampled_from((None, None, None, None, -600, -60)))
        hours = draw(st.sampled_from((FREE, FREE, FREE, "loud", "")))
        earliest = draw(st.sampled_from((0, 0, 0, 3 * DAY)))
        key = f"{unit}/{i}"
        tasks.append(Task(key, unit, draw(lengths), (Use(PERSON), *uses), hours, earliest, fixed))
        for j in draw(st.lists(st.integers(0, i - 1), max_size=2, unique=True)) if i else []:
            least = draw(st.sampled_from((0, 0, 60, 360, 1440)))
            wait = Follow(tasks[j].key, key, least)
            if draw(st.integers(0, 2)) == 0:
                latest = least + draw(st.sampled_from((0, 60, 1080)))
                again = latest + draw(st.sampled_from((0, 2880)))
                wait = wait._replace(latest=latest, again=again, work=draw(st.sampled_from((15, 30))))
                wait = wait._replace(settle=draw(st.sampled_from((0, 60))))
            follows.append(wait)
    keys = [t.key for t in tasks]
    some = st.lists(st.tuples(st.sampled_from(keys), st.sampled_from((0, 120))), min_size=1, max_size=3)
    apart = (Apart(tuple(draw(some)), tuple(draw(some)), "x"),) if draw(st.booleans()) else ()
    weeks = draw(st.sampled_from((1, 12)))
    free = week((1, 19, 21), (3, 19, 21), (5, 9, 12.5), (5, 13.5, 17), (6, 10, 12.5), weeks=weeks)
    loud = week((1, 19, 20), (5, 9, 12.5), (5, 13.5, 17), weeks=weeks)
    units = dict.fromkeys(t.unit for t in tasks)
    due = st.sampled_from((None, None, 4 * DAY))
    goals = tuple(Goal(u, draw(st.integers(1, 3)), draw(due)) for u in units)
    limits = {PERSON: 1, "clamps": draw(st.integers(4, 10)), "finishing place": 1}
    return PlanProblem({t.key: t for t in tasks}, tuple(follows), limits, {FREE: free, "loud": loud}, apart, goals)


def published(name: str) -> tuple[PlanProblem, dict[str, int], int]:
    """A published instance, one optimal schedule of it, and its optimum."""
    rows = list(csv.DictReader((DATA / f"{name}.csv").open(encoding="utf-8")))
    optima = {r["instance"]: r for r in csv.DictReader((DATA / "optima.csv").open(encoding="utf-8"))}
    *jobs, capacity = rows
    resources = [c for c in capacity if c.startswith("r") and c[1:].isdigit()]
    tasks = {}
    for job in jobs:
        uses = tuple(Use(r, int(job[r])) for r in resources if int(job[r]))
        tasks[job["job"]] = Task(job["job"], "project", int(job["duration"]), uses, "")
    follows = tuple(Follow(job["job"], later) for job in jobs for later in job["successors"].split())
    limits = {r: int(capacity[r]) for r in resources}
    optimal = {job["job"]: int(job["start_in_one_optimal_schedule"]) for job in jobs}
    found = PlanProblem(tasks, follows, limits, goals=(Goal("project"),))
    return found, optimal, int(optima[name]["optimum_stated_kobe_repo"])


def improved(problem: PlanProblem, schedule: Schedule, rounds: int) -> Improved:
    """The best after so many rounds, or sooner when it is proven."""
    best = None
    for best in islice(improvements(problem, schedule), rounds + 1):
        if best.proven:
            break
    assert best is not None
    return best
