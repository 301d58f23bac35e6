"""What now: over all units, what can be done in the minutes there are with what is here, the cleverest first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import islice

from logbook.errors import LogbookError
from logbook.model.clock import shop_time
from logbook.model.component_state import failed_a_test, work_open
from logbook.model.unit import Book, Unit
from logbook.model.usual_work import OrderRule, RuleKind
from logbook.model.words import AT_REST, Disposition, WorkState
from logbook.model.work import Operation
from logbook.planning.from_book import WET_AT_MOST
from logbook.planning.operations import operations_of, proposed
from logbook.planning.order import Order, forced_order
from logbook.planning.usual import Usual, order_rules, usual_work
from logbook.planning.usual_waits import book_with_usual_waits
from logbook.planning.work_to_come import left_of_next
from logbook.reassembly import Progress, refit_list
from logbook.teardown.ready import (
    Limits,
    NowItem,
    decides,
    readiness,
    ready_steps,
    step_why,
    window_ends,
)

LONG_WAIT = 60
"""Minutes of waiting from which on it counts that a wait is opened early."""
DAY = 24 * 60

_Rank = tuple[float, ...]


MOST = 40
"""Things listed; whatever comes after them is not clever enough to be looked at."""


def what_now(book: Book, minutes: int, now: datetime, *, proposals: bool = True) -> tuple[NowItem, ...]:
    """What can be done in `minutes` from `now` with what is here, the cleverest first.

    A window about to end goes first, because it cannot be had back; then tests that decide whether the rest is
    worth doing; then work already begun; then what frees the most, where a day of waiting that starts earlier
    counts as one more thing freed. What has no known time comes after what fits.

    Args:
        book: every unit.
        minutes: how long there is.
        now: the moment.
        proposals: whether work that follows from the record without being written down is listed.

    Raises:
        InputError: a list of usual work or of rules was edited into something that cannot be used.
    """
    book = book_with_usual_waits(book)
    here = _Here(book, shop_time(now, book.shop))
    ranked = [
        pair for unit in book.units.values() if unit.stage not in AT_REST for pair in here.doable(unit, proposals)
    ]
    fitting = [(rank, item) for rank, item in ranked if item.minutes is None or item.minutes <= minutes]
    fitting.sort(key=lambda pair: (pair[1].minutes is None, pair[0]))
    allowed = (item for _, item in fitting if not here.too_soon(book.units[item.unit], item))
    return tuple(islice(allowed, MOST))


class _Here:
    """What holds for all units now: limits, what is wet or in the air, and what the rules say of it."""

    def __init__(self, book: Book, now: datetime) -> None:
        self.now, self.usual, self.limits = now, usual_work(book.shop), Limits(book, now)
        rules = [r for r in order_rules(book.shop) if r.kind is RuleKind.APART]
        self.air = tuple(_in_the_air(book, rules, self.usual, now))
        self._rules, self._orders = order_rules(book.shop), dict[str, Order]()
        self._lists = dict[str, Progress]()

    def too_soon(self, unit: Unit, item: NowItem) -> str:
        """The rule of materials by which something else goes first; looked at only for what would be listed."""
        if item.kind not in ("operation", "proposed"):
            return ""
        operations = operations_of(unit, self.usual)
        if unit.code not in self._orders:
            self._orders[unit.code] = forced_order(unit, operations, self._rules, self.usual)
        by_code = {o.code: o for o in operations}
        for forced in self._orders[unit.code].forced:
            earlier = by_code[forced.earlier]
            if forced.later == item.code and not self._over(earlier, forced.minutes):
                return forced.rule.why
        return ""

    def _over(self, operation: Operation, minutes: int) -> bool:
        """Whether an operation is done, and so many minutes ago."""
        if not operation.passed:
            return False
        return operation.done_at is None or self.now >= operation.done_at + timedelta(minutes=minutes)

    def doable(self, unit: Unit, proposals: bool) -> Iterator[tuple[_Rank, NowItem]]:
        yield from self._tests(unit)
        windows = {o.code: end for o, end in window_ends(unit, self.now)}
        frees = freed_by(unit)
        for operation in unit.operations:
            if operation.state is not WorkState.DONE and operation.started_at is None:
                yield from self._operation(unit, operation, windows, frees.get(operation.code, 0))
        for step in ready_steps(unit):
            waiting = next((o for o in unit.operations if step.code in o.before_steps and self._not_over(o)), None)
            if waiting is None:
                item = NowItem(unit.code, step.code, step.what, step.minutes, step_why(step), "step")
                yield (5, 0, step.minutes or 0), item
        if proposals and unit.operations:
            yield from self._proposed(unit)

    def _not_over(self, operation: Operation) -> bool:
        if not operation.passed:
            return True
        if operation.done_at is None or operation.wait is None:
            return False
        return self.now < operation.done_at + timedelta(minutes=operation.wait.earliest)

    def _tests(self, unit: Unit) -> Iterator[tuple[_Rank, NowItem]]:
        for test in unit.arrival.make_or_break:
            if test.passed is None:
                item = NowItem(unit.code, "", f"test: {test.what}", test.minutes, decides(unit, test), "test")
                yield (1, 0, test.minutes or 0), item
        named = " ".join(t.what.casefold() for t in unit.arrival.make_or_break)
        still_in = {s.code for s in unit.steps if s.planned}
        for c in unit.components:
            to_test = c.disposition is Disposition.TEST and work_open(unit, c)
            if to_test and c.name.casefold() not in named and c.from_step not in still_in:
                why = f"then decide what becomes of {c.code}"
                why = f"it failed a test: {why.removeprefix('then ')}" if failed_a_test(c) else why
                yield (2, 0, 0), NowItem(unit.code, c.code, f"test: {c.name}", None, why, "test")

    def _operation(
        self, unit: Unit, operation: Operation, windows: dict[str, datetime], frees: int
    ) -> Iterator[tuple[_Rank, NowItem]]:
        ready = readiness(unit, operation, self.now)
        if (
            ready.blocked
            or self._before_its_line(unit, operation)
            or self.limits.refuse(operation)
            or self._spoils(operation)
        ):
            return
        minutes = left_of_next(operation)
        ending = [windows[c] for c in (*operation.after, operation.code) if c in windows]
        wait = opened_wait(operation)
        begun = operation.state is WorkState.DOING and not operation.times_done
        points = frees + wait / DAY
        why = "; ".join([*self.limits.words(operation), *ready.remarks, *_gains(frees, wait)])
        kind, end = (0, min(ending).timestamp()) if ending else (3 if begun else 4, 0.0)
        likely = None if minutes is None else minutes + ready.extra_minutes
        name = operation.name
        if operation.times > 1:
            name = f"{name}, {operation.times_done + 1} of {operation.times}"
        yield (
            (kind, end, -points, likely or 0),
            NowItem(unit.code, operation.code, name, likely, why, "operation"),
        )

    def _proposed(self, unit: Unit) -> Iterator[tuple[_Rank, NowItem]]:
        """Small work that follows from the record; what waits on other work is left to the plan."""
        for operation, why in proposed(unit, self.usual):
            waits = operation.after or self._before_its_line(unit, operation)
            if not waits and not self.limits.refuse(operation) and not self._spoils(operation):
                wait = opened_wait(operation)
                item = NowItem(unit.code, operation.code, operation.name, left_of_next(operation), why, "proposed")
                yield (6, -wait / DAY, item.minutes or 0), item

    def _before_its_line(self, unit: Unit, operation: Operation) -> bool:
        """Whether lines of the list come before the one whose joint this makes anew: then it is not its turn yet."""
        steps = [c.removeprefix("J-") for c in (operation.code, *operation.stands_for) if c.startswith("J-")]
        if not steps:
            return False
        if unit.code not in self._lists:
            try:
                self._lists[unit.code] = Progress(unit, refit_list(unit), self.now)
            except LogbookError:
                return False  # no list, so no turn
        progress = self._lists[unit.code]
        lines = [progress.list.by_key[step] for step in steps if step in progress.list.by_key]
        return any(progress.lines_before(line) for line in lines)

    def _spoils(self, operation: Operation) -> str:
        """The rule that forbids this work because of what is wet or in the air; empty when none does."""
        if not self.air:
            return ""
        traits = self.usual.traits(operation)
        return next((why for forbidden, why in self.air if traits & forbidden), "")


def _in_the_air(
    book: Book, rules: Sequence[OrderRule], usual: Usual, now: datetime
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


def freed_by(unit: Unit) -> dict[str, int]:
    """For each operation, how many open ones cannot start before it is done, directly or through others."""
    place = {o.code: i for i, o in enumerate(unit.operations)}
    later: dict[str, list[str]] = {code: [] for code in place}
    left_out = dict.fromkeys(place, 0)
    for operation in unit.operations:
        for code in set(operation.after) & place.keys():
            later[code].append(operation.code)
            left_out[code] += 1
    before = {o.code: [c for c in set(o.after) if c in place] for o in unit.operations}
    masks = dict.fromkeys(place, 0)
    ends = [code for code, count in left_out.items() if not count]
    while ends:
        code = ends.pop()
        for earlier in before[code]:
            masks[earlier] |= masks[code] | 1 << place[code]
            left_out[earlier] -= 1
            if not left_out[earlier]:
                ends.append(earlier)
    return {code: mask.bit_count() for code, mask in masks.items()}
