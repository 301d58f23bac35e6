"""What can be done now: in the minutes there are, with what is here.

Honest and simple: something is listed only when everything that the record says it needs is done or here.
What the record does not say (an unknown time, an unknown moment at which a wait began) is said, not guessed.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import NamedTuple

from logbook.errors import CircleError
from logbook.model.amount_words import number_words
from logbook.model.holds import open_holds
from logbook.model.precedence import precedence, stated_edges, without_way_back
from logbook.model.shop import Shop
from logbook.model.shop_clock import on_clock_of
from logbook.model.step import Step
from logbook.model.unit import Book, Unit
from logbook.model.words import Supply, WorkState
from logbook.model.work import MakeOrBreak, Operation, Wait


class NowItem(NamedTuple):
    """Something that can be done now."""

    unit: str
    code: str
    """Code of the operation, step, component or line of the list; empty for a make-or-break test."""
    what: str
    minutes: int | None
    """Likely busy time; None when nobody has estimated it."""
    why: str
    """What it decides, needs, or leaves open."""
    kind: str
    """“test”, “operation”, “proposed”, “step” or “line”."""


_TEARDOWN = "taking it apart"
"""How starters say that a test comes before the teardown."""


def decides(unit: Unit, test: MakeOrBreak) -> str:
    """What a make-or-break test decides: the cash that hangs on it, and what must not start before it."""
    what = test.what.casefold()
    at_stake = [p.price.high for p in unit.parts if p.only_if and p.price and p.name.casefold() in what]
    before = f"do it before {test.before}" if test.before else "do it first"
    if test.before.casefold().strip() == _TEARDOWN and any(not step.planned for step in unit.steps):
        before = f"it was to come before {test.before}, and still decides whether to go on"
    cash = f"; if it fails, up to {number_words(sum(at_stake, Decimal(0)))} more to pay" if at_stake else ""
    return f"{before}{cash}" + (f"; stop if {test.stop_if}" if test.stop_if else "")


def ready_steps(unit: Unit) -> tuple[Step, ...]:
    """Steps written down beforehand that can be done now: everything that must come off before them is off.

    A planned step about which nothing was stated waits for all that stands before it, as everywhere.
    """
    planned = {s.code for s in unit.steps if s.planned}
    if not planned:
        return ()
    try:
        edges = precedence(without_way_back(unit)).edges
    except CircleError:
        # A circle allows no order at all; each relation in it still says what to wait for.
        edges = stated_edges(without_way_back(unit))
    held = {e.later for e in edges if e.earlier in planned}
    if open_holds(unit):
        return ()  # nothing more comes off before the hold point is read
    return tuple(s for s in unit.steps if s.planned and s.code not in held)


def step_why(step: Step) -> str:
    """What to know before a step is done: its open stop question, or its worst hazard."""
    if step.one_way is not None and not step.one_way.answered:
        return "one-way: answer the stop question first"
    worst = next(iter(step.hazards), None)
    return f"{worst.signal} {worst.what}" if worst is not None else ""


class OperationReady(NamedTuple):
    """Whether an operation can be done now."""

    blocked: str
    """Why not; empty when it can."""
    remarks: tuple[str, ...] = ()
    """What to know when it is done now."""
    extra_minutes: int = 0
    """Work inserted because a window was missed."""


def readiness(unit: Unit, operation: Operation, now: datetime) -> OperationReady:
    """Whether everything that an operation of `unit` waits for is done, over, or here.

    Clamps, press and helpers are the shop's, not looked at here.
    """
    by_code = {o.code: o for o in unit.operations}
    waited: list[OperationReady] = []
    if operation.times_done and operation.between is not None:
        waited.append(_waited(as_done_once(operation), now))
    for code in operation.after:
        before = by_code.get(code)
        if before is None or before.state is not WorkState.DONE:
            return OperationReady(f"{code} is not done")
        if before.hold is not None and before.hold_lacks:
            return OperationReady(
                f"hold point {before.hold.code} at {code} has no {' and no '.join(before.hold_lacks)}"
            )
        waited.append(_waited(before, now))
    reasons = [w.blocked for w in waited] + [_test_in_the_way(unit, operation), _part_missing(unit, operation)]
    remarks = tuple(r for w in waited for r in w.remarks)
    return OperationReady(next(filter(None, reasons), ""), remarks, sum(w.extra_minutes for w in waited))


def as_done_once(operation: Operation) -> Operation:
    """An operation done several times as it stands after the latest of them, with the wait between two."""
    changes = {"state": WorkState.DONE, "wait": operation.between, "done_at": operation.last_at}
    return operation.model_copy(update=changes)


def _test_in_the_way(unit: Unit, operation: Operation) -> str:
    """The make-or-break test that must be passed before this operation, as a reason; empty when none is."""
    for test in unit.arrival.make_or_break:
        if not test.passed and operation.code in test.before.replace(",", " ").split():
            return f"test first: {test.what}" if test.passed is None else f"the test failed: {test.what}"
    return ""


def failed_test(unit: Unit, operation: Operation) -> str:
    """The make-or-break test before this operation that failed, as a reason; empty when none did."""
    for test in unit.arrival.make_or_break:
        if test.passed is False and operation.code in test.before.replace(",", " ").split():
            return f"the test failed: {test.what}"
    return ""


def _part_missing(unit: Unit, operation: Operation) -> str:
    supply = {p.code: p for p in unit.parts}
    for code in operation.needs.parts if operation.needs else ():
        part = supply.get(code)
        if part is None or part.supply is not Supply.HERE:
            return f"{part.name if part else code} is not here"
    return ""


def _waited(before: Operation, now: datetime) -> OperationReady:
    """Whether the wait after an operation that is done is over, and inside which of its windows now is.

    Three numbers, because a recoat window is not one: not before the earliest, freely up to the latest,
    forbidden until sanding is allowed, and only sanded from then on.
    """
    wait = before.wait
    if wait is None:
        return OperationReady("")
    if before.done_at is None:
        said = f"{before.code} was done at an unknown time: see that {wait.earliest} min are over"
        return OperationReady("", (said,) if wait.earliest else ())
    opens = before.done_at + timedelta(minutes=wait.earliest)
    if now < opens:
        return OperationReady(f"{wait.what or before.name} until {moment_words(opens, now)}")
    return OperationReady("") if wait.latest is None else _in_window(before, wait, before.done_at, now)


def _in_window(before: Operation, wait: Wait, done_at: datetime, now: datetime) -> OperationReady:
    """Where now is once the least wait is over, when the window also has an end."""
    ends = done_at + timedelta(minutes=wait.latest or 0)
    if now <= ends:
        return OperationReady("", (f"window ends {moment_words(ends, now)}",))
    if wait.after_sanding is not None and now < (again := done_at + timedelta(minutes=wait.after_sanding)):
        return OperationReady(f"window missed: not again before {moment_words(again, now)}, sanded")
    inserted = before.if_missed or "sand first"
    return OperationReady("", (f"window missed: {inserted}",), before.if_missed_minutes or 0)


def moment_words(moment: datetime, now: datetime) -> str:
    """A moment near now, on the clock of `now`: `21:30` today, else `Sun 14:15`."""
    local = on_clock_of(moment, now)
    return f"{local:%H:%M}" if local.date() == now.date() else f"{local:%a %H:%M}"


def window_ends(unit: Unit, now: datetime) -> tuple[tuple[Operation, datetime], ...]:
    """Windows that are open now and close by themselves, with the moment at which each ends."""
    ends = []
    coats = (as_done_once(o) for o in unit.operations if o.times_done and o.state is not WorkState.DONE)
    for o in (*unit.operations, *coats):
        if o.state is not WorkState.DONE or o.done_at is None or o.wait is None or o.wait.latest is None:
            continue
        opens, end = (o.done_at + timedelta(minutes=m) for m in (o.wait.earliest, o.wait.latest))
        followed = any(o.code in f.after and f.state is not WorkState.TO_DO for f in unit.operations) or (
            o.times_done > 0 and o.started_at is not None
        )
        if opens <= now <= end and not followed:
            ends.append((o, end))
    return tuple(ends)


class ClampLimits:
    """Clamps and press of the shop, less what work still in them ties up."""

    def __init__(self, book: Book, now: datetime) -> None:
        self._total = {what: _total(book.shop, what) for what in ("clamp", "press")}
        self._tied = {"clamp": 0, "press": 0}
        for unit in book.units.values():
            for operation in unit.operations:
                if operation.needs is not None and _still_in_clamps(operation, now):
                    self._tied["clamp"] += operation.needs.clamps
                    self._tied["press"] += operation.needs.press

    def refuse(self, operation: Operation) -> bool:
        """Whether too few clamps or no press is free; work already begun has its own in hand."""
        if operation.needs is None or operation.state is WorkState.DOING:
            return False
        wanted = {"clamp": operation.needs.clamps, "press": operation.needs.press}
        totals = ((what, self._total[what]) for what in wanted)
        return any(total is not None and self._tied[what] + wanted[what] > total for what, total in totals)

    def words(self, operation: Operation) -> list[str]:
        """What the operation ties up, in words."""
        needs = operation.needs
        if needs is None:
            return []
        total = self._total["clamp"]
        words = [f"needs {needs.clamps}{'' if total is None else f' of {total}'} clamps"] if needs.clamps else []
        words += ["needs the press"] if needs.press else []
        words += ["needs a helper"] if needs.helper else []
        words += ["not in quiet hours"] if needs.quiet else []
        return words


def _total(shop: Shop, what: str) -> int | None:
    """How many the shop has; None when it was not said, and then nothing is refused for it."""
    numbers = [t.number for t in shop.tools if what in t.name.casefold()]
    return sum(numbers) if numbers else None


def _still_in_clamps(operation: Operation, now: datetime) -> bool:
    if operation.started_at is not None or (operation.state is WorkState.DOING and not operation.times_done):
        return True
    if operation.state is not WorkState.DONE or operation.done_at is None or operation.wait is None:
        return False
    minutes = operation.wait.earliest if operation.wait.clamped is None else operation.wait.clamped
    return now < operation.done_at + timedelta(minutes=minutes)
