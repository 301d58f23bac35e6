"""Hold points of the teardown that keep the rest back: nothing more comes off before an open one is read.

A hold point is one that work does not pass before it is released (common practice of quality plans). Every way of
writing a step down asks here: the line at the bench and at the desk, the form, the list of steps.
"""

from __future__ import annotations

from logbook.errors import InputError
from logbook.model.step import Step
from logbook.model.unit import Unit


def open_holds(unit: Unit, but: str = "") -> tuple[Step, ...]:
    """The steps done whose hold point wants its reading or initials, in the order of the record.

    Args:
        unit: the record.
        but: the code of a step that is left out.
    """
    return tuple(step for step in unit.steps if step.open_hold is not None and step.code != but)


def hold_before(unit: Unit, step: Step) -> Step | None:
    """The step whose open hold point keeps `step` from coming off; None when nothing more comes off with it.

    Args:
        unit: the record.
        step: the step as it is to be kept, new or in place of the one of its code.
    """
    before = unit.step(step.code)
    takes_off = not step.planned and (before is None or before.planned)
    return next(iter(open_holds(unit, step.code)), None) if takes_off else None


def refuse_past_open_hold(unit: Unit, step: Step) -> None:
    """Refuse a step that would come off past an open hold point.

    Raises:
        InputError: which hold point it is, and how work goes on.
    """
    waiting = hold_before(unit, step)
    if waiting is not None and waiting.hold is not None:
        named = f"HOLD {waiting.hold.code} at {waiting.code} is open: {waiting.hold.what}."
        raise InputError(
            f"{named} Nothing more comes off before it is read and initialled, or a reason is written at it."
        )
