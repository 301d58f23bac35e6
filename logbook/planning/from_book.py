"""The open work of a whole book as one problem of time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import NamedTuple

from logbook.model.dates_in_words import weekday_and_day
from logbook.model.holds import open_holds
from logbook.model.measures import Effort
from logbook.model.plural import counted
from logbook.model.replacements import NotListed, is_missing
from logbook.model.shop import Shop
from logbook.model.step import HoldPoint
from logbook.model.unit import Book, Unit
from logbook.model.usual_work import RuleKind
from logbook.model.words import AT_REST, Supply, WorkState
from logbook.model.work import Operation, Part, Wait
from logbook.planning.countdown import WET_AT_MOST
from logbook.planning.free_time import PlanClock, free_windows, loud_windows, repeats
from logbook.planning.material_order import Contrary, forced_order, too_early
from logbook.planning.operations import is_reassembly, not_bought, planned_steps, proposed, with_refit_last
from logbook.planning.plan_problem import FREE, PERSON, Apart, Follow, Goal, PlanProblem, Task, Use
from logbook.planning.standing_made import joints_setting
from logbook.planning.time_left import LEAST_LEFT
from logbook.planning.usual_waits import book_with_usual_waits
from logbook.planning.usual_work_lists import order_rules, usual_work
from logbook.teardown.operations_ready import failed_test

PIECE = 30
"""Minutes of the pieces into which work that can be laid down is cut."""
UNKNOWN = 30
"""Minutes counted for work that nobody has estimated and that is of no usual kind."""
HOLD_MINUTES = 10
"""Minutes counted for reading an open hold point. Common practice, no source."""
STEP_MINUTES = 10
"""Minutes counted for a step still to come off. Common practice, no source."""
LIMITS = ("clamps", "press", "finishing place")


class Basis(StrEnum):
    """Which point of the busy time is planned with."""

    LOW = "low"
    LIKELY = "likely"
    EXPECTED = "expected"
    HIGH = "high"


class Work(NamedTuple):
    """One task of the plan, and what it is of the record."""

    key: str
    unit: str
    code: str
    """Code of the operation or step; empty for a make-or-break test."""
    name: str
    kind: str
    """“operation”, “proposed”, “step” or “test”."""
    number: int = 1
    of: int = 1
    piece: bool = False
    """It is a piece of work that can be laid down, not one of several times."""
    guessed: bool = False
    """Its minutes are the usual ones, because nobody estimated it."""
    operation: Operation | None = None

    @property
    def title(self) -> str:
        """Its name, with which of its times it is."""
        return f"{self.name}, {self.number} of {self.of}" if self.of > 1 and not self.piece else self.name


class BookProblem(NamedTuple):
    """The problem of a book, and how to read it."""

    problem: PlanProblem
    work: dict[str, Work]
    clock: PlanClock
    reasons: dict[tuple[str, str], str]
    """Why one task comes before another, where a rule of materials says so."""
    contrary: tuple[Contrary, ...]
    assumed: tuple[str, ...]
    """What the plan takes for granted, in sentences."""
    if_missed: dict[int, str]
    """The work inserted when the latest of a follow is missed, in words."""


def book_problem(
    book: Book, clock: PlanClock, *, basis: Basis = Basis.LIKELY, days: int = 366, proposals: bool = True
) -> BookProblem:
    """The open work of all units that are at work, as a problem from `clock.now` on.

    Args:
        book: the whole book.
        clock: now, and the time zone.
        basis: which point of the busy times counts.
        days: how far ahead free time is laid out.
        proposals: whether work that follows from the record without being written down counts.

    Raises:
        InputError: a time of day or the time zone in the shop's settings is none.
    """
    return _Builder(book_with_usual_waits(book), clock, basis, days, proposals=proposals).build()


class _Builder:
    def __init__(self, book: Book, clock: PlanClock, basis: Basis, days: int, *, proposals: bool) -> None:
        self.book, self.clock, self.basis, self.proposals = book, clock, basis, proposals
        self.usual, self.rules = usual_work(book.shop), order_rules(book.shop)
        self.days = days if repeats(book.shop) else max(days, 366)
        self.tasks: dict[str, Task] = {}
        self.work: dict[str, Work] = {}
        self.follows: list[Follow] = []
        self.if_missed: dict[int, str] = {}
        self.reasons: dict[tuple[str, str], str] = {}
        self.contrary: list[Contrary] = []
        self.assumed: list[str] = []
        self.chains: dict[tuple[str, str], list[str]] = {}
        self.traits: dict[str, frozenset[str]] = {}
        self.wet: dict[str, int] = {}
        self.codes: set[str] = set()
        """Codes of all operations of the unit that is looked at."""

    def build(self) -> BookProblem:
        units = [u for u in self.book.units.values() if u.stage not in AT_REST]
        for unit in units:
            self._unit(unit)
        free = free_windows(self.book.shop, self.clock, self.days)
        helped = free_windows(self.book.shop, self.clock, self.days, helper=True)
        loud = loud_windows(free, self.book.shop, self.clock)
        hours = {FREE: free, "loud": loud, "helper": helped}
        hours["loud helper"] = loud_windows(helped, self.book.shop, self.clock)
        goals = tuple(Goal(u.code, max(1, u.weight), self._due(u)) for u in units)
        limits = {PERSON: 1, **limits_of(self.book.shop)}
        problem = PlanProblem(
            self.tasks, tuple(self.follows), limits, hours, tuple(self._apart()), goals, self.clock.now
        )
        contrary, assumed = tuple(self.contrary), tuple(dict.fromkeys(self.assumed))
        return BookProblem(problem, self.work, self.clock, self.reasons, contrary, assumed, self.if_missed)

    def _due(self, unit: Unit) -> int | None:
        return None if unit.due is None else self.clock.day(unit.due + timedelta(days=1))

    # One unit

    def _unit(self, unit: Unit) -> None:
        found = proposed(unit, self.usual) if self.proposals else ()
        recorded = with_refit_last(unit.operations, found)
        operations = [*recorded, *(p.operation for p in found)]
        self.codes = {o.code for o in operations}
        order = forced_order(unit, operations, self.rules, self.usual)
        self.contrary += order.contrary
        self.assumed += [f"{unit.code}: {sentence}" for sentence in too_early(unit, order)]
        kinds = {p.operation.code: "proposed" for p in found}
        for operation in operations:
            self._operation(unit, operation, kinds.get(operation.code, "operation"))
        for operation in operations:
            for code in operation.after:
                self._after(unit, operations, code, operation)
        for f in order.forced:
            self._link(unit.code, f.earlier, f.later, Follow("", "", f.minutes), f.rule.why)
        self._tests(unit)
        self._steps(unit, operations)
        self._holds(unit, operations)

    def _operation(self, unit: Unit, operation: Operation, kind: str) -> None:
        effort, guessed = self._effort(operation)
        chain: list[str] = []
        blocked = self._blocked(unit, operation)
        for number, minutes, fixed in self._pieces(operation, effort):
            of, piece = self._of(operation, effort)
            key = f"{unit.code}/{operation.code}" + (f".{number}" if of > 1 else "")
            wait = self._wait(operation, last=number == of)
            hours = _hours(operation)
            earliest = self._earliest(unit, operation)
            uses = self._uses(operation, wait)
            self.tasks[key] = Task(key, unit.code, minutes, uses, hours, earliest, fixed, blocked)
            self.work[key] = Work(
                key, unit.code, operation.code, operation.name, kind, number, of, piece, guessed, operation
            )
            self.traits[key] = self.usual.traits(operation)
            self.wet[key] = wet_minutes(wait)
            if chain:
                self._follow(chain[-1], key, operation, None if piece else operation.between)
            chain.append(key)
        if chain:
            self.chains[unit.code, operation.code] = chain

    def _pieces(self, operation: Operation, minutes: int) -> Iterator[tuple[int, int, int | None]]:
        """Number, minutes and fixed start of each task of an operation that still matters to the plan."""
        clock = self.clock
        if operation.state is WorkState.DONE:
            if operation.done_at is not None:
                end, took = clock.minutes(operation.done_at), max(1, operation.spent or minutes)
                yield self._of(operation, minutes)[0], took, end - took
            return
        if operation.times > 1:
            each = max(1, -(-minutes // operation.times))
            done = min(operation.times_done, operation.times - 1)
            if done and operation.last_at is not None:
                yield done, each, clock.minutes(operation.last_at) - each
            for number in range(done + 1, operation.times + 1):
                started = operation.started_at if number == done + 1 else None
                yield number, *self._begun(started, each)
            return
        left = max(LEAST_LEFT, minutes - (operation.spent or 0)) if operation.state is WorkState.DOING else minutes
        pieces, cut = self._of(operation, minutes)
        if not cut:
            yield pieces, *self._begun(operation.started_at, left)
            return
        number = max(1, pieces - -(-left // PIECE) + 1)
        if operation.started_at is not None:
            took, begin = self._begun(operation.started_at, min(PIECE, left))
            yield number, took, begin
            left, number = left - took, number + 1
        for n, at in enumerate(range(0, max(0, left), PIECE)):
            yield number + n, min(PIECE, left - at), None

    def _of(self, operation: Operation, minutes: int) -> tuple[int, bool]:
        """How many tasks an operation is, and whether they are pieces of one."""
        if operation.times > 1:
            return operation.times, False
        pieces = -(-minutes // PIECE)
        cut = operation.pausable and operation.state is not WorkState.DONE
        return (pieces, True) if cut and pieces > 1 else (1, False)

    def _begun(self, started: datetime | None, minutes: int) -> tuple[int, int | None]:
        if started is None:
            return minutes, None
        begin = self.clock.minutes(started)
        gone = self.clock.now - begin
        return max(minutes, gone + LEAST_LEFT), begin

    def _effort(self, operation: Operation) -> tuple[int, bool]:
        kinds = self.usual.kinds(operation.name)
        effort = operation.effort or next((k.effort for k in kinds if k.effort is not None), None)
        return (UNKNOWN if effort is None else minutes_of(effort, self.basis)), operation.effort is None

    def _wait(self, operation: Operation, *, last: bool) -> Wait | None:
        return operation.wait if last or operation.times < 2 else operation.between

    def _uses(self, operation: Operation, wait: Wait | None) -> tuple[Use, ...]:
        needs = operation.needs
        uses = [Use(PERSON)]
        if needs is None:
            return tuple(uses)
        held = 0 if wait is None else wait.earliest if wait.clamped is None else wait.clamped
        uses += [Use("clamps", needs.clamps, held)] if needs.clamps else []
        uses += [Use("press", needs.press, held)] if needs.press else []
        uses += [Use("finishing place", 1, wet_minutes(wait))] if needs.finishing_place else []
        return tuple(uses)

    def _earliest(self, unit: Unit, operation: Operation) -> int:
        wanted = list(operation.needs.parts) if operation.needs else []
        wanted += [part.code for part in unit.parts if is_missing(part) and _goes_on_with(operation, part)]
        earliest = max((self._comes(unit, code) for code in dict.fromkeys(wanted)), default=0)
        lacking = [new for new in not_bought(unit) if is_reassembly(operation) or new.step in _joined_at(operation)]
        earliest = max(earliest, *(self._would_come(unit, new) for new in lacking), 0)
        if is_reassembly(operation):  # it goes on when the joints that it has made anew have set
            earliest = max(earliest, *(self.clock.minutes(joint.until) for joint in joints_setting(unit)), 0)
        return earliest

    def _blocked(self, unit: Unit, operation: Operation) -> str:
        """Why an operation has no place whatever time there is; empty when it can have one."""
        failed = failed_test(unit, operation)
        if failed:
            return failed
        known = self.codes
        missing = next((code for code in operation.after if code not in known), None)
        return "" if missing is None else f"it is after {missing}, which does not exist"

    def _comes(self, unit: Unit, code: str) -> int:
        """When a part is here. What is not known is assumed and said."""
        part = next((p for p in unit.parts if p.code == code), None)
        if part is not None and part.supply is Supply.HERE:
            return 0
        today = self._today()
        name = f"{unit.code} {part.name}" if part is not None else f"{unit.code} {code}, which is not in the record,"
        if part is not None and part.expected_on is not None and part.expected_on > today:
            return self.clock.day(part.expected_on)
        days = self.book.shop.settings.delivery_days
        comes = today + timedelta(days=days)
        how = "is late" if part is not None and part.expected_on is not None else "is ordered today"
        how = "comes" if part is not None and part.supply is Supply.ORDERED and part.expected_on is None else how
        self.assumed.append(f"{name} {how} and is here on {weekday_and_day(comes)}, {counted(days, 'day')} from now")
        return self.clock.day(comes)

    def _would_come(self, unit: Unit, new: NotListed) -> int:
        """When something is here that no part is listed for, if it is ordered today."""
        days = self.book.shop.settings.delivery_days
        comes = self._today() + timedelta(days=days)
        self.assumed.append(
            f"{unit.code} {new.what} is to be got new and no part is listed for it: ordered today, it is here on "
            f"{weekday_and_day(comes)}, {counted(days, 'day')} from now"
        )
        return self.clock.day(comes)

    def _today(self) -> date:
        return self.clock.local(self.clock.moment(self.clock.now)).date()

    # What follows what

    def _after(self, unit: Unit, operations: Iterable[Operation], code: str, operation: Operation) -> None:
        before = next((o for o in operations if o.code == code), None)
        if before is None:
            return  # it is blocked, and says so
        if before.state is WorkState.DONE and before.done_at is None and before.wait is not None:
            self.assumed.append(f"{unit.code} {code} was done at an unknown time; its wait is taken as over")
        first, last = self.chains.get((unit.code, operation.code)), self.chains.get((unit.code, code))
        if first and last and operation.state is not WorkState.DONE:
            self._follow(last[-1], first[0], before, before.wait)

    def _follow(self, earlier: str, later: str, operation: Operation, wait: Wait | None) -> None:
        if wait is None or wait.latest is None:
            self.follows.append(Follow(earlier, later, wait.earliest if wait else 0))
            return
        missed = operation.if_missed_minutes
        if missed is None and not operation.if_missed:
            # Nobody said what a missed window costs, so the work itself is counted again, with its wait.
            work, settle, words = self.tasks[earlier].minutes, wait.earliest, f"{operation.name} again"
        else:
            work, settle, words = missed or 0, 0, operation.if_missed or "sand"
        again = wait.latest if wait.after_sanding is None else wait.after_sanding
        self.if_missed[len(self.follows)] = words
        self.follows.append(Follow(earlier, later, wait.earliest, wait.latest, again, work, settle))

    def _link(self, unit: str, earlier: str, later: str, follow: Follow, why: str = "") -> None:
        before, after = self.chains.get((unit, earlier)), self.chains.get((unit, later))
        if before and after:
            self.follows.append(follow._replace(earlier=before[-1], later=after[0]))
            self.reasons[before[-1], after[0]] = why

    def _tests(self, unit: Unit) -> None:
        for i, test in enumerate(unit.arrival.make_or_break):
            if test.passed is not None:
                continue
            key = f"{unit.code}/test{i + 1}"
            self.tasks[key] = Task(key, unit.code, test.minutes or UNKNOWN)
            self.work[key] = Work(key, unit.code, "", f"test: {test.what}", "test", guessed=test.minutes is None)
            self.traits[key], self.chains[unit.code, key] = frozenset(), [key]
            for code in test.before.replace(",", " ").split():
                self._link(unit.code, key, code, Follow("", ""), "the test decides whether the rest is worth doing")

    def _steps(self, unit: Unit, operations: Iterable[Operation]) -> None:
        steps = planned_steps(unit)
        for step, _ in steps:
            key = f"{unit.code}/{step.code}"
            self.tasks[key] = Task(
                key, unit.code, step.minutes or STEP_MINUTES, hours="helper" if step.helper else FREE
            )
            self.work[key] = Work(key, unit.code, step.code, step.what, "step", guessed=step.minutes is None)
            self.traits[key], self.chains[unit.code, step.code] = frozenset(), [key]
        planned = {step.code for step, _ in steps}
        by_code = {o.code: o for o in operations}
        for step, after in steps:
            for code in after:
                if code in by_code and (chain := self.chains.get((unit.code, code))):
                    self._follow(chain[-1], f"{unit.code}/{step.code}", by_code[code], by_code[code].wait)
                else:
                    self._link(unit.code, code, step.code, Follow("", ""))
        for operation in operations:
            waits = [c for c in operation.for_steps if c in planned and not operation.before_steps]
            waits = sorted(planned) if is_reassembly(operation) else waits
            for code in waits:
                self._link(unit.code, code, operation.code, Follow("", ""))

    def _holds(self, unit: Unit, operations: Iterable[Operation]) -> None:
        """Each open hold point is read before what it keeps back: the work after it, or all that is still to come off.

        A reading behind work that is done is planned as work of its own: the next thing to do, and not an assumption.
        """
        for operation in operations:
            if operation.state is WorkState.DONE and operation.hold is not None and operation.hold_lacks:
                after = [o.code for o in operations if operation.code in o.after and o.state is not WorkState.DONE]
                self._hold(unit, operation.code, operation.hold, after)
        planned = [step.code for step, _ in planned_steps(unit)]
        for step in open_holds(unit):
            for at in step.open_holds:
                where = f"{step.code}/{at.member}" if at.member else step.code
                self._hold(unit, where, at.hold, planned)

    def _hold(self, unit: Unit, at: str, hold: HoldPoint, keeps_back: Iterable[str]) -> None:
        key = f"{unit.code}/hold {at}"
        lacks = " and the ".join(hold.lacks(hold.reading, hold.initials))
        self.tasks[key] = Task(key, unit.code, HOLD_MINUTES)
        name = f"hold point {hold.code} at {at}: write the {lacks}"
        self.work[key] = Work(key, unit.code, "", name, "test", guessed=True)
        self.traits[key], self.chains[unit.code, key] = frozenset(), [key]
        for code in keeps_back:
            self._link(unit.code, key, code, Follow("", ""), "work does not pass a hold point that is open")

    # What is kept apart

    def _apart(self) -> Iterator[Apart]:
        for rule in self.rules:
            if rule.kind is RuleKind.APART:
                one = tuple((k, rule.minutes) for k, t in self.traits.items() if t & set(rule.first))
                other = tuple((k, self.wet.get(k, 0)) for k, t in self.traits.items() if t & set(rule.second))
                if one and other:
                    yield Apart(one, other, rule.code, rule.why)


def minutes_of(effort: Effort, basis: Basis) -> int:
    """The minutes planned with: one of the three points, or (low + 4 likely + high) / 6, rounded up."""
    points = {Basis.LOW: effort.low, Basis.LIKELY: effort.likely, Basis.HIGH: effort.high}
    expected = -(-(effort.low + 4 * effort.likely + effort.high) // 6)
    return max(1, points.get(basis, expected))


def _goes_on_with(operation: Operation, part: Part) -> bool:
    """Whether an operation cannot be done without a part that stands for steps, components or fasteners of the refit.

    The whole reassembly wants all of them; a joint that is made anew, those of its step.
    """
    for_refit = bool(part.for_steps or part.for_components or part.fastener)
    if is_reassembly(operation):
        return for_refit
    return bool(_joined_at(operation).intersection(part.for_steps))


def _joined_at(operation: Operation) -> set[str]:
    """The steps whose joints an operation makes anew."""
    return {code.removeprefix("J-") for code in (operation.code, *operation.stands_for) if code.startswith("J-")}


def _hours(operation: Operation) -> str:
    needs = operation.needs
    if needs is None:
        return FREE
    return {(False, False): FREE, (True, False): "loud", (False, True): "helper", (True, True): "loud helper"}[
        needs.quiet, needs.helper
    ]


def limits_of(shop: Shop) -> dict[str, int]:
    """How many clamps, press places and finishing places the shop has; what it does not name has no limit."""
    said = {name: [t.number for t in shop.tools if name.rstrip("s") in t.name.casefold()] for name in LIMITS}
    return {name: sum(numbers) for name, numbers in said.items() if numbers}


def wet_minutes(wait: Wait | None) -> int:
    """How long a finish stays wet."""
    if wait is None:
        return 0
    return wait.wet if wait.wet is not None else min(wait.earliest, WET_AT_MOST)
