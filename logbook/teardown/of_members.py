"""What a line says of single members of a set, in words for whoever is writing it: one entry for each member.

Of fasteners only the kinds that are otherwise than for each are named, with what they come to.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from logbook.model.members import shared_words
from logbook.model.step import Fastener, HoldPoint, MemberDifference, Step
from logbook.teardown.bench_line import LineReading
from logbook.teardown.connection_phrase import connection_meaning
from logbook.teardown.hold_code import UNNUMBERED_HOLD
from logbook.teardown.meant import SaidThing
from logbook.teardown.member_differences import says_guess
from logbook.teardown.number_phrases import fastener_words
from logbook.teardown.some_of_a_kind import in_all
from logbook.teardown.thing_phrases import thing_words
from logbook.teardown.value_phrases import values_said


class SaidAlone(NamedTuple):
    """One member, and what is true of it alone."""

    member: str
    """Its code, “L”; empty for what is the same for all."""
    said: tuple[str, ...]


def of_members(reading: LineReading) -> tuple[SaidAlone, ...]:
    """What the line says of which member beside kinds, bag and flags of the step; first what is the same for all."""
    step = reading.step
    named = [d.member for d in step.differences]
    named += [c.member for c in step.connections]
    named += [member for member, _ in values_said(step)]
    named += [thing.member for thing in reading.things]
    members = sorted({m for m in named if m}, key=lambda code: (len(code), code))
    found = (SaidAlone(member, tuple(_of_one(reading, member))) for member in ("", *members))
    return tuple(of for of in found if of.said)


def _of_one(reading: LineReading, member: str) -> Iterator[str]:
    step = reading.step
    for own in step.differences:
        if own.member == member:
            yield from _otherwise(own, step)
    if not member and step.hold is not None:
        yield _hold(step.hold)
    yield from (connection_meaning(made) for made in step.connections if made.member == member)
    yield from (words for code, words in values_said(step) if code == member)
    yield from (_thing(thing, reading.members) for thing in reading.things if thing.member == member)


def _otherwise(own: MemberDifference, step: Step) -> Iterator[str]:
    if not own.done:
        yield "still to do"
    if own.fasteners is not None:
        yield from _kinds(own.fasteners, step.fasteners)
    if own.bag:
        yield f"bag {own.bag}"
    if own.left_hand is not None:
        yield "left-hand thread" if own.left_hand else "right-hand thread"
    if own.as_found_wrong:
        yield f"as found WRONG{f': {own.as_found}' if own.as_found else ''}"
    if own.should_be:
        yield f"should be {own.should_be}"
    if says_guess(own):
        yield " ".join(filter(None, (f"~{own.certainty}", own.certainty_note)))
    if own.hold is not None:
        yield _hold(own.hold)
    if own.note:
        yield own.note


def _kinds(own: Sequence[Fastener], pattern: Sequence[Fastener]) -> Iterator[str]:
    """The kinds that differ from those of the step: what they come to, and which of them this one has not."""
    if not own:
        yield "no fasteners"
        return
    for kind in dict.fromkeys(f.kind for f in (*own, *pattern)):
        of = [f for f in own if f.kind == kind]
        if of == [f for f in pattern if f.kind == kind]:
            continue
        alike = len(of) == 1 and of[0].found == of[0].holes
        yield fastener_words(of[0]) if alike else in_all(of, kind) if of else f"no {kind}"


def _thing(thing: SaidThing, members: Sequence[str]) -> str:
    """`component lamp`; `component starter for both` where the members share it."""
    shared = "" if thing.member else shared_words(thing.quantity, members)
    return f"{thing_words(thing)} {shared}".rstrip()


def _hold(hold: HoldPoint) -> str:
    """`hold earth: 0.1 by JB`, `hold H1 earth: open`; the number where it has one already."""
    read = " ".join(filter(None, (hold.reading, f"by {hold.initials}" if hold.initials else "")))
    without = f"without, because {hold.without_because}" if hold.without_because else ""
    number = "" if hold.code == UNNUMBERED_HOLD else f"{hold.code} "
    return f"hold {number}{hold.what}: {read or without or 'open'}"
