"""Where a unit stands: what the views over all units need of one, drawn from its record alone.

Nothing here depends on the day, the clock or another unit, so that it can be kept beside the record and shown years
later. Windows, waits and days come in when it is shown: `what_now`, `reminders`, `countdowns` and `at_rest` ask for it.
"""

from __future__ import annotations

import re
import weakref
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from pydantic import Field

from logbook.model.base import Code, Count, Frozen, Minutes, Moment, Name, Text, UnitCode
from logbook.model.component_state import failed_a_test, work_open
from logbook.model.shop import Shop
from logbook.model.unit import Arrival, Book, Unit
from logbook.model.words import Disposition, Stage, Supply, WorkState
from logbook.model.work import MakeOrBreak, Operation, Part, Waiting
from logbook.planning.operations import operations_of, proposed
from logbook.planning.order import forced_order
from logbook.planning.usual import order_rules, usual_work
from logbook.teardown.ready import AT_REST, decides, ready_steps, step_why
from logbook.teardown.stage import first_incomplete, last_worked, next_in_record, one_way_coming

_BATTERY = re.compile(r"\b(batter(y|ies)|cells?|accumulator)\b", re.IGNORECASE)


class ToTest(Frozen):
    """A test that can be made at any time."""

    code: Text = ""
    """Code of the component; empty for a test that decides the job."""
    what: Text
    minutes: Minutes | None = None
    why: Text


class StepReady(Frozen):
    """A step that can come off, but for work that is still drying before it."""

    code: Code
    what: Text
    minutes: Minutes | None = None
    why: Text


class Following(Frozen):
    """Work that follows from the record and waits on nothing."""

    operation: Operation
    why: Text


class Earlier(Frozen):
    """What a rule of materials puts before an operation."""

    later: Text
    passed: bool
    done_at: Moment | None = None
    minutes: Count = 0
    """Least wait between the two."""
    why: Text
    """The rule."""


class Standing(Frozen):
    """Where one unit stands."""

    code: UnitCode
    name: Name
    stage: Stage
    next: Text
    """What is next, in words; empty when it waits, because those words depend on the day."""
    touched: Moment | None = None
    """When it was last worked on."""
    waiting: tuple[Waiting, ...] = ()
    """The stated reasons for which it stands still."""
    parts: tuple[Part, ...] = ()
    """Parts that are ordered, and those that work which could begin needs."""
    make_or_break: tuple[MakeOrBreak, ...] = ()
    operations: tuple[Operation, ...] = ()
    """What is begun or done, and what nothing in the record holds back."""
    frees: Mapping[str, int] = Field(default_factory=dict)
    """For each operation, how many others wait for it."""
    earlier: tuple[Earlier, ...] = ()
    tests: tuple[ToTest, ...] = ()
    steps: tuple[StepReady, ...] = ()
    following: tuple[Following, ...] = ()
    stop_questions: tuple[Text, ...] = ()
    """One-way steps that come next without an answer to their stop question, in sentences."""
    batteries: tuple[Text, ...] = ()
    """What is still in it that leaks, in sentences."""
    incomplete: Text = ""
    """The first thing to complete at the desk, with the number of the others."""

    @property
    def unit(self) -> Unit:
        """The unit as far as it is known here; asked for anything else it raises AttributeError and guesses nothing."""
        arrival = Arrival.model_construct(make_or_break=self.make_or_break)
        known: dict[str, Any] = {"code": self.code, "name": self.name, "stage": self.stage, "touched": self.touched}
        known |= {"waiting": self.waiting, "operations": self.operations, "parts": self.parts, "arrival": arrival}
        unit = Unit.model_construct(**known)
        for name in unit.__dict__.keys() - known.keys():
            del unit.__dict__[name]
        return unit


class Whole(NamedTuple):
    """Where all units of a book stand, and what they share."""

    shop: Shop
    standings: tuple[Standing, ...]

    @property
    def book(self) -> Book:
        """The book as far as it is known here, see `Standing.unit`."""
        return Book.model_construct(shop=self.shop, units={s.code: s.unit for s in self.standings})


def whole_of(book: Book | Whole) -> Whole:
    """Where the units of a book stand, each worked out once for its record. Raises as `standing`."""
    if isinstance(book, Whole):
        return book
    return Whole(book.shop, tuple(standing(unit, book.shop) for unit in book.units.values()))


_known: dict[int, tuple[weakref.ref[Unit], weakref.ref[Shop], Standing]] = {}
"""The last answer for each record, by its identity."""
REMEMBERED = 500
"""Answers remembered at most."""


def standing(unit: Unit, shop: Shop) -> Standing:
    """Where a unit stands.

    Args:
        unit: the record.
        shop: for its own usual work and rules of order.

    Raises:
        InputError: a list of usual work or of rules was edited into something that cannot be used.
    """
    known = _known.get(id(unit))
    if known is not None and known[0]() is unit and known[1]() is shop:
        return known[2]
    found = _worked_out(unit, shop)
    if len(_known) >= REMEMBERED:
        _known.clear()
    _known[id(unit)] = weakref.ref(unit), weakref.ref(shop), found
    return found


def _worked_out(unit: Unit, shop: Shop) -> Standing:
    always: dict[str, Any] = {
        "code": unit.code, "name": unit.name, "stage": unit.stage, "next": next_in_record(unit),
        "touched": last_worked(unit), "waiting": tuple(w for w in unit.waiting if not w.done),
        "batteries": tuple(_batteries(unit)),
    }  # fmt: skip
    if unit.stage in AT_REST:
        begun = tuple(o for o in unit.operations if _is_begun(o))
        return Standing(**always, operations=begun)
    usual = usual_work(shop)
    operations = tuple(o for o in unit.operations if _is_begun(o) or not _held_back(unit, o))
    needed = {code for o in operations if o.needs is not None for code in o.needs.parts}
    following = proposed(unit, usual) if unit.operations else ()
    return Standing(
        **always,
        parts=tuple(p for p in unit.parts if p.supply is Supply.ORDERED or p.code in needed),
        make_or_break=unit.arrival.make_or_break,
        operations=operations,
        frees=freed_by(unit),
        earlier=tuple(_earlier(unit, shop)),
        tests=tuple(_tests(unit)),
        steps=tuple(_steps(unit)),
        following=tuple(Following(operation=o, why=why) for o, why in following if not o.after),
        stop_questions=tuple(one_way_coming(unit)),
        incomplete=first_incomplete(unit),
    )


def _is_begun(operation: Operation) -> bool:
    """Whether the clock can have a say in it: it is begun, done, or was done once."""
    begun = operation.started_at is not None or operation.last_at is not None or operation.times_done > 0
    return begun or operation.state is not WorkState.TO_DO


def _held_back(unit: Unit, operation: Operation) -> bool:
    """Whether other work holds an operation back, whatever the time is."""
    done = {o.code for o in unit.operations if o.passed}
    return not set(operation.after) <= done


def _tests(unit: Unit) -> Iterator[ToTest]:
    for test in unit.arrival.make_or_break:
        if test.passed is None:
            yield ToTest(what=f"test: {test.what}", minutes=test.minutes, why=decides(unit, test))
    named = " ".join(t.what.casefold() for t in unit.arrival.make_or_break)
    still_in = {s.code for s in unit.steps if s.planned}
    for c in unit.components:
        to_test = c.disposition is Disposition.TEST and work_open(unit, c)
        if to_test and c.name.casefold() not in named and c.from_step not in still_in:
            why = f"then decide what becomes of {c.code}"
            why = f"it failed a test: {why.removeprefix('then ')}" if failed_a_test(c) else why
            yield ToTest(code=c.code, what=f"test: {c.name}", why=why)


def _steps(unit: Unit) -> Iterator[StepReady]:
    """Steps that can come off, also those before which something that is done still dries."""
    waits = {code for o in unit.operations if not o.passed for code in o.before_steps}
    for step in ready_steps(unit):
        if step.code not in waits:
            yield StepReady(code=step.code, what=step.what, minutes=step.minutes, why=step_why(step))


def _earlier(unit: Unit, shop: Shop) -> Iterator[Earlier]:
    usual = usual_work(shop)
    operations = operations_of(unit, usual)
    by_code = {o.code: o for o in operations}
    for forced in forced_order(unit, operations, order_rules(shop), usual).forced:
        first = by_code[forced.earlier]
        yield Earlier(
            later=forced.later, passed=first.passed, done_at=first.done_at, minutes=forced.minutes, why=forced.rule.why
        )


def _batteries(unit: Unit) -> Iterator[str]:
    """Hazards that speak of a battery and components that are one, as long as nothing says where they went."""
    for component in unit.components:
        inside = (step := unit.step(component.from_step)) is None or step.planned if component.from_step else True
        if _BATTERY.search(component.name) and component.disposal is None and inside:
            yield f"{component.code} {component.name} is still in: cells leak"
    out = any(_BATTERY.search(s.what) and not s.planned for s in unit.steps)
    named = any(_BATTERY.search(c.name) for c in unit.components)
    if not out and not named and any(_BATTERY.search(h.what) for h in unit.hazards):
        yield "the battery is still in: cells leak"


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
