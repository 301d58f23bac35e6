"""Hold points of the teardown that keep the rest back: nothing more comes off before an open one is read.

A hold point is one that work does not pass before it is released (common practice of quality plans). Every way of
writing a step down asks here: the line at the bench and at the desk, the form, the list of steps.
"""

from __future__ import annotations

from collections.abc import Sequence

from logbook.errors import InputError
from logbook.model.step import HoldPoint, Step
from logbook.model.unit import Unit


def open_holds(unit: Unit, but: str = "") -> tuple[Step, ...]:
    """The steps done whose hold point wants its reading or initials, in the order of the record.

    Args:
        unit: the record.
        but: the code of a step that is left out.
    """
    return tuple(step for step in unit.steps if step.open_holds and step.code != but)


def hold_before(unit: Unit, step: Step) -> Step | None:
    """The step whose open hold point keeps `step` from coming off; None when nothing more comes off with it.

    Args:
        unit: the record.
        step: the step as it is to be kept, new or in place of the one of its code.
    """
    before = unit.step(step.code)
    if step.planned:
        return None
    if before is None or before.planned:
        return next(iter(open_holds(unit, step.code)), None)
    waited = {d.member for d in before.differences if not d.done}
    waits = {d.member for d in step.differences if not d.done}
    if not waited - waits:
        return None
    here = {at.name for at in before.open_holds} & {at.name for at in step.open_holds}
    return step if here else next(iter(open_holds(unit, step.code)), None)


def refuse_past_open_hold(unit: Unit, step: Step) -> None:
    """Refuse a step that would come off past an open hold point.

    Raises:
        InputError: which hold point it is, and how work goes on.
    """
    waiting = hold_before(unit, step)
    if waiting is not None:
        first = waiting.open_holds[0]
        named = f"HOLD {first.name} at {waiting.code} is open: {first.hold.what}."
        raise InputError(
            f"{named} Nothing more comes off before it is read and initialled, or a reason is written at it."
        )


def one_hold(holds: Sequence[HoldPoint]) -> HoldPoint | None:
    """Several hold points read as one; each keeps its code in the text."""
    if len(holds) < 2:
        return holds[0] if holds else None
    code = "-".join(h.code for h in holds)
    return HoldPoint(
        code=code if len(code) <= 16 else holds[0].code,
        what="; ".join(f"{h.code} {h.what}" for h in holds),
        reading_of="; ".join(h.reading_of for h in holds if h.reading_of),
        limit="; ".join(h.limit for h in holds if h.limit),
        competent=any(h.competent for h in holds),
    )
