"""Work begun, laid down and done: the time that was really used goes into the record."""

from __future__ import annotations

from datetime import datetime

from logbook.errors import InputError
from logbook.model.component_state import WORK, work_code, work_open
from logbook.model.edits import replaced, with_changes
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import WorkState
from logbook.model.work import Operation
from logbook.planning.at_work import spent_so_far
from logbook.planning.operations import proposed, taken_in
from logbook.planning.usual_work_lists import usual_work


def started(unit: Unit, code: str, at: datetime, shop: Shop) -> Unit:
    """The record with an operation being worked on since `at`; what follows from the record is written down first.

    Raises:
        InputError: there is no such operation, it is done, or it is being worked on already.
    """
    if all(o.code != code for o in unit.operations):
        proposal = next((p for p in proposed(unit, usual_work(shop)) if p.operation.code == code), None)
        unit = unit if proposal is None else taken_in(unit, proposal)
    operation = _operation(unit, code)
    if operation.state is WorkState.DONE:
        raise InputError(f"{code} {operation.name} is done already.")
    if operation.started_at is not None:
        raise InputError(f"{code} {operation.name} is being worked on already.")
    return _put(unit, operation.model_copy(update={"state": WorkState.DOING, "started_at": at}))


def stopped(unit: Unit, code: str, at: datetime) -> Unit:
    """The record with the work laid down at `at`; the minutes since it was taken up are counted.

    Raises:
        InputError: nobody is working on it.
    """
    operation = _operation(unit, code)
    if operation.started_at is None:
        raise InputError(f"Nobody is working on {code} {operation.name}.")
    return _put(unit, operation.model_copy(update={"started_at": None, "spent": spent_so_far(operation, at)}))


def finished(unit: Unit, code: str, at: datetime) -> Unit:
    """The record with an operation, or one of its times, done at `at`.

    Raises:
        InputError: there is no such operation, it is done, or its hold point lacks the reading or the initials.
    """
    operation = _operation(unit, code)
    if operation.state is WorkState.DONE:
        raise InputError(f"{code} {operation.name} is done already.")
    if hold_open(operation):
        raise InputError(f"{code} is hold point {hold_words(operation)} before it is finished.")
    spent = spent_so_far(operation, at) if operation.started_at is not None else operation.spent
    changes: dict[str, object] = {"started_at": None, "spent": spent}
    done = operation.times_done + 1
    if operation.times > 1:
        changes |= {"times_done": done, "last_at": at}
    if done >= operation.times:
        changes |= {"state": WorkState.DONE, "done_at": at}
    else:
        changes |= {"state": WorkState.DOING}
    unit = _put(unit, operation.model_copy(update=changes))
    return _with_components_done(unit, operation) if done >= operation.times else unit


def _with_components_done(unit: Unit, operation: Operation) -> Unit:
    """The record with the components marked as done whose work the operation was."""
    of = {operation.code, *operation.stands_for}
    components = []
    for component in unit.components:
        its_work = component.disposition in WORK and work_code(component) in of
        done = its_work and not component.repaired and not work_open(unit, component)
        components.append(component.model_copy(update={"repaired": True}) if done else component)
    return unit.model_copy(update={"components": tuple(components)})


def hold_open(operation: Operation) -> bool:
    """Whether the last time of an operation still wants the reading or the initials of its hold point."""
    hold = operation.hold
    if hold is None or operation.times_done + 1 < operation.times:
        return False
    return not hold.initials.strip() or bool(hold.reading_of.strip() and not hold.reading.strip())


def hold_words(operation: Operation) -> str:
    """The hold point of an operation and what has to be written at it."""
    hold = operation.hold
    if hold is None:
        return ""
    wanted = f"the reading of {hold.reading_of} and initials" if hold.reading_of else "initials"
    return f"{hold.code} ({hold.what}): write {wanted}"


def with_hold_read(unit: Unit, code: str, reading: str, initials: str, at: datetime) -> Unit:
    """Write what was read at the hold point of an operation, and who read it.

    Raises:
        InputError: the operation has no hold point, or the reading or the initials are missing.
    """
    operation, reading, initials = _operation(unit, code), reading.strip(), initials.strip()
    hold = operation.hold
    if hold is None:
        raise InputError(f"{code} {operation.name} has no hold point.")
    if not initials or (hold.reading_of and not reading):
        raise InputError(f"{code} is hold point {hold_words(operation)}.")
    read = with_changes(hold, reading=reading, initials=initials, read_at=at)
    return _put(unit, operation.model_copy(update={"hold": read}))


def _operation(unit: Unit, code: str) -> Operation:
    for operation in unit.operations:
        if operation.code == code:
            return operation
    raise InputError(f"{unit.code} has no operation {code}.")


def _put(unit: Unit, operation: Operation) -> Unit:
    operations = replaced(unit.operations, operation, f"{unit.code} has no operation")
    return unit.model_copy(update={"operations": operations})
