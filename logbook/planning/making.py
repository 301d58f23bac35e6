"""From the book to its plan, to a better one, and to what is kept of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from itertools import islice
from typing import NamedTuple

from logbook.errors import LogbookError
from logbook.model.shop import PlannedStart, Shop
from logbook.model.unit import Book
from logbook.planning.bound import least_cost
from logbook.planning.first_plan import first_plan
from logbook.planning.free_time import PlanClock
from logbook.planning.from_book import Basis, BookProblem, book_problem
from logbook.planning.improve import Improved, improvements
from logbook.planning.plan import Plan, plan_of
from logbook.planning.plan_check import faults
from logbook.planning.plan_problem import Schedule, cost, finishes
from logbook.planning.replan import Replanned, fewest_moves, replanned


class MadePlan(NamedTuple):
    """A plan with everything needed to improve, keep and show it."""

    found: BookProblem
    best: Improved
    moved: tuple[str, ...] = ()
    """Work that stood elsewhere in the plan that was kept."""
    at_worst: Mapping[str, datetime] = {}
    """When each unit ends if everything takes as long as at worst, in the same order."""

    @property
    def schedule(self) -> Schedule:
        """When each task starts."""
        return self.best.schedule

    def plan(self, book: Book) -> Plan:
        """The plan as a person reads it."""
        return plan_of(book, self.found, self.best.schedule)


def made_plan(
    book: Book, now: datetime, *, basis: Basis = Basis.LIKELY, proposals: bool = True, anew: bool = False
) -> MadePlan:
    """The plan from `now` on: the kept one with as little moved as it can, or the first plan when none was kept.

    Args:
        book: every unit and the shop.
        now: the present moment.
        basis: which point of the busy times is planned with.
        proposals: whether work counts that follows from the record without being written down.
        anew: start over, whatever was kept.

    Raises:
        InputError: a time of day, the time zone, or a list of usual work or rules cannot be used.
        LogbookError: the plan did not pass its check.
    """
    clock = PlanClock(now, book.shop.settings.time_zone)
    found = book_problem(book, clock, basis=basis, proposals=proposals)
    old = {} if anew else old_starts(book.shop, clock)
    if old.keys() & found.problem.tasks.keys():
        repaired = replanned(found.problem, old)
        made = MadePlan(found, _judged(found, repaired.schedule), repaired.moved)
    else:
        made = MadePlan(found, _judged(found, first_plan(found.problem)))
    worst = book_problem(book, clock, basis=Basis.HIGH, proposals=proposals)
    return made._replace(at_worst=_at_worst(worst, made.schedule))


def with_fewest_moves(made: MadePlan, shop: Shop, *, seconds: float | None = 2.0) -> MadePlan:
    """The same with fewer moves against the kept plan, when the solver finds it in time.

    Raises:
        InputError: the solver is not installed.
        LogbookError: the plan did not pass its check.
    """
    old = old_starts(shop, made.found.clock)
    now = Replanned(made.schedule, made.moved, ())
    better = fewest_moves(made.found.problem, now, old, seconds=seconds)
    return made._replace(best=_judged(made.found, better.schedule), moved=better.moved)


def better_plan(
    made: MadePlan,
    rounds: int,
    go_on: Callable[[MadePlan], bool] = lambda _: True,
    stop: Callable[[], bool] = lambda: False,
) -> MadePlan:
    """The best plan after so many rounds; the same number of rounds gives the same plan.

    Args:
        made: the plan to improve.
        rounds: so many at most.
        go_on: told the best after each round; False ends it.
        stop: asked within a round as well; true ends the round early.

    Raises:
        InputError: the solver is not installed, and the rounds that need none are over.
        LogbookError: a plan did not pass its check.
    """
    for best in islice(improvements(made.found.problem, made.schedule, stop), rounds + 1):
        _must_hold(made.found, best.schedule)
        made = made._replace(best=best)
        if best.proven or not go_on(made):
            break
    return made


def keep_plan(shop: Shop, made: MadePlan) -> Shop:
    """The shop with the starts of a plan kept, so that the next one moves as little of it as it can."""
    problem, moment = made.found.problem, made.found.clock.moment
    starts = made.schedule.starts.items()
    kept = tuple(PlannedStart(work=k, at=moment(at)) for k, at in starts if problem.tasks[k].fixed is None)
    return shop.model_copy(update={"plan": tuple(sorted(kept, key=lambda p: (p.at, p.work)))})


def old_starts(shop: Shop, clock: PlanClock) -> dict[str, int]:
    """The starts that were kept, in minutes of this clock."""
    return {p.work: clock.minutes(p.at) for p in shop.plan}


def _must_hold(found: BookProblem, schedule: Schedule) -> None:
    """Refuse a schedule that the check, which knows nothing of how it was found, does not let pass."""
    wrong = faults(found.problem, schedule)
    if wrong:
        raise LogbookError(f"The plan did not pass its check and is not shown: {wrong[0]}")


def _judged(found: BookProblem, schedule: Schedule) -> Improved:
    _must_hold(found, schedule)
    price, bound = cost(found.problem, schedule), least_cost(found.problem, schedule)
    return Improved(schedule, price, bound, price <= bound, 0)


def _at_worst(worst: BookProblem, schedule: Schedule) -> dict[str, datetime]:
    """The ends when the same order is worked with the highest times."""
    replayed = first_plan(worst.problem, before=schedule.starts)
    return {unit: worst.clock.wall(end) for unit, end in finishes(worst.problem, replayed).items()}
