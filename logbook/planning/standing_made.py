"""Where a unit stands, worked out from its record; once for each record, however many views ask."""

from __future__ import annotations

import re
import weakref
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from logbook.errors import LogbookError
from logbook.model.component_state import failed_a_test, work_open
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import AT_REST, Disposition, Stage, Supply, WorkState
from logbook.model.work import Operation
from logbook.planning.material_order import forced_order
from logbook.planning.operations import (
    is_reassembly,
    not_bought_words,
    operations_of,
    proposed,
    usual_minutes_of_a_line,
)
from logbook.planning.standing import (
    Earlier,
    Following,
    JointSetting,
    LineToGoBack,
    StepReady,
    ToTest,
    UnitStanding,
)
from logbook.planning.usual_waits import with_usual_waits
from logbook.planning.usual_work_lists import KnownUsualWork, order_rules, usual_work
from logbook.reassembly import Progress, first_to_do, refit_list
from logbook.teardown.operations_ready import decides, ready_steps, step_why
from logbook.teardown.stage import first_incomplete, last_worked, next_in_record, one_way_coming

_BATTERY = re.compile(r"\b(batter(y|ies)|cells?|accumulator)\b", re.IGNORECASE)


_known: dict[int, tuple[weakref.ref[Unit], weakref.ref[Shop], UnitStanding]] = {}
"""The last answer for each record, by its identity."""


REMEMBERED = 500
"""Answers remembered at most."""


def standing(unit: Unit, shop: Shop) -> UnitStanding:
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
    found = _worked_out(with_usual_waits(unit, shop), shop)
    if len(_known) >= REMEMBERED:
        _known.clear()
    _known[id(unit)] = weakref.ref(unit), weakref.ref(shop), found
    return found


def _worked_out(unit: Unit, shop: Shop) -> UnitStanding:
    always: dict[str, Any] = {
        "code": unit.code, "name": unit.name, "stage": unit.stage, "next": next_in_record(unit),
        "touched": last_worked(unit), "waiting": tuple(w for w in unit.waiting if not w.done),
        "batteries": tuple(_batteries(unit)),
    }  # fmt: skip
    if unit.stage in AT_REST:
        begun = tuple(o for o in unit.operations if _is_begun(o))
        return UnitStanding(**always, operations=begun)
    usual = usual_work(shop)
    operations = tuple(o for o in unit.operations if _is_begun(o) or not _held_back(unit, o))
    needed = {code for o in operations if o.needs is not None for code in o.needs.parts}
    following = [f for f in (proposed(unit, usual) if unit.operations else ()) if not f.operation.after]
    setting = tuple(joints_setting(unit))
    early = set(_before_their_lines(unit, (*operations, *(f.operation for f in following))))
    return UnitStanding(
        **always,
        parts=tuple(p for p in unit.parts if p.supply is Supply.ORDERED or p.code in needed),
        make_or_break=unit.arrival.make_or_break,
        operations=operations,
        frees=freed_by(unit),
        not_their_turn=tuple(o.code for o in operations if o.code in early),
        setting=setting,
        not_bought={o.code: words for o in operations if is_reassembly(o) and (words := not_bought_words(unit))},
        earlier=tuple(_earlier(unit, shop)),
        tests=tuple(_tests(unit)),
        steps=tuple(_steps(unit)),
        following=tuple(Following(operation=o, why=why) for o, why in following if o.code not in early),
        goes_back=_goes_back(unit, usual, (*unit.operations, *(f.operation for f in following)), setting),
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


_ANY_TIME = datetime(2000, 1, 1, tzinfo=UTC)
"""Which lines are done does not depend on the moment."""


def _before_their_lines(unit: Unit, operations: Iterable[Operation]) -> Iterator[str]:
    """Codes of work that makes a joint anew while lines before that of the joint are not done: it is not its turn."""
    progress: Progress | None = None
    for operation in operations:
        steps = [c.removeprefix("J-") for c in (operation.code, *operation.stands_for) if c.startswith("J-")]
        if steps and progress is None:
            try:
                progress = Progress(unit, refit_list(unit), _ANY_TIME)
            except LogbookError:
                return  # no list, so no turn
        if progress is None:
            continue
        lines = [progress.list.by_key[step] for step in steps if step in progress.list.by_key]
        if any(progress.lines_before(line) for line in lines):
            yield operation.code


def _goes_back(
    unit: Unit, usual: KnownUsualWork, offered: Iterable[Operation], setting: Iterable[JointSetting]
) -> LineToGoBack | None:
    """The line that goes back next at the reassembly, unless work that is offered stands for all of them."""
    if unit.stage is not Stage.REASSEMBLY or any(map(is_reassembly, offered)):
        return None
    try:
        listed = refit_list(unit)
    except LogbookError:
        return None  # the list itself says what goes round in a circle
    line = first_to_do(Progress(unit, listed, _AFTER_ALL_WAITS))
    if line is None:
        return None
    what = f"{line.number} {line.title}"
    ends = [joint.until for joint in setting]
    ends += [o.done_at + timedelta(minutes=o.wait.earliest) for o in unit.operations if o.done_at and o.wait]
    minutes = usual_minutes_of_a_line(usual)
    return LineToGoBack(code=line.key, what=what, minutes=minutes, ready_from=max(ends, default=None))


_AFTER_ALL_WAITS = datetime(9000, 1, 1, tzinfo=UTC)


def joints_setting(unit: Unit) -> Iterator[JointSetting]:
    """Joints that lines of the reassembly made anew, each member of a set by itself, in the order of the list."""
    if not any(line.done for line in unit.refit.lines):
        return
    try:
        progress = Progress(unit, refit_list(unit), _ANY_TIME)
    except LogbookError:
        return  # no list, so nothing was made by it
    for line in progress.list.lines:
        for key, until in progress.sets_at(line).items():
            member = key.removeprefix(line.key).lstrip("/")
            what = f"{line.title}, {member}" if member else line.title
            yield JointSetting(code=key, what=what, until=until)


def _tests(unit: Unit) -> Iterator[ToTest]:
    for test in unit.arrival.make_or_break:
        if test.passed is None:
            yield ToTest(what=f"test: {test.what}", minutes=test.minutes, why=decides(unit, test))
    named = " ".join(t.what.casefold() for t in unit.arrival.make_or_break)
    still_in = {s.code for s in unit.steps if s.planned}
    for c in unit.components:
        to_test = c.disposition is Disposition.TEST and work_open(unit, c)
        if to_test and c.name.casefold() not in named and c.from_step not in still_in:
            why = f"then decide what becomes of the {c.name}"
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
