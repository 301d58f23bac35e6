"""Check 25: a unit is closed only when nothing is open, and what is hazardous was handed in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.checks.evidence_checks import holds_of, lines_of, missing_at
from logbook.errors import CircleError
from logbook.model.members import guesses_of
from logbook.model.plural import is_or_are
from logbook.model.shop import Shop
from logbook.model.step import HoldPoint, Step
from logbook.model.unit import Unit
from logbook.model.words import AT_REST, Certainty, Disposition, Stage
from logbook.reassembly import Progress, refit_list
from logbook.reassembly.counting import Sets
from logbook.reassembly.ledger import bag_contents, bag_differences
from logbook.reassembly.wording import many, ranged


def closed_with_open_ends(unit: Unit, _shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 25: a closed unit has no open count, hold point, line, step or guess."""
    if unit.stage is not Stage.CLOSED:
        return
    for place, what in _open_ends(unit, now):
        sentence = f"{unit.code} is closed, but {what}. Settle it, or take the unit up again."
        yield CheckProblem(25, "closed-open", unit.code, place, sentence, Severity.WRONG)
    if unit.steps and not any(x.done for x in unit.refit.lines):
        sentence = f"{unit.code} is closed, but no line of its reassembly is ticked."
        yield CheckProblem(25, "closed-unticked", unit.code, "reassembly", sentence, Severity.LOOK)


def _hold_lacks(unit: Unit, step: Step, hold: HoldPoint) -> str:
    """What a hold point lacks at the line of its step, at each member of a set by itself; empty when nothing."""
    states = {state.line: state for state in lines_of(unit, step)}
    waiting = {d.member for d in step.differences if not d.done}
    of = unit.set_of(step)
    members = [m.code for m in of.members if m.code not in waiting] if of is not None else [""]
    for member in members:
        state = states.get(f"{step.code}/{member}") or states.get(step.code)
        whose = f" for {member}" if member else ""
        if state is None or not state.done:
            return f"its tick{whose}"
        lacks = missing_at(hold, state)
        if lacks:
            return f"{lacks}{whose}"
    return ""


def hazardous_parts(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 25: where and when something hazardous was handed in; the dangers of a part are not forgotten."""
    ended = unit.stage in AT_REST
    for c in unit.components:
        if c.disposition is Disposition.HAZARDOUS and c.disposal is None:
            sentence = (
                f"{c.code} {c.name} is hazardous; nothing says where and when it was handed in. "
                "Keep it apart and labelled, and hand it in as the local rules say."
            )
            severity = Severity.WRONG if ended else Severity.LOOK
            yield CheckProblem(25, "hazard-not-handed-in", unit.code, c.code, sentence, severity)
        elif c.hazards and c.disposition is Disposition.UNDECIDED and ended:
            danger = ", ".join(h.what for h in c.hazards)
            sentence = f"{c.code} {c.name} carries a danger ({danger}), and nothing says what became of it."
            yield CheckProblem(25, "hazard-undecided", unit.code, c.code, sentence, Severity.WRONG)


def _open_ends(unit: Unit, now: datetime) -> Iterator[tuple[str, str]]:
    for d in bag_differences(unit, bag_contents(Sets(unit))):
        yield f"bag {d.bag}", f"bag {d.bag} held {d.counted} {d.kind} instead of {d.recorded} and nobody said why"
    for step in unit.steps:
        for hold in holds_of(step):
            lacks = _hold_lacks(unit, step, hold)
            if lacks:
                yield f"{step.code} {hold.code}", f"the hold point {hold.code} ({hold.what}) lacks {lacks}"
        if step.planned:
            yield step.code, f"{step.code} {step.what} was still to be taken off"
        of = unit.set_of(step)
        members = tuple(m.code for m in of.members) if of is not None else ()
        for guess in guesses_of(step, members):
            if guess.certainty is Certainty.GUESS and not guess.settled.strip():
                whose = f"/{guess.member}" if guess.member else ""
                yield step.code, f"the guess at {step.code}{whose} was never settled"
    yield from _open_lines(unit, now)


def _open_lines(unit: Unit, now: datetime) -> Iterator[tuple[str, str]]:
    """Lines of the reassembly that are not done while others are."""
    try:
        listed = refit_list(unit)
    except CircleError:
        return  # a circle of relations has a problem of its own
    progress = Progress(unit, listed, now)
    undone = [line for line in listed.lines if not progress.is_done(line)]
    if not undone or len(undone) == len(listed.lines):
        return
    are = is_or_are(len(undone))
    named = ranged([line.number for line in undone])
    yield "reassembly", f"{len(undone)} of {many(len(listed.lines), 'line')} of its reassembly {are} not done ({named})"
