"""Where members differ, from what a line says of them, and back into phrases that read the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from logbook.model.edits import with_changes
from logbook.model.step import Fastener, HoldPoint, MemberDifference
from logbook.model.words import Certainty
from logbook.teardown.meant import Meant
from logbook.teardown.some_of_a_kind import NotSoManyError, in_all, with_kind_of_member, with_some

INSTEAD = "instead"
"""`right instead 3 screw M6x20`: these are all that the member has, whatever the pattern says."""

_TAKEN = ("bag", "left_hand", "certainty", "certainty_note", "as_found_wrong", "as_found", "should_be")
"""What may be said of one member as of the whole step."""


_SAID_OTHERWISE = frozenset({*_TAKEN, "planned", "no_fasteners", INSTEAD})
_OF_ONE = ("fasteners", "some", "then", "hold", "connections", "settings", "measurements", "things", "proofs")
_OF_THE_PHRASE = ("field", "meaning", "sets", "problem", "left", "each_of")


def can_differ(meant: Meant) -> bool:
    """Whether all that a phrase says can be true of one member alone; a box or a photo is the whole step's."""
    kept = {*_OF_ONE, *_OF_THE_PHRASE}
    plain = Meant("", "")
    others = (name for name in Meant._fields if name not in kept)
    return _SAID_OTHERWISE.issuperset(meant.sets) and all(getattr(meant, n) == getattr(plain, n) for n in others)


def hold_said(said: HoldPoint | None, before: HoldPoint | None) -> HoldPoint | None:
    """A hold point as a line says it, with its code, its limit and its photos as written before."""
    if said is None or before is None:
        return said
    kept = {name: getattr(before, name) for name in ("code", "limit", "competent", "photos", "read_at")}
    return said.model_copy(update=kept)


def differences_of(
    said: Iterable[tuple[str, Meant]], pattern: Sequence[Fastener], before: Sequence[MemberDifference]
) -> tuple[MemberDifference, ...]:
    """The differences that a line says, each member once, and those of members that it does not name.

    What is said of a member is all that is said of it; a difference is taken out in its form, never by leaving the
    member out of a line.

    Args:
        said: what is said of which member.
        pattern: the fasteners of the step.
        before: the differences of the step as it was; what a line cannot say of a member stays.
    """
    found: dict[str, list[Meant]] = {}
    for member, meant in said:
        found.setdefault(member, []).append(meant)
    differences: list[MemberDifference] = []
    for old in before:
        of = found.pop(old.member, None)
        differences.append(old if of is None else _difference(old.member, of, pattern, old))
    return (*differences, *(_difference(member, of, pattern, None) for member, of in found.items()))


def _difference(
    member: str, said: Sequence[Meant], pattern: Sequence[Fastener], before: MemberDifference | None
) -> MemberDifference:
    values: dict[str, object] = {}
    notes: list[str] = []
    for meant in said:
        values |= {name: meant.sets[name] for name in _TAKEN if name in meant.sets}
        if meant.sets.get("planned"):
            values["done"] = False
        if meant.left:
            notes.append(meant.left)
    own = fasteners_said(said, pattern).own
    hold = next((meant.hold for meant in said if meant.hold is not None), None)
    values["hold"] = hold_said(hold, before.hold if before is not None else None)
    kept = before.fasteners if before is not None else None
    values["fasteners"] = None if own is None else tuple(_with_details(own, kept or ()))
    values["note"] = ", ".join(notes)
    values["guess_settled"] = before.guess_settled if before is not None else ""
    return with_changes(MemberDifference(member=member), **values)


class OwnFasteners(NamedTuple):
    """What a line says of the fasteners of one member."""

    own: tuple[Fastener, ...] | None
    """None: the same as for each."""
    refused: tuple[str, ...]
    """For each phrase the sentence why it cannot be, or nothing."""
    kinds: tuple[str, ...]
    """For each phrase the kind it is about, or nothing."""


def fasteners_said(said: Sequence[Meant], pattern: Sequence[Fastener]) -> OwnFasteners:
    """The fasteners of one member, phrase by phrase; a phrase that cannot be changes nothing."""
    own: tuple[Fastener, ...] | None = None
    counted: set[str] = set()
    refused: list[str] = []
    kinds: list[str] = []
    last = pattern[-1].kind if pattern else ""
    for meant in said:
        why = ""
        before = tuple(pattern) if own is None else own
        if meant.sets.get("no_fasteners"):
            own = ()
        elif meant.sets.get(INSTEAD):
            own = (*(own or ()), *meant.fasteners)
            counted |= {f.kind for f in meant.fasteners}
        elif _is_of_fasteners(meant):
            try:
                own = _after(before, meant, counted, last)
            except NotSoManyError as not_so_many:
                why = str(not_so_many)
            else:
                counted |= {f.kind for f in meant.fasteners} | ({last} if meant.some is not None else set())
        named = meant.fasteners[-1].kind if meant.fasteners else meant.some.kind if meant.some is not None else ""
        last = named or last
        refused.append(why)
        kinds.append(last if _is_of_fasteners(meant) else "")
    return OwnFasteners(own, tuple(refused), tuple(kinds))


def _is_of_fasteners(meant: Meant) -> bool:
    return bool(meant.fasteners) or meant.some is not None or meant.then is not None


def _after(own: tuple[Fastener, ...], meant: Meant, counted: Iterable[str], last: str) -> tuple[Fastener, ...]:
    """A member's fasteners after one phrase. Raises NotSoManyError when it speaks of more than there are."""
    for fastener in meant.fasteners:
        own = with_kind_of_member(own, fastener, frozenset(counted))
    if meant.some is not None:
        own = with_some(own, meant.some if meant.some.kind else meant.some._replace(kind=last))
    if meant.then is not None and own:
        own = (*own[:-1], own[-1].model_copy(update={"then": meant.then}))
    return own


class SaidOfMember(NamedTuple):
    """How one phrase about a member stands among the others about it."""

    refused: str = ""
    """Why it cannot be, in a sentence."""
    in_all: str = ""
    """Behind the last phrase about a kind that is not all alike: what that makes of it."""


def said_of_members(said: Sequence[tuple[str, Meant]], pattern: Sequence[Fastener]) -> tuple[SaidOfMember, ...]:
    """For each phrase about a member, in order, whether it can be, and what a kind comes to."""
    found = [SaidOfMember()] * len(said)
    for member in dict.fromkeys(code for code, _ in said):
        places = [i for i, (code, _) in enumerate(said) if code == member]
        result = fasteners_said([said[i][1] for i in places], pattern)
        for i, why in zip(places, result.refused, strict=True):
            if why:
                found[i] = SaidOfMember(refused=f"{member}: {why}")
        ends = {kind: i for i, kind in zip(places, result.kinds, strict=True) if kind and not found[i].refused}
        for kind, i in ends.items():
            of = [f for f in result.own or () if f.kind == kind]
            if len(of) > 1 or any(f.found < f.holes for f in of):
                found[i] = SaidOfMember(in_all=f"{member} in all {in_all(of, kind)}")
    return tuple(found)


def _with_details(own: Iterable[Fastener], before: Sequence[Fastener]) -> Iterator[Fastener]:
    """The member's fasteners with what the desk wrote of the same kind at this member."""
    details = {f.kind: f.detail for f in before if f.detail is not None}
    here = {(f.kind, f.then) for f in before if f.renewed_here}
    for fastener in own:
        ready = (fastener.kind, fastener.then) in here
        yield fastener.model_copy(update={"detail": details.get(fastener.kind), "renewed_here": ready})


def own_of(difference: MemberDifference, pattern: Sequence[Fastener]) -> tuple[bool, tuple[Fastener, ...]]:
    """What has to be said of a member's fasteners, and whether it is said instead of the pattern.

    Only what differs from the pattern is said, where that leads to the same fasteners in the same order.
    """
    own = difference.fasteners or ()
    other = tuple(f for f in own if f not in pattern)
    tried = fasteners_said([Meant("fasteners", "", fasteners=(f,)) for f in other], pattern)
    if tried.own == own and not any(tried.refused):
        return False, other
    return True, own


def says_guess(difference: MemberDifference) -> bool:
    """Whether a guess is said of one member."""
    return difference.certainty is not Certainty.SURE or bool(difference.certainty_note)
