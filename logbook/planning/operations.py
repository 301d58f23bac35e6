"""Operations of a unit: those written down, and those that follow from the rest of its record.

What follows is a proposal with the usual times. A person can take it into the record, change it, or leave it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.casework.mirror import written_out
from logbook.errors import CircleError
from logbook.model.edits import free_code
from logbook.model.measures import Effort
from logbook.model.precedence import precedence, stated_edges
from logbook.model.step import OneWay, Step
from logbook.model.unit import Component, Unit
from logbook.model.usual_work import UsualWork
from logbook.model.words import Disposition, JointFound, Stage
from logbook.model.work import Operation, Wait
from logbook.planning.usual import Usual

REFIT_WORDS = ("reassembl", "refit", "put back together")


class Proposed(NamedTuple):
    """An operation that follows from the record and is not written down."""

    operation: Operation
    why: str
    """What it follows from."""


def proposed(unit: Unit, usual: Usual) -> tuple[Proposed, ...]:
    """What follows from the record of a unit and no recorded operation covers yet.

    One-way joints that are made anew, components to repair or clean, the panels of a case, and the reassembly
    itself. A code is the same as long as the thing it comes from is there.

    Args:
        unit: the record.
        usual: usual work, for the times.

    Raises:
        InputError: the list of usual work lacks one that is needed here.
    """
    if unit.stage in (Stage.ARRIVAL, Stage.CLOSED, Stage.STOPPED):
        return ()
    found = [*_joints(unit, usual), *_components(unit, usual), *_panels(unit, usual)]
    return (*found, *_reassembly(unit, usual, tuple(p.operation for p in found)))


def operations_of(unit: Unit, usual: Usual) -> tuple[Operation, ...]:
    """Every operation of a unit, recorded ones first."""
    return (*unit.operations, *(p.operation for p in proposed(unit, usual)))


def from_usual(code: str, name: str, work: UsualWork, times: int = 1, **more: object) -> Operation:
    """An operation with the usual numbers; the effort is for so many of it."""
    effort = work.effort
    if effort is not None and times != 1:
        effort = Effort(low=effort.low * times, likely=effort.likely * times, high=effort.high * times)
    fields: dict[str, object] = {
        "code": code, "name": name, "effort": effort, "wait": work.wait, "if_missed": work.if_missed,
        "if_missed_minutes": work.if_missed_minutes, "needs": work.needs, "traits": work.traits,
        "pausable": work.pausable, "note": work.note,
    }  # fmt: skip
    return Operation.model_validate({**fields, **more})


def _joints(unit: Unit, usual: Usual) -> Iterator[Proposed]:
    covered = {code for o in unit.operations for code in o.for_steps}
    for step in unit.steps:
        joint = None if step.code in covered else step.one_way
        if joint is None or joint.rebuilt_by or step.planned or _ticked(unit, step):
            continue
        remake = joint.remake
        timed = remake is not None and any((remake.busy, remake.clamp, remake.cure))
        if timed or joint.joint in (JointFound.GLUED, JointFound.GASKET):
            yield Proposed(_joint(step, joint, usual), f"{step.code} {step.what} cannot be undone as it was")


def _joint(step: Step, joint: OneWay, usual: Usual) -> Operation:
    glued = joint.joint is JointFound.GLUED
    work = usual.named("glue a joint anew" if glued else "cloth, leather or felt")
    remake = joint.remake
    operation = from_usual(f"J-{step.code}", f"{step.what}: new joint", work, for_steps=(step.code,))
    if remake is None:
        return operation
    busy = remake.busy
    effort = operation.effort if busy is None else Effort(low=busy, likely=busy, high=busy)
    wait = operation.wait
    if remake.clamp is not None or remake.cure is not None:
        clamp, cure = remake.clamp or 0, remake.cure or 0
        wait = Wait(what="joint sets", earliest=clamp + cure, clamped=clamp)
    return operation.model_copy(update={"effort": effort, "wait": wait, "hold": remake.hold, "note": remake.method})


def _ticked(unit: Unit, step: Step) -> bool:
    return any(line.done and line.line.partition("/")[0].partition(":")[0] == step.code for line in unit.refit.lines)


_WANTED = {Disposition.REPAIR: "repair", Disposition.CLEAN: "clean"}


def _components(unit: Unit, usual: Usual) -> Iterator[Proposed]:
    for c in unit.components:
        word = _WANTED.get(c.disposition)
        if word is None or c.repaired or _planned_out(unit, c) or _covered(unit, c.name, word):
            continue
        steps = (c.from_step,) if c.from_step and unit.step(c.from_step) is not None else ()
        operation = from_usual(f"C-{c.code}"[:16], f"{word} {c.name}", usual.named(word), for_steps=steps)
        yield Proposed(operation, f"{c.code} {c.name} is marked “{c.disposition}”")


def _planned_out(unit: Unit, component: Component) -> bool:
    step = unit.step(component.from_step) if component.from_step else None
    return step is not None and step.planned


def _covered(unit: Unit, name: str, word: str) -> bool:
    """Whether a recorded operation names the thing already."""
    wanted = name.casefold()
    return any(wanted in o.name.casefold() or wanted in o.produces.casefold() for o in unit.operations) and bool(word)


def _panels(unit: Unit, usual: Usual) -> Iterator[Proposed]:
    panels = sum(p.quantity for p in unit.case.panels) if unit.case else 0
    said = " ".join(f"{o.name} {o.produces}" for o in unit.operations).casefold()
    if not panels or any(word in said for word in ("cut", "lay out", "panel")):
        return
    why = f"the case has {panels} panel{'s' if panels != 1 else ''}"
    yield Proposed(from_usual("P-layout", "lay out on offcuts", usual.named("lay out on offcuts")), why)
    rough = from_usual("P-rough", "rough cut the panels", usual.named("rough cut"), panels, after=("P-layout",))
    yield Proposed(rough, why)
    yield Proposed(
        from_usual("P-trim", "trim the panels true", usual.named("trim true"), panels, after=("P-rough",)), why
    )
    openings = sum(len(p.openings) for p in written_out(unit.case)) if unit.case else 0
    last = "P-trim"
    if openings:
        work = usual.named("openings and holes")
        yield Proposed(from_usual("P-open", "openings", work, openings, after=(last,)), f"{openings} openings")
        last = "P-open"
    yield Proposed(from_usual("P-dry", "dry assembly of the case", usual.named("dry assembly"), after=(last,)), why)
    yield Proposed(from_usual("P-glue", "case glue-up", usual.named("PVA joint"), after=("P-dry",)), why)


def _reassembly(unit: Unit, usual: Usual, others: tuple[Operation, ...]) -> Iterator[Proposed]:
    said = [o for o in unit.operations if any(word in o.name.casefold() for word in REFIT_WORDS)]
    steps = [s for s in unit.steps if not _ticked(unit, s)]
    if not said and steps:
        work = usual.named("line of the reassembly")
        lasts = _lasts((*unit.operations, *others))
        operation = from_usual("A-all", "reassembly", work, len(steps), after=lasts)
        yield Proposed(operation, f"{len(steps)} step{'s' if len(steps) != 1 else ''} go back")


def _lasts(operations: tuple[Operation, ...]) -> tuple[str, ...]:
    """Operations on which no other waits."""
    waited = {code for o in operations for code in o.after}
    return tuple(o.code for o in operations if o.code not in waited)


def with_refit_last(operations: tuple[Operation, ...], found: tuple[Proposed, ...]) -> tuple[Operation, ...]:
    """The recorded operations, with the recorded reassembly after the joints and repairs that were proposed."""
    extra = tuple(p.operation.code for p in found if p.operation.code[:2] in ("J-", "C-"))
    if not extra:
        return operations
    return tuple(
        o.model_copy(update={"after": (*o.after, *(c for c in extra if c not in o.after))})
        if any(word in o.name.casefold() for word in REFIT_WORDS)
        else o
        for o in operations
    )


class StepWork(NamedTuple):
    """A step written down beforehand and still to come off, as work."""

    step: Step
    after: tuple[str, ...]
    """Steps and operations that come before it."""


def planned_steps(unit: Unit) -> tuple[StepWork, ...]:
    """The steps still to come off, each after those that must come off before it and the work that it waits for."""
    planned = {s.code: s for s in unit.steps if s.planned}
    if not planned:
        return ()
    try:
        edges = precedence(unit).edges
    except CircleError:
        edges = stated_edges(unit)
    before: dict[str, list[str]] = {code: [] for code in planned}
    for edge in edges:
        if edge.later in planned and edge.earlier in planned and edge.earlier not in before[edge.later]:
            before[edge.later].append(edge.earlier)
    for operation in unit.operations:
        for code in operation.before_steps:
            if code in planned:
                before[code].append(operation.code)
    return tuple(StepWork(step, tuple(before[code])) for code, step in planned.items())


def taken_in(unit: Unit, proposal: Proposed) -> Unit:
    """The record with a proposal written down, under a code that is free."""
    taken = [o.code for o in unit.operations]
    code = proposal.operation.code
    code = code if code not in taken else free_code("B", taken)
    known = {*taken, code}
    operation = proposal.operation.model_copy(
        update={"code": code, "after": tuple(c for c in proposal.operation.after if c in known)}
    )
    return unit.model_copy(update={"operations": (*unit.operations, operation)})
