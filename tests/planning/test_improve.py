"""Improving: published optima reached and proven, the same plan for the same rounds, few moves on re-planning."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings

from logbook.planning.first_plan import first_plan
from logbook.planning.plan_check import faults
from logbook.planning.plan_problem import Follow, Goal, PlanProblem, Schedule, Use, cost
from logbook.planning.replan import fewest_moves, replanned
from logbook.planning.solver import solved
from tests.planning.problems import DAY, improved, problem, problems, published, task, week

INSTANCES = ("pat1", "pat2", "pat3", "j301_1", "j301_2", "j301_3", "j302_1")


@pytest.mark.parametrize("name", INSTANCES)
def test_published_optima_are_reached_and_proven(name: str) -> None:
    case, one_optimal, optimum = published(name)
    given_schedule = Schedule(one_optimal, {}, {})
    assert faults(case, given_schedule) == (), "the checker accepts the published schedule"
    assert cost(case, given_schedule) == optimum
    plan = first_plan(case)
    assert faults(case, plan) == ()
    assert cost(case, plan) >= optimum
    found = solved(case, plan, list(case.tasks), rounds=20)
    assert found is not None
    assert (cost(case, found.schedule), found.proven) == (optimum, True)
    assert faults(case, found.schedule) == ()


@settings(max_examples=12, deadline=None)
@given(problems(10))
def test_an_improved_plan_is_never_worse_and_passes_the_checker(case: PlanProblem) -> None:
    plan = first_plan(case)
    best = improved(case, plan, 6)
    assert faults(case, best.schedule) == ()
    assert best.bound <= best.cost <= cost(case, plan)


def _two_units() -> PlanProblem:
    """Two units that want the same evenings and the same finishing place."""
    tasks = []
    follows = []
    for unit in "AB":
        coats = [task(f"{unit}/{n}", 30, uses=(Use("finishing place", 1, 360),)) for n in range(3)]
        tasks += [task(f"{unit}/cut", 90), *coats, task(f"{unit}/last", 60)]
        chain = [f"{unit}/cut", *(c.key for c in coats), f"{unit}/last"]
        follows += [Follow(a, b, 360, 1440, 4320, 18) for a, b in pairwise(chain)]
    free = week(*((d, 19, 21) for d in (0, 1, 3, 4, 5, 6)))
    found = problem(*tasks, follows=tuple(follows), free=free, limits={"finishing place": 1})
    return found._replace(goals=(Goal("A", 1), Goal("B", 3)))


def test_the_same_rounds_give_the_same_plan() -> None:
    case = _two_units()
    first, second = (improved(case, first_plan(case), 7) for _ in range(2))
    assert first.schedule == second.schedule
    assert first.gap < 1


def test_a_small_plan_is_proven_best() -> None:
    case = _two_units()
    best = improved(case, first_plan(case), 30)
    assert best.proven
    assert best.gap == 0
    assert faults(case, best.schedule) == ()


def test_replanning_moves_only_what_it_must_and_nothing_done() -> None:
    free = week(*((d, 19, 21) for d in range(7)))
    tasks = [task(f"A/{n}", 60) for n in range(4)] + [task(f"B/{n}", 60) for n in range(4)]
    follows = tuple(Follow(f"{u}/{n}", f"{u}/{n + 1}") for u in "AB" for n in range(3))
    case = problem(*tasks, follows=follows, free=free)
    old = first_plan(case).starts
    done = case.tasks["A/0"]._replace(fixed=old["A/0"], minutes=90)  # half an hour longer than planned
    later = case._replace(tasks={**case.tasks, "A/0": done}, start=old["A/0"] + 90)
    now = replanned(later, old)
    assert faults(later, now.schedule) == ()
    assert now.schedule.starts["A/0"] == old["A/0"]
    assert 1 <= len(now.moved) < 7
    fewer = fewest_moves(later, now, old, seconds=None)
    assert len(fewer.moved) <= len(now.moved)
    assert faults(later, fewer.schedule) == ()


@settings(max_examples=100, deadline=None)
@given(problems())
def test_replanning_is_sound_whatever_became_of_the_plan(case: PlanProblem) -> None:
    old = first_plan(case).starts
    assert replanned(case, old).moved == () or case.apart or any(f.latest is not None for f in case.follows)
    later = case._replace(start=2 * DAY)
    now = replanned(later, old)
    assert faults(later, now.schedule) == ()
    early = {k for k, at in old.items() if at < 2 * DAY and case.tasks[k].fixed is None}
    assert early & now.schedule.starts.keys() <= {*now.moved}


def test_a_round_ends_between_two_tries_when_it_is_to_stop(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seconds are kept also where one round is long: no more than one more plan is made after the stop."""
    from logbook.planning import improve

    made: list[int] = []
    real = improve.ranked_plan

    def counted(*given: Any) -> Any:
        made.append(1)
        return real(*given)

    monkeypatch.setattr(improve, "ranked_plan", counted)
    case, _, _ = published("j301_1")
    rounds = improve.improvements(case, first_plan(case), stop=lambda: len(made) >= 3)
    next(rounds)
    next(rounds, None)
    assert len(made) == 3
