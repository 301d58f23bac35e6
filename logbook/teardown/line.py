"""The line of plain words that becomes a step, read as it is typed.

    chassis bolts, unscrewed, 4 bolt M5x35, 4 washer, 8 bush renew, bag 4, from below, after T10, photo

The first phrase is what came off. Every other phrase is recognised by what it says (see `understand`);
what is not understood becomes the note, and is shown as such. No line is refused and nothing in it is
lost: a second bag, a second action or a step that does not exist stand in the note, with a sentence why.
`logbook.teardown.write` prints the line of a step; read again it gives the same step.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from logbook.model.dangers import danger_key
from logbook.model.edits import with_changes
from logbook.model.step import Fastener, Hazard, OneWay, Proof, Step
from logbook.model.unit import Unit
from logbook.teardown.kinds import UnitWords
from logbook.teardown.meant import Around, Meant
from logbook.teardown.phrases import Piece, joined, sound, split
from logbook.teardown.understand import action_meant, read_action, starts_with_action, understand
from logbook.teardown.vocabulary import VERBS_AT_START

UNSAID = "?"
"""What came off, while it is not said."""

SAYABLE: tuple[str, ...] = (
    "what", "action", "fasteners", "bag", "box", "wires", "hazards", "proofs", "one_way", "certainty", "certainty_note",
    "left_hand", "as_found_wrong", "as_found", "should_be", "photo_taken", "planned", "viewed_from", "each_of",
    "inside", "by", "minutes", "weight_kg", "note",
)  # fmt: skip
"""Fields of a step that a line can say. Every other field of a step stays as it is when its line is read."""

_ONCE = {
    "action": "How it came off",
    "bag": "The bag",
    "box": "The box",
    "wires": "The number of wires",
    "minutes": "The time",
    "weight_kg": "The weight",
    "viewed_from": "Where it was seen from",
    "each_of": "The set",
    "inside": "The sub-assembly",
    "by": "Who did it",
    "certainty": "How sure",
    "certainty_note": "What is a guess",
    "as_found": "As found",
    "should_be": "What it should be",
}
_SELDOM_A_NAME = frozenset({"bag", "box", "after", "better_after", "wires", "minutes"})


class Phrase(NamedTuple):
    """One phrase of the line and how it was read."""

    text: str
    """As it stands in the line."""
    start: int
    end: int
    field: str
    """The field of the step that it went to; `note` when it was not understood."""
    meaning: str
    """In words, for the reading below the line."""
    problem: str | None = None
    """A sentence, when it may not say what was meant."""


class Reading(NamedTuple):
    """A line, read."""

    step: Step
    after: tuple[str, ...]
    """Steps that must come off before it."""
    better_after: tuple[str, ...]
    """Steps that had better come off before it."""
    phrases: tuple[Phrase, ...]
    """Every phrase in order; between them stand only separators and blanks."""
    problems: tuple[str, ...]
    unknown: tuple[str, ...]
    """Phrases that were not understood; they became the note."""
    complete: bool
    """Whether it says what came off, the one thing that a step must say."""


def read_line(text: str, unit: Unit, *, code: str | None = None, base: Step | None = None) -> Reading:
    """The step that a line says.

    Args:
        text: anything that can be typed. Time grows in proportion to its length.
        unit: its kinds of fastener, steps, sets and sub-assemblies are known by name.
        code: code of the step; the next free one of the unit when not given.
        base: the step as it was before, when its line is being edited: whatever a line cannot say
            (connections, positions, the details of its fasteners …) stays as it is there.
    """
    text = sound(text)
    words = UnitWords(unit, base.code if base is not None and code is None else code)
    gathered = _Gathered()
    phrases: list[Phrase] = []
    for index, piece in enumerate(split(text)):
        follows = phrases[-1].field if index > 1 else ""
        phrases += _first(piece, text, words, gathered) if index == 0 else _later(piece, text, words, gathered, follows)
    whole = unit.whole_set()
    if whole is not None:
        gathered.values.setdefault("each_of", whole.code)
    step = gathered.step(words.code, base)
    return Reading(
        step=step,
        after=tuple(gathered.after),
        better_after=tuple(gathered.better_after),
        phrases=tuple(p for p in phrases if p.end > p.start),
        problems=tuple(dict.fromkeys(p.problem for p in phrases if p.problem)),
        unknown=tuple(p.text for p in phrases if p.field == "note" and not p.meaning.startswith("note: ")),
        complete=step.what != UNSAID,
    )


class _Gathered:
    """What the phrases have said so far."""

    def __init__(self) -> None:
        self.values: dict[str, object] = {}
        self.fasteners: list[Fastener] = []
        self.hazards: list[Hazard] = []
        self.proofs: list[Proof] = []
        self.one_way: OneWay | None = None
        self.after: dict[str, None] = {}
        self.better_after: dict[str, None] = {}
        self.notes: list[str] = []
        self.action_from_what: Meant | None = None

    def take(self, meant: Meant) -> str | None:
        """Take in a meaning whole, or give the sentence why it contradicts what was said before."""
        for name, value in meant.sets.items():
            if name in self.values and self.values[name] != value:
                return f"{_ONCE.get(name, name)} is said already; this stands in the note."
        if self.one_way is not None and meant.one_way is not None:
            both = _both(self.one_way, meant.one_way)
            if both is None:
                return "The one-way joint is said already; this stands in the note."
            self.one_way = both
        else:
            self.one_way = meant.one_way or self.one_way
        self.values.update(meant.sets)
        self.fasteners += meant.fasteners
        self.hazards += meant.hazards
        self.proofs += meant.proofs
        self.after |= dict.fromkeys(meant.after)
        self.better_after |= dict.fromkeys(meant.better_after)
        if meant.then is not None and self.fasteners:
            self.fasteners[-1] = self.fasteners[-1].model_copy(update={"then": meant.then})
        if meant.left:
            self.notes.append(meant.left)
        return meant.problem

    def step(self, code: str, base: Step | None) -> Step:
        """The step as said; what a line cannot say comes from `base`."""
        said = self.values | {
            "fasteners": tuple(_with_details(self.fasteners, base.fasteners if base else ())),
            "hazards": tuple(_with_advice(self.hazards, base.hazards if base else ())),
            "proofs": tuple(_as_taken(self.proofs, base.proofs if base else ())),
            "one_way": _with_rebuild(self.one_way, base.one_way if base else None),
            "note": ", ".join(n for n in self.notes if n),
        }
        if "action" not in said and self.action_from_what is not None:
            said |= self.action_from_what.sets
        blank = Step(code=code, what=str(said["what"]))
        fresh = {name: said.get(name, getattr(blank, name)) for name in SAYABLE}
        return with_changes(base if base is not None else blank, code=code, **fresh)


def _first(piece: Piece, text: str, words: UnitWords, gathered: _Gathered) -> list[Phrase]:
    what = joined(piece.words) or UNSAID
    gathered.values["what"] = what
    if what == UNSAID:
        problem = "What came off? The first phrase says it." if text.strip() else None
        return [Phrase(text[piece.start : piece.end], piece.start, piece.end, "what", "not said yet", problem)]
    first = piece.words[0]
    verb = VERBS_AT_START.get(first.folded)
    if verb is not None:
        gathered.action_from_what = action_meant(verb)
    meaning = f"came off: {what}" + (f", {verb}" if verb is not None else "")
    return [Phrase(text[piece.start : piece.end], piece.start, piece.end, "what", meaning, _doubt(piece, words))]


def _doubt(piece: Piece, words: UnitWords) -> str | None:
    """The sentence for a first phrase that reads like one of the others."""
    meant = understand(piece.words, Around(words))
    if meant is None or meant.left or meant.problem:
        return None
    counted = any(words.known_kind(f.kind) or any(c.isdigit() for c in f.kind) for f in meant.fasteners)
    if counted or meant.field in _SELDOM_A_NAME:
        return "What came off stands first; this is read as its name."
    return None


def _later(piece: Piece, text: str, words: UnitWords, gathered: _Gathered, follows: str) -> list[Phrase]:
    if piece.note is not None:
        gathered.notes.append(piece.note)
        return [Phrase(text[piece.start : piece.end], piece.start, piece.end, "note", f"note: {piece.note}")]
    said = tuple(gathered.hazards)
    meant = understand(piece.words, Around(words, follows, said))
    if meant is None and (action := read_action(piece.words)) is not None:
        meant = action_meant(action)
    if meant is not None:
        return [_placed(piece, text, meant, gathered)]
    action = starts_with_action(piece.words)
    rest = piece.words[1:]
    after_action = understand(rest, Around(words, "action", said)) if action is not None else None
    if action is not None and after_action is not None and not after_action.left:
        head = Piece(piece.start, piece.words[0].end, piece.words[:1])
        tail = Piece(rest[0].start, piece.end, rest)
        return [
            _placed(head, text, action_meant(action), gathered),
            _placed(tail, text, after_action, gathered),
        ]
    gathered.notes.append(joined(piece.words))
    return [Phrase(text[piece.start : piece.end], piece.start, piece.end, "note", "not understood: kept as a note")]


def _placed(piece: Piece, text: str, meant: Meant, gathered: _Gathered) -> Phrase:
    """The phrase of a meaning, taken in; whole into the note when it contradicts what was said before."""
    typed = text[piece.start : piece.end]
    problem = gathered.take(meant)
    if problem is not None and problem != meant.problem:
        gathered.notes.append(joined(piece.words))
        return Phrase(typed, piece.start, piece.end, "note", "kept as a note", problem)
    meaning = meant.meaning or "kept as a note"
    if meant.left and meant.meaning:
        meaning += f"; note: {meant.left}"
    return Phrase(typed, piece.start, piece.end, meant.field if meant.meaning else "note", meaning, problem)


def _both(first: OneWay, second: OneWay) -> OneWay | None:
    """Two one-way phrases as one record, or None when they contradict each other."""
    joints = {o.joint for o in (first, second) if o.joint is not None}
    reasons = {o.skipped_because for o in (first, second) if o.skipped_because}
    if len(joints) > 1 or len(reasons) > 1:
        return None
    answers = ("measured", "traced", "photographed", "pattern_kept", "held_twice")
    either = {name: getattr(first, name) or getattr(second, name) for name in answers}
    return first.model_copy(
        update={**either, "joint": next(iter(joints), None), "skipped_because": next(iter(reasons), "")}
    )


def _with_details(said: Iterable[Fastener], before: Iterable[Fastener]) -> Iterable[Fastener]:
    """The fasteners as said, each with the details that the desk gave to the same kind."""
    left: dict[str, list[Fastener]] = {}
    for old in reversed(tuple(before)):
        left.setdefault(old.kind, []).append(old)
    for fastener in said:
        same = left.get(fastener.kind)
        if same:
            old = same.pop()
            kept = {"detail": old.detail, "renewed_here": old.renewed_here, "piece": old.piece}
            yield fastener.model_copy(update=kept)
        else:
            yield fastener


def _with_advice(said: Iterable[Hazard], before: Iterable[Hazard]) -> Iterable[Hazard]:
    """The hazards as said, each with what to do and how to prove it safe as written for the same danger."""
    advice = {h.what: h for h in reversed(tuple(before))}
    for hazard in said:
        old = advice.get(hazard.what)
        yield hazard if old is None else hazard.model_copy(update={"do": old.do, "prove": old.prove})


def _as_taken(said: Iterable[Proof], before: Iterable[Proof]) -> Iterable[Proof]:
    """The proofs as said, each with when and by whom it was taken; a reading put right is as old as it was."""
    left: dict[str, list[Proof]] = {}
    for old in reversed(tuple(before)):
        left.setdefault(danger_key(old.danger), []).append(old)
    for proof in said:
        same = left.get(danger_key(proof.danger))
        if same:
            old = same.pop()
            yield proof.model_copy(update={"at": old.at, "by": old.by, "step": old.step})
        else:
            yield proof


def _with_rebuild(said: OneWay | None, before: OneWay | None) -> OneWay | None:
    """The one-way mark as said, with the build work that the desk put in the joint's place."""
    if said is None or before is None:
        return said
    kept = {"drilled": before.drilled, "remake": before.remake, "rebuilt_by": before.rebuilt_by}
    return said.model_copy(update=kept)
