"""Checks 20 and 21: waits and recoat windows that were or are missed, and more in use at once than the shop has."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.errors import InputError
from logbook.model.measures import hours_and_minutes
from logbook.model.shop import Shop
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, WorkState
from logbook.model.work import Operation, Wait
from logbook.planning.countdown import countdowns_of_work
from logbook.planning.free_time import PlanClock
from logbook.planning.from_book import book_problem, limits_of, wet_minutes
from logbook.planning.making import old_starts
from logbook.planning.plan_check import overlapping
from logbook.planning.plan_problem import Schedule


def windows_kept(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 20: what was begun after a wait was begun neither before its end nor in the forbidden time."""
    by_code = {o.code: o for o in unit.operations}
    for later in unit.operations:
        begun = _begun(later)
        for earlier in (by_code[code] for code in later.after if code in by_code):
            if begun is not None and earlier.wait is not None and earlier.done_at is not None:
                yield from _gap(unit, earlier, later, earlier.wait, begun - earlier.done_at)


def _begun(operation: Operation) -> datetime | None:
    if operation.times > 1:
        return None  # the latest of several times says nothing of when the first was begun
    if operation.state is WorkState.DONE and operation.done_at is not None:
        return operation.done_at - timedelta(minutes=operation.spent or 0)
    return operation.started_at


def _gap(unit: Unit, earlier: Operation, later: Operation, wait: Wait, gap: timedelta) -> Iterator[CheckProblem]:
    after = f"{later.code} {later.name} was begun {_long(gap)} after {earlier.code} {earlier.name}"
    sand = earlier.if_missed or "sand"
    if gap < timedelta(minutes=wait.earliest):
        what = f" ({wait.what})" if wait.what else ""
        sentence = (
            f"{after}, which has to wait {hours_and_minutes(wait.earliest)}{what}. Look at the joint or the coat."
        )
        yield CheckProblem(20, "before-wait-ended", unit.code, later.code, sentence, Severity.LOOK)
    elif wait.latest is not None and gap > timedelta(minutes=wait.latest):
        again = wait.latest if wait.after_sanding is None else wait.after_sanding
        if gap < timedelta(minutes=again):
            sentence = (
                f"{after}, in the forbidden time between {hours_and_minutes(wait.latest)} and "
                f"{hours_and_minutes(again)}. Look for wrinkles before going on."
            )
            yield CheckProblem(20, "in-forbidden-time", unit.code, later.code, sentence, Severity.LOOK)
        else:
            sentence = (
                f"{after}, later than {hours_and_minutes(wait.latest)}: that holds only if it was made ready ({sand})."
            )
            yield CheckProblem(20, "after-window", unit.code, later.code, sentence, Severity.NOTE)


def _long(gap: timedelta) -> str:
    return hours_and_minutes(max(0, int(gap.total_seconds() // 60)))


def windows_running(unit: Unit, shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 20: windows that are open and will close by themselves, and those that closed unused."""
    for c in countdowns_of_work(Book(shop=shop, units={unit.code: unit}), now):
        sentence = f"{c.code} {c.name}: {c.words}."
        if c.missed:
            yield CheckProblem(20, "window-missed", unit.code, c.code, sentence, Severity.LOOK)
        elif c.closes:
            yield CheckProblem(20, "window-open", unit.code, c.code, sentence, Severity.NOTE)


def limits_now(book: Book, now: datetime) -> Iterator[CheckProblem]:
    """Check 21: no more clamps, press places or finishing places are tied up at this moment than the shop has."""
    for limit, most in limits_of(book.shop).items():
        users = [
            (f"{unit.code} {o.code}", n)
            for unit in book.units.values()
            if unit.stage not in AT_REST
            for o in unit.operations
            if (n := _tied_up(o, limit, now))
        ]
        total = sum(n for _, n in users)
        if total > most:
            who = ", ".join(f"{name} {n}" for name, n in users)
            sentence = f"{limit}: {total} are in use by the record ({who}), the shop has {most}. Correct what is wrong."
            yield CheckProblem(21, "limit-exceeded", "", limit, sentence, Severity.WRONG)


def _tied_up(operation: Operation, limit: str, now: datetime) -> int:
    """How many of a limit an operation ties up: while it is worked on and, clamped or wet, in its wait."""
    needs = operation.needs
    if needs is None:
        return 0
    number = {"clamps": needs.clamps, "press": needs.press, "finishing place": int(needs.finishing_place)}[limit]
    if operation.started_at is not None:
        return number
    wait, done = operation.wait, operation.done_at
    if operation.state is not WorkState.DONE or wait is None or done is None:
        return 0
    clamped = wait.earliest if wait.clamped is None else wait.clamped
    held = wet_minutes(wait) if limit == "finishing place" else clamped
    return number if now < done + timedelta(minutes=held) else 0


def limits_in_plan(book: Book, now: datetime) -> Iterator[CheckProblem]:
    """Checks 20 and 21: the plan that was kept still holds to the waits and the limits, as the record is now."""
    if not book.shop.plan:
        return
    try:
        clock = PlanClock(now, book.shop.settings.time_zone)
        found = book_problem(book, clock)
    except InputError as error:
        yield CheckProblem(21, "plan-unreadable", "", "plan", f"The plan cannot be looked at: {error}", Severity.LOOK)
        return
    tasks, kept = found.problem.tasks, old_starts(book.shop, clock)
    starts = {
        k: t.fixed if t.fixed is not None else kept[k] for k, t in tasks.items() if t.fixed is not None or k in kept
    }
    schedule = Schedule(starts, {}, {})
    for limit in limits_of(book.shop):
        most, used = found.problem.limit(limit), overlapping(found.problem, schedule, limit)
        if most is not None and used > most:
            sentence = f"The kept plan takes {used} {limit} at once, the shop has {most}. Plan again (p on the bench)."
            yield CheckProblem(21, "plan-over-limit", "", limit, sentence, Severity.LOOK)
    for follow in found.problem.follows:
        a, b = starts.get(follow.earlier), starts.get(follow.later)
        if a is None or b is None or tasks[follow.later].fixed is not None:
            continue
        gap = b - a - tasks[follow.earlier].minutes
        if gap < follow.least or (follow.latest is not None and follow.latest < gap < follow.again):
            unit = found.work[follow.later].unit
            sentence = (
                f"In the kept plan {follow.later} comes too soon after {follow.earlier}, or in its forbidden time. "
                "Plan again (p on the bench)."
            )
            yield CheckProblem(20, "plan-against-wait", unit, follow.later, sentence, Severity.LOOK)
