"""Where each unit stands: its next action in a sentence, what it waits for, and what must not be forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from logbook.model.edits import next_step_code
from logbook.model.holds import open_holds
from logbook.model.shop_clock import days_since, shop_time
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, Disposition, Stage, Supply, WorkState
from logbook.teardown.beside_the_step import stop_questions
from logbook.teardown.chasing import Lying, Overdue, Reminder, not_to_forget, overdue, units_at_work, waits_words
from logbook.teardown.complete import to_complete
from logbook.teardown.operations_ready import NowItem, failed_test, ready_steps

__all__ = [
    "NowItem", "Overdue", "Reminder", "days_untouched", "do_not_forget", "next_action", "overdue",
]  # fmt: skip

_KEPT = frozenset({Disposition.KEEP, Disposition.CLEAN, Disposition.REPAIR, Disposition.SPARE})


def next_action(unit: Unit, today: date) -> str:
    """What is next for a unit, in a few words for its line on the bench.

    What somebody typed wins. Then what it waits for, starting with `WAITS`; then what the record suggests at
    its stage. A unit at rest says why, or what was kept of it.
    """
    return next_in_record(unit) or waits_words(unit.waiting, today)


def next_in_record(unit: Unit) -> str:
    """What is next as far as no day comes into it; empty for a unit that waits, see `waits_words`."""
    if unit.next_action.strip():
        return f"next: {' '.join(unit.next_action.split())}"
    if unit.stage in AT_REST:
        return _at_rest(unit)
    return "" if any(not w.done for w in unit.waiting) else f"next: {_suggested(unit)}"


def _at_rest(unit: Unit) -> str:
    kept = sum(c.quantity for c in unit.components if c.disposition in _KEPT)
    if unit.stage is Stage.STOPPED and kept:
        return f"parts to reuse: {kept}"
    return str(unit.stage)


def _suggested(unit: Unit) -> str:
    """What the record suggests at the stage of the unit."""
    test = next((t for t in unit.arrival.make_or_break if t.passed is None), None)
    if unit.stage is Stage.REASSEMBLY:
        return "reassembly"  # which line, the list says
    if unit.stage is Stage.TEARDOWN:
        return _next_in_teardown(unit)
    if test is not None:
        return f"test: {test.what}"
    if unit.stage is Stage.ARRIVAL:
        return "write down how it was found" if not unit.arrival.as_found else f"step {next_step_code(unit)}"
    return _next_in_rebuild(unit)


def _next_in_teardown(unit: Unit) -> str:
    waiting = next(iter(open_holds(unit)), None)
    if waiting is not None:
        first = waiting.open_holds[0]
        lacks = " and the ".join(first.hold.wants)
        return f"hold point {first.name} of {waiting.what}: write the {lacks}"
    ready = ready_steps(unit)
    if ready:
        return f"{ready[0].code} {ready[0].what}"
    left = len(to_complete(unit))
    if left:
        return f"complete {left} thing{'' if left == 1 else 's'} at the desk"
    return f"step {next_step_code(unit)}"


def _next_in_rebuild(unit: Unit) -> str:
    to_do = [o for o in unit.operations if o.state is not WorkState.DONE]
    unread = next((o for o in unit.operations if o.state is WorkState.DONE and o.hold_lacks), None)
    if unread is not None and unread.hold is not None:
        return f"hold point {unread.hold.code} of {unread.name}: write the {' and the '.join(unread.hold_lacks)}"
    passed = {o.code for o in unit.operations if o.passed}
    in_turn = [o for o in to_do if set(o.after) <= passed]
    ready = next((o for o in in_turn if not failed_test(unit, o)), None)
    if ready is None and in_turn:
        return f"decide what becomes of it: {failed_test(unit, in_turn[0])}"
    if ready is None:
        return "reassembly" if not to_do else f"{to_do[0].name}, which waits on an operation that does not exist"
    missing = {p.code: p for p in unit.parts if p.supply is not Supply.HERE}
    part = next((missing[c] for c in (ready.needs.parts if ready.needs else ()) if c in missing), None)
    return f"get {part.name}, for {ready.name}" if part is not None else ready.name


def days_untouched(unit: Unit, now: datetime) -> int | None:
    """Days since the unit was last worked on, by the clock of `now`; None when no moment of work is written down."""
    last = last_worked(unit)
    return None if last is None else days_since(last, now)


def last_worked(unit: Unit) -> datetime | None:
    """When the unit was last worked on; None when no moment of work is written down."""
    return unit.touched or max((s.at for s in unit.steps if s.at is not None), default=None)


def do_not_forget(book: Book, now: datetime) -> tuple[Reminder, ...]:
    """Warnings over all units at work, what cannot be put right later first.

    One-way steps that come next without an answer to their stop question; windows about to close; what is to
    be chased; guesses and as-found-wrong of units that have lain untouched for long, with what else is
    missing there.
    """
    lying = [Lying(u, last_worked(u), tuple(one_way_coming(u)), first_incomplete(u)) for u in units_at_work(book)]
    return not_to_forget(lying, book.shop.settings.untouched_weeks, shop_time(now, book.shop))


def one_way_coming(unit: Unit) -> Iterator[str]:
    """One-way steps still to come off without an answer to their stop question, in sentences."""
    for step in unit.steps:
        if step.planned and step.one_way is not None and not step.one_way.answered and stop_questions(step):
            what = f"{step.code} {' '.join(step.what.split())}"
            yield f"{what}: not measured, traced or photographed before it is {step.action}"


def first_incomplete(unit: Unit) -> str:
    """What is first to be completed at the desk, with the number of the others; empty when nothing is."""
    missing = sorted(to_complete(unit), key=lambda m: -m.weight)
    others = f" (and {len(missing) - 1} more to complete)" if len(missing) > 1 else ""
    return f"{missing[0].sentence}{others}" if missing else ""
