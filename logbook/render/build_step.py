"""One step in the build record: all that was written of it, and for each member of a set what is its own.

A stranger reads this without the screens. What is true of one member only stands under its code, so that nothing of
the left one is taken for the right one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.model.members import (
    FoundWrong,
    Guess,
    bag_of_member,
    difference_of,
    fasteners_of_member,
    guesses_of,
    left_hand_words,
    members_apart,
    shared_words,
    whose,
    wrong_of,
)
from logbook.model.new_fasteners import then_in_words
from logbook.model.plural import counted
from logbook.model.proofs import taken_words
from logbook.model.step import Connection, Fastener, Measurement, OneWay, Proof, Setting, Step
from logbook.model.unit import Unit
from logbook.model.words import Certainty, RelationKind, Then
from logbook.render.bill_document import UNKNOWN
from logbook.teardown.flag_phrases import hold_state
from logbook.teardown.thing_phrases import thing_words, things_of


def step_sentences(unit: Unit, step: Step) -> Iterator[str]:
    """What stands under a step of the build record, what can hurt or mislead first."""
    of = unit.set_of(step)
    members = [m.code for m in of.members] if of is not None else []
    if of is not None:
        yield f"for each of {', '.join(members)} ({of.name}); the numbers are for each"
    thread = left_hand_words(step, members)
    if thread:
        yield thread
    whose_pattern = _whose_pattern(step, members)
    for fastener in step.fasteners:
        yield f"{whose_pattern}{fastener_words(fastener, step.bag)}"
    for member in members:
        for words in _of_member(step, member):
            yield f"{member}: {words}"
    if step.no_fasteners:
        yield "held by no fasteners"
    if step.hold is not None:
        yield f"hold point {step.hold.what}: {hold_state(step.hold)}"
    yield from _things(unit, step)
    yield from map(_connection, step.connections)
    yield from map(_setting, step.settings)
    yield from filter(None, map(_measurement, step.measurements))
    yield from map(_proof, step.proofs)
    if step.stack:
        yield f"from the head inwards: {' > '.join(step.stack)}"
    yield from _way_back(unit, step)
    yield from _unsure(step, members)


def _way_back(unit: Unit, step: Step) -> Iterator[str]:
    """What goes on before its joint is made, and where its place on the way back is another than that of coming off."""
    if step.refit.first:
        yield f"goes on first: {', '.join(step.refit.first)}"
    for relation in unit.relations:
        if relation.kind is RelationKind.THREADED and relation.later == step.code:
            threaded = unit.step(relation.earlier)
            what = relation.items or (threaded.what if threaded is not None else UNKNOWN)
            yield f"goes on first: {what} (of {relation.earlier})"
        if relation.kind is RelationKind.REFIT and relation.earlier == step.code:
            yield f"goes back after {relation.later}"
        if relation.kind is RelationKind.REFIT and relation.later == step.code:
            yield f"goes back before {relation.earlier}"


def _whose_pattern(step: Step, members: Sequence[str]) -> str:
    """Of whom the fasteners of the pattern are, when some members have others of their own: `L: `."""
    own = {difference.member for difference in step.differences if difference.fasteners is not None}
    alike = [member for member in members if member not in own]
    return f"{', '.join(alike)}: " if own and alike else ""


def _things(unit: Unit, step: Step) -> Iterator[str]:
    """What came out or is got at one member alone, and what all of them share."""
    apart = members_apart(step, unit.set_of(step))
    for thing in things_of(unit, step.code):
        if thing.member:
            yield f"{whose(thing.member)}{thing_words(thing)}"
        elif shared := shared_words(thing.quantity, apart):
            yield f"{thing_words(thing)} {shared}"


def _unsure(step: Step, members: Sequence[str]) -> Iterator[str]:
    """What cannot be undone, what was wrong, what is a guess, and the note."""
    if step.one_way is not None:
        yield stop_answers(step.one_way)
    for wrong in wrong_of(step, members):
        yield wrong_words(step, wrong)
    if step.as_found and not step.as_found_wrong:
        yield f"as found: {step.as_found}"
    for guess in guesses_of(step, members):
        yield guess_words(step, guess)
    if step.note:
        yield step.note


def _proof(proof: Proof) -> str:
    return f"{taken_words(proof)}, {proof.by}" if proof.by else taken_words(proof)


def _of_member(step: Step, member: str) -> Iterator[str]:
    """What is otherwise at one member than in the pattern of the step."""
    own = difference_of(step, member)
    if own is None:
        return
    if not own.done:
        yield "not taken apart"
    if own.fasteners is not None:
        bag = bag_of_member(step, member)
        own_fasteners = fasteners_of_member(step, member)
        for fastener in own_fasteners:
            yield fastener_words(fastener, bag)
        if not own_fasteners:
            yield "no fasteners"
    elif own.bag:
        yield f"bag {own.bag}"
    if own.hold is not None:
        yield f"hold point {own.hold.what}: {hold_state(own.hold)}"
    if own.note.strip():
        yield own.note.strip()


def fastener_words(fastener: Fastener, bag: str) -> str:
    """One kind as it was found: `6 holes, 5 found: screw 3x16, reuse, bag 4`."""
    all_there = fastener.found == fastener.holes
    count = f"{fastener.found}" if all_there else f"{counted(fastener.holes, 'hole')}, {fastener.found} found:"
    then = then_in_words(fastener)
    words = [f"{count} {fastener.kind}", then]
    where = "" if fastener.then is Then.LOST else fastener.bag or bag
    if where:
        words.append(f"bag {where}")
    if fastener.stays_empty:
        words.append("the empty places stay empty")
    return ", ".join(words)


def stop_answers(one_way: OneWay) -> str:
    """The answers to the stop question, each by its name, and why it was left open when it was."""
    words = {
        "measured": "measured",
        "traced": "traced",
        "photographed": "photographed",
        "pattern_kept": "pattern kept",
        "held_twice": "held dimensions taken twice",
    }
    answers: list[str] = []
    for name, word in words.items():
        answer = one_way.answer(name)
        if answer:
            answers.append(word if answer == "yes" else f"{word}: {answer}")
    joints = [str(joint) for joint in (one_way.joint, *one_way.further_joints) if joint is not None]
    if one_way.drilled is not None:
        joints.append(f"drilled {one_way.drilled.in_mm()} mm")
    joint = f" ({', '.join(joints)})" if joints else ""
    said = f"one-way{joint}; stop question: {', '.join(answers) or 'nothing answered'}"
    if one_way.skipped_because.strip():
        said += f"; gone on because {one_way.skipped_because.strip()}"
    return said


def wrong_words(step: Step, wrong: FoundWrong) -> str:
    """What was wrong as found, of whom, and how it should be."""
    found = (wrong.as_found or step.what).rstrip(". ")
    should = wrong.should_be or step.refit.text or "how it should be is not written down"
    return f"{whose(wrong.member)}as found WRONG: {found}. It should be: {should}"


def guess_words(step: Step, guess: Guess) -> str:
    """What was not sure, of whom, and how it was settled."""
    word = "guess" if guess.certainty is Certainty.GUESS else str(guess.certainty)
    settled = f"; settled: {guess.settled}" if guess.settled else ""
    return f"{whose(guess.member)}{word}: {guess.note or step.what}{settled}"


def _connection(wire: Connection) -> str:
    name = f"{whose(wire.member)}{wire.kind} {' '.join(filter(None, [wire.code, wire.colour, wire.function]))}"
    marks = [
        "stayed on" if wire.stays_on else "",
        wire.joint,
        "to be renewed" if wire.renew else "",
        "one end was loose" if wire.loose_end else "",
        "only this end undone here" if wire.one_end else "",
    ]
    said = ", ".join(filter(None, marks))
    return f"{name}: {wire.start or UNKNOWN} to {wire.end or UNKNOWN}{f', {said}' if said else ''}"


def _setting(setting: Setting) -> str:
    length = f"{setting.length.in_mm()} mm" if setting.length is not None else UNKNOWN
    return f"{whose(setting.member)}set as found: {setting.what}: {setting.value or length}"


def _measurement(measured: Measurement) -> str:
    both: Sequence[str] = [x.in_mm() for x in (measured.value, measured.again) if x is not None]
    value = measured.text or (f"{' and '.join(both)} mm" if both else "")
    return f"{whose(measured.member)}measured: {measured.what}: {value}" if value else ""
