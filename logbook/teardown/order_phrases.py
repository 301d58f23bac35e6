"""Phrases that name other things of the unit: steps, sets, sub-assemblies."""

from __future__ import annotations

import re

from logbook.model.unit import PartSet
from logbook.model.words import ConnectionKind
from logbook.teardown.connection_phrase import connection_phrase, names_connection, wires_counted
from logbook.teardown.fastener_phrase import starts_like_fasteners
from logbook.teardown.flag_phrases import hold_phrase
from logbook.teardown.kinds import UnitWords
from logbook.teardown.meant import Meant, PhraseContext, Words
from logbook.teardown.member_phrases import OFFER, no_set_called, set_for_each
from logbook.teardown.number_phrases import container_phrase, fastener_words, fasteners_phrase
from logbook.teardown.phrases import joined
from logbook.teardown.thing_phrases import component_phrase, new_thing_phrase

_CODES = re.compile(r"[^\s,&+]+")
_BETWEEN = frozenset({"and", "then"})


def after_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`after T10`, `after T05 T06 and last`."""
    return steps_phrase(words[1:], around, "after", said="after")


def better_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`better after T04`."""
    if len(words) < 3 or words[1].folded != "after":
        return None
    return steps_phrase(words[2:], around, "better_after", said="better after")


def back_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`back before T03`: an order of the way back alone."""
    if len(words) < 3 or words[1].folded != "before":
        return None
    return steps_phrase(words[2:], around, "back_before", said="back before")


def steps_phrase(words: Words, around: PhraseContext, field: str, said: str = "") -> Meant | None:
    """Codes of existing steps; those that do not exist are left for the note, with a sentence."""
    codes: dict[str, None] = {}
    unknown: list[str] = []
    for typed in (t for w in words if w.folded not in _BETWEEN for t in _CODES.findall(w.text)):
        code = _step_named(typed, around.unit)
        if code is not None and code != around.unit.code:
            codes[code] = None
        else:
            unknown.append(typed)
    if not codes and not any(around.unit.looks_like_step(t) for t in unknown):
        return None
    problem = None
    if unknown:
        own = any(_step_named(t, around.unit) == around.unit.code for t in unknown)
        problem = "A step cannot come before itself." if own else f"There is no step {', '.join(unknown)}."
    meaning = f"{_ORDERS[field]} {', '.join(codes)}" if codes else ""
    left = f"{said} {' '.join(unknown)}" if unknown else ""
    named = tuple(codes)
    return Meant(
        field,
        meaning,
        after=named if field == "after" else (),
        better_after=named if field == "better_after" else (),
        back_before=named if field == "back_before" else (),
        problem=problem,
        left=left,
    )


_ORDERS = {
    "after": "must come off after",
    "better_after": "better come off after",
    "back_before": "goes back before",
}
"""Each order that a line can say, as its reading begins."""


def _step_named(typed: str, unit: UnitWords) -> str | None:
    if typed.casefold() == "last":
        return unit.last_step.code if unit.last_step else None
    code = unit.step_code(typed)
    return code or (unit.code if typed.upper() == unit.code.upper() else None)


def same_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`same as T08`, `same as last`, `same`: the fasteners of that step."""
    said = "last" if len(words) == 1 else words[2].text if len(words) == 3 and words[1].folded == "as" else ""
    if not said:
        return None
    code = _step_named("last" if said.casefold() in ("before", "last") else said, around.unit)
    step = around.unit.unit.step(code) if code else None
    if step is None:
        looks = around.unit.looks_like_step(said) or said.casefold() == "last"
        return Meant("fasteners", "", problem=f"There is no step {said}.", left=joined(words)) if looks else None
    same = tuple(f.model_copy(update={"bag": "", "renewed_here": False, "detail": None}) for f in step.fasteners)
    meaning = "; ".join(fastener_words(f) for f in same)
    return Meant("fasteners", f"as at {step.code}: {meaning or 'no fasteners'}", fasteners=same)


def each_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`each D`, `each of drawers`, `for each drawer`: the step is recorded once for a set."""
    rest = words[2:] if words[0].folded == "for" and len(words) > 1 and words[1].folded == "each" else words[1:]
    if words[0].folded == "for" and len(rest) == len(words) - 1:
        return None
    if len(rest) > 1 and rest[0].folded == "of":
        rest = rest[1:]
    code = around.unit.set_code(joined(rest)) if rest else None
    if code is not None:
        return Meant("each_of", f"numbers are for each of {code}", {"each_of": code})
    of_each = _connections_for_each(rest, around) if rest else None
    if of_each is not None or (rest and starts_like_fasteners(rest)):
        return of_each or _counted_for_each(rest, around)
    if len(rest) > 1 and rest[0].folded in _ONE_FOR_EACH:
        return _ONE_FOR_EACH[rest[0].folded](rest, around)
    if len(rest) == 1:
        return Meant("each_of", "", problem=no_set_called(rest[0].text, around.unit.unit), left=joined(words))
    return None


def _connections_for_each(words: Words, around: PhraseContext) -> Meant | None:
    """`each wire W1 brown from holder to terminal`, `each 3 wires`: what stands once for every member.

    Several wires without numbers are counted alone, so that one named later for a member is one of its own; where
    they go stands in the note until each is written.
    """
    said = connection_phrase(words, around)
    if said is None or not (said.connections or said.sets.get("wires")):
        return None
    of = _set_of_each(around)
    if of is None:
        return _of_no_set(words, around)
    around = around._replace(each_of=of.code)
    wires = [made for made in said.connections if made.kind is ConnectionKind.WIRE]
    has_ends = any(made.start or made.end for made in wires)
    if len(wires) > 1 and has_ends and words[0].text.isdigit() and not names_connection(words[1:]):
        return wires_counted(len(wires), around, left=joined(words))._replace(each_of=of.code)
    if not said.connections:
        return wires_counted(int(str(said.sets["wires"])), around, left=said.left)._replace(each_of=of.code)
    return said._replace(meaning=f"for each of {_codes_of(of)}: {said.meaning}", each_of=of.code)


def _counted_for_each(words: Words, around: PhraseContext) -> Meant | None:
    """`each 2 screw 3x16`: the numbers are for each member of the one set that there is."""
    counted = fasteners_phrase(words, around)
    if counted is None or not counted.fasteners:
        return None
    of = set_for_each(around.unit.unit)
    if of is None:
        several = "There are several sets: say “each” and which, such as “each D”."
        problem = several if around.unit.unit.sets else OFFER
        return Meant("each_of", "", problem=problem, left=f"each {joined(words)}")
    return counted._replace(meaning=f"for each of {of.code}: {counted.meaning}", each_of=of.code)


def _hold_for_each(words: Words, around: PhraseContext) -> Meant | None:
    """`each hold earth read ohm`: every member has a hold point of its own, with its own reading and initials."""
    said = hold_phrase(words, around._replace(each_of=""))
    if said is None:
        return None
    of = _set_of_each(around)
    if of is None:
        return _of_no_set(words, around)
    own = tuple((member.code, said) for member in of.members)
    meaning = f"for each of {_codes_of(of)}: {said.meaning}"
    return Meant("differences", meaning, of_members=own, each_of=of.code)


def _things_for_each(words: Words, around: PhraseContext) -> Meant | None:
    """`each component 40 W lamp`: every member has one of its own, which goes back into that one."""
    reader = component_phrase if words[0].folded == "component" else new_thing_phrase
    said = reader(words, around)
    if said is None or not said.things:
        return None
    of = _set_of_each(around)
    if of is None:
        return _of_no_set(words, around)
    things = tuple(thing._replace(member=m.code) for m in of.members for thing in said.things)
    meaning = f"for each of {_codes_of(of)}: {said.meaning}"
    return Meant("things", meaning, things=things, each_of=of.code)


_ONE_FOR_EACH = {"hold": _hold_for_each, "component": _things_for_each, "new": _things_for_each}
"""What “each” gives to every member as one of its own, by its first word."""


def _set_of_each(around: PhraseContext) -> PartSet | None:
    """The set that “each” speaks of: that of the step as far as it was said, else the only one."""
    unit = around.unit.unit
    return unit.set_called(around.each_of) or set_for_each(unit)


def _of_no_set(words: Words, around: PhraseContext) -> Meant:
    several = "There are several sets: say “each” and which before, such as “each D”."
    problem = several if around.unit.unit.sets else OFFER
    return Meant("each_of", "", problem=problem, left=f"each {joined(words)}")


def _codes_of(of: PartSet) -> str:
    return ", ".join(member.code for member in of.members)


def once_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`once`, in a unit that is itself a set: the step is for the whole of it, not for each."""
    if len(words) > 1 or around.unit.unit.whole_set() is None:
        return None
    return Meant("each_of", "once, not for each", {"each_of": ""})


def into_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`in bag 4`, `into box 2`, `in chassis`."""
    if len(words) > 1 and words[1].folded in ("bag", "box"):
        return container_phrase(words[1:], around, words[1].folded)
    code = around.unit.lump_code(joined(words[1:])) if len(words) > 1 else None
    return None if code is None else Meant("inside", f"in the sub-assembly {code}", {"inside": code})
