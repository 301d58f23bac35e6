"""What now: over all units, what can be done in the minutes there are with what is here, the cleverest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import islice

from logbook.model.shop_clock import shop_time
from logbook.model.unit import Book, Unit
from logbook.model.usual_work import OrderRule, RuleKind
from logbook.model.words import AT_REST, WorkState
from logbook.model.work import Operation
from logbook.planning.countdown import WET_AT_MOST
from logbook.planning.standing import Earlier, UnitStanding, Whole
from logbook.planning.time_left import left_of_next
from logbook.planning.usual_work_lists import KnownUsualWork, order_rules, usual_work
from logbook.planning.whole import whole_of
from logbook.teardown.operations_ready import (
    ClampLimits,
    NowItem,
    readiness,
    window_ends,
)

LONG_WAIT = 60
"""Minutes of waiting from which on it counts that a wait is opened early."""
DAY = 24 * 60

_Rank = tuple[float, ...]


MOST = 40
"""Things listed; whatever comes after them is not clever enough to be looked at."""


def what_now(book: Book | Whole, minutes: int, now: datetime, *, proposals: bool = True) -> tuple[NowItem, ...]:
    """What can be done in `minutes` from `now` with what is here, the cleverest first.

    A window about to end goes first, because it cannot be had back; then tests that decide whether the rest is
    worth doing; then work already begun; then what frees the most, where a day of waiting that starts earlier
    counts as one more thing freed. What has no known time comes after what fits.

    Args:
        book: every unit, or where each stands.
        minutes: how long there is.
        now: the moment.
        proposals: whether work that follows from the record without being written down is listed.

    Raises:
        InputError: a list of usual work or of rules was edited into something that cannot be used.
    """
    whole = whole_of(book)
    here = _Here(whole, shop_time(now, whole.shop))
    ranked = [pair for s in whole.standings if s.stage not in AT_REST for pair in here.doable(s, proposals)]
    fitting = [(rank, item) for rank, item in ranked if item.minutes is None or item.minutes <= minutes]
    fitting.sort(key=lambda pair: (pair[1].minutes is None, pair[0]))
    by_code = {s.code: s for s in whole.standings}
    allowed = (item for _, item in fitting if not here.too_soon(by_code[item.unit], item))
    return tuple(islice(allowed, MOST))


class _Here:
    """What holds for all units now: limits, what is wet or in the air, and what the rules say of it."""

    def __init__(self, whole: Whole, now: datetime) -> None:
        book = whole.book
        self.now, self.usual, self.limits = now, usual_work(book.shop), ClampLimits(book, now)
        rules = [r for r in order_rules(book.shop) if r.kind is RuleKind.APART]
        self.air = tuple(_in_the_air(book, rules, self.usual, now))
        self._units = book.units

    def too_soon(self, standing: UnitStanding, item: NowItem) -> str:
        """The rule of materials by which something else goes first; looked at only for what would be listed."""
        if item.kind not in ("operation", "proposed"):
            return ""
        return next((e.why for e in standing.earlier if e.later == item.code and not self._over(e)), "")

    def _over(self, earlier: Earlier) -> bool:
        """Whether what goes first is done, and as long ago as the rule wants."""
        if not earlier.passed:
            return False
        return earlier.done_at is None or self.now >= earlier.done_at + timedelta(minutes=earlier.minutes)

    def doable(self, standing: UnitStanding, proposals: bool) -> Iterator[tuple[_Rank, NowItem]]:
        yield from self._tests(standing)
        unit = self._units[standing.code]
        windows = {o.code: end for o, end in window_ends(unit, self.now)}
        for operation in unit.operations:
            is_open = operation.state is not WorkState.DONE and operation.started_at is None
            if is_open and operation.code not in standing.not_their_turn:
                frees = standing.frees.get(operation.code, 0)
                lacks = standing.not_bought.get(operation.code, "")
                yield from self._operation(unit, operation, windows, frees, lacks)
        for step in standing.steps:
            waiting = next((o for o in unit.operations if step.code in o.before_steps and self._not_over(o)), None)
            if waiting is None:
                item = NowItem(unit.code, step.code, step.what, step.minutes, step.why, "step")
                yield (5, 0, step.minutes or 0), item
        if proposals:
            yield from self._proposed(standing)
        yield from self._line_of_the_list(standing)

    def _line_of_the_list(self, standing: UnitStanding) -> Iterator[tuple[_Rank, NowItem]]:
        line = standing.goes_back
        if line is not None and (line.ready_from is None or self.now >= line.ready_from):
            yield (5, 0, line.minutes or 0), NowItem(standing.code, line.code, line.what, line.minutes, "", "line")

    def _not_over(self, operation: Operation) -> bool:
        if not operation.passed:
            return True
        if operation.done_at is None or operation.wait is None:
            return False
        return self.now < operation.done_at + timedelta(minutes=operation.wait.earliest)

    def _tests(self, standing: UnitStanding) -> Iterator[tuple[_Rank, NowItem]]:
        """Tests that decide the job first, then those of components, in their order."""
        for test in standing.tests:
            rank = (2, 0, 0) if test.code else (1, 0, test.minutes or 0)
            yield rank, NowItem(standing.code, test.code, test.what, test.minutes, test.why, "test")

    def _operation(
        self, unit: Unit, operation: Operation, windows: dict[str, datetime], frees: int, lacks: str
    ) -> Iterator[tuple[_Rank, NowItem]]:
        ready = readiness(unit, operation, self.now)
        if ready.blocked or self.limits.refuse(operation) or self._spoils(operation):
            return
        minutes = left_of_next(operation)
        ending = [windows[c] for c in (*operation.after, operation.code) if c in windows]
        wait = opened_wait(operation)
        begun = operation.state is WorkState.DOING and not operation.times_done
        points = frees + wait / DAY
        why = "; ".join(filter(None, [lacks, *self.limits.words(operation), *ready.remarks, *_gains(frees, wait)]))
        kind, end = (0, min(ending).timestamp()) if ending else (3 if begun else 4, 0.0)
        likely = None if minutes is None else minutes + ready.extra_minutes
        name = operation.name
        if operation.times > 1:
            name = f"{name}, {operation.times_done + 1} of {operation.times}"
        yield (
            (kind, end, -points, likely or 0),
            NowItem(unit.code, operation.code, name, likely, why, "operation"),
        )

    def _proposed(self, standing: UnitStanding) -> Iterator[tuple[_Rank, NowItem]]:
        """Small work that follows from the record; what waits on other work is left to the plan."""
        for operation, why in ((f.operation, f.why) for f in standing.following):
            if not self.limits.refuse(operation) and not self._spoils(operation):
                wait = opened_wait(operation)
                minutes = left_of_next(operation)
                item = NowItem(standing.code, operation.code, operation.name, minutes, why, "proposed")
                yield (6, -wait / DAY, item.minutes or 0), item

    def _spoils(self, operation: Operation) -> str:
        """The rule that forbids this work because of what is wet or in the air; empty when none does."""
        if not self.air:
            return ""
        traits = self.usual.traits(operation)
        return next((why for forbidden, why in self.air if traits & forbidden), "")


def _in_the_air(
    book: Book, rules: Sequence[OrderRule], usual: KnownUsualWork, now: datetime
) -> Iterator[tuple[frozenset[str], str]]:
    """Traits that must not be worked on now, with why: something wet, or dust that has not settled."""
    for unit in book.units.values():
        for operation in unit.operations:
            ended = _ended(operation)
            if ended is None and operation.started_at is None:
                continue
            wet, traits = _wet_minutes(operation), usual.traits(operation)
            for rule in rules:
                sides = ((set(rule.second), rule.first, wet), (set(rule.first), rule.second, rule.minutes))
                for own, forbidden, tail in sides:
                    lasts = operation.started_at is not None or (
                        ended is not None and now < ended + timedelta(minutes=tail)
                    )
                    if traits & own and lasts:
                        yield frozenset(forbidden), rule.why


def _ended(operation: Operation) -> datetime | None:
    return operation.done_at if operation.state is WorkState.DONE else operation.last_at


def _wet_minutes(operation: Operation) -> int:
    wait = operation.wait if operation.state is WorkState.DONE else operation.between
    if wait is None:
        return 0
    return wait.wet if wait.wet is not None else min(wait.earliest, WET_AT_MOST)


def opened_wait(operation: Operation) -> int:
    """Minutes of waiting that start when this is done; 0 when it is too short to count."""
    last = operation.times_done + 1 >= operation.times
    wait = operation.wait if last else operation.between
    return wait.earliest if wait is not None and wait.earliest >= LONG_WAIT else 0


def _gains(frees: int, wait: int) -> list[str]:
    words = [f"frees {frees} more"] if frees else []
    hours = f"{wait // 60} h" if wait < 3 * DAY else f"{wait // DAY} days"
    return words + ([f"starts {hours} of waiting"] if wait else [])
