"""What bench mode shows around the step: what came before, dangers, kinds used before, what the desk wants."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.model.step import Hazard, Step
from logbook.model.unit import Unit
from logbook.render.plain import clean, fitted, width, wrapped
from logbook.teardown.bench import ActiveHazard, active_hazards, before_this, same_kinds
from logbook.teardown.complete import to_complete
from logbook.teardown.draft import StopAnswer
from logbook.teardown.keeping import last_leaving_note, planned_next

MOST_DANGER_LINES = 4
GAP = "  "
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
    """What came off last; with `fresh` also what was said when the unit was left; `code` is the step put right."""
    before = before_this(unit, code) or "nothing yet: this is the first step"
    lines = [fitted(clean(f"before this  {before}", limit=400), columns)]
    if fresh and (left := last_leaving_note(unit)):
        lines.append(fitted(clean(left, limit=400), columns))
    return lines


def danger_lines(unit: Unit, step: Step | None, columns: int) -> list[str]:
    """Dangers in force before the step: those not proved safe with what to do, then the proofs in one line.

    When not everything fits, the last line ends with the key that shows it whole.

    Args:
        unit: the record.
        step: the planned step that is in the line; its own dangers come first.
        columns: width of a line.
    """
    active = active_hazards(unit)
    proved = [a for a in active if a.proof is not None]
    own = [f"{h.signal} {h.what}: {h.do}".rstrip(": ") for h in _own_hazards(active, step)]
    open_ones = [*own, *(a.sentence for a in active if a.proof is None)]
    most = MOST_DANGER_LINES - bool(proved)
    each = max(1, most // max(1, len(open_ones)))
    lines: list[str] = []
    whole = len(open_ones) <= most
    for sentence in open_ones[:most]:
        rows = wrapped(clean(sentence, limit=400), columns - 2, "  ")
        rows[0] = rows[0].removeprefix("  ")
        if len(rows) > each:
            whole = False
            rows = [*rows[: each - 1], f"{rows[each - 1]} …"]
        lines += rows
    if proved:
        said = "; ".join(f"{a.hazard.what} by {a.proof.step}: {a.proof.reading}" for a in proved if a.proof is not None)
        lines.append(fitted(clean(f"proved safe  {said}", limit=400), columns).rstrip())
        whole = whole and not lines[-1].endswith("…")
    if lines and not whole:
        more = " … w: all of it"
        lines[-1] = fitted(lines[-1], columns - len(more)).rstrip(" …") + more
    return lines


def _own_hazards(active: Sequence[ActiveHazard], step: Step | None) -> tuple[Hazard, ...]:
    known = {a.hazard.what for a in active}
    return tuple(h for h in step.hazards if h.what not in known) if step is not None else ()


def danger_paragraphs(unit: Unit, step: Step | None) -> list[str]:
    """Every danger in force with what to do and how to prove it safe, as paragraphs with headings."""
    active = active_hazards(unit)
    own = [(h, f"step {step.code}", None) for h in _own_hazards(active, step)] if step is not None else []
    paragraphs: list[str] = []
    for hazard, source, proof in [*own, *active]:
        paragraphs.append(f"# {hazard.signal} {hazard.what} ({source})")
        paragraphs.append(hazard.do or "What to do is not written down.")
        paragraphs.append(f"Prove it safe: {hazard.prove or 'how is not written down.'}")
        when = f" at {proof.at.astimezone():%d %b %H:%M}" if proof is not None and proof.at is not None else ""
        paragraphs.append(
            f"{proof.step} proved it{when}: {proof.reading}." if proof is not None else "Not proved safe."
        )
    return paragraphs or ["No danger is written down for this unit. Its class on the arrival section brings the usual."]


def same_lines(unit: Unit, columns: int) -> list[str]:
    """Kinds used before with their digits, over at most two lines."""
    kinds = same_kinds(unit)
    if not kinds:
        return ["same     nothing yet: type 4 screw M4x10 once, then Tab and a digit repeat it"]
    entries = [f"{i} {clean(f.kind, limit=40)} ({f.holes})" for i, f in enumerate(kinds, 1)]
    return packed(["same    ", *entries], columns, most=2)


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
    words = {digit: _STOP_WORDS[StopAnswer(answer)] for digit, answer in STOP_DIGITS.items()}
    given = {d for d, answer in STOP_DIGITS.items() if step.one_way is not None and getattr(step.one_way, answer)}
    return title, {**words, "s": "skip it, with a reason"}, given
