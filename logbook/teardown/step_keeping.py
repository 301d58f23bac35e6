"""Keeping what a line says: a new step, a planned one that is done now, or a step put right.

The record stays in the order in which things happened: what is only planned stands after what is done.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from logbook.model.dangers import danger_key, each_danger
from logbook.model.edits import change_step, keep_step, with_changes
from logbook.model.holds import refuse_past_open_hold
from logbook.model.numbering import next_code
from logbook.model.photo_edits import with_waiting_photos_at
from logbook.model.proofs import is_live
from logbook.model.step import Hazard, HoldPoint, Step
from logbook.model.templates import with_usual_words
from logbook.model.unit import Unit
from logbook.model.words import Stage
from logbook.teardown.bench_line import LineReading
from logbook.teardown.hold_code import UNNUMBERED_HOLD, other_with_code
from logbook.teardown.kinds import next_bag, next_box
from logbook.teardown.meant import UNNAMED_HAZARD
from logbook.teardown.relations import (
    goes_back_before,
    said_order,
    threaded_at,
    with_order_from_line,
    with_threaded,
)
from logbook.teardown.thing_phrases import things_of, with_things
from logbook.teardown.write import write_line

_BEFORE_TEARDOWN = frozenset({Stage.ARRIVAL})


def kept_from_line(unit: Unit, reading: LineReading, *, at: datetime, by: str = "") -> Unit:
    """The unit with the step that a line says, in one edit: its place, its order and the unit's stage with it.

    A step of that code that is there already is put right and keeps its time; a planned one that the line no
    longer calls planned is done now. The first step done starts the teardown.

    Args:
        unit: the record.
        reading: the line, read against this unit.
        at: the time a step done now is written down with.
        by: initials for a step whose line names nobody.

    Raises:
        InputError: a step or set that it names does not exist, or it would come off past an open hold point;
            CircleError: its order would close a circle.
    """
    refuse_past_open_hold(unit, reading.step)
    if reading.new_set is not None and all(s.code != reading.new_set.code for s in unit.sets):
        unit = unit.model_copy(update={"sets": (*unit.sets, reading.new_set)})
    step = with_known_advice(unit, reading.step)
    before = unit.step(step.code)
    step = _with_proofs_taken(step, before, at=at, by=by)
    step = _with_hold_numbered(step, unit)
    if not step.planned and (before is None or before.planned):
        step = step.model_copy(update={"at": step.at or at, "by": step.by or by})
    if before is None:
        grown = keep_step(unit, step)
    elif before.planned and not step.planned:
        grown = change_step(_moved_to_end(unit, step.code), step)
    else:
        grown = change_step(unit, step)
    grown = with_things(grown, step.code, reading.things)
    grown = with_order_from_line(grown, step.code, reading.after, reading.better_after, reading.back_before)
    grown = with_threaded(grown, step.code, reading.threaded)
    ordered = done_first(grown.steps)
    update: dict[str, object] = {"steps": ordered} if ordered != grown.steps else {}
    if not step.planned and unit.stage in _BEFORE_TEARDOWN:
        update["stage"] = Stage.TEARDOWN
    return grown.model_copy(update=update) if update else grown


def kept_with_photos(unit: Unit, reading: LineReading, *, at: datetime, by: str = "") -> Unit:
    """The same, with the photos that came from the phone while the step was being written. Raises as the other."""
    kept = kept_from_line(unit, reading=reading, at=at, by=by)
    return with_waiting_photos_at(kept, reading.step.code)


def _with_proofs_taken(step: Step, before: Step | None, *, at: datetime, by: str) -> Step:
    """The step with the time and initials of each proof that its line says.

    A proof written into the line of a step that was done before counts from then and not from now: nobody
    knows that it was taken today. A live reading counts from now: it takes back what was proved since.
    """
    taken = before.at if before is not None and not before.planned else at
    stamped = []
    for proof in step.proofs:
        if proof.at is not None:
            stamped.append(proof)
            continue
        moment = at if is_live(proof.danger, proof.reading) else taken
        stamped.append(proof.model_copy(update={"at": moment, "by": proof.by or step.by or by}))
    return step.model_copy(update={"proofs": tuple(stamped)}) if step.proofs else step


def _with_hold_numbered(step: Step, unit: Unit) -> Step:
    """The step with the next free number for each hold point that its line makes; a free one that it says stays."""
    before = unit.step(step.code)
    its_own = {at.hold.code for at in before.holds} if before is not None else set()
    others = unit.model_copy(update={"steps": tuple(other for other in unit.steps if other.code != step.code)})

    def numbered(hold: HoldPoint, beside: Step) -> HoldPoint:
        if hold.code in its_own:
            return hold
        all_steps = others.model_copy(update={"steps": (*others.steps, beside)})
        if hold.code != UNNUMBERED_HOLD and other_with_code(hold.code, all_steps, but="") is None:
            return hold
        return hold.model_copy(update={"code": next_code(all_steps, HoldPoint)})

    own = step.differences
    so_far = step.model_copy(update={"hold": None, "differences": ()})
    if step.hold is not None:
        so_far = so_far.model_copy(update={"hold": numbered(step.hold, so_far)})
    for each in own:
        with_number = each if each.hold is None else each.model_copy(update={"hold": numbered(each.hold, so_far)})
        so_far = so_far.model_copy(update={"differences": (*so_far.differences, with_number)})
    return so_far


def line_of(unit: Unit, step: Step) -> str:
    """The line of a step with the order that is stated for it, as it reads back in this unit."""
    after, better_after = said_order(unit, step.code)
    back_before, things = goes_back_before(unit, step.code), things_of(unit, step.code)
    threaded = threaded_at(unit, step.code)
    return write_line(step, after, better_after, unit=unit, back_before=back_before, things=things, threaded=threaded)


def known_hazards(unit: Unit) -> tuple[Hazard, ...]:
    """The dangers that this unit is known to have, each once, as they are offered for a step by number."""
    stated = (*unit.hazards, *(h for s in unit.steps for h in s.hazards))
    return each_danger(h for h in stated if h.what != UNNAMED_HAZARD)


def with_known_advice(unit: Unit, step: Step) -> Step:
    """The step with what to do and how to prove it for each danger, so that every paper and the phone say it too.

    The words are those of the same danger of the unit, else the usual ones of a danger of that name. What the step
    says itself is never overwritten.
    """
    known = {danger_key(h.what): h for h in known_hazards(unit) if h.do or h.prove}

    def advised(hazard: Hazard) -> Hazard:
        of = known.get(danger_key(hazard.what))
        if of is None:
            return with_usual_words(hazard)
        return hazard.model_copy(update={"do": hazard.do or of.do, "prove": hazard.prove or of.prove})

    hazards = tuple(map(advised, step.hazards))
    return step if hazards == step.hazards else step.model_copy(update={"hazards": hazards})


def done_first(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps that are done in the order in which they happened, then the planned ones as planned."""
    return (*(s for s in steps if not s.planned), *(s for s in steps if s.planned))


def _moved_to_end(unit: Unit, code: str) -> Unit:
    of = [s for s in unit.steps if s.code == code]
    return unit.model_copy(update={"steps": (*(s for s in unit.steps if s.code != code), *of)})


def last_kept(unit: Unit) -> Step | None:
    """The step that was done last; None before the first."""
    return next((s for s in reversed(unit.steps) if not s.planned), None)


def planned_next(unit: Unit) -> tuple[Step, ...]:
    """What was written down beforehand and is still to do, in order."""
    return tuple(s for s in unit.steps if s.planned)


def with_next_place(step: Step, unit: Unit) -> Step:
    """The draft with the next place that one key goes through.

    In turn: the next free bag, the bag of the step before, the next free box, none.
    """
    last = last_kept(unit)
    bags = dict.fromkeys([next_bag(unit, step), last.bag if last is not None else ""])
    places = [*((b, "") for b in bags if b), ("", next_box(unit)), ("", "")]
    here = (step.bag, step.box)
    bag, box = places[(places.index(here) + 1) % len(places) if here in places else 0]
    return with_changes(step, bag=bag, box=box)
