"""The line of a step, printed: `read_line` gives the same step again.

Text is written plainly where it would be read as meant, and in quotes where not: every phrase is tried
by reading it back. The printed line has no control characters and no line ends in it, whatever was typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import product

from logbook.model.members import members_apart, shared_words
from logbook.model.step import Fastener, Hazard, HoldPoint, MemberDifference, OneWay, Step
from logbook.model.unit import Unit
from logbook.model.words import Action, Certainty, JointFound, SignalWord, Then
from logbook.teardown.bench_line import UNSAID
from logbook.teardown.connection_phrase import connection_words
from logbook.teardown.hold_code import begins_like_a_code
from logbook.teardown.kinds import UnitWords, is_piece
from logbook.teardown.meant import UNNAMED_HAZARD, Meant, PhraseContext, SaidThing
from logbook.teardown.member_differences import own_of, says_guess
from logbook.teardown.member_phrases import name_of
from logbook.teardown.phrases import UNPRINTED, PhraseText, joined, quote, split
from logbook.teardown.proving_phrases import proof_phrase
from logbook.teardown.thing_phrases import thing_words
from logbook.teardown.understand import understand
from logbook.teardown.value_phrases import values_said
from logbook.teardown.vocabulary import JOINT_WORDS, VERBS_AT_START

_JOINT: Mapping[JointFound, str] = {joint: word for word, joint in reversed(JOINT_WORDS.items())}
_NOBODY = Unit(code="X", name="no words of its own")


def write_line(
    step: Step,
    after: Iterable[str] = (),
    better_after: Iterable[str] = (),
    *,
    unit: Unit | None = None,
    back_before: Iterable[str] = (),
    things: Iterable[SaidThing] = (),
    threaded: Iterable[tuple[str, str]] = (),
) -> str:
    """The line that says a step: what a line can say of it, in the order in which it is said at the bench.

    Args:
        step: its code, time and whatever belongs to the desk are not in the line.
        after: codes of steps that must come off before it.
        better_after: codes of steps that had better come off before it.
        back_before: codes of steps that it goes back before, for the way back alone.
        threaded: codes of steps whose thing goes on first at it, each with what of it, if not the whole.
        things: what came out at it and what is needed for it, as records of their own.
        unit: where the line will be read. A kind of fastener that differs from one the unit has only in its
            plural or its way of writing a size is then put in quotes, so that it stays another kind.
    """
    known = UnitWords(unit or _NOBODY, step.code)
    phrases = [_what(step.what), *_how(step), *(_fastener(f, known) for f in step.fasteners)]
    if step.no_fasteners:
        phrases.append("no fasteners")
    phrases += _places(step)
    phrases += [connection_words(c) for c in step.connections if not c.member]
    phrases += [words for member, words in values_said(step) if not member]
    things = tuple(things)
    phrases += [_of_all(thing, step, known) for thing in things if not thing.member]
    order = {
        "after": " ".join(after),
        "better after": " ".join(better_after),
        "back before": " ".join(back_before),
    }
    phrases += [f"{word} {codes}" for word, codes in order.items() if codes]
    phrases += _each(step, unit)
    phrases += _members(step, known, things)
    phrases += [f"in {_name(step.inside)}"] if step.inside else []
    phrases += map(_hazard, step.hazards)
    phrases += _proofs(step, known)
    phrases += [_one_way(step.one_way)] if step.one_way is not None else []
    phrases += [_hold(step.hold)] if step.hold is not None else []
    phrases += [f"first on {_goes_on(text, known)}" for text in step.refit.first if text.strip()]
    phrases += [f"first on {f'{_apart(items)} of {code}' if items else code}" for code, items in threaded]
    phrases += _found(step)
    phrases += _flags(step)
    phrases += [_note(step.note)] if step.note else []
    return ", ".join(phrases)


def _what(what: str) -> str:
    if what == UNSAID:
        return ""
    pieces = split(what)
    plain = len(pieces) == 1 and joined(pieces[0].words) == what and not UNPRINTED.search(what)
    return what if plain and not any(w.text.startswith('"') for w in pieces[0].words) else quote(what)


def _each(step: Step, unit: Unit | None) -> list[str]:
    """For which set it is; in a unit that is itself a set, only what differs from being for each of it."""
    whole = unit.whole_set() if unit is not None else None
    if whole is not None:
        return [] if step.each_of == whole.code else [f"each {_name(step.each_of)}"] if step.each_of else ["once"]
    return [f"each {_name(step.each_of)}"] if step.each_of else []


def _how(step: Step) -> tuple[str, ...]:
    """The action, unless it was not said and what came off does not say it either."""
    first = step.what.strip().casefold()
    if step.action is Action.UNSAID and not first.startswith(tuple(VERBS_AT_START)):
        return ()
    if step.also:
        return (" and ".join(map(str, (step.action, *step.also))),)
    return (str(step.action),)


def _proofs(step: Step, known: UnitWords) -> Iterator[str]:
    """What proved dangers gone, with the name of a member before what was read at it alone."""
    names = _member_names(step, known)
    for proof in step.proofs:
        said = proof_phrase(proof, PhraseContext(known, hazards=step.hazards))
        yield f"{names.get(proof.member, proof.member)} {said}" if proof.member else said


def _of_all(thing: SaidThing, step: Step, known: UnitWords) -> str:
    """A thing of no member alone: `component lamp`, and `component starter for both` where the members share it."""
    shared = shared_words(thing.quantity, members_apart(step, known.unit.set_of(step)))
    return f"{thing_words(thing)} {shared}".rstrip()


def _member_names(step: Step, known: UnitWords) -> dict[str, str]:
    of = known.unit.set_of(step)
    return {m.code: name_of(of, m) for m in of.members} if of is not None else {}


def _members(step: Step, known: UnitWords, things: Iterable[SaidThing]) -> Iterator[str]:
    """What is otherwise at single members, each phrase with the member's name before it."""
    names = _member_names(step, known)
    for own in step.differences:
        name = names.get(own.member, own.member)
        for phrase in _of_member(own, step, known):
            yield f"{name} {phrase}"
    for made in step.connections:
        if made.member:
            yield f"{names.get(made.member, made.member)} {connection_words(made)}"
    for member, words in values_said(step):
        if member:
            yield f"{names.get(member, member)} {words}"
    for thing in things:
        if thing.member:
            yield f"{names.get(thing.member, thing.member)} {thing_words(thing)}"


def _of_member(own: MemberDifference, step: Step, known: UnitWords) -> Iterator[str]:
    if not own.done:
        yield "still to do"
    if own.bag:
        yield _said("bag", own.bag, {"bag": own.bag})
    if own.fasteners is not None:
        instead, said = own_of(own, step.fasteners)
        if not own.fasteners:
            yield "no fasteners"
        for fastener in said:
            yield f"{'instead ' if instead else ''}{_fastener(fastener, known)}"
    if own.left_hand is not None:
        yield "left-hand thread" if own.left_hand else "right-hand thread"
    yield from _found_at(own)
    if says_guess(own):
        note = {"certainty_note": own.certainty_note} if own.certainty_note else {}
        yield _said(str(own.certainty), own.certainty_note, {"certainty": own.certainty, **note})
    if own.hold is not None:
        yield _hold(own.hold)
    if own.note:
        plain = own.note == " ".join(own.note.split()) and not re.search(r'[",;\\\n]', own.note)
        yield f"note {own.note if plain and not UNPRINTED.search(own.note) else quote(own.note)}"


def _hold(hold: HoldPoint) -> str:
    """`hold proved dead read voltage reading 0.4 V by AB`; texts in quotes where a word of it is a keyword."""
    said = [f"hold {quote(hold.what) if begins_like_a_code(hold.what) else _apart(hold.what)}"]
    parts = {
        "read": hold.reading_of,
        "reading": hold.reading,
        "by": hold.initials,
        "because": hold.without_because,
    }
    said += [f"{keyword} {_apart(text)}" for keyword, text in parts.items() if text]
    return " ".join(said)


def _apart(text: str) -> str:
    plain = text == " ".join(text.split()) and not re.search(r'[",;\\\n]|\b(?:read|reading|by|because)\b', text, re.I)
    return text if plain and not UNPRINTED.search(text) else quote(text)


def _goes_on(text: str, known: UnitWords) -> str:
    """What goes on first; in quotes where the name of a step at its end would be read as that step."""
    named = known.step_code(text.rsplit(maxsplit=1)[-1])
    return quote(text) if named is not None else _apart(text)


def _fastener(fastener: Fastener, known: UnitWords) -> str:
    same = fastener.holes == fastener.found
    count = str(fastener.holes) if same else f"{fastener.holes}/{fastener.found}"
    then = "" if fastener.then is Then.REUSE else f" {fastener.then}"
    if fastener.renew_as:
        then += f"{' renew' if fastener.then is Then.LOST else ''} as {fastener.renew_as}"
    then += f" {fastener.new_here} here" if fastener.new_here else ""
    then += " stays empty" if fastener.stays_empty else ""
    bare = fastener.model_copy(update={"detail": None, "renewed_here": False, "piece": is_piece(fastener.kind)})
    for kind, bag in product((fastener.kind, quote(fastener.kind)), (fastener.bag, quote(fastener.bag))):
        phrase = f"{count} {kind}{then}" + (f" bag {bag}" if fastener.bag else "")
        meant = _read_back(phrase, known)
        if meant is not None and meant.fasteners == (bare,):
            return phrase
    return f"{count} {quote(fastener.kind)}{then}" + (f" bag {quote(fastener.bag)}" if fastener.bag else "")


def _places(step: Step) -> Iterator[str]:
    if step.bag:
        yield _said("bag", step.bag, {"bag": step.bag})
    if step.box:
        yield _said("box", step.box, {"box": step.box})
    if step.wires is not None:
        yield f"wires {step.wires}"
    if step.viewed_from:
        yield _said("from", step.viewed_from, {"viewed_from": step.viewed_from}, ("seen from",))


def _hazard(hazard: Hazard) -> str:
    word = str(hazard.signal).casefold()
    gone = " gone at refit" if hazard.gone_at_refit else ""
    if hazard.what == UNNAMED_HAZARD:
        return f"{word}{gone}"
    bare = Hazard(signal=SignalWord(hazard.signal), what=hazard.what, gone_at_refit=hazard.gone_at_refit)
    for phrase in (f"{word} {hazard.what}{gone}", f"{word} {quote(hazard.what)}{gone}"):
        meant = _read_back(phrase)
        if meant is not None and meant.hazards == (bare,):
            return phrase
    return f"{word} {quote(hazard.what)}{gone}"


_ANSWERS = {
    "measured": "measured",
    "traced": "traced",
    "photographed": "photographed",
    "pattern_kept": "pattern kept",
    "held_twice": "held twice",
}
"""Parts of the stop question by their field, as a line says them."""


def _one_way(one_way: OneWay) -> str:
    joints = [*([one_way.joint] if one_way.joint else []), *one_way.further_joints]
    said = ["one-way", *(_JOINT[joint] for joint in joints)]
    if one_way.drilled is not None:
        said.append(f"drilled {one_way.drilled.in_mm()}")
    for name, word in _ANSWERS.items():
        if getattr(one_way, name):
            said.append(word)
        elif name in one_way.answered_no:
            said.append(f"{word} no")
        elif name in one_way.not_needed:
            said.append(f"{word} not needed")
    if not one_way.skipped_because:
        return " ".join(said)
    plain = " ".join([*said, "because", one_way.skipped_because])
    meant = _read_back(plain)
    understood = meant is not None and meant.one_way is not None
    if understood and meant and meant.one_way and meant.one_way.skipped_because == one_way.skipped_because:
        return plain
    return " ".join([*said, "because", quote(one_way.skipped_because)])


def _found_at(of: Step | MemberDifference) -> Iterator[str]:
    """What was wrong as found, and how it should be: of a step, or of one member."""
    if of.as_found_wrong:
        yield "wrong"
    if of.as_found:
        yield _said("as found", of.as_found, {"as_found": of.as_found})
    if of.should_be:
        yield _said("should be", of.should_be, {"should_be": of.should_be})


def _found(step: Step) -> Iterator[str]:
    if step.left_hand:
        yield "left-hand"
    yield from _found_at(step)
    if step.certainty is not Certainty.SURE or step.certainty_note:
        note = {"certainty_note": step.certainty_note} if step.certainty_note else {}
        yield _said(str(step.certainty), step.certainty_note, {"certainty": step.certainty, **note})


def _flags(step: Step) -> Iterator[str]:
    if step.photo_taken:
        yield "photo"
    if step.planned:
        yield "planned"
    if step.minutes is not None:
        yield f"{step.minutes} min"
    if step.weight_kg is not None:
        yield f"{step.weight_kg.normalize() + 0:f} kg"
    if step.by:
        yield _said("by", step.by, {"by": step.by}, ("initials",))


def _note(note: str) -> str:
    plain = f"note {note}"
    piece = _only_phrase(plain)
    return plain if piece is not None and piece.note == note and not UNPRINTED.search(note) else f"note {quote(note)}"


def _said(word: str, text: str, wanted: Mapping[str, object], other_words: tuple[str, ...] = ()) -> str:
    """The first way of saying `text` after `word` (or another word) that reads back as wanted."""
    words = (word, *other_words)
    for phrase in (f"{w} {t}".rstrip() for t in ((text, quote(text)) if text else ("",)) for w in words):
        meant = _read_back(phrase)
        if meant is not None and meant.sets == wanted and not meant.left:
            return phrase
    return f"{words[-1]} {quote(text)}"


def _name(code: str) -> str:
    """Code of a set or sub-assembly, which only its unit knows; in quotes where it would be taken for a keyword."""
    piece = _only_phrase(code)
    plain = piece is not None and piece.note is None and joined(piece.words) == code
    return code if plain and code.casefold() not in ("bag", "box", "of") else quote(code)


def _read_back(phrase: str, known: UnitWords | None = None) -> Meant | None:
    """What the phrase alone would be read as, or None when it would not stay one printable phrase."""
    piece = None if UNPRINTED.search(phrase) else _only_phrase(phrase)
    if piece is None or piece.note is not None:
        return None
    return understand(piece.words, PhraseContext(known or UnitWords(_NOBODY, "X1")))


def _only_phrase(phrase: str) -> PhraseText | None:
    """The phrase as it is cut from a line, or None when it would fall into several.

    A quote that finds no end here could find one further on in the line, so such a phrase is none either.
    """
    pieces = split(f"x, {phrase}")
    if len(pieces) != 2 or pieces[1].start != 3:
        return None
    open_quote = any(not w.quoted and w.text.startswith('"') for w in pieces[1].words)
    return None if open_quote else pieces[1]
