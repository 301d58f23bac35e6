"""The sentences of a line: what to do, in the order in which a person needs to read it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from logbook.model.casework_records import HeldDimension
from logbook.model.component_state import NOT_BACK
from logbook.model.members import (
    FoundWrong,
    Guess,
    guesses_of,
    left_hand_words,
    shared_words,
    whose,
    wires_of,
    wrong_of,
)
from logbook.model.new_fasteners import new_of
from logbook.model.plural import is_or_are
from logbook.model.replacements import is_rebuilt_as_case, parts_for_component
from logbook.model.step import STOP_ANSWERS, Connection, Fastener, HoldAt, OneWay, Step, seen_upended
from logbook.model.unit import Component, PartSet
from logbook.model.words import NOT_UNDONE, Certainty, Disposition, JointFound, SetKind, Then
from logbook.reassembly.index import RefitIndex
from logbook.reassembly.refit_records import MemberNote, RefitLine, RemakeWork, Sentence, SentenceGroup
from logbook.reassembly.reversal import JOINTS, REVERSALS

LOCAL_CODE = "Local codes and licensed practice come first; if you are not competent for this, have it done."
_NUMBERED = re.compile(r"([A-Za-z]*)(\d+)(a?)")


def listed(words: Sequence[str], last: str = "and") -> str:
    """“a”, “a and b”, “a, b and c”."""
    return f"{', '.join(words[:-1])} {last} {words[-1]}" if len(words) > 1 else "".join(words)


def ranged(codes: Iterable[str]) -> str:
    """Codes with runs joined: `B01-B14, K01`."""
    runs: list[list[str]] = []
    for code in codes:
        last, this = _NUMBERED.fullmatch(runs[-1][-1]) if runs else None, _NUMBERED.fullmatch(code)
        if last and this and last[1] == this[1] and _next_to(last, this):
            runs[-1].append(code)
        else:
            runs.append([code])
    return ", ".join(f"{r[0]}-{r[-1]}" if len(r) > 2 else ", ".join(r) for r in runs)


def _next_to(last: re.Match[str], this: re.Match[str]) -> bool:
    """Whether one number follows the other: `A05` and `A06`, and what stands between them, `A05a`."""
    by = int(this[2]) - int(last[2])
    return (by == 1 and not this[3]) or (by == 0 and not last[3] and bool(this[3]))


def bag_order(bag: str) -> tuple[int, str]:
    """For sorting bags as they are numbered: 2 before 9 before 10, names last."""
    return (int(bag), "") if bag.isascii() and bag.isdigit() and len(bag) < 10 else (10**10, bag)


def many(n: int, thing: str, things: str = "") -> str:
    """`1 line`, `4 lines`."""
    return f"{n} {thing if n == 1 else things or thing + 's'}"


def full_stop(text: str) -> str:
    """The text as a sentence: with a full stop, unless it ends in a stop of its own."""
    text = text.strip()
    return text if not text or text[-1] in ".!?…:" else f"{text}."


def warnings(step: Step, members: Sequence[str] = ()) -> Iterator[str]:
    """What is said before anything else: thread hand, as found wrong, what is only a guess.

    Args:
        step: the step.
        members: the members of its set that were taken apart; what holds for one of them names it.
    """
    thread = left_hand_words(step, members)
    if thread:
        yield thread
    for wrong in wrong_of(step, members):
        yield wrong_sentence(step, wrong)
    for guess in guesses_of(step, members):
        if not guess.settled:
            yield guess_sentence(step, guess)
    yield from teardown_hold_sentences(step)
    if step.refit.local_code:
        yield f"As the local code says, by a competent person. {LOCAL_CODE}"


def teardown_hold_sentences(step: Step) -> Iterator[str]:
    """What the check of the teardown said then, or that it is to be made here; nothing without a hold point.

    `HOLD H1 of the teardown: earth 0.1 ohm, read 0.08 ohm, initials AB. It is worth reading again here.`
    """
    for at in step.holds:
        hold = at.hold
        head = f"HOLD {at.name} of the teardown: {hold.what.strip().rstrip('.')}"
        if hold.without_because.strip():
            yield f"{head}. It was passed by then, because {full_stop(hold.without_because)} Do it here, with initials."
        elif hold.wants:
            yield f"{head}. It was not done then: do it here, with initials."
        else:
            read = f"read {hold.reading}, " if hold.reading.strip() else ""
            yield f"{head}, {read}initials {hold.initials.strip().rstrip('.')}. It is worth reading again here."


def wrong_sentence(step: Step, wrong: FoundWrong) -> str:
    """As found was wrong, and how it should be."""
    found = f" ({wrong.as_found.strip().rstrip('.')})" if wrong.as_found.strip() else ""
    should = wrong.should_be.strip() or step.refit.text.strip()
    if should:
        return f"{whose(wrong.member)}As found was WRONG{found}. It should be: {full_stop(should)}"
    return f"{whose(wrong.member)}As found was WRONG{found}. How it should be is not written down; settle it first."


def wrong_notice(step: Step, wrong: FoundWrong) -> str:
    """The same under a head that says that it was wrong: what was found, and how it should be."""
    found = wrong.as_found.strip() or step.what
    should = wrong.should_be.strip() or step.refit.text.strip()
    more = f"It should be: {should}" if should else "How it should be is not written down; settle it first"
    return f"{whose(wrong.member)}{full_stop(found)} {full_stop(more)}"


def guess_sentence(step: Step, guess: Guess) -> str:
    """What somebody was not sure of, and whether it is settled."""
    what = guess.note.strip() or step.what
    if guess.settled:
        return f"{whose(guess.member)}Settled: {full_stop(guess.settled)} ({guess.certainty}: {what})"
    return f"{whose(guess.member)}{str(guess.certainty).capitalize()}{_NOT_SETTLED}{full_stop(what)}"


_IS_A_GUESS = " is a guess: "
_NOT_SETTLED = ", not settled: "


def guess_reason(where: str, what: str) -> str:
    """That a line waits for a guess to be settled, where nothing beside it tells the guess."""
    return f"{where}{_IS_A_GUESS}{full_stop(what)}"


def reasons_beside(line: RefitLine, reasons: Iterable[str]) -> Iterator[str]:
    """What keeps a line back as it is said beside the line: a guess that the line tells is not told again."""
    told = [sentence.text for sentence in line.said if sentence.group is SentenceGroup.MIND]
    for reason in reasons:
        where, is_guess, what = reason.partition(_IS_A_GUESS)
        if is_guess and any(text.endswith(f"{_NOT_SETTLED}{what}") for text in told):
            member = where.partition("/")[2]
            yield f"{whose(member)}the guess is not settled."
        else:
            yield reason


def guess_notice(step: Step, guess: Guess) -> str:
    """The same under a head that says that it is a guess: what, and how it was settled."""
    if guess.certainty is not Certainty.GUESS:
        return guess_sentence(step, guess)
    what = guess.note.strip() or step.what
    said = f"Settled: {full_stop(guess.settled)} ({what})" if guess.settled else f"Not settled: {full_stop(what)}"
    return f"{whose(guess.member)}{said}"


def main_sentences(index: RefitIndex, step: Step) -> Iterator[str]:
    """The step turned round, as the refit notes or else the tables of actions and joints say."""
    if step.refit.text.strip():
        yield full_stop(step.refit.text)
    elif step.one_way is not None and step.one_way.rebuilt_by:
        yield f"Built anew by {ranged(step.one_way.rebuilt_by)}: check it, then fit it."
    elif step.one_way is not None:
        work = remake_of(step.one_way)
        anew = "It cannot be undone as it was made: make the joint anew."
        yield work.text if work else REVERSALS[step.action].does if step.action in NOT_UNDONE else anew
    elif REVERSALS[step.action].record_only and step.settings:
        yield "Set it again as recorded."
    else:
        yield REVERSALS[step.action].does
    if not step.refit.text.strip():
        yield from (REVERSALS[action].does for action in step.also)
    for c in index.components.get(step.code, ()):
        if c.disposition in NOT_BACK:
            old = c.name if c.name.casefold().startswith("old ") else f"old {c.name}"
            instead = ": the new case takes its place" if is_rebuilt_as_case(index.unit, c) else ""
            yield f"{whose(c.member)}The {old} does not go back ({c.disposition}){instead}."
    if step.refit.renew:
        yield f"New: {listed(step.refit.renew)}."
    for lump in index.came_out_at.get(step.code, ()):
        yield f"It goes back as one lump, {lump.name}; its inside list is finished first."


def detail_sentences(step: Step, members: Sequence[str] = (), *, tested_later: bool = False) -> Iterator[Sentence]:
    """Everything else that was written down for the way back; its test not, when that has a line of its own."""
    if step.stack:
        yield Sentence(SentenceGroup.EACH, f"{' > '.join(step.stack)}.", "From the head inwards: ")
    yield from said_of(SentenceGroup.TAKE, _fastener_details(step))
    yield from said_of(SentenceGroup.BEFORE, _places(step))
    lies = _labelled(("Which way up", step.orientation), ("Marks", step.marks), ("Held by", step.held_by))
    yield from said_of(SentenceGroup.BEFORE, lies)
    for m in step.measurements:
        value = m.value.in_mm() + " mm" if m.value is not None else m.text
        if value:
            recorded = f"{_spaced(m.what, value, m.tolerance and f'({m.tolerance})')}."
            if m.member:
                yield Sentence(SentenceGroup.COMPARE, f"{m.member}: recorded: {recorded}")
            else:
                yield Sentence(SentenceGroup.COMPARE, recorded, "Recorded: ")
    yield from said_of(SentenceGroup.CONNECT, _wire_sentences(step, members))
    notes = step.refit
    yield from said_of(SentenceGroup.DO, _labelled(("Lock", notes.lock), ("Adjust", notes.adjust)))
    if not tested_later:
        yield from _said_under(SentenceGroup.CHECK, "Test before going on: ", notes.test)
    if step.one_way is not None:
        yield Sentence(SentenceGroup.NOTED, _to_go_by(step.one_way))
    yield from _said_under(SentenceGroup.NOTED, "Noted at the teardown: ", step.note)


def said_of(group: SentenceGroup, texts: Iterable[str]) -> Iterator[Sentence]:
    """Sentences of one group."""
    for text in texts:
        yield Sentence(group, text)


def _said_under(group: SentenceGroup, lead: str, text: str) -> Iterator[Sentence]:
    """A text under its label, when there is one."""
    if text.strip():
        yield Sentence(group, full_stop(text), lead)


def _labelled(*pairs: tuple[str, str]) -> Iterator[str]:
    for label, text in pairs:
        if text.strip():
            yield f"{label}: {full_stop(text)}"


def _places(step: Step) -> Iterator[str]:
    if step.positions:
        seen = f", seen from {step.viewed_from}" if step.viewed_from else ""
        kinds = {p.kind for p in step.positions}
        same = next(iter(kinds)) if len(kinds) == 1 and len(step.positions) > 1 else ""
        each = f", each a {same}" if same else ""
        places = "; ".join(_spaced(f"{p.number}", "" if same else p.kind, p.where) for p in step.positions)
        yield f"Places, numbered clockwise from the top left{seen}{each}: {places}."
    elif step.viewed_from:
        yield f"Directions as seen from {full_stop(step.viewed_from)}"
    if seen_upended(step) and not step.orientation.strip():
        yield "How it lay then is not written down; see by the parts where its front was."


def _wire_sentences(step: Step, members: Sequence[str]) -> Iterator[str]:
    stays = [c.code for c in step.connections if c.stays_on]
    if stays:
        yield f"{listed(stays)} {'stays' if len(stays) == 1 else 'stay'} on."
    wires = wires_of(step, members)
    if wires is not None and wires.open:
        yield f"{many(wires.open, 'wire')} of {wires.counted} counted {is_or_are(wires.open)} not written down."


def remake_of(one_way: OneWay | None) -> RemakeWork | None:
    """The work that takes the place of a one-way joint; None when the part is built anew instead, or none is known."""
    if one_way is None or one_way.rebuilt_by:
        return None
    remake = one_way.remake
    joints = [joint for joint in (one_way.joint, *one_way.further_joints) if joint is not None]
    text = " ".join(JOINTS[joint] for joint in joints)
    if one_way.drilled is not None:
        text = f"{text} Drilled {one_way.drilled.in_mm()} mm.".strip()
    if remake is None:
        unknown = " How long it is clamped and cures is not written down."
        return RemakeWork(text + unknown if one_way.joint is JointFound.GLUED else text) if text else None
    said = full_stop(remake.method) or text or "Make the joint anew."
    material = f"Material: {full_stop(remake.material)}" if remake.material.strip() else ""
    return RemakeWork(_spaced(said, material), remake.busy, remake.clamp, remake.cure)


_STOP_WORDS = {
    "measured": "measured",
    "traced": "traced",
    "photographed": "photographed",
    "pattern_kept": "pattern kept",
    "held_twice": "held dimensions taken twice",
}
"""The parts of the stop question in words."""


def _to_go_by(one_way: OneWay) -> str:
    given = [_STOP_WORDS[name] for name in STOP_ANSWERS if one_way.answer(name) == "yes"]
    other = [f"{_STOP_WORDS[name]}: {a}" for name in STOP_ANSWERS if (a := one_way.answer(name)) not in ("", "yes")]
    skipped = f" The stop question was skipped: {full_stop(one_way.skipped_because)}"
    more = skipped if one_way.skipped_because.strip() else ""
    if other:
        more = f" {listed(other)[0].upper()}{listed(other)[1:]}.{more}"
    if given:
        return f"To go by: {listed(given)}.{more}"
    if other:
        return f"Nothing to go by.{more}"
    return f"Nothing says that it was measured, traced or photographed before it came apart.{more}"


def connection_sentence(c: Connection) -> str:
    """A connection from end to end: `W6 brown: switch tag 2 to transformer primary, soldered; ...`."""
    ends = f"{c.start or '?'} to {c.end or '?'}"
    if c.loose_end:
        ends = f"at {c.start or c.end or '?'}; its other end was loose as found"
    elif c.one_end:
        ends = f"its end at {c.start or c.end or '?'}; the other end is another step's"
    whose = f"{c.member} only" if c.member else ""
    new = "a new one" if c.renew else ""
    more = [c.joint, c.polarity and f"polarity {c.polarity}", c.route and f"route {c.route}"]
    back = c.refit and f"goes back: {c.refit}"
    words = ", ".join(filter(None, [whose, new, ends, *more]))
    return full_stop(f"{_spaced(c.code, c.colour, c.function)}: {'; '.join(filter(None, [words, back]))}")


def things_of_all(index: RefitIndex, step: Step) -> Iterator[str]:
    """What the members of a set share, each in a sentence: `One starter for both.` is one."""
    members = index.sets.members(step)
    for c in index.components.get(step.code, ()):
        if not (c.member or _by_a_part(index, c) or c.disposition in NOT_BACK):
            yield from _shared(c.name, Decimal(c.quantity), members)
    of_the_step = {c.code for c in index.components.get(step.code, ())}
    for p in index.parts.get(step.code, ()):
        is_for_it_alone = len(p.for_steps) == 1 and of_the_step.issuperset(p.for_components)
        if is_for_it_alone and not (p.member or p.unit or p.fastener.strip()):
            yield from _shared(f"new {p.name}", p.quantity, members)


def _by_a_part(index: RefitIndex, component: Component) -> bool:
    """Whether a new part takes the place of a component, so that the old one does not go back."""
    return component.disposition is Disposition.RENEW and bool(parts_for_component(index.unit, component))


def _shared(name: str, quantity: Decimal, members: Sequence[str]) -> Iterator[str]:
    if shared := shared_words(quantity, members):
        count = "One" if quantity == 1 else f"{quantity.normalize():f}"
        yield f"{count} {name.strip()} {shared}."


def things_of_one(index: RefitIndex, step: Step) -> Iterator[str]:
    """What goes back at one member of a set alone: a component that came off there, a part that is got for it."""
    for c in index.components.get(step.code, ()):
        if c.member and c.disposition not in NOT_BACK and not _by_a_part(index, c):
            yield f"{c.member} only: {full_stop(_counted(c.name, Decimal(c.quantity)))}"
    for p in index.parts.get(step.code, ()):
        if p.member and not p.fastener.strip():
            yield f"{p.member} only: new {full_stop(_counted(p.name, p.quantity, p.unit))}"


def _counted(name: str, quantity: Decimal, unit: str = "") -> str:
    """How many of it: `lamp`, `lamp, 2`, `mains cord, 1.5 m`."""
    return name if quantity == 1 and not unit else f"{name}, {_spaced(f'{quantity.normalize():f}', unit)}"


def member_notes(step: Step, members: Iterable[str]) -> tuple[MemberNote, ...]:
    """Where single members differ from the pattern, and which are not taken apart."""
    apart = set(members)
    found = []
    for d in step.differences:
        if d.member not in apart:
            found.append(MemberNote(d.member, _spaced("not taken apart here.", d.note)))
            continue
        own = "" if d.fasteners is None else _own_pieces(d.fasteners)
        bag = "" if d.fasteners and not any(map(_came_along, d.fasteners)) else d.bag
        bags = tuple(dict.fromkeys(filter(None, [bag, *(f.bag for f in d.fasteners or () if _came_along(f))])))
        text = "; ".join(filter(None, [d.note.strip().rstrip("."), own, bag and f"bag {bag}"]))
        if text:
            found.append(MemberNote(d.member, full_stop(text), bags))
    return tuple(found)


def _came_along(fastener: Fastener) -> bool:
    """Whether any of a kind lies in its bag: not what was lost at the bench or missing when the thing came."""
    return fastener.found > 0 and fastener.then is not Then.LOST


def _own_pieces(fasteners: Iterable[Fastener]) -> str:
    """What goes back at one member alone: its old pieces, then the new ones that it takes."""
    old: Counter[str] = Counter()
    new: Counter[str] = Counter()
    for fastener in fasteners:
        if fastener.then is Then.REUSE:
            old[fastener.kind] += fastener.found
        if (taken := new_of(fastener)) is not None:
            new[taken.kind] += taken.count
    kept, got = (listed([f"{count} {kind}" for kind, count in some.items() if count]) for some in (old, new))
    return f"its own pieces: {kept or 'none'}" + (f"; new: {got}" if got else "")


def set_sentence(of: PartSet) -> str:
    """Which members a set has, and whether they may be changed about; said once, before the lines."""
    where = [_spaced(m.code, m.position and f"({m.position})") for m in of.members]
    return " ".join((f"{of.code}, {of.name}: {listed(where)}.", *_changed_about(of)))


def _changed_about(of: PartSet) -> Iterator[str]:
    if of.kind is SetKind.HANDED and of.interchangeable:
        yield "A handed pair, recorded as interchangeable although they mirror each other."
    elif of.kind is SetKind.HANDED:
        yield "A handed pair: mirror images of each other, so left and right are not changed about."
    elif not of.interchangeable:
        yield "Not interchangeable: each goes back to its own place with its own bag."


def held_sentence(h: HeldDimension) -> str:
    """A held dimension as the opening check reads it: `H-W inside width 452 mm, +0.5 -0.5`."""
    least = "at least " if h.at_least else ""
    parts = [f"{least}{h.value.in_mm()} mm" if h.value is not None else ""]
    parts.append(f"{least}{h.litres} l" if h.litres is not None else "")
    parts += [f"x {p.x.in_mm()} y {p.y.in_mm()}" for p in h.positions]
    plus = f"+{h.plus.in_mm()}" if h.plus is not None else ""
    minus = f"-{h.minus.in_mm().lstrip('-')}" if h.minus is not None else ""
    parts.append(_spaced(plus, minus) or (f"± {h.tolerance_percent} %" if h.tolerance_percent is not None else ""))
    return full_stop(_spaced(h.code, h.what, "; ".join(filter(None, parts)) or "not measured yet"))


def holds_of(step: Step) -> tuple[HoldAt, ...]:
    """The hold points at a step's own line: those unread at the teardown, its own, and that of a part built anew.

    The cure of a part built anew is over by then.
    """
    joint = step.one_way
    rebuilt = joint.remake.hold if joint is not None and joint.rebuilt_by and joint.remake is not None else None
    of_all = (step.refit.hold, rebuilt)
    return (*step.unread_holds, *(HoldAt(hold) for hold in of_all if hold is not None))


def _fastener_details(step: Step) -> Iterator[str]:
    for f in step.fasteners:
        d = f.detail
        if d is None:
            continue
        lock = d.compound and f"locked with {d.compound}: clean the thread, use the same grade, make a new mark"
        said = "; ".join(filter(None, [d.tightness and f"found {d.tightness}", lock, d.note]))
        if said:
            yield full_stop(f"{f.kind}: {said}")


def _spaced(*words: str) -> str:
    return " ".join(w.strip() for w in words if w and w.strip())
