"""Phrases about one member of a set: `right 1 missing`, `left left-hand thread`, `bags 5 (left) and 6 (right)`.

A phrase that begins with the name of a member is about that member alone: its code, or where it sits when that is one
word. What follows is read like any other phrase. A set that the unit does not have yet is made by saying it: `pair`,
`set of 4 drawers`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from logbook.model.unit import Member, PartSet, Unit
from logbook.model.words import SetKind
from logbook.teardown.kinds import UnitWords, next_bag, singular
from logbook.teardown.meant import Meant, PhraseContext, Words
from logbook.teardown.phrases import folded, joined
from logbook.teardown.vocabulary import ACTION_FORMS, LEFT_HAND_WORDS, RIGHT_HAND_WORDS, nearest_word

OFFER = "This unit has no set yet: add “pair” or “set of 4 drawers” to the line, and it is made with the step."
"""What is said where a line speaks of members and the unit has no set."""

MOST_MEMBERS = 99
_NUMBER = re.compile(r"[0-9]{1,9}", re.ASCII)
_SIDES = frozenset({"left", "right"})
_ALL_OF_THEM = frozenset(
    {"each", "each of them", "for each", "both", "both sides", "each side", "both of them", "2x", "x2", "2 x", "twice"}
    | {f"{sides}{each}" for sides in ("left and right", "left + right", "l and r") for each in ("", " each")}
)
"""Phrases that say a step of every member of a set."""
_MOST_WORDS_FOR_ALL = max(len(said.split()) for said in _ALL_OF_THEM)
_ONLY = frozenset({"only", "alone"})


class OfMember(NamedTuple):
    """A member of a set, and the words of the phrase that are about it."""

    of: PartSet
    member: Member
    rest: Words


def name_of(of: PartSet, member: Member) -> str:
    """What a member is called in a line: where it sits when that is one word of its own, else its code."""
    place = member.position.strip()
    alone = [m.position.strip().casefold() for m in of.members].count(place.casefold()) == 1
    return place if alone and place.isalpha() and place.casefold() in _SIDES else member.code


def sets_at_hand(unit: Unit, named: str = "") -> tuple[PartSet, ...]:
    """The sets that members are looked for in: that of the step, that of the whole unit, then the others."""
    first = [s for s in unit.sets if s.code == named] + [s for s in unit.sets if s.whole_unit]
    return tuple(dict.fromkeys((*first, *unit.sets)))


def set_for_each(unit: Unit) -> PartSet | None:
    """The set that “each” means without a name: that of the whole unit, or the only one."""
    return unit.whole_set() or (unit.sets[0] if len(unit.sets) == 1 else None)


def member_at_start(words: Words, unit: Unit, named: str = "") -> OfMember | None:
    """The member that a phrase begins with, or None when it begins with none."""
    if words[0].quoted or folded(words[:3]) in _THREAD or folded(words[:2]) in _THREAD or folded(words) in _THREAD:
        return None
    for of in sets_at_hand(unit, named):
        for member in of.members:
            used = _words_of(words, of, member)
            if used:
                rest = words[used:]
                if rest and rest[0].folded.rstrip(":") in _ONLY:
                    rest = rest[1:]
                return OfMember(of, member, rest)
    return None


_THREAD = LEFT_HAND_WORDS | RIGHT_HAND_WORDS
"""Phrases that begin like the name of a member and speak of a thread."""


def _words_of(words: Words, of: PartSet, member: Member) -> int:
    """How many words at the start name the member."""
    first = words[0].folded.rstrip(":")
    if first in (member.code.casefold(), name_of(of, member).casefold()):
        return 1
    thing = singular(of.name.casefold().split()[-1])
    numbered = first == thing and len(words) > 1 and not words[1].quoted
    number = re.sub(r"\D", "", member.code)
    return 2 if numbered and number and words[1].folded.rstrip(":") == number else 0


def named_member(text: str, unit: Unit, named: str = "") -> tuple[PartSet, Member] | None:
    """The member called so in brackets or behind a bag: `(left)`, `left`, `D2`."""
    plain = text.strip("()").casefold()
    for of in sets_at_hand(unit, named):
        for member in of.members:
            if plain and plain in (member.code.casefold(), name_of(of, member).casefold()):
                return of, member
    return None


def bags_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`bags 5 (left) and 6 (right)`, `bags 5 and 6`: a bag for each member, in the order of the set without names."""
    rest = [w for w in words[1:] if w.folded not in ("and", "+", "&")]
    pairs: list[tuple[str, str]] = []
    for word in rest:
        if word.text[:1].isdigit():
            pairs.append((word.text, ""))
        elif word.folded in ("next", "new"):
            before = [*around.bags, *(bag for bag, _ in pairs)]
            pairs.append((next_bag(around.unit.unit, named=before), ""))
        elif pairs and not pairs[-1][1]:
            pairs[-1] = (pairs[-1][0], word.text)
        else:
            return None
    if not pairs:
        return None
    unit = around.unit.unit
    if not unit.sets:
        return Meant("bag", "", problem=OFFER, left=joined(words))
    found: list[tuple[str, str]] = []
    of = set_for_each(unit)
    for place, (bag, name) in enumerate(pairs):
        named = named_member(name, unit, around.each_of) if name else None
        if named is not None:
            of = named[0]
            found.append((named[1].code, bag))
        elif not name and of is not None and len(pairs) == len(of.members):
            found.append((of.members[place].code, bag))
        else:
            return Meant(
                "bag", "", problem="Which bag is whose? Say it like “bags 5 (left) and 6 (right)”.", left=joined(words)
            )
    meaning = ", ".join(f"{member}: bag {bag}" for member, bag in found)
    own = tuple((member, Meant("bag", f"bag {bag}", {"bag": bag})) for member, bag in found)
    return Meant("differences", meaning, of_members=own, each_of=of.code if of is not None else "")


def set_made_by(words: Words, unit: Unit) -> PartSet | None:
    """The set that a phrase makes: `pair`, `pair left right`, `set of 4 drawers`; None when it makes none."""
    said = folded(words)
    if said in ("pair", "handed pair", "pair left right", "pair left and right"):
        if any(s.kind is SetKind.HANDED for s in unit.sets):
            return None
        members = (Member(code="L", position="left"), Member(code="R", position="right"))
        return PartSet(code=_free("LR", unit), name="left and right", kind=SetKind.HANDED, members=members)
    if len(words) >= 4 and said.startswith("set of ") and _NUMBER.fullmatch(words[2].folded):
        count, name = int(words[2].folded), joined(words[3:])
        if not 2 <= count <= MOST_MEMBERS or not name[:1].isascii() or not name[:1].isalpha():
            return None
        code = _free(name[0].upper(), unit)
        return PartSet(code=code, name=name, members=tuple(Member(code=f"{code}{i}") for i in range(1, count + 1)))
    return None


def _free(wanted: str, unit: Unit) -> str:
    """A code that no set of the unit has."""
    taken = {s.code for s in unit.sets}
    return next(code for code in _codes(wanted) if code not in taken)


def _codes(wanted: str) -> Iterator[str]:
    yield wanted
    yield from (f"{wanted}{i}" for i in range(2, 1000))


def all_members_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`each`, `both`, `left and right each`, `2x`: the step is for each of the set; without one, how to make it."""
    said = folded(words)
    if said not in _ALL_OF_THEM:
        return None
    unit = around.unit.unit
    of = set_for_each(unit)
    twice = said not in ("each", "each of them", "for each")
    if of is not None and not (twice and len(of.members) != len(_SIDES)):
        return Meant("each_of", f"numbers are for each of {of.code}", {"each_of": of.code})
    problem = "Which set? Say “each” and its code." if unit.sets else OFFER
    return Meant("each_of", "", problem=problem, left=joined(words))


def after_all_of_them(words: Words) -> Words:
    """What stands behind `each`, `both of them` and the like at the start of a phrase; nothing where none does."""
    for length in range(min(len(words) - 1, _MOST_WORDS_FOR_ALL), 0, -1):
        if folded(words[:length]) in _ALL_OF_THEM:
            return words[length:]
    return ()


def no_set_called(name: str, unit: Unit) -> str:
    """What is said of a set that a line names and the unit does not have: which there are, or how one is made."""
    if (action := nearest_word(name)) in ACTION_FORMS:
        return f"There is no set called {name}. If it is how they came off, say “each {action}”."
    there = ", ".join(f"{s.code} {s.name}".strip() for s in unit.sets)
    if there:
        return f"There is no set called {name}, but {there}. For a new one add “pair” or “set of 4 {name}”."
    return f"There is no set called {name}: say “pair” or “set of 4 {name}” instead, and it is made with the step."


_OF_ONE_OF_TWO = ("one", "differs")


def speaks_of_members(words: Words) -> bool:
    """Whether a phrase is one of members: `right 1 missing`, `left bag 5`, `3 each`, `right one has a longer slot`."""
    names = [w.folded.strip("():") for w in words]
    if names[0] in _SIDES and names[1:2] and names[1] in _OF_ONE_OF_TWO:
        return True
    numbers = any(c.isdigit() for w in words for c in w.text)
    return numbers and (names[0] in _SIDES or names[-1] in _SIDES or "each" in names)


def without_set(words: Words, unit: UnitWords) -> str | None:
    """The sentence that offers to make a set, for a phrase that speaks of members where there is none."""
    return OFFER if not unit.unit.sets and speaks_of_members(words) else None
