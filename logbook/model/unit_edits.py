"""Edits of a unit that one key or one line makes: stage, hazard class, waiting, disposition, supply, stop line."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.component_state import work_code
from logbook.model.dangers import danger_key
from logbook.model.days import parse_day
from logbook.model.edits import replaced, with_changes
from logbook.model.measures import Effort, parse_money
from logbook.model.paths import Path, put_at
from logbook.model.step import Hazard
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Stage, Supply, WorkState
from logbook.model.work import Operation, Part, StopLine, Waiting


def with_stage(unit: Unit, stage: Stage, why: str = "") -> Unit:
    """Put the unit at another stage. The reason is kept while it is stopped; going on clears it."""
    why = why.strip() if stage is Stage.STOPPED else ""
    if unit.stage is stage and (unit.why_stopped == why or not why):
        return unit
    return unit.model_copy(update={"stage": stage, "why_stopped": why})


def with_object_class(unit: Unit, name: str, hazards: Iterable[Hazard]) -> Unit:
    """Say of which class the object is, and take over the usual hazards of that class.

    No hazard that stands goes: an object can be of two classes, and a warning is only taken out by a person.

    Args:
        unit: whose class is set.
        name: the class; empty for none.
        hazards: its usual hazards. They become the unit's own and can be edited there.
    """
    new = tuple(h for h in dict.fromkeys(hazards) if h not in unit.hazards)
    arrival = with_changes(unit.arrival, object_class=name)
    return unit.model_copy(update={"arrival": arrival, "hazards": (*new, *unit.hazards)})


def hazards_beside_class(unit: Unit, of_class: Iterable[Hazard]) -> tuple[str, ...]:
    """Names of the hazards that stand in a unit and are not among the usual ones of its class."""
    usual = {danger_key(hazard.what) for hazard in of_class}
    return tuple(hazard.what for hazard in unit.hazards if danger_key(hazard.what) not in usual)


_DATED = {"due": "expected", "expected": "expected", "by": "expected", "chase": "chase", "since": "since"}


def waiting_of_line(text: str, today: date) -> Waiting:
    """A reason to wait from one line: `2 bearings, due fri, chase in 5 days`. It waits since today when not said.

    Raises:
        InputError: nothing says what is waited for, or a day cannot be read.
    """
    what: list[str] = []
    days: dict[str, date] = {}
    for phrase in (p.strip() for p in text.split(",")):
        head, _, rest = phrase.partition(" ")
        field = _DATED.get(head.lower())
        if field is not None and rest.strip() and what:
            days[field] = parse_day(rest, today, past=field == "since")
        elif phrase:
            what.append(phrase)
    if not what:
        raise InputError("Say what is waited for, like “2 bearings, due fri, chase in 5 days”.")
    return Waiting(
        what=", ".join(what), since=days.get("since", today), expected=days.get("expected"), chase=days.get("chase")
    )


def with_waiting(unit: Unit, waiting: Waiting) -> Unit:
    """The unit stands still for one more reason."""
    return unit.model_copy(update={"waiting": (*unit.waiting, waiting)})


def with_waiting_done(unit: Unit, at: int, *, done: bool) -> Unit:
    """The reason number `at` (from 0) is over, or holds again. Raises InputError when there is none."""
    if not 0 <= at < len(unit.waiting):
        raise InputError("That reason to wait is not there any more.")
    changed = with_changes(unit.waiting[at], done=done)
    return unit.model_copy(update={"waiting": (*unit.waiting[:at], changed, *unit.waiting[at + 1 :])})


def with_test_result(unit: Unit, at: int, *, passed: bool | None) -> Unit:
    """The make-or-break test number `at` (from 0) passed, failed or is open again. Raises InputError when gone."""
    tests = unit.arrival.make_or_break
    if not 0 <= at < len(tests):
        raise InputError("That test is not there any more.")
    changed = (*tests[:at], with_changes(tests[at], passed=passed), *tests[at + 1 :])
    return unit.model_copy(update={"arrival": with_changes(unit.arrival, make_or_break=changed)})


def with_disposition(unit: Unit, code: str, disposition: Disposition) -> Unit:
    """Say what will become of a component; a repair counts as done no longer when something else is wanted."""
    component = _component(unit, code)
    repaired = component.repaired and component.disposition is disposition
    return _put(unit, with_changes(component, disposition=disposition, repaired=repaired))


def with_repaired(unit: Unit, code: str, *, repaired: bool, at: datetime | None = None) -> Unit:
    """The cleaning or repair of a component is done, or not; an operation that stands for it alone goes with it.

    Args:
        unit: the record.
        code: the component.
        repaired: whether it is done.
        at: when, for the operation.

    Raises:
        InputError: there is no such component, or nothing is to be done on it.
    """
    component = _component(unit, code)
    if component.disposition not in (Disposition.CLEAN, Disposition.REPAIR, Disposition.TEST):
        raise InputError(f"{code} is not to be cleaned, repaired or tested; choose that first.")
    unit = _put(unit, with_changes(component, repaired=repaired))
    work = work_code(component)
    operations = []
    for operation in unit.operations:
        alone = operation.stands_for == (work,) or (operation.code == work and not operation.stands_for)
        operations.append(_as_done(operation, at, done=repaired) if alone else operation)
    return unit.model_copy(update={"operations": tuple(operations)})


def _as_done(operation: Operation, at: datetime | None, *, done: bool) -> Operation:
    """An operation that is done, or not any more; one that is already as wanted stays."""
    if (operation.state is WorkState.DONE) == done:
        return operation
    if done:
        return with_changes(operation, state=WorkState.DONE, done_at=at, started_at=None)
    return with_changes(operation, state=WorkState.TO_DO, done_at=None)


def with_supply(unit: Unit, code: str, supply: Supply, today: date) -> Unit:
    """Say how far a part has come; what is ordered was ordered today unless a date stands there already."""
    part = next((p for p in unit.parts if p.code == code), None)
    if part is None:
        raise InputError(f"{unit.code} has no part {code}.")
    ordered = part.ordered_on or (today if supply is Supply.ORDERED else None)
    changed: Part = with_changes(part, supply=supply, ordered_on=ordered)
    return unit.model_copy(update={"parts": replaced(unit.parts, changed, f"{unit.code} has no part")})


_PER_HOUR = re.compile(r"(?:at least )?(\S*\d\S*?) ?(?:/ ?h|an hour|per hour|a hour)", re.IGNORECASE)
_MONTHS = re.compile(r"(?:at most |after )?(\d{1,3}) months?(?: at rest)?", re.IGNORECASE)


class StopRules(NamedTuple):
    """A stop line as it is typed: `120, 4 an hour, 12 months, the bushes too`."""

    amount: Decimal
    least_rate: Decimal | None
    months_at_rest: int | None
    why: str


def stop_rules_typed(text: str) -> StopRules:
    """The limit of further cash, and behind it in any order the lowest pay per hour, months at rest and the reason.

    Raises:
        InputError: the amount, or the pay per hour, is no amount.
    """
    words, _, rest = text.strip().partition(" ")
    amount = parse_money(words.rstrip(",;"))
    rate: Decimal | None = None
    months: int | None = None
    reasons: list[str] = []
    for phrase in filter(None, (p.strip() for p in re.split(r"[,;](?!\d)", rest))):
        if (paid := _PER_HOUR.fullmatch(phrase)) is not None:
            rate = parse_money(paid[1])
        elif (rests := _MONTHS.fullmatch(phrase)) is not None:
            months = int(rests[1])
        else:
            reasons.append(phrase)
    return StopRules(amount, rate, months, ", ".join(reasons))


def with_stop_line(
    unit: Unit,
    amount: Decimal,
    why: str,
    at: datetime,
    *,
    least_rate: Decimal | None = None,
    months_at_rest: int | None = None,
) -> Unit:
    """Set the limit of further cash, with the rules that hold beside it. The earlier ones stay: they tell why it moved.

    A rule that is not said anew goes on as it was set before.

    Raises:
        InputError: the amount or the pay is negative, or the line is moved without a reason.
    """
    if amount < 0:
        raise InputError("A stop line is an amount from 0 up.")
    if least_rate is not None and least_rate < 0:
        raise InputError("The lowest pay per hour is an amount from 0 up.")
    if unit.stop_lines and not why.strip():
        raise InputError("A stop line is moved only with a reason: type it behind the amount, like “120 bushes too”.")
    last = unit.stop_lines[-1] if unit.stop_lines else None
    line = StopLine(
        amount=amount,
        why=why.strip(),
        set_at=at,
        least_rate=last.least_rate if least_rate is None and last is not None else least_rate,
        months_at_rest=last.months_at_rest if months_at_rest is None and last is not None else months_at_rest,
    )
    return unit.model_copy(update={"stop_lines": (*unit.stop_lines, line)})


def kept_stop_lines(before: Unit, after: Unit) -> None:
    """See that an edit leaves every stop line as it was set, because it tells why the limit moved.

    Raises:
        InputError: one was changed or taken out, or one was added behind another without a reason.
    """
    old, new = before.stop_lines, after.stop_lines
    if old is new:
        return
    rewritten = len(new) < len(old) or any(
        (a.amount, a.set_at) != (b.amount, b.set_at) or (a.why.strip() and a.why != b.why)
        for a, b in zip(old, new, strict=False)
    )
    if rewritten:
        raise InputError("A stop line that was set stays as it is. Set a new one with a reason: l in the costs.")
    if any(not x.why.strip() for x in new[max(1, len(old)) :]):
        raise InputError("A stop line is moved only with a reason: l in the costs asks for both.")


def with_paid(unit: Unit, path: Path, amount: Decimal | None, on: date | None) -> Unit:
    """Write down what was paid for a part, consumable or other cost; None: it was not paid after all.

    A part that was only needed is ordered once it is paid.
    """
    if amount is not None and on is not None and path[0] == "parts":
        part = next((p for p in unit.parts if p.code == path[1]), None)
        if part is not None and part.supply is Supply.NEEDED:
            unit = with_supply(unit, part.code, Supply.ORDERED, on)
    return put_at(put_at(unit, (*path, "paid"), amount), (*path, "paid_on"), on)


def with_taken(unit: Unit, code: str, minutes: int, at: datetime, *, done: bool) -> Unit:
    """Write down how long an operation took, done or so far. Raises InputError when there is none."""
    operation = _operation(unit, code)
    state = WorkState.DONE if done else WorkState.DOING
    changed = with_changes(operation, spent=minutes, state=state, done_at=(operation.done_at or at) if done else None)
    return unit.model_copy(update={"operations": replaced(unit.operations, changed, f"{unit.code} has no operation")})


def with_effort(unit: Unit, code: str, effort: Effort) -> Unit:
    """Give an operation another estimate. Raises InputError when there is none."""
    changed = with_changes(_operation(unit, code), effort=effort)
    return unit.model_copy(update={"operations": replaced(unit.operations, changed, f"{unit.code} has no operation")})


def _operation(unit: Unit, code: str) -> Operation:
    operation = next((o for o in unit.operations if o.code == code), None)
    if operation is None:
        raise InputError(f"{unit.code} has no operation {code}.")
    return operation


def _component(unit: Unit, code: str) -> Component:
    component = next((c for c in unit.components if c.code == code), None)
    if component is None:
        raise InputError(f"{unit.code} has no component {code}.")
    return component


def _put(unit: Unit, component: Component) -> Unit:
    return unit.model_copy(update={"components": replaced(unit.components, component, f"{unit.code} has no component")})
