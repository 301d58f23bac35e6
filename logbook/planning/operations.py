"""Operations of a unit: those written down, and those that follow from the rest of its record.

What follows is a proposal with the usual times. A person can take it into the record, change it, or leave it.
"""

from __future__ import annotations

import re
import weakref
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from functools import lru_cache
from typing import NamedTuple

from logbook.casework import completed
from logbook.errors import CircleError, LogbookError
from logbook.model.component_state import work_code, work_open
from logbook.model.edits import free_code
from logbook.model.measures import Effort
from logbook.model.plural import counted
from logbook.model.precedence import precedence, stated_edges
from logbook.model.replacements import NotListed, is_rebuilt_as_case, not_listed
from logbook.model.step import OneWay, Step
from logbook.model.unit import Component, Unit
from logbook.model.usual_work import UsualWork
from logbook.model.words import Disposition, JointFound, Stage, WorkState
from logbook.model.work import Operation, Wait
from logbook.planning.usual_work_lists import KnownUsualWork
from logbook.reassembly import Progress, refit_list
from logbook.reassembly.wording import listed

REASSEMBLY = "A-all"
"""Code of the proposal that stands for the whole reassembly."""
LINE_OF_THE_LIST = "line of the reassembly"
"""What one line of the list is called among the usual work."""


class Proposed(NamedTuple):
    """An operation that follows from the record and is not written down."""

    operation: Operation
    why: str
    """What it follows from."""


def proposed(unit: Unit, usual: KnownUsualWork) -> tuple[Proposed, ...]:
    """What follows from the record of a unit and no recorded operation covers yet.

    One-way joints that are made anew, components to repair or clean, the panels of a case, and the reassembly
    itself. A code is the same as long as the thing it comes from is there; an operation covers a proposal when it
    was made from it or says that it stands for it, whatever its name may be.

    Args:
        unit: the record.
        usual: usual work, for the times.

    Raises:
        InputError: the list of usual work lacks one that is needed here.
    """
    if unit.stage in (Stage.ARRIVAL, Stage.CLOSED, Stage.STOPPED):
        return ()
    covered = covering(unit)
    found = _following(unit, usual, covered)
    alike = _called_alike(unit, found, usual)
    if alike:  # until somebody says which it is, the work counts once
        covered = covered | alike
        found = _following(unit, usual, covered)
    if REASSEMBLY not in covered:
        found += _reassembly(unit, usual, tuple(p.operation for p in found))
    return tuple(found)


def _following(unit: Unit, usual: KnownUsualWork, covered: Mapping[str, str]) -> list[Proposed]:
    """What follows from the record besides the reassembly, and nothing stands for yet."""
    found = [*_joints(unit, usual), *_components(unit, usual), *_panels(unit, usual, covered)]
    return [p for p in found if p.operation.code not in covered]


class Alike(NamedTuple):
    """Work that follows from the record, and an operation that somebody wrote down and that may be the same."""

    proposal: Proposed
    operation: Operation


def to_be_asked(unit: Unit, usual: KnownUsualWork) -> tuple[Alike, ...]:
    """Operations of which nobody has said yet whether they are the work that follows from the record.

    Raises:
        InputError: the list of usual work lacks one that is needed here.
    """
    if unit.stage in (Stage.ARRIVAL, Stage.CLOSED, Stage.STOPPED):
        return ()
    found = _following(unit, usual, covering(unit))
    alike, by_code = _called_alike(unit, found, usual), {o.code: o for o in unit.operations}
    found += [_whole_reassembly(usual)] if REASSEMBLY in alike else []
    return tuple(Alike(p, by_code[alike[p.operation.code]]) for p in found if p.operation.code in alike)


def _whole_reassembly(usual: KnownUsualWork) -> Proposed:
    work = usual.named("line of the reassembly")
    return Proposed(from_usual(REASSEMBLY, "reassembly", work), "the lines of the list go back")


def _called_alike(unit: Unit, found: Sequence[Proposed], usual: KnownUsualWork) -> dict[str, str]:
    """Codes of proposals, each with that of an open operation that may be the same: asked, never taken for granted.

    It has the same words, or is the same usual work at the same step.
    """
    free = [o for o in unit.operations if o.state is not WorkState.DONE and not o.stands_for]
    if not free:
        return {}
    whole = [] if REASSEMBLY in covering(unit) else [_whole_reassembly(usual)]
    alike: dict[str, str] = {}
    for proposal in (*found, *whole):
        code = proposal.operation.code
        same = (o for o in free if code not in o.apart_from and _may_be(o, proposal.operation, usual))
        operation = next((o for o in same if o.code not in alike.values()), None)
        if operation is not None:
            alike[code] = operation.code
    return alike


def _may_be(written: Operation, following: Operation, usual: KnownUsualWork) -> bool:
    if _words(written.name) == _words(following.name):
        return True
    if not set(written.for_steps) & set(following.for_steps):
        return False
    kinds, others = usual.kinds(written.name), usual.kinds(following.name)
    return bool(kinds and others and kinds[0] is others[0])


_SMALL = frozenset(["a", "an", "the", "of", "on", "in", "to", "for", "and", "its"])


@lru_cache(maxsize=5_000)
def _words(name: str) -> frozenset[str]:
    return frozenset(re.findall(r"\w+", name.casefold())) - _SMALL


def as_this_one(unit: Unit, code: str, proposal: str) -> Unit:
    """The record in which an operation is the work that follows from the record under that code."""
    return _with_said(unit, code, "stands_for", proposal)


def as_another(unit: Unit, code: str, proposal: str) -> Unit:
    """The record in which an operation is not the work that follows from the record under that code."""
    return _with_said(unit, code, "apart_from", proposal)


def _with_said(unit: Unit, code: str, name: str, proposal: str) -> Unit:
    operations = tuple(
        o.model_copy(update={name: (*getattr(o, name), proposal)}) if o.code == code else o for o in unit.operations
    )
    return unit.model_copy(update={"operations": operations})


def covering(unit: Unit) -> dict[str, str]:
    """Codes of proposals that operations stand for, each with the code of its operation."""
    found = {o.code: o.code for o in unit.operations}
    return found | {code: o.code for o in unit.operations for code in o.stands_for}


def operations_of(unit: Unit, usual: KnownUsualWork) -> tuple[Operation, ...]:
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


def _joints(unit: Unit, usual: KnownUsualWork) -> Iterator[Proposed]:
    covered = {code for o in unit.operations for code in o.for_steps}
    of_the_old_case = {c.from_step for c in unit.components if is_rebuilt_as_case(unit, c)}
    for step in unit.steps:
        joint = None if step.code in covered else step.one_way
        if joint is None or joint.rebuilt_by or step.planned or _ticked(unit, step):
            continue
        if step.code in of_the_old_case:
            continue
        remake = joint.remake
        timed = remake is not None and any((remake.busy, remake.clamp, remake.cure))
        if timed or joint.joint in (JointFound.GLUED, JointFound.GASKET):
            made, of = _members_made(unit, step)
            why = f"{step.code} {step.what} cannot be undone as it was"
            why += f"; {listed(made)} {'is' if len(made) == 1 else 'are'} made" if made else ""
            yield Proposed(_what_is_left(_joint(step, joint, usual), of - len(made), of), why)


def _joint(step: Step, joint: OneWay, usual: KnownUsualWork) -> Operation:
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


def _what_is_left(joint: Operation, left: int, of: int) -> Operation:
    """The work on a joint of a set of which some members are made: the share of the others, each as long."""
    if left == of:
        return joint
    effort = joint.effort
    if effort is not None:
        low, likely, high = (-(-minutes * left // of) for minutes in (effort.low, effort.likely, effort.high))
        effort = Effort(low=low, likely=likely, high=high)
    return joint.model_copy(update={"effort": effort, "name": f"{joint.name}, {left} of {of}"})


def _ticked(unit: Unit, step: Step) -> bool:
    """Whether the line of a step is ticked: as a whole, or each member of its set."""
    made, of = _members_made(unit, step)
    return step.code in {line.line for line in unit.refit.lines if line.done} or len(made) == of


def _members_made(unit: Unit, step: Step) -> tuple[list[str], int]:
    """The members of the set of a step at which its line is ticked, and how many there are; of no set one without."""
    done = {line.line for line in unit.refit.lines if line.done}
    of = unit.set_of(step)
    if of is None:
        return [], 1
    return [m.code for m in of.members if f"{step.code}/{m.code}" in done], len(of.members)


_WANTED = {Disposition.REPAIR: "repair", Disposition.CLEAN: "clean"}


def _components(unit: Unit, usual: KnownUsualWork) -> Iterator[Proposed]:
    for c in unit.components:
        word = _WANTED.get(c.disposition)
        if word is None or not work_open(unit, c) or _planned_out(unit, c):
            continue
        steps = (c.from_step,) if c.from_step and unit.step(c.from_step) is not None else ()
        operation = from_usual(work_code(c), f"{word} {c.name}", usual.named(word), for_steps=steps)
        yield Proposed(operation, f"{c.code} {c.name} is marked “{c.disposition}”")


def not_bought(unit: Unit) -> tuple[NotListed, ...]:
    """What has to be got new for the lines that are still open, and no part is listed for: nobody bought it yet."""
    steps = {step.code: step for step in unit.steps}
    return tuple(new for new in not_listed(unit) if new.step not in steps or not _ticked(unit, steps[new.step]))


MOST_NAMED = 3
"""Things without a part that are named one by one."""


def not_bought_words(unit: Unit) -> str:
    """“no part is listed for the speaker cloth and the cord”; empty where nothing is missing from the list of parts."""
    names = list(dict.fromkeys(new.what for new in not_bought(unit)))
    more = len(names) - MOST_NAMED
    named = names if more <= 0 else [*names[:MOST_NAMED], f"{more} more"]
    return f"no part is listed for {listed(named)}" if names else ""


def _planned_out(unit: Unit, component: Component) -> bool:
    step = unit.step(component.from_step) if component.from_step else None
    return step is not None and step.planned


def _panels(unit: Unit, usual: KnownUsualWork, covered: Mapping[str, str]) -> Iterator[Proposed]:
    """The chain of work that makes the panels of a case: each piece after the one before, written down or not.

    A layout that was kept needs no laying out any more, and one that is cut no rough cutting.
    """
    case = completed(unit)
    panels = sum(p.quantity for p in case.panels) if case else 0
    openings = sum(len(p.openings) for p in case.panels) if case else 0
    if not panels:
        return
    why = f"the case has {counted(panels, 'panel')}"
    laid_out = next((kept for kept in unit.layouts if kept.what == "panels" and not kept.left_out), None)
    chain = []
    if laid_out is None:
        chain.append(("P-layout", "lay out on offcuts", "lay out on offcuts", 1, why))
    if laid_out is None or not all(piece.finished for piece in laid_out.pieces):
        chain.append(("P-rough", "rough cut the panels", "rough cut", panels, why))
    chain.append(("P-trim", "trim the panels true", "trim true", panels, why))
    if openings:
        chain.append(("P-open", "openings", "openings and holes", openings, counted(openings, "opening")))
    chain.append(("P-dry", "dry assembly of the case", "dry assembly", 1, why))
    chain.append(("P-glue", "case glue-up", "PVA joint", 1, why))
    before = ""
    for code, name, kind, times, reason in chain:
        after = (before,) if before else ()
        yield Proposed(from_usual(code, name, usual.named(kind), times, after=after), reason)
        before = covered.get(code, code)


def _reassembly(unit: Unit, usual: KnownUsualWork, others: tuple[Operation, ...]) -> Iterator[Proposed]:
    lines = open_lines(unit)
    if lines:
        work = usual.named(LINE_OF_THE_LIST)
        lasts = _lasts((*unit.operations, *others))
        operation = from_usual(REASSEMBLY, "reassembly", work, lines, after=lasts)
        verb = "goes" if lines == 1 else "go"
        why = [f"{counted(lines, 'line')} of the list {verb} back", not_bought_words(unit)]
        yield Proposed(operation, "; ".join(filter(None, why)))


def usual_minutes_of_a_line(usual: KnownUsualWork) -> int | None:
    """Likely minutes for one line of the list; None when the usual work does not say."""
    effort = usual.named(LINE_OF_THE_LIST).effort
    return None if effort is None else effort.likely


_counted_lines: dict[int, tuple[weakref.ref[Unit], int]] = {}
"""The last count for each record, by its identity: what now, costs and plan all ask for it."""


def open_lines(unit: Unit) -> int:
    """How many lines of the reassembly list are not done; for a record without a valid order its steps that are off."""
    known = _counted_lines.get(id(unit))
    if known is not None and known[0]() is unit:
        return known[1]
    try:
        listed = refit_list(unit)
        progress = Progress(unit, listed, _ANY_TIME)
        number = sum(not progress.is_done(line) for line in listed.lines)
    except LogbookError:
        number = sum(not step.planned for step in unit.steps)
    if len(_counted_lines) > 500:
        _counted_lines.clear()
    _counted_lines[id(unit)] = weakref.ref(unit), number
    return number


_ANY_TIME = datetime(2000, 1, 1, tzinfo=UTC)
"""Whether a line is done does not depend on the moment."""


def _lasts(operations: tuple[Operation, ...]) -> tuple[str, ...]:
    """Operations on which no other waits."""
    waited = {code for o in operations for code in o.after}
    return tuple(o.code for o in operations if o.code not in waited)


def with_refit_last(operations: tuple[Operation, ...], found: tuple[Proposed, ...]) -> tuple[Operation, ...]:
    """The recorded operations, with the recorded reassembly after the joints and repairs that were proposed."""
    extra = tuple(p.operation.code for p in found if p.operation.code[:2] in ("J-", "C-"))
    return tuple(
        o.model_copy(update={"after": (*o.after, *(c for c in extra if c not in o.after))}) if is_reassembly(o) else o
        for o in operations
    )


def is_reassembly(operation: Operation) -> bool:
    """Whether an operation is the whole reassembly: proposed, made from the proposal, or said to stand for it."""
    return REASSEMBLY in (operation.code, *operation.stands_for)


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
        update={
            "code": code,
            "after": tuple(c for c in proposal.operation.after if c in known),
            "stands_for": (proposal.operation.code,),
        }
    )
    return unit.model_copy(update={"operations": (*unit.operations, operation)})
