"""What the bench left open, to be completed at the desk while it is still remembered.

Nothing at the bench is mandatory except what came off. What a stranger with the bags and boxes would need
and does not find is listed here, newest step first. Each want has a weight from 1 (nice to have) to 10
(the unit may not go together again), after how often poor records of that kind go wrong: common practice,
no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from logbook.model.dangers import danger_key
from logbook.model.left_by_joining import left_open
from logbook.model.members import bag_of_member, fasteners_of_member, members_apart, wires_of
from logbook.model.plural import counted
from logbook.model.same_words import same_words
from logbook.model.step import Connection, Fastener, Step, seen_upended
from logbook.model.unit import Unit
from logbook.model.words import Action, Certainty, JointFound, Then
from logbook.teardown.complete_unit import names_held, unit_wants
from logbook.teardown.field_reasons import CALLED, WHY, Want
from logbook.teardown.kinds import fasteners_of, singular
from logbook.teardown.meant import UNNAMED_HAZARD
from logbook.teardown.vocabulary import STACKED, THREADED, work_in_words

LEFT = "to_look_at"
"""The field of a unit in which stands what joining two copies left to a person."""
LEFT_WEIGHT = 6
"""As much as a guess: one of two things is true, and only a person knows which; the steps can be put back meanwhile."""


class Missing(NamedTuple):
    """Something still to be written."""

    step: str
    """Code of the step; empty when it belongs to the unit itself."""
    field: str
    """Field of the step (or of the unit) that is to be filled in."""
    sentence: str
    """What is missing, in a sentence that starts with where."""
    weight: int
    """From 1, nice to have, to 10."""

    @property
    def why(self) -> str:
        """What goes wrong when it stays missing."""
        return WHY.get(self.field, "")


class Completeness(NamedTuple):
    """How complete a unit's teardown record is."""

    percent: int
    """Of the weight of everything wanted, rounded down: 100 only when nothing is missing."""
    done: int
    wanted: int
    worst: tuple[Missing, ...]
    """The heaviest of what is missing, at most three."""


def to_complete(unit: Unit) -> tuple[Missing, ...]:
    """What is still to be written: what joining left, then the newest step first and heaviest first within it.

    The unit's own things come last.
    """
    left = [Missing("", LEFT, f"Joining left: {look.what}", LEFT_WEIGHT) for look in left_open(unit)]
    steps: list[Missing] = []
    for step in reversed(unit.steps):
        steps += sorted(_missing(step.code, _wants(unit, step)), key=lambda m: -m.weight)
    return (*left, *steps, *sorted(_missing("", unit_wants(unit)), key=lambda m: -m.weight))


def to_add_words(missing: Sequence[Missing]) -> str:
    """How many facts are to be added at the desk, and which most of all: `16 facts to add at the desk, most: photos`.

    Where one kind is all of it, or none is named, there is no “most”.
    """
    if not missing:
        return "nothing to add at the desk"
    words = f"{counted(len(missing), 'fact')} to add at the desk"
    field, most = Counter(each.field for each in missing).most_common(1)[0]
    called = CALLED.get(field, "")
    if not called:
        return words
    return f"{words}: {called}" if most == len(missing) else f"{words}, most: {called}"


def completeness(unit: Unit) -> Completeness | None:
    """How complete the record is, by weight; None when nothing was written yet that could be incomplete."""
    wants = [w for step in unit.steps for w in _wants(unit, step)] + list(unit_wants(unit))
    wants += [Want(LEFT, LEFT_WEIGHT, done=False, sentence=look.what) for look in left_open(unit)]
    if not wants:
        return None
    weight = sum(w.weight for w in wants)
    filled = sum(w.weight for w in wants if w.done)
    # Sorting keeps the order of equals, so among the heaviest the newest comes first.
    worst = sorted(to_complete(unit), key=lambda m: -m.weight)[:3]
    return Completeness(filled * 100 // weight, sum(w.done for w in wants), len(wants), tuple(worst))


def _missing(code: str, wants: Iterator[Want]) -> Iterator[Missing]:
    return (Missing(code, w.field, w.sentence, w.weight) for w in wants if not w.done)


def _wants(unit: Unit, step: Step) -> Iterator[Want]:
    """Everything wanted of a step, done or not; a step that is only planned wants nothing yet."""
    if step.planned:
        return
    for rule in _RULES:
        yield from rule(unit, step)


def _wires(unit: Unit, step: Step) -> Iterator[Want]:
    wires = wires_of(step, members_apart(step, unit.set_of(step)))
    if wires is None:
        return
    yield Want(
        "connections",
        10,
        wires.counted == wires.written,
        f"{step.code}: {wires.words} counted, {counted(wires.written, 'connection')} written.",
    )


def _connections(_: Unit, step: Step) -> Iterator[Want]:
    for wire in step.connections:
        one_is_enough = (wire.one_end or wire.loose_end) and bool(wire.start or wire.end)
        known = bool(wire.start and wire.end) or one_is_enough
        yield Want("connections", 9, known, f"{step.code}: {wire.code} {_open_end(wire)}")
        if not wire.stays_on:
            sentence = f"{step.code}: {wire.code} has {counted(wire.labels, 'label')}; it needs one at each end."
            yield Want("connections", 4, wire.labels >= 2, sentence)


def _open_end(wire: Connection) -> str:
    if not (wire.start or wire.end):
        return "goes from where to where?"
    return f"comes from {wire.start} and goes where?" if wire.start else f"goes to {wire.end} and comes from where?"


def _bags(unit: Unit, step: Step) -> Iterator[Want]:
    """In which bag what is used again lies: asked only of members at which something is used again."""
    of = unit.set_of(step)
    members = [m.code for m in of.members] if of is not None else [""]
    kept_of = {m: [f for f in fasteners_of_member(step, m) if f.then is Then.REUSE and f.found] for m in members}
    if not any(kept_of.values()):
        return
    lost = [m for m, kept in kept_of.items() if not all(f.bag or bag_of_member(step, m) or step.box for f in kept)]
    whose = "" if len(lost) == len(members) else f" of {_and(lost)}"
    yield Want("bag", 9, not lost, f"{step.code} {step.what}: which bag are the fasteners{whose} in?")


def _sizes(_: Unit, step: Step) -> Iterator[Want]:
    for kind, fastener in {f.kind: f for f in fasteners_of(step)}.items():
        if fastener.then is Then.SCRAP or not (_is_threaded(fastener) or fastener.then is Then.RENEW):
            continue
        detail = fastener.detail
        measured = detail is not None and (detail.diameter is not None or detail.length is not None or detail.note)
        done = any(c.isdigit() for c in kind) or bool(measured)
        yield Want("fasteners", 5, done, f"{step.code}: what size is {kind}?")


def _is_threaded(fastener: Fastener) -> bool:
    return any(singular(w) in THREADED for w in fastener.kind.casefold().split())


def _lay(_: Unit, step: Step) -> Iterator[Want]:
    """Seen from below or above, left and right mean nothing to somebody who does not know how it lay."""
    placed = step.positions or any(f.then is Then.REUSE and f.found for f in fasteners_of(step))
    if placed and seen_upended(step):
        asked = f"{step.code}: seen from {step.viewed_from}, how did it lie and where was its front?"
        yield Want("orientation", 3, bool(step.orientation.strip()), asked)


def _map(_: Unit, step: Step) -> Iterator[Want]:
    """Where each one goes: heavy when kinds of fastener can be mixed up or a place was empty."""
    if step.positions:
        # A map that does not say from which side it is seen is no map.
        sided = bool(step.viewed_from)
        yield Want("viewed_from", _map_wanted(step)[0], sided, f"{step.code}: from which side is the map seen?")
        return
    weight, asked = _map_wanted(step)
    if asked:
        yield Want("positions", weight, False, f"{step.code}: {asked}")


def _map_wanted(step: Step) -> tuple[int, str]:
    """How much a position map is wanted, and what it would answer; no question where none is."""
    kept = [f for f in step.fasteners if f.then is Then.REUSE]
    empty = next((f for f in kept if f.found < f.holes), None)
    driven = sorted({f.kind for f in kept if _is_driven(f)})
    if empty is not None:
        return 7, f"which places were empty ({empty.holes - empty.found} of {empty.holes} {empty.kind})?"
    if len(driven) > 1:
        return 6, f"which of {_and(driven)} goes where?"
    if sum(f.holes for f in kept if _is_driven(f)) >= 4:
        return 2, f"no position map of the {step.what} fasteners."
    return 2, ""


_DRIVEN = frozenset({"screw", "bolt", "setscrew", "stud"})


def _is_driven(fastener: Fastener) -> bool:
    return any(singular(w) in _DRIVEN for w in fastener.kind.casefold().split())


def _stack(_: Unit, step: Step) -> Iterator[Want]:
    kept = [f for f in step.fasteners if f.then is not Then.SCRAP]
    on_it = [f for f in kept if any(singular(w) in STACKED for w in f.kind.casefold().split())]
    if on_it and len(kept) > 1:
        done = bool(step.stack)
        yield Want("stack", 5, done, f"{step.code}: in which order do the pieces sit, from the head inwards?")


def _shims(_: Unit, step: Step) -> Iterator[Want]:
    """A shim is nothing without its side and thickness; a text that names one has to say a number."""
    texts = [("", step.note, step.fasteners)]
    texts += [(f"/{d.member}", d.note, (*step.fasteners, *(d.fasteners or ()))) for d in step.differences]
    for member, text, fasteners in texts:
        if "shim" in text.casefold():
            sizes = [f.kind for f in fasteners if "shim" in f.kind.casefold()]
            done = any(c.isdigit() for said in (text, *sizes) for c in said)
            yield Want("note", 7, done, f"{step.code}{member}: which shim? Side, thickness and how many.")


def _one_way(_: Unit, step: Step) -> Iterator[Want]:
    if step.one_way is None:
        return
    asked = f"{step.code} {step.what}: one-way, and neither measured, traced, photographed nor kept as a pattern."
    yield Want("one_way", 10, step.one_way.answered, asked)
    joint = step.one_way
    settled = bool(joint.joint or joint.remake or joint.rebuilt_by)
    yield Want("one_way", 4, settled, f"{step.code}: what takes the place of the joint that cannot be undone?")
    if joint.joint is JointFound.GLUED and joint.remake is not None:
        cured = joint.remake.cure is not None
        yield Want("one_way", 4, cured, f"{step.code}: how long does the new glue cure before it is loaded?")


def _certainty(_: Unit, step: Step) -> Iterator[Want]:
    if step.certainty is Certainty.SURE:
        return
    done = bool(step.certainty_note or step.guess_settled)
    yield Want("certainty_note", 6, done, f"{step.code}: what exactly is the {_GUESS[step.certainty]}?")


_GUESS = {Certainty.GUESS: "guess", Certainty.THINK_SO: "thing not sure of"}


def _unread(unit: Unit, step: Step) -> Iterator[Want]:
    """What its line said with a number or a bag and was not understood: asked while it still stands in the note.

    Work to be done is asked for as an operation, until the step has one of that name.
    """
    for phrase in step.unread:
        settled = not any(phrase in note for note in (step.note, *(own.note for own in step.differences)))
        work = work_in_words(phrase)
        if work:
            settled = settled or _has_operation(unit, step, work)
            asked = f"{step.code}: “{work}” is work to be done: add an operation of that name for {step.code}."
        else:
            asked = f"{step.code}: “{phrase}” was not understood; where does it belong?"
        yield Want("note", 8, settled, asked)


def _has_operation(unit: Unit, step: Step, work: str) -> bool:
    return any(step.code in o.for_steps and same_words(o.name) == same_words(work) for o in unit.operations)


def _hold(_: Unit, step: Step) -> Iterator[Want]:
    for at in step.holds:
        lacks = " and the ".join(at.hold.wants)
        whose = f" of {at.member}" if at.member else ""
        field = "differences" if at.member else "hold"
        yield Want(field, 8, not lacks, f"{step.code}: the hold point {at.hold.what}{whose} lacks the {lacks}.")


def _hazards(unit: Unit, step: Step) -> Iterator[Want]:
    known = {danger_key(h.what) for h in unit.hazards if h.prove}
    for hazard in step.hazards:
        named = hazard.what != UNNAMED_HAZARD
        yield Want("hazards", 8, named, f"{step.code}: which hazard? It is only flagged.")
        if named and str(hazard.signal) in ("DANGER", "WARNING"):
            done = bool(hazard.prove) or danger_key(hazard.what) in known
            yield Want("hazards", 7, done, f"{step.code}: how is it proved safe ({hazard.what})?")


def _as_found(_: Unit, step: Step) -> Iterator[Want]:
    if step.as_found_wrong:
        yield Want("as_found", 6, bool(step.as_found or step.note), f"{step.code}: what was wrong as found?")
        yield Want("should_be", 8, bool(step.should_be), f"{step.code}: as found is wrong; what should it be?")


def _how(_: Unit, step: Step) -> Iterator[Want]:
    yield Want("action", 6, step.action is not Action.UNSAID, f"{step.code}: how did {step.what} come off?")


def _settings(_: Unit, step: Step) -> Iterator[Want]:
    for setting in step.settings:
        done = bool(setting.value or setting.length is not None)
        yield Want("settings", 8, done, f"{step.code}: the setting of {setting.what} has no value.")
    if step.action is Action.SPRING_RELEASED:
        asked = f"{step.code}: hook hole, which end, and turns of preload of the spring?"
        yield Want("settings", 7, bool(step.settings or step.note), asked)


def _measurements(unit: Unit, step: Step) -> Iterator[Want]:
    held = {h.code.casefold() for h in unit.held_dimensions} | {h.what.casefold() for h in unit.held_dimensions}
    for m in step.measurements:
        read = m.value is not None or bool(m.text)
        yield Want("measurements", 6, read, f"{step.code}: {m.what} has no reading.")
        if m.value is not None and (m.tolerance or names_held(m, held)):
            yield Want("measurements", 7, m.again is not None, f"{step.code}: {m.what} is held, but was taken once.")


def _photo(_: Unit, step: Step) -> Iterator[Want]:
    weight = 5 if step.one_way is not None or step.wires or step.connections else 2
    yield Want("photo_taken", weight, step.photo_taken or bool(step.photos), f"{step.code} {step.what}: no photo.")


_Rule = Callable[[Unit, Step], Iterator[Want]]
_RULES: tuple[_Rule, ...] = (
    _how,
    _unread,
    _hold,
    _wires,
    _connections,
    _bags,
    _one_way,
    _settings,
    _as_found,
    _hazards,
    _map,
    _lay,
    _certainty,
    _measurements,
    _sizes,
    _stack,
    _shims,
    _photo,
)


def _and(words: list[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
