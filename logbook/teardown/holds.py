"""Hold points of the teardown in words, and the answer that closes one at the bench or at the desk.

Which are open, and that nothing comes off past them, is the rule of `logbook.model.holds`.

A hold point that is to be met on the way back is another record (`RefitNotes.hold`): what it keeps back is
said by `logbook.reassembly.readiness`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

from logbook.errors import InputError
from logbook.model.edits import change_step
from logbook.model.step import HoldPoint, Step
from logbook.model.unit import Unit

HOW_TO_ANSWER = "Type what was read and “by AB”, or “because …” to go on without: the reason is kept. Esc goes back."
_BECAUSE = re.compile(r"(?:^|.*?[\s,])because\b[\s:]*(?P<why>.*)", re.IGNORECASE)
_BY = re.compile(r"(?P<reading>.*?)(?:^|[\s,]+)by\s+(?P<initials>[^\s,]+)", re.IGNORECASE)


def hold_is_open(step: Step) -> str:
    """What is to be said of an open hold point: `HOLD H1 is open: earth 0.1 ohm`; empty when it has none open."""
    if step.hold is None or not step.hold_lacks:
        return ""
    return f"HOLD {step.hold.code} is open: {step.hold.what}"


def hold_sign(step: Step) -> str:
    """The hold point of a step in the fewest words: `HOLD open`; empty when it has none."""
    if step.hold is None:
        return ""
    if step.hold.without_because.strip():
        return "HOLD passed without"
    return "HOLD open" if step.hold_lacks else "HOLD initialled"


def hold_of_members(said: Sequence[tuple[str, HoldPoint]], members: Sequence[str]) -> HoldPoint | None:
    """One hold point from what was read at each member of a set: `L 0.1 ohm and R 0.4 ohm`.

    It has initials, and so is closed, only when every member was read or passed without for a reason.

    Args:
        said: code of a member, and its hold point as said.
        members: codes of all members of the set.
    """
    if not said:
        return None
    first = said[0][1]
    named = {member for member, _ in said}
    is_met = all(hold.without_because.strip() or not hold.lacks(hold.reading, hold.initials) for _, hold in said)
    is_whole = is_met and named.issuperset(members)
    initials = dict.fromkeys(hold.initials.strip() for _, hold in said if hold.initials.strip())
    because = [f"{member} {hold.without_because.strip()}" for member, hold in said if hold.without_because.strip()]
    read = [f"{member} {hold.reading.strip()}" for member, hold in said if hold.reading.strip()]
    return first.model_copy(
        update={
            "reading": " and ".join(read),
            "initials": " ".join(initials) if is_whole else "",
            "without_because": " and ".join(because) if is_whole else "",
        }
    )


def with_hold_answered(unit: Unit, code: str, text: str, at: datetime) -> Unit:
    """The unit with the hold point of a step read and initialled, or passed without for a reason.

    Args:
        unit: the record.
        code: the step whose hold point it is.
        text: `0.08 ohm by AB`, `by AB` or `because the meter is away`.
        at: when it was read.

    Raises:
        InputError: nobody is named and no reason is given, or what was to be read is missing.
    """
    step = unit.step(code)
    if step is None or step.hold is None:
        raise InputError(f"{code} has no hold point any more.")
    answered = _answered(step.hold, " ".join(text.split()), at)
    return change_step(unit, step.model_copy(update={"hold": answered}))


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
