"""The first plan against a checker that knows nothing of it, and the reasons it gives."""

from __future__ import annotations

import pytest
from hypothesis import given, settings

from logbook.planning.bound import least_cost
from logbook.planning.first_plan import first_plan
from logbook.planning.plan_check import faults
from logbook.planning.plan_problem import FREE, Apart, Follow, Goal, PlanProblem, Schedule, Use, cost
from tests.planning.problems import DAY, problem, problems, task, week


@settings(max_examples=250, deadline=None)
@given(problems())
def test_every_plan_passes_the_checker_and_every_reason_is_true(case: PlanProblem) -> None:
    plan = first_plan(case)
    assert faults(case, plan) == ()
    for key, why in plan.unplaced.items():
        _is_true(case, plan, key, why)
    assert least_cost(case, plan) <= cost(case, plan)


def _is_true(case: PlanProblem, plan: Schedule, key: str, why: str) -> None:
    """The reason given for a task without a place, checked against the problem itself."""
    it = case.tasks[key]
    if why.startswith("it needs") and "free time" not in why:
        assert any(f"{u.number} {u.limit}" in why and u.number > (case.limit(u.limit) or 0) for u in it.uses)
    elif "at a stretch" in why:
        assert all(b - max(a, case.start) < it.minutes for a, b in case.hours[it.hours])
    elif why.startswith("it waits for"):
        before = why.split()[3].rstrip(",")
        assert before in plan.unplaced
        assert any(f.earlier == before and f.later == key for f in case.follows)
    else:
        # The hours end: with the same hours going on for a year there would be a place.
        assert "free time" in why
        longer = case._replace(
            hours={n: tuple((a + w * 7 * DAY, b + w * 7 * DAY) for w in range(52) for a, b in h if b < 7 * DAY)
                   for n, h in case.hours.items()}
        )  # fmt: skip
        assert key not in first_plan(longer).unplaced


@pytest.mark.parametrize(
    ("of", "why"),
    [
        (task("A/1", uses=(Use("clamps", 12, 60),)), "it needs 12 clamps, and there are 10"),
        (task("A/1", 300), "it takes 5:00 h at a stretch, and the longest free time is 3:30 h"),
        (task("A/1", hours="helper"), "it needs free time with a helper, and there is none"),
    ],
)
def test_what_stands_in_the_way_is_said(of, why: str) -> None:
    plan = first_plan(problem(of, task("A/2"), follows=(Follow("A/1", "A/2"),), limits={"clamps": 10}))
    assert plan.unplaced == {"A/1": why, "A/2": "it waits for A/1, which is not planned"}


def test_a_circle_is_named_and_what_waits_behind_it_too() -> None:
    circle = (Follow("A/1", "A/2"), Follow("A/2", "A/1"), Follow("A/2", "A/3"))
    plan = first_plan(problem(task("A/1"), task("A/2"), task("A/3"), task("A/4"), follows=circle))
    assert plan.unplaced["A/1"] == plan.unplaced["A/2"] == "these wait on each other: A/1, A/2"
    assert plan.unplaced["A/3"] == "it waits for A/2, which is not planned"
    assert list(plan.starts) == ["A/4"]


COATS = tuple(Follow(f"R/{n}", f"R/{n + 1}", 360, 1440, 4320, 18) for n in (1, 2, 3))


def test_four_coats_take_four_evenings() -> None:
    every_evening = week(*((day, 19, 20) for day in range(7)))
    plan = first_plan(problem(*(task(f"R/{n}", 24) for n in (1, 2, 3, 4)), follows=COATS, free=every_evening))
    assert [at // DAY for at in plan.starts.values()] == [0, 1, 2, 3]
    assert plan.inserted == {}


def test_a_skipped_evening_brings_the_scuff_sanding_and_the_forbidden_period_is_kept() -> None:
    evenings = week(*((day, 19, 20) for day in (0, 1, 3, 4, 5, 6)))  # no Wednesday
    plan = first_plan(problem(*(task(f"R/{n}", 24) for n in (1, 2, 3, 4)), follows=COATS, free=evenings))
    starts = list(plan.starts.values())
    # The first coat waits for Thursday, from which on four evenings follow one another without a miss.
    assert ([at // DAY for at in starts[:1]], len(plan.inserted)) == ([0], 1) or not plan.inserted
    missed = problem(*(task(f"R/{n}", 24) for n in (1, 2, 3, 4)), follows=COATS, free=evenings)
    fixed = missed.tasks["R/2"]._replace(fixed=DAY + 19 * 60)
    first = missed.tasks["R/1"]._replace(fixed=19 * 60)
    tasks = {**missed.tasks, "R/1": first, "R/2": fixed}
    case = missed._replace(tasks=tasks, start=DAY + 20 * 60)
    after = first_plan(case)
    # Tuesday 19:24 + 24 h is Wednesday 19:24, not free; from Friday 19:24 on it may be coated once sanded.
    assert after.inserted == {1: 4 * DAY + 19 * 60 + 24}
    assert after.starts["R/3"] == 4 * DAY + 19 * 60 + 42 or after.starts["R/3"] == 5 * DAY + 19 * 60
    assert faults(case, after) == ()


def test_a_start_is_put_off_when_that_keeps_the_window() -> None:
    free = week((0, 19, 20), (2, 19, 20), (3, 19, 20))
    coats = (Follow("R/1", "R/2", 360, 1440, 4320, 18),)
    plan = first_plan(problem(task("R/1", 24), task("R/2", 24), follows=coats, free=free))
    assert (plan.starts["R/1"] // DAY, plan.starts["R/2"] // DAY, plan.inserted) == (2, 3, {})


def test_clamps_are_counted_through_the_wait() -> None:
    stack = task("R/press", 45, uses=(Use("clamps", 6, 240),))
    drawer = task("C/drawer", 60, uses=(Use("clamps", 5, 60),))
    free = ((0, 600),)
    plan = first_plan(problem(stack, drawer, free=free, limits={"clamps": 10}), ["R", "C"])
    assert plan.starts == {"R/press": 0, "C/drawer": 285}
    enough = first_plan(problem(stack, drawer, free=free, limits={"clamps": 11}), ["R", "C"])
    assert enough.starts == {"R/press": 0, "C/drawer": 45}


def test_dust_waits_until_the_finish_is_dry_and_settles_before_the_next() -> None:
    coat, sand = task("R/coat", 30, uses=(Use("finishing place", 1, 120),)), task("C/sand", 60)
    apart = (Apart((("C/sand", 120),), (("R/coat", 120),), "dust-wet", "nothing dusty while something is wet"),)
    free = ((0, 900),)
    plan = first_plan(problem(coat, sand, free=free, apart=apart), ["R", "C"])
    assert plan.starts == {"R/coat": 0, "C/sand": 150}
    other = first_plan(problem(coat, sand, free=free, apart=apart), ["C", "R"])
    assert other.starts == {"C/sand": 0, "R/coat": 180}, "two hours of settling after the sanding"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"A/1": 5}, "does not lie in the hours"),
        ({"A/2": 19 * 60 + DAY}, "not 60"),
        ({"A/3": 19 * 60 + DAY + 15}, "of 1 person"),
        ({"A/4": 3 * DAY + 19 * 60}, "misses the latest"),
    ],
)
def test_the_checker_sees_each_fault(change: dict[str, int], said: str) -> None:
    follows = (Follow("A/1", "A/2", 60), Follow("A/3", "A/4", 0, 120, 300, 15))
    case = problem(*(task(f"A/{n}") for n in (1, 2, 3, 4)), follows=follows)
    plan = first_plan(case)
    assert faults(case, plan) == ()
    broken = plan._replace(starts={**plan.starts, **change})
    assert any(said in fault for fault in faults(case, broken)), faults(case, broken)


def test_a_unit_that_is_due_goes_first() -> None:
    case = problem(task("A/1", 120), task("B/1", 120), free=((0, 120), (1440, 1560)))
    case = case._replace(goals=(Goal("A", 5), Goal("B", 1, 600)))
    assert first_plan(case).starts == {"A/1": 1440, "B/1": 0}
    assert FREE in case.hours
