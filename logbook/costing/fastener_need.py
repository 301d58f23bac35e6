"""Fasteners that the refit needs and the bags do not hold: renewed, missing on arrival, and new ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from logbook.costing.amounts import same_words
from logbook.model.new_fasteners import new_of
from logbook.model.step import Fastener, Step
from logbook.model.unit import Unit


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

    How many each kind takes is said in `logbook.model.new_fasteners`. In a step recorded once for a set the
    numbers count for each member, with its differences. Steps and members that are still to be taken off count
    as they are expected.
    """
    for step in unit.steps:
        for fastener, members in _fasteners(unit, step):
            new = new_of(fastener)
            if new is None:
                continue
            ready, lacking = new.ready * members, (new.count - new.ready) * members
            if ready:
                yield FastenerUse(new.kind, step.code, ready, new.why, here=True)
            if lacking:
                yield FastenerUse(new.kind, step.code, lacking, new.why, here=False)
        for extra in step.refit.new_fasteners:
            if extra.count:
                count = extra.count * _members(unit, step)
                yield FastenerUse(extra.kind, step.code, count, extra.why or "new", extra.here)


def by_kind(uses: Iterable[FastenerUse]) -> dict[str, list[FastenerUse]]:
    """Uses of the same kind together, in the order in which kinds first appear; the same words are the same kind."""
    kinds: dict[str, list[FastenerUse]] = {}
    for use in uses:
        kinds.setdefault(same_words(use.kind), []).append(use)
    return kinds


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
