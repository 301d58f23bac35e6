"""What bench mode shows around the step: what came before, kinds used before, what the desk wants."""

from __future__ import annotations

from collections.abc import Iterable

from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.render.overview import WHERE_MISSING
from logbook.render.plain import clean, fitted, under, width, wrapped
from logbook.teardown.beside_the_step import before_this, same_kinds
from logbook.teardown.complete import to_add_words, to_complete
from logbook.teardown.draft import StopAnswer
from logbook.teardown.left_as import left_words, still_as_left
from logbook.teardown.step_keeping import planned_next

GAP = "  "
STOP_DIGITS = {str(i): str(answer) for i, answer in enumerate(StopAnswer, 1)}
"""The key of each answer to the stop question, in the order in which they are asked."""

BEFORE_ROWS = 2
"""So many rows at most say what came off before the step; most often one is enough."""
LEFT_ROWS, NARROW_LEFT_ROWS = 4, 2
"""So many rows say how a unit was left, above the line; the fewer below so many columns:"""
NARROW = 78

_STOP_WORDS = {
    StopAnswer.MEASURED: "measured",
    StopAnswer.TRACED: "traced",
    StopAnswer.PHOTOGRAPHED: "photographed",
    StopAnswer.PATTERN_KEPT: "pattern kept",
    StopAnswer.HELD_TWICE: "held dimensions taken twice",
}


def before_lines(unit: Unit, columns: int, *, fresh: bool, code: str = "") -> list[str]:
    """What came off last; with `fresh` also how the unit was left; `code` is the step put right."""
    before = before_this(unit, code) or "nothing yet: this is the first step"
    lines = list(under("before this  ", clean(before, limit=400), columns, BEFORE_ROWS))
    if fresh and (left := left_words(unit)) and still_as_left(unit):
        lines += _left_lines(clean(left, limit=800), columns)
    return lines


def _left_lines(left: str, columns: int) -> tuple[str, ...]:
    """How the unit was left, in few rows: the line below must keep its own; M shows all of it."""
    how = "(Tab, then M: put it right)"
    whole = wrapped(f"{left} {how}", columns)
    most = LEFT_ROWS if columns >= NARROW else NARROW_LEFT_ROWS
    if len(whole) <= most:
        return tuple(whole)
    room = columns - width(how) - 1
    *rows, last = under("", left, columns, most)
    return (*rows, f"{fitted(last, room)} {how}")


def same_lines(unit: Unit, columns: int, most: int = 2) -> list[str]:
    """Kinds used before with their digits, over at most so many lines."""
    kinds = same_kinds(unit)
    if not kinds:
        return ["same     none yet: type 4 screw M4x10, later Tab, digit"]
    entries = [f"{i} {clean(f.kind, limit=40)} ({f.holes})" for i, f in enumerate(kinds, 1)]
    return packed(["same    ", *entries], columns, most)


def packed(entries: Iterable[str], columns: int, most: int) -> list[str]:
    """Entries with wide gaps, as many on a line as fit; those past the last line are left out with a `…`."""
    lines: list[str] = []
    for entry in entries:
        if lines and width(lines[-1]) + len(GAP) + width(entry) <= columns:
            lines[-1] += GAP + entry
        elif len(lines) < most:
            lines.append(fitted(entry, min(width(entry), columns)))
        else:
            lines[-1] = fitted(f"{lines[-1]}{GAP}…", columns).rstrip()
            break
    return lines


def desk_line(unit: Unit, columns: int) -> str:
    """What is planned next, and how much the desk still wants, of what, and where it is listed."""
    missing = to_complete(unit)
    words = f"{to_add_words(missing)} ({WHERE_MISSING})" if missing else to_add_words(missing)
    planned = planned_next(unit)
    if planned:
        words = f"planned next: {planned[0].code} {clean(planned[0].what, limit=60)} (Down)   {words}"
    return fitted(words, columns)


def stop_list(step: Step) -> tuple[str, dict[str, str], set[str]]:
    """Title, words and marks of the stop question of a one-way step, as a list of letters wants them."""
    title = "STOP: this cannot be undone. Before it is done, what is kept of it? Enter when done, Esc goes back."
    said = {d: step.one_way.answer(a) if step.one_way is not None else "" for d, a in STOP_DIGITS.items()}
    words = {d: f"{_STOP_WORDS[StopAnswer(a)]}{said[d] and f': {said[d]}'}" for d, a in STOP_DIGITS.items()}
    given = {d for d, answer in said.items() if answer}
    return title, {**words, "s": "skip it, with a reason"}, given
