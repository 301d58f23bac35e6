"""What bench mode shows around the step: what came before, dangers, kinds used before, what the desk wants."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from logbook.model.dangers import sentences
from logbook.model.holds import open_holds
from logbook.model.proofs import NOT_PROVED
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import SignalWord
from logbook.render.plain import clean, fitted, width, wrapped
from logbook.teardown.beside_the_step import ActiveHazard, active_hazards, before_this, same_kinds
from logbook.teardown.complete import to_complete
from logbook.teardown.draft import StopAnswer
from logbook.teardown.hold_answers import hold_is_open
from logbook.teardown.left_as import left_words, still_as_left
from logbook.teardown.step_keeping import planned_next

GAP = "  "
SERIOUS = frozenset({SignalWord.DANGER, SignalWord.WARNING})
STOP_DIGITS = {str(i): str(answer) for i, answer in enumerate(StopAnswer, 1)}
"""The key of each answer to the stop question, in the order in which they are asked."""

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
    lines = [fitted(clean(f"before this  {before}", limit=400), columns)]
    if fresh and (left := left_words(unit)) and still_as_left(unit):
        lines += wrapped(clean(f"{left} (Tab, then M: put it right)", limit=800), columns)
    return lines


def hold_lines(unit: Unit, columns: int, *, but: str = "") -> list[str]:
    """The open hold point of the teardown in one line, of several the first with the number of the others.

    Args:
        unit: the record.
        columns: width of the line.
        but: the step that is put right, whose own hold point stands in its line.
    """
    waiting = open_holds(unit, but)
    if not waiting:
        return []
    number = sum(len(step.open_holds) for step in waiting)
    more = f" (and {number - 1} more)" if number > 1 else ""
    room = columns - len(more)
    return [fitted(clean(hold_is_open(waiting[0]), limit=400), room).rstrip() + more]


def danger_lines(unit: Unit, step: Step | None, now: datetime, columns: int, most: int) -> list[str]:
    """Dangers in force before the step: those not proved safe with what to do, then the proofs.

    What to do stands whole, or as far as whole sentences go: half of one can say the opposite. Where not
    everything has room, the last line names the key that shows it.

    Args:
        unit: the record.
        step: the planned step that is in the line; its own dangers are in force as well.
        now: the moment, in the time zone of the screen.
        columns: width of a line.
        most: so many lines at most.
    """
    active = active_hazards(unit, now, step=step)
    whole = [row for danger in active for row in _hung(danger.sentence, columns)]
    if len(whole) <= most:
        return whole
    count = f"all {len(active)} dangers" if len(active) > 1 else "all of it"
    more = fitted(f"F7: {count}; a digit there proves one safe", columns).rstrip()
    return [*(_begun(active, columns, most - 1) or _by_name(active, columns, most - 1)), more]


def _begun(active: Sequence[ActiveHazard], columns: int, room: int) -> list[str]:
    """Each that can hurt badly with as many whole sentences as have room, the others by name; empty without room."""
    serious = [a for a in active if a.hazard.signal in SERIOUS]
    others = [a for a in active if a not in serious]
    below = _by_signal(others, columns, room) if others else []
    heads = [_hung(danger.head, columns) for danger in serious]
    spare = room - sum(map(len, heads)) - len(below)
    if spare < 0:
        return []
    lines: list[str] = []
    for head, danger in zip(heads, serious, strict=True):
        more = () if danger.safe else _sentences(danger.head, danger.hazard.do, columns, len(head) + spare)
        rows = more or head
        spare -= len(rows) - len(head)
        lines += rows
    return [*lines, *below]


def _by_name(active: Sequence[ActiveHazard], columns: int, room: int) -> list[str]:
    """All by name, then what to do about the first, as far as whole sentences have room."""
    lines = _by_signal(active, columns, room)
    first = active[0]
    if first.safe or not first.hazard.do:
        return lines
    return [*lines, *_sentences(f"{first.hazard.what}:", first.hazard.do, columns, room - len(lines))]


def _sentences(head: str, text: str, columns: int, most: int) -> list[str]:
    """The head with as many sentences of a text as fit whole into so many lines; nothing when not even one does."""
    rows: list[str] = []
    said = head
    for sentence in sentences(text):
        said = f"{said} {sentence}"
        longer = _hung(said, columns)
        if len(longer) > most:
            break
        rows = longer
    return rows


def _state(danger: ActiveHazard) -> str:
    if danger.proof is not None and danger.proof.live:
        return ", NOT DEAD"
    if danger.safe:
        return ", proved safe"
    return f", {NOT_PROVED}" if danger.standing else ""


def _by_signal(active: Sequence[ActiveHazard], columns: int, room: int) -> list[str]:
    """`WARNING, not proved safe: mains voltage; stored charge` for each signal word, in so many lines at most."""
    groups: dict[str, list[str]] = {}
    for danger in active:
        state = _state(danger)
        groups.setdefault(f"{danger.hazard.signal}{state}: ", []).append(danger.hazard.what)
    lines: list[str] = []
    for i, (head, names) in enumerate(groups.items()):
        kept_back = len(groups) - i - 1  # a line for each group that follows
        lines += _names(head, names, columns, max(1, room - len(lines) - kept_back))
    return lines[: max(1, room)]


def _names(head: str, names: Sequence[str], columns: int, most: int) -> list[str]:
    """As many whole names as fit into so many lines, and how many more there are."""
    for count in range(len(names), 0, -1):
        left = len(names) - count
        rows = _hung(head + "; ".join(names[:count]) + (f"; and {left} more" if left else "."), columns)
        if len(rows) <= most:
            return rows
    return _hung(f"{head}{len(names)} dangers.", columns)[:most]


def _hung(text: str, columns: int) -> list[str]:
    """A paragraph whose later lines hang under its first."""
    first, *rest = wrapped(clean(text, limit=2000), columns - 2)
    return [first, *(f"  {row}" for row in rest)]


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
    """How much the desk still wants, and what is planned next."""
    count = len(to_complete(unit))
    words = f"to complete at the desk: {count}" if count else "nothing to complete at the desk"
    planned = planned_next(unit)
    if planned:
        words += f"     planned next: {planned[0].code} {clean(planned[0].what, limit=60)} (Down)"
    return fitted(words, columns)


def stop_list(step: Step) -> tuple[str, dict[str, str], set[str]]:
    """Title, words and marks of the stop question of a one-way step, as a list of letters wants them."""
    title = "STOP: this cannot be undone. Before it is done, what is kept of it? Enter when done, Esc goes back."
    said = {d: step.one_way.answer(a) if step.one_way is not None else "" for d, a in STOP_DIGITS.items()}
    words = {d: f"{_STOP_WORDS[StopAnswer(a)]}{said[d] and f': {said[d]}'}" for d, a in STOP_DIGITS.items()}
    given = {d for d, answer in said.items() if answer}
    return title, {**words, "s": "skip it, with a reason"}, given
