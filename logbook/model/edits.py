"""Edits of a unit: functions from a record to a new one, or a sentence why it cannot be.

They share what stays the same with the old record, so that an edit costs what it changes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Protocol, TypeVar

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.precedence import circle_closed_by, precedence
from logbook.model.step import Relation, Step
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind

UnitEdit = Callable[[Unit], Unit]
R = TypeVar("R", bound=Frozen)


class _Coded(Protocol):
    @property
    def code(self) -> str: ...


C = TypeVar("C", bound=_Coded)


def with_changes(record: R, **changes: object) -> R:
    """A new record with some fields changed, validated like one that was read.

    Raises:
        pydantic.ValidationError: a value does not fit its field.
    """
    fields = {name: getattr(record, name) for name in type(record).model_fields}
    return type(record)(**{**fields, **changes})


def next_step_code(unit: Unit) -> str:
    """The code for the next step: one more than the highest number that stands in the record.

    Raises:
        InputError: the numbers of its letter are used up.
    """
    letter = unit.step_letter or "T"
    numbers = [int(m[1]) for s in unit.steps if (m := re.fullmatch(rf"{re.escape(letter)}(\d+)[a-z]?", s.code))]
    number = max(numbers, default=0) + 1
    if number > 9999:
        raise InputError(f"{unit.code} has a step {letter}9999 already. Choose another letter for its next steps.")
    return f"{letter}{number:02d}"


def keep_step(unit: Unit, step: Step, after: Sequence[str] = ()) -> Unit:
    """Append a step to the teardown; `after` names the steps that must come off before it.

    Raises:
        InputError: its code is taken, or a step, set, member or sub-assembly that it names does not exist.
    """
    if unit.step(step.code) is not None:
        raise InputError(f"{unit.code} already has a step {step.code}.")
    _names_what_exists(unit, step)
    if after:
        step = step.model_copy(update={"order": OrderBasis.STATED})
    grown = unit.model_copy(update={"steps": (*unit.steps, step)})
    for earlier in dict.fromkeys(after):
        grown = relate(grown, Relation(kind=RelationKind.MUST, earlier=earlier, later=step.code))
    return grown


def change_step(unit: Unit, step: Step) -> Unit:
    """Put `step` in the place of the one with its code.

    Raises:
        InputError: there is no such step, or it names a set, member or sub-assembly that does not exist.
        CircleError: in its new sub-assembly it would have to come off before and after the same step.
    """
    before = unit.step(step.code)
    changed = unit.model_copy(update={"steps": replaced(unit.steps, step, f"{unit.code} has no step")})
    _names_what_exists(unit, step)
    if before is not None and before.inside != step.inside:
        precedence(changed)
    return changed


def _names_what_exists(unit: Unit, step: Step) -> None:
    of = unit.set_of(step)
    if step.each_of and of is None:
        raise InputError(f"{unit.code} has no set {step.each_of}; describe the set first.")
    if step.inside and all(s.code != step.inside for s in unit.sub_assemblies):
        raise InputError(f"{unit.code} has no sub-assembly {step.inside}; describe it first.")
    members = {m.code for m in of.members} if of else set()
    stranger = next((d.member for d in step.differences if d.member not in members), None)
    if stranger is not None:
        raise InputError(f"{step.code} tells a difference of {stranger}, which is no member of its set.")


def drop_step(unit: Unit, code: str) -> Unit:
    """Take a step out of the record, with the relations that name it (undo brings both back).

    Raises:
        InputError: there is no such step, or a sub-assembly came out at it.
    """
    if unit.step(code) is None:
        raise InputError(f"{unit.code} has no step {code}.")
    lump = next((s for s in unit.sub_assemblies if s.came_out_at == code), None)
    if lump is not None:
        raise InputError(f"{code} cannot be taken out: the sub-assembly {lump.code} {lump.name} came out at it.")
    return unit.model_copy(
        update={
            "steps": tuple(s for s in unit.steps if s.code != code),
            "relations": tuple(r for r in unit.relations if code not in (r.earlier, r.later)),
        }
    )


def relate(unit: Unit, relation: Relation) -> Unit:
    """State a relation between two steps; the later step then rests on what was stated.

    Raises:
        InputError: a step does not exist, or the relation is there already.
        CircleError: it would close a circle; the sentence draws the circle.
    """
    for code in (relation.earlier, relation.later):
        if unit.step(code) is None:
            raise InputError(f"{unit.code} has no step {code}, so nothing can be said about its order.")
    same = (relation.kind, relation.earlier, relation.later)
    if any((r.kind, r.earlier, r.later) == same for r in unit.relations):
        raise InputError(f"It is already stated: {relation.earlier} {relation.kind} {relation.later}.")
    error = circle_closed_by(unit, relation)
    if error is not None:
        raise error
    grown = unit.model_copy(update={"relations": (*unit.relations, relation)})
    return state_order(grown, relation.later, OrderBasis.STATED) if relation.kind is RelationKind.MUST else grown


def unrelate(unit: Unit, relation: Relation) -> Unit:
    """Take a relation back. A step left with nothing stated keeps its basis; state it anew to change that."""
    if relation not in unit.relations:
        raise InputError(f"It is not stated: {relation.earlier} {relation.kind} {relation.later}.")
    return unit.model_copy(update={"relations": tuple(r for r in unit.relations if r != relation)})


def state_order(unit: Unit, code: str, basis: OrderBasis) -> Unit:
    """Say what a step's place rests on: the proven order, or only what is stated (then it may be free)."""
    step = unit.step(code)
    if step is None:
        raise InputError(f"{unit.code} has no step {code}.")
    return unit if step.order is basis else change_step(unit, step.model_copy(update={"order": basis}))


def replaced(things: Sequence[C], thing: C, missing: str) -> tuple[C, ...]:
    """The things with the one of the same code replaced. Raises InputError `missing code.` when there is none."""
    if all(t.code != thing.code for t in things):
        raise InputError(f"{missing} {thing.code}.")
    return tuple(thing if t.code == thing.code else t for t in things)


def free_code(prefix: str, taken: Iterable[str]) -> str:
    """The first code `prefix` + number that is not taken."""
    used, number = set(taken), 1
    while f"{prefix}{number}" in used:
        number += 1
    return f"{prefix}{number}"
