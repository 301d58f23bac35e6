"""Fasteners of one step, counted: what came out, what goes back, and out of which bag.

For each kind: to reuse goes back what was found, from its bag, and what was missing is new; to renew goes
back new in every place; scrap does not go back; and what the refit needs that was not there before is new.
Places that are to stay empty are never filled. In a step recorded for a set all numbers are for each member.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from logbook.model.bags import bags_spelled_again
from logbook.model.component_state import NOT_BACK
from logbook.model.members import bag_of_member, fasteners_of_member, for_whom, members_apart
from logbook.model.new_fasteners import new_of, places
from logbook.model.same_words import same_words
from logbook.model.step import Fastener, NewFastener, Step
from logbook.model.unit import PartSet, Unit
from logbook.model.words import SetKind, Then
from logbook.reassembly.refit_records import LineFastener, Totals

Apart = tuple[str, tuple[Fastener, ...], str]
"""Member code (empty for one thing), its fasteners and the bag they lie in."""


class Sets:
    """The sets of a unit, looked up by code, with the members that were taken apart at a step.

    What came apart is given as it goes back: a bag is called as it was written first (1a and 1A are one bag), and
    a fastener that is itself a component which does not go back, such as the ring of a shade, is scrap.
    """

    def __init__(self, unit: Unit) -> None:
        self._unit = unit
        self._steps = unit.steps
        self._sets: Mapping[str, PartSet] = {s.code: s for s in unit.sets}

    def of(self, step: Step) -> PartSet | None:
        """The set the step was recorded for, or None."""
        return self._sets.get(step.each_of) if step.each_of else None

    def members(self, step: Step) -> tuple[str, ...]:
        """Codes of the members taken apart at the step; empty when it was recorded for one thing."""
        return members_apart(step, self.of(step))

    def mirrored(self, step: Step) -> bool:
        """Whether the members are a handed pair."""
        of = self.of(step)
        return of is not None and of.kind is SetKind.HANDED

    def taken_apart(self, step: Step) -> bool:
        """Whether anything has come off at the step yet: it is not planned, and not for a set with no member done."""
        if step.planned:
            return False
        return not step.each_of or self.of(step) is None or bool(self.members(step))

    def each(self, step: Step) -> Sequence[Apart]:
        """Each thing that came apart at a step: one, or the members of its set."""
        if not step.each_of or self.of(step) is None:
            return (("", self._going_back(step, step.fasteners), self.bag_named(step.bag)),)
        return [
            (
                member,
                self._going_back(step, fasteners_of_member(step, member)),
                self.bag_named(bag_of_member(step, member)),
            )
            for member in self.members(step)
        ]

    def bag_named(self, bag: str) -> str:
        """A bag as it was written first."""
        return self._spelled.get(bag, bag)

    def _going_back(self, step: Step, fasteners: tuple[Fastener, ...]) -> tuple[Fastener, ...]:
        """Fasteners as they go back; those of the record where nothing is to be changed."""
        set_aside = self._set_aside.get(step.code)
        if not (set_aside or self._spelled):
            return fasteners
        found = []
        for fastener in fasteners:
            changes: dict[str, object] = {}
            if set_aside and same_words(fastener.kind) in set_aside:
                changes["then"] = Then.SCRAP
            if fastener.bag in self._spelled:
                changes["bag"] = self.bag_named(fastener.bag)
            found.append(fastener.model_copy(update=changes) if changes else fastener)
        return tuple(found)

    @cached_property
    def _spelled(self) -> Mapping[str, str]:
        """Bags that are written in another way than at first, each with its first name."""
        return bags_spelled_again(self._steps)

    @cached_property
    def _set_aside(self) -> Mapping[str, set[str]]:
        """For a step the components of it that do not go back, by name."""
        found: dict[str, set[str]] = {}
        at = {code: step.code for step in self._steps for code in step.components}
        for component in self._unit.components:
            step = component.from_step or at.get(component.code, "")
            if step and component.disposition in NOT_BACK:
                found.setdefault(step, set()).add(same_words(component.name))
        return found

    @cached_property
    def came_apart(self) -> Sequence[tuple[Step, Sequence[Apart]]]:
        """Every step at which anything has come off, with each thing that came apart at it."""
        return [(step, self.each(step)) for step in self._steps if self.taken_apart(step)]


def missing(fastener: Fastener) -> int:
    """How many of those to reuse have to be new because they were not there."""
    return max(0, places(fastener) - fastener.found) if fastener.then is Then.REUSE else 0


def totals_of(fasteners: Iterable[Fastener], extra: Iterable[NewFastener] = (), *, pieces: bool = False) -> Totals:
    """The counts of one thing's fasteners, or of its loose pieces, with what the refit needs besides."""
    holes = found = reuse = renew = new = lost = 0
    for f in fasteners:
        if f.piece is not pieces:
            continue
        there, was, then = f.holes, f.found, f.then
        holes += there
        found += was
        if then is Then.REUSE:
            reuse += was
            if was < there:
                new += missing(f)
        elif then is Then.RENEW:
            renew += was
            new += places(f)
        elif then is Then.LOST:
            lost += was
            new += places(f)
    for n in extra:
        new += n.count
    scrap = found - reuse - renew - lost
    return Totals(holes, found, reuse, renew, scrap, reuse + new, new, lost)


def step_totals(sets: Sets, step: Step) -> Totals:
    """The counts of a step, over all members of its set; zero when nothing came off yet."""
    if not sets.taken_apart(step):
        return Totals()
    return totals_apart(step, sets.each(step))


def refitted(sets: Sets, step: Step) -> int:
    """How many fasteners and loose pieces go back at a step."""
    pieces = (totals_of(fasteners, pieces=True).refit for _, fasteners, _ in sets.each(step))
    return step_totals(sets, step).refit + (sum(pieces) if sets.taken_apart(step) else 0)


def totals_apart(step: Step, apart: Sequence[Apart]) -> Totals:
    """The counts of a step at which these things came apart."""
    extra = step.refit.new_fasteners
    if len(apart) == 1:
        return totals_of(apart[0][1], extra)
    return Totals.of_all(totals_of(fasteners, extra) for _, fasteners, _ in apart)


def _nothing_is_here(_kind: str) -> bool:
    return False


def going_back(sets: Sets, step: Step, is_here: Callable[[str], bool] = _nothing_is_here) -> tuple[LineFastener, ...]:
    """What goes back at the step's line; `is_here` says of a kind whether new ones are here that do not lie ready.

    The same kind from the same bag for the same reason is one entry, in the order of the record.
    """
    if not sets.taken_apart(step):
        return ()
    entries: dict[tuple[str, str, bool, str], dict[str, LineFastener]] = {}
    members = 0
    for member, fasteners, bag in sets.each(step):
        members += 1
        own: dict[tuple[str, str, bool, str], LineFastener] = {}
        for entry in _entries(fasteners, bag, step, is_here):
            key = (entry.kind, entry.bag, entry.new, entry.why)
            before = own.get(key)
            own[key] = entry if before is None else _both(before, entry)
        for key, entry in own.items():
            entries.setdefault(key, {})[member] = entry
    return tuple(_sum(found, members, sets.of(step) is not None) for found in entries.values())


def _entries(
    fasteners: Iterable[Fastener], bag: str, step: Step, is_here: Callable[[str], bool]
) -> Iterable[LineFastener]:
    for f in fasteners:
        if f.then is Then.REUSE and f.found:
            yield LineFastener(f.kind, f.found, f.bag or bag)
        new = new_of(f)
        if new is not None:
            on_hand = new.count if is_here(new.kind) else new.ready
            here = on_hand == new.count
            yield LineFastener(new.kind, new.count, new=True, why=new.why, here=here, on_hand=on_hand)
    for n in step.refit.new_fasteners:
        if n.count:
            why = n.why or "not there before"
            here = n.here or is_here(n.kind)
            yield LineFastener(n.kind, n.count, new=True, why=why, here=here, on_hand=n.count if here else 0)


def _both(a: LineFastener, b: LineFastener) -> LineFastener:
    return replace(a, count=a.count + b.count, here=a.here and b.here, on_hand=a.on_hand + b.on_hand)


def _sum(found: Mapping[str, LineFastener], members: int, is_set: bool) -> LineFastener:
    """The same over the members that have it; of new ones it is said for whom, when not for all alike."""
    first, *others = found.values()
    total = first
    for entry in others:
        total = _both(total, entry)
    if is_set and len(found) == members and len({entry.count for entry in found.values()}) == 1:
        return replace(total, each=first.count)
    if not is_set:
        return total
    total = replace(total, members=tuple(found))
    if not total.new:
        return total
    whom = for_whom({member: entry.count for member, entry in found.items()})
    return replace(total, why=f"{total.why}, {whom}")
