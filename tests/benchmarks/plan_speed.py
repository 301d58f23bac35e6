"""How fast and how good the plan is: six units, about 120 open operations, one person, over eight to ten weeks.

Run by hand: `python -m tests.benchmarks.plan_speed [SECONDS] [SEED]`. The first plan and what now are counted in
processor time, medians of many; improving and re-planning by the clock on the wall, because they use two cores.
SECONDS is how long the long run is that the plan after ten seconds is measured against (60; 600 for the full
comparison). The invented instance: 15-minute steps, presses and glue-ups with 4 to 8 of 10 clamps, waits of 24 h, four
coats with recoat windows in one finishing place, 7 days of cure; 18.5 free hours a week.
"""

from __future__ import annotations

import statistics
import sys
import time
from datetime import UTC, datetime
from itertools import count
from random import Random

from logbook.model.templates import demo_documents
from logbook.model.unit import Book
from logbook.planning.first_plan import first_plan
from logbook.planning.improve import improvements
from logbook.planning.plan_check import faults
from logbook.planning.plan_problem import FREE, PERSON, Follow, Goal, PlanProblem, Schedule, Task, Use
from logbook.planning.replan import fewest_moves, replanned
from logbook.planning.what_now import what_now

DAY = 24 * 60
WEEK = {1: [(19, 21)], 3: [(19, 21)], 4: [(19, 21)], 5: [(9, 12.5), (13.5, 17)], 6: [(10, 12.5), (13.5, 16.5)]}


def instance(seed: int = 1, units: int = 6) -> PlanProblem:
    """Six cases to be built, wired, finished and put together."""
    random = Random(seed)
    tasks: dict[str, Task] = {}
    follows: list[Follow] = []
    goals = []
    for unit in (f"U{n + 1}" for n in range(units)):
        numbers = count(1)

        def add(
            minutes: int,
            *after: str,
            least: int = 0,
            uses: tuple[Use, ...] = (),
            unit: str = unit,
            numbers: count = numbers,
        ) -> str:
            key = f"{unit}/B{next(numbers):02d}"
            tasks[key] = Task(key, unit, minutes, (Use(PERSON), *uses))
            follows.extend(Follow(a, key, least) for a in after)
            return key

        lay = add(45)
        cuts = [add(random.choice((45, 60, 75)), lay) for _ in range(3)]
        presses = [add(60, cuts[k], uses=(Use("clamps", random.choice((4, 6)), 240),)) for k in range(2)]
        joinery = add(105, add(75, *presses, least=DAY), cuts[2])
        wiring = [add(random.choice((60, 90, 120)), lay) for _ in range(3)]
        glue = add(60, add(60, joinery), uses=(Use("clamps", random.choice((4, 6, 8)), 60),))
        stain = add(45, add(75, glue, least=DAY), uses=(Use("finishing place", 1, 120),))
        coat = add(30, stain, least=720, uses=(Use("finishing place", 1, 360),))
        for _ in range(3):
            before, coat = coat, add(30, uses=(Use("finishing place", 1, 360),))
            follows.append(Follow(before, coat, 360, DAY, 3 * DAY, 30))
        add(105, add(75, coat, least=7 * DAY), *wiring)
        goals.append(Goal(unit, random.choice((1, 1, 2, 3))))
    free = tuple(
        (int(w * 7 * DAY + d * DAY + a * 60), int(w * 7 * DAY + d * DAY + b * 60))
        for w in range(30)
        for d in range(7)
        for a, b in WEEK.get(d, [])
    )
    limits = {PERSON: 1, "clamps": 10, "finishing place": 1}
    return PlanProblem(tasks, tuple(follows), limits, {FREE: free}, (), tuple(goals))


def _median(run, times: int) -> float:
    spent = []
    for _ in range(times):
        begin = time.process_time()
        run()
        spent.append(time.process_time() - begin)
    return statistics.median(spent) * 1000


def improving(case: PlanProblem, seconds: float) -> Schedule:
    """Print how good the plan is after ten seconds against the whole time."""
    first = first_plan(case)
    begin, ten, last = time.monotonic(), None, None
    for now in improvements(case, first):
        last = now
        if time.monotonic() - begin <= 10:
            ten = now
        if time.monotonic() - begin > seconds or now.proven:
            break
    assert ten is not None
    assert last is not None
    assert not faults(case, last.schedule)
    assert not faults(case, ten.schedule)
    start = next(improvements(case, first)).cost
    print(f"first plan {start}; after 10 s {ten.cost} in {ten.rounds} rounds: {1 - ten.cost / start:.1%} better")
    print(
        f"after {seconds:.0f} s {last.cost} in {last.rounds} rounds; "
        f"after 10 s it was {ten.cost / last.cost - 1:.1%} over that"
    )
    print(f"bound {ten.bound}: after 10 s at most {ten.gap:.1%} from the best, after {seconds:.0f} s {last.gap:.1%}")
    return ten.schedule


def replanning(case: PlanProblem, old: Schedule) -> None:
    """An operation from the third week on takes an hour and a half longer, and work was to start right after it."""
    ends = {k: at + case.tasks[k].minutes for k, at in old.starts.items()}
    after_17 = (k for k in sorted(ends, key=ends.__getitem__) if old.starts[k] > 17 * DAY)
    late = next(k for k in after_17 if sum(0 <= at - ends[k] < 90 for at in old.starts.values()) > 1)
    now = old.starts[late] + case.tasks[late].minutes + 90
    tasks = {
        k: t._replace(fixed=old.starts[k], minutes=t.minutes + (90 if k == late else 0)) if old.starts[k] < now else t
        for k, t in case.tasks.items()
    }
    later = case._replace(tasks=tasks, start=now)
    begin = time.monotonic()
    repaired = replanned(later, old.starts)
    middle = time.monotonic()
    fewer = fewest_moves(later, repaired, old.starts, rounds=10, seconds=1.8)
    end = time.monotonic()
    assert not faults(later, fewer.schedule)
    open_ = sum(t.fixed is None for t in tasks.values())
    print(
        f"re-plan: repaired in {(middle - begin) * 1000:.0f} ms with {len(repaired.moved)} of {open_} starts moved, "
        f"after {end - begin:.1f} s {len(fewer.moved)}"
    )


def now_over_many() -> None:
    """What now over 200 units: the demo units fifty times."""
    documents = demo_documents()
    units = {}
    for n in range(50):
        for document in documents[1:]:
            unit = document.unit
            units[f"{unit.code}{n}"] = unit.model_copy(update={"code": f"{unit.code}{n}"})
    book = Book.model_construct(shop=documents[0].shop, units=units)
    at = datetime(2026, 3, 17, 18, tzinfo=UTC)
    print(f"what now over {len(units)} units: {_median(lambda: what_now(book, 30, at), 20):.0f} ms")


def main() -> None:
    """Everything, in the order of the questions."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 60
    case = instance(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    print(f"{len(case.tasks)} operations, {sum(t.minutes for t in case.tasks.values()) / 60:.0f} h of work")
    print(f"first plan: {_median(lambda: first_plan(case), 20):.0f} ms")
    plan = improving(case, seconds)
    replanning(case, plan)
    now_over_many()


if __name__ == "__main__":
    main()
