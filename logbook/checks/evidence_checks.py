"""Checks 6, 7, 9 and 10: one-way steps, guesses, hold points and dimensions that must not be lost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.casework_records import HeldDimension
from logbook.model.members import guesses_of, wrong_of
from logbook.model.shop import Shop
from logbook.model.step import HoldPoint, Step
from logbook.model.unit import LineState, Unit
from logbook.model.words import Certainty, HeldKind, WorkState


def one_way_steps(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 6: before a step that cannot be undone it was measured, traced, photographed or said why not."""
    for step in unit.steps:
        if step.one_way is None:
            continue
        if not step.one_way.answered:
            when = "Answer before it is done" if step.planned else "Answer from what is left and from the photos"
            sentence = (
                f"{step.code} {step.what} cannot be undone, and nothing says that it was measured, traced, "
                f"photographed or kept as a pattern. {when}, or say why it was left out."
            )
            yield CheckProblem(6, "one-way-unanswered", unit.code, step.code, sentence, Severity.LOOK)
        elif step.one_way.skipped_because.strip():
            sentence = (
                f"{step.code} {step.what} was taken apart for good without evidence: {step.one_way.skipped_because}"
            )
            yield CheckProblem(6, "one-way-skipped", unit.code, step.code, sentence, Severity.NOTE)


def guesses_and_wrong(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 7: guesses and “as found wrong” are listed, and the latter say how it should be."""
    for step in unit.steps:
        members = _members(unit, step)
        for guess in guesses_of(step, members):
            if guess.certainty is Certainty.GUESS and not guess.settled.strip():
                about = guess.note.strip() or "it does not say what"
                whose = f" at {guess.member}" if guess.member else ""
                sentence = (
                    f"{step.code} {step.what} holds a guess{whose} ({about}). Settle it before the refit reaches it."
                )
                yield CheckProblem(7, "guess-open", unit.code, step.code, sentence, Severity.LOOK)
        for wrong in wrong_of(step, members):
            if not (wrong.should_be.strip() or step.refit.text.strip()):
                whose = f" at {wrong.member}" if wrong.member else ""
                sentence = (
                    f"{step.code} {step.what} was found wrong{whose}, but nothing says how it should be. "
                    "Write that down."
                )
                yield CheckProblem(7, "wrong-without-right", unit.code, step.code, sentence, Severity.LOOK)
        if step.as_found_wrong and not step.as_found.strip():
            sentence = f"{step.code} {step.what} was found wrong, but what was found is not written down."
            yield CheckProblem(7, "wrong-without-found", unit.code, step.code, sentence, Severity.LOOK)


def _members(unit: Unit, step: Step) -> tuple[str, ...]:
    """Codes of the members of the step's set; none when it was recorded for one thing."""
    of = unit.set_of(step)
    return tuple(m.code for m in of.members) if of is not None else ()


def holds_of(step: Step) -> Iterator[HoldPoint]:
    """The hold points that putting a step back must stop at."""
    if step.refit.hold is not None:
        yield step.refit.hold
    if step.one_way is not None and step.one_way.remake is not None and step.one_way.remake.hold is not None:
        yield step.one_way.remake.hold


def lines_of(unit: Unit, step: Step) -> tuple[LineState, ...]:
    """The lines of the refit at which a step, or a member of its set, is put back."""
    return tuple(x for x in unit.refit.lines if x.line == step.code or x.line.startswith(f"{step.code}/"))


def missing_at(hold: HoldPoint, written: LineState | HoldPoint) -> str:
    """What a hold point still lacks of what was `written` at its line, or at itself; empty when nothing."""
    return " and ".join(f"the {what}" for what in hold.lacks(written.reading, written.initials))


def hold_points(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 9: no work went past a hold point without its reading and initials."""
    for step in unit.steps:
        for hold in holds_of(step):
            for line in lines_of(unit, step):
                lacks = missing_at(hold, line) if line.done else ""
                if lacks:
                    place = f"{line.line} {hold.code}"
                    sentence = (
                        f"{line.line} is ticked, but the hold point {hold.code} ({hold.what}) lacks {lacks}. "
                        "Stop: do the check now and write it down, before anything else is covered."
                    )
                    yield CheckProblem(9, "hold-passed", unit.code, place, sentence, Severity.WRONG)
    for o in unit.operations:
        if o.hold is not None and o.state is WorkState.DONE:
            lacks = missing_at(o.hold, o.hold)
            if lacks:
                sentence = (
                    f"{o.code} {o.name} is done, but the hold point {o.hold.code} ({o.hold.what}) lacks {lacks}. "
                    "Do the check now and write it down: 7, then r."
                )
                yield CheckProblem(9, "hold-passed", unit.code, f"{o.code} {o.hold.code}", sentence, Severity.LOOK)


def held_dimensions(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 10, in part: a held dimension is measured twice, and both readings agree with its value."""
    for held in unit.held_dimensions:
        if held.kind in (HeldKind.VOLUME, HeldKind.POSITION) or (held.at_least and not held.readings):
            # A volume is computed and a minimum is asked for; positions have one reading each.
            continue
        times = len(held.readings)
        if times < 2:
            taken = "has not been measured" if times == 0 else "was measured only once"
            sentence = f"{held.code} {held.what} must not change, but {taken}. Measure it twice, each time afresh."
            yield CheckProblem(10, "not-measured-twice", unit.code, held.code, sentence, Severity.LOOK)
        elif disagreement := _disagreement(held):
            yield CheckProblem(10, "readings-disagree", unit.code, held.code, disagreement, Severity.LOOK)


def _disagreement(held: HeldDimension) -> str:
    readings = [r.ticks for r in held.readings]
    plus, minus = (x.ticks if x is not None else 0 for x in (held.plus, held.minus))
    shown = " and ".join(r.in_mm() for r in held.readings)
    if held.at_least:
        low = held.value is not None and min(readings) < held.value.ticks
        least = held.value.in_mm() if held.value else ""
        return f"{held.code} {held.what} must be at least {least}, but was read as {shown}." if low else ""
    if held.plus is None and held.minus is None and len(set(readings)) > 1:
        return f"{held.code} {held.what} was read as {shown}, and no tolerance is written down. Say what is allowed."
    if max(readings) - min(readings) > plus + minus:
        return f"{held.code} {held.what} was read as {shown}: further apart than its tolerance. Measure it again."
    if held.value is not None and not all(held.value.ticks - minus <= r <= held.value.ticks + plus for r in readings):
        return (
            f"{held.code} {held.what} is held at {held.value.in_mm()}, but was read as {shown}. One of them is wrong."
        )
    return ""
