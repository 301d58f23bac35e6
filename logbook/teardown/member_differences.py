"""Where members differ, from what a line says of them, and back into phrases that read the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from logbook.model.edits import with_changes
from logbook.model.step import Fastener, HoldPoint, MemberDifference
from logbook.model.words import Certainty, Then
from logbook.teardown.meant import Meant

INSTEAD = "instead"
"""`right instead 3 screw M6x20`: these are all that the member has, whatever the pattern says."""

_TAKEN = ("bag", "left_hand", "certainty", "certainty_note", "as_found_wrong", "as_found", "should_be")
"""What may be said of one member as of the whole step."""


UNNUMBERED_HOLD = "H"
"""The code of a hold point that a line makes, until its step is kept and it gets a number."""


def hold_said(said: HoldPoint | None, before: HoldPoint | None) -> HoldPoint | None:
    """A hold point as a line says it, with its code, its limit and its photos as written before."""
    if said is None:
        return None
    if before is None:
        return said.model_copy(update={"code": UNNUMBERED_HOLD})
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
    own: list[Fastener] | None = None
    for meant in said:
        values |= {name: meant.sets[name] for name in _TAKEN if name in meant.sets}
        if meant.sets.get("planned"):
            values["done"] = False
        if meant.left:
            notes.append(meant.left)
        if meant.sets.get("no_fasteners"):
            own = []
        if meant.sets.get(INSTEAD):
            own = [*(own or ()), *meant.fasteners]
        elif meant.fasteners or meant.fewer is not None:
            own = list(pattern) if own is None else own
            _put(own, meant.fasteners)
            fewer(own, meant.fewer)
    hold = next((meant.hold for meant in said if meant.hold is not None), None)
    values["hold"] = hold_said(hold, before.hold if before is not None else None)
    kept = before.fasteners if before is not None else None
    values["fasteners"] = None if own is None else tuple(_with_details(own, kept or ()))
    values["note"] = ", ".join(notes)
    values["guess_settled"] = before.guess_settled if before is not None else ""
    return with_changes(MemberDifference(member=member), **values)


def _put(own: list[Fastener], said: Iterable[Fastener]) -> None:
    """Each kind in the place of the same kind of the pattern, or behind the others."""
    for fastener in said:
        place = next((i for i, f in enumerate(own) if f.kind == fastener.kind), None)
        if place is None:
            own.append(fastener)
        else:
            own[place] = fastener


def fewer(own: list[Fastener], said: tuple[int, str] | None) -> None:
    """So many of the last kind missing, or lost, renewed, scrapped; more than there are stay unsaid."""
    if said is None or not own:
        return
    count, what = said
    last = own[-1]
    if count > last.found:
        return
    if what == "missing":
        own[-1] = last.model_copy(update={"found": last.found - count})
    elif count == last.found == last.holes:
        own[-1] = last.model_copy(update={"then": Then(what)})
    else:
        own[-1] = last.model_copy(update={"holes": last.holes - count, "found": last.found - count})
        own.append(last.model_copy(update={"holes": count, "found": count, "then": Then(what)}))


def _with_details(own: Iterable[Fastener], before: Sequence[Fastener]) -> Iterator[Fastener]:
    """The member's fasteners with what the desk wrote of the same kind at this member."""
    details = {f.kind: f for f in before}
    for fastener in own:
        old = details.get(fastener.kind)
        if old is None:
            yield fastener
        else:
            yield fastener.model_copy(update={"detail": old.detail, "renewed_here": old.renewed_here})


def own_of(difference: MemberDifference, pattern: Sequence[Fastener]) -> tuple[bool, tuple[Fastener, ...]]:
    """What has to be said of a member's fasteners, and whether it is said instead of the pattern.

    Only what differs from the pattern is said, where that leads to the same fasteners in the same order.
    """
    own = difference.fasteners or ()
    other = tuple(f for f in own if f not in pattern)
    tried = list(pattern)
    _put(tried, other)
    if tuple(tried) == own:
        return False, other
    return True, own


def says_guess(difference: MemberDifference) -> bool:
    """Whether a guess is said of one member."""
    return difference.certainty is not Certainty.SURE or bool(difference.certainty_note)
