"""Hold points of the teardown in words, and the answer that closes one at the bench or at the desk.

Which are open, and that nothing comes off past them, is the rule of `logbook.model.holds`.

A hold point that is to be met on the way back is another record (`RefitNotes.hold`): what it keeps back is
said by `logbook.reassembly.readiness`.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from logbook.errors import InputError
from logbook.model.edits import change_step
from logbook.model.member_answers import CheckAnswer, answer_in, answers_of_members, readings_in
from logbook.model.step import HoldAt, HoldPoint, Step
from logbook.model.unit import Unit

HOW_TO_ANSWER = "Type what was read and “by AB”, or “because …” to go on without: the reason is kept. Esc goes back."


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


def how_to_answer(step: Step) -> str:
    """How its open hold points are answered; several of one set also in one answer."""
    waiting = [at.member for at in step.holds if at.hold.wants and at.member]
    if len(waiting) < 2:
        return HOW_TO_ANSWER
    together = ", ".join(f"{member} …" for member in waiting)
    return f"Type what was read and “by AB”; of all that are open “{together} by AB”; or “because …”."


def with_hold_answered(unit: Unit, code: str, text: str, at: datetime) -> Unit:
    """The unit with the first open hold point of a step read and initialled, or passed without for a reason.

    An answer that names members of the set answers the hold point of each: `left 0.3, right 0.4 by AB`. So does one
    that has a reading for each that is open, in their order.

    Args:
        unit: the record.
        code: the step whose hold point it is.
        text: `0.08 ohm by AB`, `by AB` or `because the meter is away`.
        at: when it was read.

    Raises:
        InputError: nobody is named and no reason is given, or what was to be read is missing.
    """
    step = unit.step(code)
    waiting = () if step is None else tuple(at for at in step.holds if at.hold.wants) or step.holds
    if step is None or not waiting:
        raise InputError(f"{code} has no hold point any more.")
    text = " ".join(text.split())
    own = [held.member for held in waiting if held.member]
    held_at = {held.member: held for held in step.holds if held.member}
    answers = answers_of_members(text, unit.set_of(step), own) if held_at else ()
    if not answers and len(own) > 1 and readings_in(text) > 1:
        each = ", ".join(f"{member} …" for member in own)
        raise InputError(_WHOSE.format(count=readings_in(text), open=", ".join(own), each=each))
    if not answers:
        return change_step(unit, _with_answer(step, waiting[0], answer_in(text), at))
    for answer in answers:
        held = held_at.get(answer.member)
        if held is None:
            raise InputError(f"{answer.member} has no hold point of its own at {code}; {_names(own or held_at)} has.")
        step = _with_answer(step, held, answer, at)
    return change_step(unit, step)


_WHOSE = (
    "{count} readings, and open are {open}: whose are they? Say “{each} by AB”, or one reading for the first of them."
)


def _names(members: Iterable[str]) -> str:
    return " and ".join(members)


def _with_answer(step: Step, held: HoldAt, answer: CheckAnswer, at: datetime) -> Step:
    """The step with one of its hold points answered."""
    answered = _answered(held, answer, at)
    if not held.member:
        return step.model_copy(update={"hold": answered})
    differences = tuple(
        d.model_copy(update={"hold": answered}) if d.member == held.member else d for d in step.differences
    )
    return step.model_copy(update={"differences": differences})


def _answered(held: HoldAt, answer: CheckAnswer, at: datetime) -> HoldPoint:
    hold = held.hold
    of = f"{held.member}: " if held.member else ""
    if answer.because is not None:
        if not answer.because:
            raise InputError(f"{of}Why is it passed by? The reason stands behind “because”.")
        return hold.model_copy(update={"without_because": answer.because})
    if not answer.initials:
        raise InputError(f"{of}Who did the check? Say “0.1 ohm by AB”, or “because …” to go on without it.")
    reading = answer.reading or hold.reading
    if "reading" in hold.lacks(reading, answer.initials):
        raise InputError(f"{of}What was read? {hold.reading_of} stands before “by”.")
    return hold.model_copy(update={"reading": reading, "initials": answer.initials, "read_at": at})
