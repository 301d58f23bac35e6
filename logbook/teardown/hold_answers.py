"""Hold points of the teardown in words, and the answer that closes one at the bench or at the desk.

Which are open, and that nothing comes off past them, is the rule of `logbook.model.holds`.

A hold point that is to be met on the way back is another record (`RefitNotes.hold`): what it keeps back is
said by `logbook.reassembly.readiness`.
"""

from __future__ import annotations

import re
from datetime import datetime

from logbook.errors import InputError
from logbook.model.edits import change_step
from logbook.model.step import HoldPoint, Step
from logbook.model.unit import Unit

HOW_TO_ANSWER = "Type what was read and “by AB”, or “because …” to go on without: the reason is kept. Esc goes back."
_BECAUSE = re.compile(r"(?:^|.*?[\s,])because\b[\s:]*(?P<why>.*)", re.IGNORECASE)
_BY = re.compile(r"(?P<reading>.*?)(?:^|[\s,]+)by\s+(?P<initials>[^\s,]+)", re.IGNORECASE)


def hold_is_open(step: Step) -> str:
    """What is to be said of its first open hold point: `HOLD H1 is open: earth 0.1 ohm`; empty when it has none open.

    That of one member of a set names it: `HOLD H1 for L is open`.
    """
    first = next((at for at in step.holds if at.hold.wants), None)
    return "" if first is None else f"HOLD {first.name} is open: {first.hold.what}"


def hold_sign(step: Step) -> str:
    """The hold points of a step in the fewest words, the worst of them: `HOLD open L`; empty when it has none."""
    if not step.holds:
        return ""
    waiting = [at.member for at in step.holds if at.hold.wants]
    if waiting:
        return " ".join(["HOLD open", *filter(None, waiting)])
    without = any(at.hold.without_because.strip() for at in step.holds)
    return "HOLD passed without" if without else "HOLD initialled"


def open_hold_name(step: Step) -> str:
    """Which of its hold points is asked about first: `H1`, `H1 for L`; empty when none is open."""
    return next((at.name for at in step.holds if at.hold.wants), "")


def with_hold_answered(unit: Unit, code: str, text: str, at: datetime) -> Unit:
    """The unit with the first open hold point of a step read and initialled, or passed without for a reason.

    Args:
        unit: the record.
        code: the step whose hold point it is.
        text: `0.08 ohm by AB`, `by AB` or `because the meter is away`.
        at: when it was read.

    Raises:
        InputError: nobody is named and no reason is given, or what was to be read is missing.
    """
    step = unit.step(code)
    waiting = () if step is None else (*(h for h in step.holds if h.hold.wants), *step.holds)
    if step is None or not waiting:
        raise InputError(f"{code} has no hold point any more.")
    first = waiting[0]
    answered = _answered(first.hold, " ".join(text.split()), at)
    if not first.member:
        return change_step(unit, step.model_copy(update={"hold": answered}))
    differences = tuple(
        d.model_copy(update={"hold": answered}) if d.member == first.member else d for d in step.differences
    )
    return change_step(unit, step.model_copy(update={"differences": differences}))


def _answered(hold: HoldPoint, text: str, at: datetime) -> HoldPoint:
    because = _BECAUSE.fullmatch(text)
    if because is not None:
        why = because["why"].strip()
        if not why:
            raise InputError("Why is it passed by? The reason stands behind “because”.")
        return hold.model_copy(update={"without_because": why})
    by = _BY.fullmatch(text)
    if by is None:
        raise InputError("Who did the check? Say “0.1 ohm by AB”, or “because …” to go on without it.")
    reading = by["reading"].strip(" ,") or hold.reading
    if "reading" in hold.lacks(reading, by["initials"]):
        raise InputError(f"What was read? {hold.reading_of} stands before “by”.")
    return hold.model_copy(update={"reading": reading, "initials": by["initials"], "read_at": at})
