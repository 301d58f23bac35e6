"""The line of plain words that becomes a step, read as it is typed.

    chassis bolts, unscrewed, 4 bolt M5x35, 4 washer, 8 bush renew, bag 4, from below, after T10, photo

The first phrase is what came off. Every other phrase is recognised by what it says (see `understand`);
what is not understood becomes the note, and is shown as such. No line is refused and nothing in it is
lost: a second bag, a second action or a step that does not exist stand in the note, with a sentence why.
`logbook.teardown.write` prints the line of a step; read again it gives the same step.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from logbook.model.dangers import danger_key
from logbook.model.edits import with_changes
from logbook.model.members import members_apart
from logbook.model.proofs import reads_live_now
from logbook.model.remembered import remembered
from logbook.model.step import Connection, Fastener, Hazard, HoldPoint, Measurement, OneWay, Proof, Setting, Step
from logbook.model.unit import PartSet, Unit
from logbook.model.words import Action, Then
from logbook.teardown.connection_phrase import CUT, says_change_only
from logbook.teardown.fastener_phrase import whole_kind
from logbook.teardown.kinds import UnitWords, is_piece
from logbook.teardown.meant import Meant, PhraseContext, SaidThing
from logbook.teardown.member_differences import differences_of, hold_said, said_of_members
from logbook.teardown.member_phrases import set_made_by, without_set
from logbook.teardown.number_phrases import fastener_words, renewed_as_phrase
from logbook.teardown.phrases import PhraseText, joined, sound, split
from logbook.teardown.some_of_a_kind import MISSING, NotSoManyError, Some, with_some
from logbook.teardown.understand import action_meant, read_action, starts_with_action, understand
from logbook.teardown.unread_phrase import not_read, wants_asking
from logbook.teardown.value_phrases import measurements_said, settings_said
from logbook.teardown.vocabulary import VERBS_AT_START, work_in_words

UNSAID = "?"
"""What came off, while it is not said."""

SAYABLE: tuple[str, ...] = (
    "what", "action", "fasteners", "bag", "box", "wires", "hazards", "proofs", "one_way", "certainty", "certainty_note",
    "left_hand", "as_found_wrong", "as_found", "should_be", "photo_taken", "planned", "viewed_from", "each_of",
    "inside", "by", "minutes", "weight_kg", "note", "also", "no_fasteners", "hold",
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
    makes_set: bool = False
    """It makes the set that the step is for."""


class LineReading(NamedTuple):
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
    back_before: tuple[str, ...] = ()
    """Steps that it goes back before, for the way back alone."""
    threaded: tuple[tuple[str, str], ...] = ()
    """Steps whose thing is threaded on first at this one, each with what of it; nothing when it is the whole of it."""
    new_set: PartSet | None = None
    """The set that the line makes, when it makes one; it comes into the unit with the step."""
    things: tuple[SaidThing, ...] = ()
    """What came out here and what is needed for it, as records of their own that come into the unit with the step."""
    members: tuple[str, ...] = ()
    """Codes of the members of its set that come apart at it; nothing when it is of one thing."""


@remembered
def read_line(text: str, unit: Unit, *, code: str | None = None, base: Step | None = None) -> LineReading:
    """The step that a line says.

    Args:
        text: anything that can be typed. Time grows in proportion to its length.
        unit: its kinds of fastener, steps, sets and sub-assemblies are known by name.
        code: code of the step; the next free one of the unit when not given.
        base: the step as it was before, when its line is being edited: whatever a line cannot say
            (connections, positions, the details of its fasteners …) stays as it is there.
    """
    text = sound(text)
    pieces = split(text)
    new_set = next((made for piece in pieces[1:] if piece.words and (made := set_made_by(piece.words, unit))), None)
    if new_set is not None:
        unit = unit.model_copy(update={"sets": (*unit.sets, new_set)})
    words = UnitWords(unit, base.code if base is not None and code is None else code)
    gathered = _Gathered(new_set)
    phrases: list[Phrase] = []
    for index, piece in enumerate(pieces):
        follows = phrases[-1].field if index > 1 else ""
        phrases += _first(piece, text, words, gathered) if index == 0 else _later(piece, text, words, gathered, follows)
    phrases = _settled(phrases, gathered)
    whole = unit.whole_set()
    if whole is not None:
        gathered.values.setdefault("each_of", whole.code)
    step = gathered.step(words.code, base)
    return LineReading(
        step=step,
        after=tuple(gathered.after),
        better_after=tuple(gathered.better_after),
        phrases=tuple(p for p in phrases if p.end > p.start),
        problems=tuple(dict.fromkeys(p.problem for p in phrases if p.problem)),
        unknown=tuple(p.text for p in phrases if p.field == "note" and not p.meaning.startswith("note: ")),
        complete=step.what != UNSAID,
        back_before=tuple(gathered.back_before),
        threaded=tuple(gathered.threaded),
        new_set=new_set,
        things=tuple(gathered.things),
        members=members_apart(step, unit.set_of(step)),
    )


class _Gathered:
    """What the phrases have said so far."""

    def __init__(self, new_set: PartSet | None = None) -> None:
        self.new_set = new_set
        self.connections: list[Connection] = []
        self.settings: list[Setting] = []
        self.measurements: list[Measurement] = []
        self.of_members: list[tuple[str, Meant]] = []
        self.said_at: list[int] = []
        """Where the phrase of each of them begins."""
        self.also: list[Action] = []
        self.hold: HoldPoint | None = None
        self.things: list[SaidThing] = []
        self.first_on: list[str] = []
        self.unread: list[str] = []
        self.values: dict[str, object] = {}
        self.fasteners: list[Fastener] = []
        self.before_some: tuple[tuple[Fastener, ...], Some] | None = None
        """The fasteners before the last phrase about some of them, and that phrase."""
        self.hazards: list[Hazard] = []
        self.proofs: list[Proof] = []
        self.one_way: OneWay | None = None
        self.after: dict[str, None] = {}
        self.better_after: dict[str, None] = {}
        self.back_before: dict[str, None] = {}
        self.threaded: dict[tuple[str, str], None] = {}
        self.notes: list[str] = []
        self.action_from_what: Meant | None = None

    def take(self, meant: Meant, start: int) -> str | None:
        """Take in a meaning whole, or give the sentence why it contradicts what was said before.

        Args:
            meant: the meaning.
            start: where its phrase begins in the line.
        """
        meant = self._of_connections_said(meant)
        contradicts = self._contradiction(meant)
        if contradicts:
            return contradicts
        if self.one_way is not None and meant.one_way is not None:
            self.one_way = _both(self.one_way, meant.one_way)
        else:
            self.one_way = meant.one_way or self.one_way
        self._take_values(meant)
        self.also += meant.also
        self.connections += meant.connections
        numbers, values = meant.changed
        self.connections = [with_changes(c, **values) if c.code in numbers else c for c in self.connections]
        self.settings += meant.settings
        self.measurements += meant.measurements
        self.of_members += meant.of_members
        self.said_at += [start] * len(meant.of_members)
        self.things += meant.things
        self.first_on += meant.first_on
        self.hold = meant.hold or self.hold
        self.fasteners += meant.fasteners
        if meant.some is not None:
            self.before_some = (tuple(self.fasteners), meant.some)
            self.fasteners = list(with_some(self.fasteners, meant.some))
        elif meant.fasteners:
            self.before_some = None
        self.hazards += meant.hazards
        self.proofs += meant.proofs
        self.after |= dict.fromkeys(meant.after)
        self.better_after |= dict.fromkeys(meant.better_after)
        self.back_before |= dict.fromkeys(meant.back_before)
        self.threaded |= dict.fromkeys(meant.threaded)
        if meant.then is not None and self.fasteners:
            self.fasteners[-1] = self.fasteners[-1].model_copy(update={"then": meant.then})
        if meant.left:
            self.notes.append(meant.left)
        self.unread += meant.unread
        return meant.problem

    def renew_last_as(self, kind: str, follows: str) -> bool:
        """Whether the phrase before is about fasteners, which another kind then takes the place of."""
        if follows == "differences" and self.of_members:
            member, meant = self.of_members[-1]
            renewed = _renewed_meaning(meant, kind)
            if renewed is not None:
                self.of_members[-1] = (member, renewed)
            return renewed is not None
        if follows != "fasteners" or not self.fasteners:
            return False
        if self.before_some is not None:
            before, some = self.before_some
            self.fasteners = list(with_some(before, some._replace(renew_as=kind)))
        else:
            self.fasteners[-1] = _renewed_as(self.fasteners[-1], kind)
        return True

    def bags(self) -> Iterator[str]:
        """Every bag that was named so far."""
        members = [meant for _, meant in self.of_members]
        named = [self.values.get("bag"), *(meant.sets.get("bag") for meant in members)]
        named += [f.bag for f in self.fasteners] + [f.bag for meant in members for f in meant.fasteners]
        yield from (bag for bag in named if isinstance(bag, str) and bag)

    def _take_values(self, meant: Meant) -> None:
        """Fields that a step has once; a second action is a further one."""
        action = meant.sets.get("action")
        if isinstance(action, Action) and self.values.get("action", action) is not action:
            self.also.append(action)
            self.values.update({name: value for name, value in meant.sets.items() if name != "action"})
        else:
            self.values.update(meant.sets)
        if meant.each_of:
            self.values["each_of"] = meant.each_of

    def _of_connections_said(self, meant: Meant) -> Meant:
        """The meaning, with `right wire W1 renew` about a wire of the right one said before as a change of it."""
        given = {(c.code, c.member) for c in self.connections}
        changing = [c for c in meant.connections if says_change_only(c) and (c.code, c.member) in given]
        if len(meant.connections) != 1 or not changing:
            return meant
        made = changing[0]
        values: dict[str, object] = {"renew": made.renew} if made.renew else {}
        values |= {"joint": made.joint} if made.joint else {}
        return meant._replace(connections=(), changed=((made.code,), values))

    def _connection_said_otherwise(self, meant: Meant) -> str | None:
        """The sentence for a wire of one member whose number was said for each of them; None without one."""
        for_each = {c.code for c in self.connections if not c.member}
        made = next((c for c in meant.connections if c.member and c.code in for_each), None)
        if made is None:
            return None
        return (
            f"{made.code} was said for each of them; is it otherwise at {made.member} alone? Say the {made.kind} of "
            "each one, every one with its own number. It stands in the note."
        )

    def _contradiction(self, meant: Meant) -> str | None:
        """The sentence why a meaning contradicts what was said before; None when it does not."""
        for name, value in meant.sets.items():
            if name != "action" and name in self.values and self.values[name] != value:
                return f"{_ONCE.get(name, name)} already given; what is different stands in the note."
        one_way = self.one_way is not None and meant.one_way is not None
        numbers = {c.code for c in self.connections}
        things = {(t.kind, t.name, t.member) for t in self.things}
        held = {member for member, of in self.of_members if of.hold is not None}
        values = {(v.what, v.member) for v in self.settings} | {(v.what, v.member) for v in self.measurements}
        new = {(v.what, v.member) for v in meant.settings} | {(v.what, v.member) for v in meant.measurements}
        contradictions = (
            (bool(meant.each_of) and self.values.get("each_of", meant.each_of) != meant.each_of, "The set"),
            (any(c.code in numbers for c in meant.connections), "That connection"),
            (bool(values & new), "That value"),
            (any((t.kind, t.name, t.member) in things for t in meant.things), "That"),
            (meant.hold is not None and self.hold is not None, "The hold point"),
            (any(of.hold is not None and member in held for member, of in meant.of_members), "The hold point"),
            (bool({c for c, _ in meant.threaded} & {c for c, _ in self.threaded}), "What goes on first"),
            (one_way and _both(self.one_way, meant.one_way) is None, "The one-way joint"),
        )
        told_apart = self._connection_said_otherwise(meant)
        if told_apart is not None:
            return told_apart
        for contradicts, what in contradictions:
            if contradicts:
                return f"{what} already given; what is different stands in the note."
        if meant.some is not None:
            try:
                with_some(self.fasteners, meant.some)
            except NotSoManyError as why:
                return f"{why} It stands in the note."
        return None

    def step(self, code: str, base: Step | None) -> Step:
        """The step as said; what a line cannot say comes from `base`."""
        differences = differences_of(self.of_members, self.fasteners, base.differences if base else ())
        said = self.values | {
            "fasteners": tuple(_with_details(self.fasteners, base.fasteners if base else ())),
            "hazards": tuple(_with_advice(self.hazards, base.hazards if base else ())),
            "proofs": tuple(_as_taken(self.proofs, base.proofs if base else ())),
            "one_way": _with_rebuild(self.one_way, base.one_way if base else None),
            "note": ", ".join(n for n in self.notes if n),
            "connections": tuple(_as_written(self.connections, base.connections if base else ())),
            "settings": settings_said(self.settings, base.settings if base else ()),
            "measurements": measurements_said(self.measurements, base.measurements if base else ()),
            "differences": differences,
        }
        said["also"] = tuple(a for a in dict.fromkeys(self.also) if a is not said.get("action"))
        said["hold"] = hold_said(self.hold, base.hold if base else None)
        if "action" not in said and self.action_from_what is not None:
            said |= self.action_from_what.sets
        blank = Step(code=code, what=str(said["what"]))
        fresh = {name: said.get(name, getattr(blank, name)) for name in SAYABLE}
        before = base.unread if base is not None else ()
        fresh |= {name: said[name] for name in ("connections", "settings", "measurements")}
        fresh["differences"] = said["differences"]
        notes = base.refit if base is not None else blank.refit
        fresh["refit"] = with_changes(notes, first=_in_order(self.first_on, notes.first))
        notes_now = " ".join((str(said["note"]), *(own.note for own in differences)))
        fresh["unread"] = tuple(dict.fromkeys((*self.unread, *(u for u in before if u in notes_now))))
        return with_changes(base if base is not None else blank, code=code, **fresh)


def _first(piece: PhraseText, text: str, words: UnitWords, gathered: _Gathered) -> list[Phrase]:
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


def _doubt(piece: PhraseText, words: UnitWords) -> str | None:
    """The sentence for a first phrase that reads like one of the others."""
    if len(piece.words) > 1 and piece.words[0].folded == "hold":
        return "A hold point stands behind what it is about: say that first, as in “shaft, hold end play read mm”."
    meant = understand(piece.words, PhraseContext(words))
    if meant is None or meant.left or meant.problem:
        return None
    counted = any(words.known_kind(f.kind) or any(c.isdigit() for c in f.kind) for f in meant.fasteners)
    if counted or meant.field in _SELDOM_A_NAME:
        return "What came off stands first; this is read as its name."
    return None


def _later(piece: PhraseText, text: str, words: UnitWords, gathered: _Gathered, follows: str) -> list[Phrase]:
    if piece.note is not None:
        gathered.notes.append(piece.note)
        return [Phrase(text[piece.start : piece.end], piece.start, piece.end, "note", f"note: {piece.note}")]
    if gathered.new_set is not None and set_made_by(piece.words, _before(words.unit)) == gathered.new_set:
        made = gathered.new_set
        named = ", ".join(m.code for m in made.members)
        meaning = f"makes the {made.kind} {made.code} ({named}); this is for each of it"
        phrase = _placed(piece, text, Meant("each_of", meaning, each_of=made.code), gathered, words)
        return [phrase._replace(makes_set=True)]
    around = PhraseContext(
        words,
        follows,
        each_of=str(gathered.values.get("each_of", "")),
        numbers=tuple(c.code for c in gathered.connections),
        hazards=tuple(gathered.hazards),
        bags=tuple(gathered.bags()),
    )
    renewed = renewed_as_phrase(piece.words)
    if renewed and gathered.renew_last_as(renewed, follows):
        return [Phrase(text[piece.start : piece.end], piece.start, piece.end, follows, f"renew as {renewed}")]
    meant = understand(piece.words, around)
    if meant is None and (action := read_action(piece.words)) is not None:
        meant = action_meant(action)
    if meant is not None:
        return [_placed(piece, text, meant, gathered, words)]
    action = starts_with_action(piece.words)
    rest = piece.words[1:]
    after_action = understand(rest, around._replace(follows="action")) if action is not None else None
    if action is not None and after_action is not None and not after_action.left:
        head = PhraseText(piece.start, piece.words[0].end, piece.words[:1])
        tail = PhraseText(rest[0].start, piece.end, rest)
        return [
            _placed(head, text, action_meant(action), gathered, words),
            _placed(tail, text, after_action, gathered, words),
        ]
    typed = joined(piece.words)
    gathered.notes.append(typed)
    if wants_asking(piece.words):
        gathered.unread.append(typed)
    problem = without_set(piece.words, words) or not_read(piece.words)
    work = work_in_words(typed)
    meaning = f"note: work to do, asked for at the desk: {work}" if work else "not understood: kept as a note"
    return [Phrase(text[piece.start : piece.end], piece.start, piece.end, "note", meaning, problem)]


def _before(unit: Unit) -> Unit:
    """The unit without the set that its line makes, which is the last one."""
    return unit.model_copy(update={"sets": unit.sets[:-1]})


def _renewed_meaning(meant: Meant, kind: str) -> Meant | None:
    """What was said of one member's fasteners, renewed as another kind; None when it speaks of none."""
    if meant.some is not None:
        return meant._replace(some=meant.some._replace(renew_as=kind))
    if meant.fasteners:
        return meant._replace(fasteners=(*meant.fasteners[:-1], _renewed_as(meant.fasteners[-1], kind)))
    return None


def _renewed_as(fastener: Fastener, kind: str) -> Fastener:
    """The fastener with another kind in its place; what was lost stays lost."""
    then = Then.LOST if fastener.then is Then.LOST else Then.RENEW
    return with_changes(fastener, then=then, renew_as=whole_kind(kind, fastener.kind))


def _found_empty(meant: Meant, gathered: _Gathered) -> Meant:
    """`2 screw 3x16 missing` of a kind that was not said before: as many places that were found empty."""
    some = meant.some
    if some is None or some.fate != MISSING or not some.kind or any(f.kind == some.kind for f in gathered.fasteners):
        return meant
    empty = Fastener(kind=some.kind, holes=some.number, found=0, piece=is_piece(some.kind))
    if some.renew_as:
        empty = _renewed_as(empty, some.renew_as)
    return meant._replace(some=None, fasteners=(empty,), meaning=fastener_words(empty))


def _placed(piece: PhraseText, text: str, meant: Meant, gathered: _Gathered, words: UnitWords) -> Phrase:
    """The phrase of a meaning, taken in; whole into the note when it contradicts what was said before."""
    meant = _found_empty(meant, gathered)
    elsewhere = _said_elsewhere(meant, words)
    typed = text[piece.start : piece.end]
    problem = elsewhere or gathered.take(meant, piece.start)
    if problem is not None and problem != meant.problem:
        said = joined(piece.words)
        gathered.notes.append(said)
        if wants_asking(piece.words):
            gathered.unread.append(said)
        return Phrase(typed, piece.start, piece.end, "note", "kept as a note", problem)
    if problem is not None and meant.left and wants_asking(piece.words):
        gathered.unread.append(meant.left)
    meaning = meant.meaning or "kept as a note"
    if meant.left and meant.meaning:
        meaning += f"; note: {meant.left}"
    return Phrase(typed, piece.start, piece.end, meant.field if meant.meaning else "note", meaning, problem)


def _said_elsewhere(meant: Meant, words: UnitWords) -> str | None:
    """The sentence for `wire W1 renew` about a wire of another step: it would be a second one of that number.

    A step that is corrected keeps the wires that it has already.
    """
    for made in filter(says_change_only, meant.connections):
        having = [step for step in words.unit.steps if any(c.code == made.code for c in step.connections)]
        if not having or any(step.code == words.code for step in having):
            continue
        step = having[0]
        return (
            f"{made.code} stands at {step.code}, {step.what}: is it that {made.kind}? Then say it in the line of "
            f"{step.code}. It stands in the note."
        )
    return None


def _settled(phrases: Sequence[Phrase], gathered: _Gathered) -> list[Phrase]:
    """The phrases, once all of what is said of each member is known.

    What cannot be, such as more missing than there are, stands in the note; behind the last phrase about a kind stands
    what all of them make of it.
    """
    settled = said_of_members(gathered.of_members, gathered.fasteners)
    at = dict(zip(gathered.said_at, settled, strict=True))
    found: list[Phrase] = []
    for phrase in phrases:
        of = at.get(phrase.start)
        if of is None or phrase.field == "note":
            found.append(phrase)
        elif of.refused:
            typed = " ".join(phrase.text.split())
            gathered.notes.append(typed)
            gathered.unread.append(typed)
            problem = f"{of.refused} It stands in the note."
            found.append(phrase._replace(field="note", meaning="kept as a note", problem=problem))
        else:
            found.append(phrase._replace(meaning=f"{phrase.meaning}; {of.in_all}") if of.in_all else phrase)
    return found


def _both(first: OneWay | None, second: OneWay | None) -> OneWay | None:
    """Two one-way phrases as one record, or None when they contradict each other."""
    if first is None or second is None:
        return first or second
    said = [o for o in (first, second) if o.joint is not None]
    joints = list(dict.fromkeys(joint for o in said for joint in (o.joint, *o.further_joints)))
    reasons = {o.skipped_because for o in (first, second) if o.skipped_because}
    sizes = {o.drilled.ticks for o in (first, second) if o.drilled is not None}
    if len(reasons) > 1 or len(sizes) > 1:
        return None
    answers = ("measured", "traced", "photographed", "pattern_kept", "held_twice")
    either: dict[str, object] = {name: getattr(first, name) or getattr(second, name) for name in answers}
    either |= {
        "joint": joints[0] if joints else None,
        "further_joints": tuple(joints[1:]),
        "drilled": first.drilled or second.drilled,
        "answered_no": tuple(dict.fromkeys((*first.answered_no, *second.answered_no))),
        "not_needed": tuple(dict.fromkeys((*first.not_needed, *second.not_needed))),
        "skipped_because": next(iter(reasons), ""),
    }
    return first.model_copy(update=either)


def _as_written(said: Iterable[Connection], before: Iterable[Connection]) -> Iterable[Connection]:
    """The connections of the step: as said, with what the desk wrote of the same number, and those not named.

    A connection is taken out in its form, never by leaving it out of a line.
    """
    fresh = {c.code: c for c in said}
    for old in before:
        made = fresh.pop(old.code, None)
        yield old if made is None else _written_again(made, old)
    yield from fresh.values()


def _written_again(made: Connection, old: Connection) -> Connection:
    """A connection as a line says it, with what only the desk says."""
    joint = made.joint
    if not joint and old.joint.strip().casefold() != CUT:
        joint = old.joint
    said = {name: getattr(made, name) for name in _OF_A_CONNECTION}
    told = {
        **said,
        "joint": joint,
        "colour": made.colour or old.colour,
        "function": made.function or old.function,
    }
    return old.model_copy(update=told)


_OF_A_CONNECTION = ("kind", "start", "end", "renew", "one_end", "loose_end", "member")
"""What a line says of a connection, besides whether it was cut."""


def _in_order(said: Sequence[str], before: Sequence[str]) -> tuple[str, ...]:
    """What goes on first: as said, then what was written before and is not named; it is taken out in its form."""
    return tuple(dict.fromkeys((*said, *before)))


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
    """The proofs as said, each with when and by whom it was taken.

    A reading put right is as old as it was; a live one in place of a dead one is new.
    """
    left: dict[tuple[str, str], list[Proof]] = {}
    for earlier in reversed(tuple(before)):
        left.setdefault((danger_key(earlier.danger), earlier.member), []).append(earlier)
    for proof in said:
        same = left.get((danger_key(proof.danger), proof.member))
        old = same.pop() if same else None
        if old is not None and not reads_live_now(old, proof):
            yield proof.model_copy(update={"at": old.at, "by": old.by, "step": old.step})
        else:
            yield proof


def _with_rebuild(said: OneWay | None, before: OneWay | None) -> OneWay | None:
    """The one-way mark as said, with the build work that the desk put in the joint's place."""
    if said is None or before is None:
        return said
    drilled = said.drilled if said.drilled is not None else before.drilled
    kept = {"drilled": drilled, "remake": before.remake, "rebuilt_by": before.rebuilt_by}
    return said.model_copy(update=kept)
