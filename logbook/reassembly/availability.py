"""What a line still needs before it can be done: parts, repairs, build work, answers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from logbook.model.amount_words import number_words
from logbook.model.component_state import WORK, failed_a_test, work_open
from logbook.model.dates_in_words import day_and_year, day_year_time
from logbook.model.members import Guess, guesses_of, whose, wires_of
from logbook.model.replacements import is_missing, is_replaced, parts_for_component
from logbook.model.same_words import same_words
from logbook.model.step import Step
from logbook.model.unit import Component
from logbook.model.words import Certainty, Disposition, Supply, WorkState
from logbook.model.work import Part
from logbook.reassembly.index import RefitIndex
from logbook.reassembly.ledger import wires_sentence
from logbook.reassembly.refit_records import LineFastener, RefitLine
from logbook.reassembly.wording import guess_reason, ranged


@dataclass(frozen=True, slots=True)
class LineNeed:
    """One thing that keeps a line from being done."""

    ident: tuple[str, ...]
    """The same for the same thing at several lines."""
    label: str
    """As the subject of a sentence: “the new cord”."""
    sentence: str
    one: bool = True
    """One thing that can be got or done; False for several named together."""
    what: str = ""
    """What has to be got and is not here, with why or its state; empty for work, waits and answers."""
    members: tuple[str, ...] = ()
    """The members of a set that it is needed for; empty for all of them."""

    def is_for(self, member: str) -> bool:
        """Whether a member of the set of the line needs it."""
        return not self.members or member in self.members


def needs_of(index: RefitIndex, line: RefitLine, now: datetime) -> tuple[LineNeed, ...]:
    """What is missing at a line itself."""
    found: dict[tuple[str, ...], LineNeed] = {}
    if may_ask(index, line):
        for code in line.steps:
            for need in _needs_of_step(index, index.steps[code], line, now):
                found.setdefault(need.ident, need)
    return tuple(found.values())


def may_ask(index: RefitIndex, line: RefitLine) -> bool:
    """Whether anything can be missing at a line, seen at a glance: at most lines of a long list nothing can.

    Nothing is at a tightening or a test, whose step has a line of its own.
    """
    if line.key not in line.steps and line.key != "check":
        return False
    if any(f.new or not (f.bag or line.box) for f in line.fasteners):
        return True
    return any(_may_ask(index, index.steps[code]) for code in line.steps)


def _may_ask(index: RefitIndex, step: Step) -> bool:
    code = step.code
    attached = code in index.parts or code in index.components or code in index.work_for
    unsure = step.certainty is Certainty.GUESS or any(d.certainty is Certainty.GUESS for d in step.differences)
    return bool(attached or step.one_way or step.refit.renew or unsure or step.connections or step.wires)


def _needs_of_step(index: RefitIndex, step: Step, line: RefitLine, now: datetime) -> Iterator[LineNeed]:
    yield from _fasteners_and_parts(index, step, line)
    yield from _not_found_again(line)
    yield from _open_ends(index, line)
    yield from _unwritten_wires(step, line)
    for component in index.components.get(step.code, ()):
        yield from _component_needs(index, component)
    yield from _unlisted(index, step)
    rebuilt_by = step.one_way.rebuilt_by if step.one_way is not None else ()
    work = (*rebuilt_by, *index.work_for.get(step.code, ()))
    if work:
        yield from _work_needs(index, tuple(dict.fromkeys(work)), now)
    for guess in guesses_of(step, line.members):
        if guess.certainty is Certainty.GUESS and not guess.settled:
            yield _guess_need(step, guess)


def _guess_need(step: Step, guess: Guess) -> LineNeed:
    where = f"{step.code}/{guess.member}" if guess.member else step.code
    what = guess.note.strip() or step.what
    of = _of(guess.member)
    return LineNeed(("guess", where), f"settling the guess at {where}", guess_reason(where, what), members=of)


def _of(member: str) -> tuple[str, ...]:
    """The one member that something is for; nothing when it is for all."""
    return (member,) if member else ()


def _fasteners_and_parts(index: RefitIndex, step: Step, line: RefitLine) -> Iterator[LineNeed]:
    """New fasteners and parts of a step that are not here, each asked for under the part that stands for it."""
    new = [f for f in line.fasteners if f.new]
    lying_ready = {same_words(f.kind) for f in new if f.here}
    for part in index.parts.get(step.code, ()):
        if is_missing(part) and same_words(part.fastener) not in lying_ready:
            yield _part_need(part)
    lacking: dict[str, list[LineFastener]] = {}
    for fastener in new:
        if not fastener.here:
            lacking.setdefault(fastener.kind, []).append(fastener)
    for kind, of_kind in lacking.items():
        part_of_kind = index.part_for_fastener(kind, step.code)
        if part_of_kind is not None and is_missing(part_of_kind):
            yield _part_need(part_of_kind, _members_of(of_kind))
        else:
            yield _fasteners_need(kind, of_kind)


def _fasteners_need(kind: str, lacking: Sequence[LineFastener]) -> LineNeed:
    """New fasteners of one kind that are not here, whatever each is needed for."""
    total, on_hand = sum(f.count for f in lacking), sum(f.on_hand for f in lacking)
    count = f"{total - on_hand} of {total}" if on_hand else f"{total}"
    why = lacking[0].why if len(lacking) == 1 else "; ".join(f"{f.count} {f.why}" for f in lacking)
    what = f"{count} {kind} ({why})"
    said = f"{count} new {kind} not here ({why})."
    return LineNeed(("fastener", kind), f"the new {kind}", said, what=what, members=_members_of(lacking))


def _members_of(fasteners: Sequence[LineFastener]) -> tuple[str, ...]:
    """The members that these are for; nothing when some are for all of them."""
    if not all(f.members for f in fasteners):
        return ()
    return tuple(dict.fromkeys(member for f in fasteners for member in f.members))


def _part_need(part: Part, members: tuple[str, ...] = ()) -> LineNeed:
    new = part.name if part.name.lower().startswith("new ") else f"new {part.name}"
    state = str(part.source)
    if part.supply is Supply.ORDERED:
        state = f"ordered, expected {day_and_year(part.expected_on)}" if part.expected_on is not None else "ordered"
    elif part.price is not None:
        state = f"{state}, {number_words(part.price.likely)}"
    what = f"{part.name} ({part.supply})"
    said = f"{whose(part.member)}{new} not here ({state})."
    return LineNeed(("part", part.code), f"the {new}", said, what=what, members=_of(part.member) or members)


def _component_needs(index: RefitIndex, component: Component) -> Iterator[LineNeed]:
    """The work that a component still wants, or what has to take its place."""
    if work_open(index.unit, component):
        work = WORK[component.disposition]
        failed = " It failed a test." if failed_a_test(component) else ""
        sentence = f"{whose(component.member)}{work} of {component.name} not done.{failed}"
        label = f"the {work} of {component.name}"
        yield LineNeed(("component", component.code), label, sentence, members=_of(component.member))
    if not is_replaced(index.unit, component):
        return
    parts = parts_for_component(index.unit, component)
    yield from (_part_need(part) for part in parts if is_missing(part))
    if not parts:
        what = f"{component.name} (no part is listed)"
        sentence = f"{whose(component.member)}{_without_part(component)}"
        label = f"the new {component.name}"
        yield LineNeed(("component", component.code), label, sentence, what=what, members=_of(component.member))


def _without_part(component: Component) -> str:
    if component.disposition is Disposition.RENEW:
        return f"{component.name} is to be renewed, but no part is written down for it."
    old = component.name if component.name.casefold().startswith("old ") else f"old {component.name}"
    return f"The {old} does not go back ({component.disposition}), and no part is written down for it."


def _not_found_again(line: RefitLine) -> Iterator[LineNeed]:
    """Old pieces that nobody knows the bag or box of."""
    if line.box.strip():
        return
    for f in line.fasteners:
        if not (f.new or f.bag.strip()):
            old = f"{f.count} {f.kind} to be used again"
            lies = "lies" if f.count == 1 else "lie"
            said = f"{old} {lies} in no bag or box."
            yield LineNeed(("place", line.key, f.kind), f"finding the {f.kind}", said, members=f.members)


def _open_ends(index: RefitIndex, line: RefitLine) -> Iterator[LineNeed]:
    """Connections of which an end is not written down: nobody knows where they go.

    One end is enough where the other was loose, or was undone in another step under the same number.
    """
    for made in line.connections:
        wire = made.connection
        known = wire.start.strip() or wire.end.strip()
        if known and (wire.loose_end or (wire.one_end and len(index.ends[wire.code]) > 1)):
            continue
        if not (wire.start.strip() and wire.end.strip()):
            sentence = f"{wire.code}: one end is at {known}, the other is not written down."
            if not known:
                sentence = f"{wire.code}: where its ends go is not written down."
            label = f"writing down the ends of {wire.code}"
            yield LineNeed(("end", wire.code), label, sentence, members=_of(wire.member))


def _unwritten_wires(step: Step, line: RefitLine) -> Iterator[LineNeed]:
    """Wires that were counted at the bench and never written down one by one."""
    wires = wires_of(step, line.members)
    if wires is not None and wires.open:
        yield LineNeed(("wires", step.code), f"writing down the wires of {step.code}", wires_sentence(step, wires))


def _unlisted(index: RefitIndex, step: Step) -> Iterator[LineNeed]:
    """What is renewed, is no fastener and stands on no list of parts: nobody knows whether it is here."""
    for what in index.unlisted.get(step.code, ()):
        sentence = f"new {what}: no part is written down for it, so it is not known to be here."
        yield LineNeed(("renew", step.code, what), f"the new {what}", sentence, what=f"{what} (no part is listed)")


_MOST_WORK = 3
"""So many pieces of work to be done are named one by one; more are named together."""


def _work_needs(index: RefitIndex, codes: Sequence[str], now: datetime) -> Iterator[LineNeed]:
    operations = [index.operations[c] for c in codes if c in index.operations]
    undone = [o for o in operations if o.state is not WorkState.DONE]
    if len(undone) > _MOST_WORK:
        named = tuple(o.code for o in undone)
        words = f"{ranged(named)} ({len(named)} pieces of work)"
        sentence = f"{words} not done; the first is {undone[0].code} {undone[0].name}."
        yield LineNeed(("work", *named), words, sentence, one=False)
        codes = [c for c in codes if c not in named]
    for code in codes:
        yield from _work_need(index, code, now)


def _work_need(index: RefitIndex, code: str, now: datetime) -> Iterator[LineNeed]:
    operation = index.operations.get(code)
    if operation is None:
        sentence = f"{code} is named as the work for it, but there is no such operation."
        yield LineNeed(("work", code), code, sentence)
        return
    name = f"{operation.code} {operation.name}"
    if operation.state is not WorkState.DONE:
        yield LineNeed(("work", code), name, f"{name} is not done.")
    elif operation.hold is not None and operation.hold_lacks:
        lacks = " and no ".join(operation.hold_lacks)
        said = f"hold point {operation.hold.code} at {name} has no {lacks}."
        yield LineNeed(("hold", code), f"hold point {operation.hold.code} at {name}", said)
    elif operation.done_at is not None and (wait := operation.wait or index.of_shop.waits.get(code)) is not None:
        until = operation.done_at + timedelta(minutes=wait.earliest)
        if until > now:
            what = wait.what or "it has to wait"
            yield wait_need(("wait", code), f"{name}: {what}", until, now)


def wait_need(ident: tuple[str, ...], what: str, until: datetime, now: datetime) -> LineNeed:
    """A wait that is running, with its end in the time zone of `now`."""
    end = day_year_time(until.astimezone(now.tzinfo))
    return LineNeed(ident, f"waiting until {end}", f"{what}; wait until {end}.")
