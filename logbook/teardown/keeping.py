"""Keeping what a line says: a new step, a planned one that is done now, or a step put right.

The record stays in the order in which things happened: what is only planned stands after what is done.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from logbook.model.edits import change_step, keep_step
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Stage
from logbook.teardown.line import Reading
from logbook.teardown.relations import with_order_from_line

_BEFORE_TEARDOWN = frozenset({Stage.ARRIVAL})


def kept_from_line(unit: Unit, reading: Reading, *, at: datetime, by: str = "") -> Unit:
    """The unit with the step that a line says, in one edit: its place, its order and the unit's stage with it.

    A step of that code that is there already is put right and keeps its time; a planned one that the line no
    longer calls planned is done now. The first step done starts the teardown.

    Args:
        unit: the record.
        reading: the line, read against this unit.
        at: the time a step done now is written down with.
        by: initials for a step whose line names nobody.

    Raises:
        InputError: a step or set that it names does not exist; CircleError: its order would close a circle.
    """
    step = reading.step
    before = unit.step(step.code)
    if not step.planned and (before is None or before.planned):
        step = step.model_copy(update={"at": step.at or at, "by": step.by or by})
    if before is None:
        grown = keep_step(unit, step)
    elif before.planned and not step.planned:
        grown = change_step(_moved_to_end(unit, step.code), step)
    else:
        grown = change_step(unit, step)
    grown = with_order_from_line(grown, step.code, reading.after, reading.better_after)
    ordered = done_first(grown.steps)
    update: dict[str, object] = {"steps": ordered} if ordered != grown.steps else {}
    if not step.planned and unit.stage in _BEFORE_TEARDOWN:
        update["stage"] = Stage.TEARDOWN
    return grown.model_copy(update=update) if update else grown


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


def bags_in_turn(next_bag: str, unit: Unit) -> tuple[tuple[str, str], ...]:
    """What one key goes through for where the pieces go: (`bag` or `box` or empty, number).

    The next free bag, the bag of the step before, the next free box, and none.
    """
    last = last_kept(unit)
    places = [("bag", next_bag)]
    if last is not None and last.bag:
        places.append(("bag", last.bag))
    return (*places, ("", ""))
