"""Fasteners that the refit needs and the bags do not hold: renewed, missing on arrival, and new ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from logbook.costing.amounts import same_words
from logbook.model.step import Fastener, Step
from logbook.model.unit import Unit
from logbook.model.words import Then


@dataclass(frozen=True, slots=True)
class FastenerUse:
    """So many new fasteners of one kind at one step, and why."""

    kind: str
    step: str
    count: int
    why: str
    """“renewed”, “missing on arrival”, or the reason of a new one."""
    here: bool
    """They lie ready."""


def fastener_uses(unit: Unit) -> Iterator[FastenerUse]:
    """Every new fastener that putting the unit back takes, step by step.

    Renewed: one for each hole. Reused: one for each hole that was empty on arrival, unless it is to stay
    empty. Scrapped: none, because what takes their place is recorded as new fasteners of the step. In a
    step recorded once for a set the numbers count for each member, with its differences. Steps and members
    that are still to be taken off count as they are expected.
    """
    for step in unit.steps:
        for fastener, members in _fasteners(unit, step):
            count = _new_for(fastener) * members
            why = "renewed" if fastener.then is Then.RENEW else "missing on arrival"
            if count:
                yield FastenerUse(fastener.kind, step.code, count, why, fastener.renewed_here)
        for new in step.refit.new_fasteners:
            if new.count:
                yield FastenerUse(new.kind, step.code, new.count * _members(unit, step), new.why or "new", new.here)


def by_kind(uses: Iterable[FastenerUse]) -> dict[str, list[FastenerUse]]:
    """Uses of the same kind together, in the order in which kinds first appear; the same words are the same kind."""
    kinds: dict[str, list[FastenerUse]] = {}
    for use in uses:
        kinds.setdefault(same_words(use.kind), []).append(use)
    return kinds


def _new_for(fastener: Fastener) -> int:
    """How many new ones one member takes."""
    filled = min(fastener.found, fastener.holes) if fastener.stays_empty else fastener.holes
    if fastener.then is Then.RENEW:
        return filled
    return max(0, filled - fastener.found) if fastener.then is Then.REUSE else 0


def _members(unit: Unit, step: Step) -> int:
    of = unit.set_of(step)
    return len(of.members) if of is not None else 1


def _fasteners(unit: Unit, step: Step) -> Iterator[tuple[Fastener, int]]:
    """Each kind of fastener of a step with the number of members that have it so."""
    own = {d.member: d.fasteners for d in step.differences if d.fasteners is not None}
    of = unit.set_of(step)
    if of is None:
        yield from ((f, 1) for f in step.fasteners)
        return
    like_pattern = sum(1 for m in of.members if m.code not in own)
    if like_pattern:
        yield from ((f, like_pattern) for f in step.fasteners)
    for member in of.members:
        yield from ((f, 1) for f in own.get(member.code) or ())
