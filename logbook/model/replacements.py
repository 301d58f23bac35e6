"""What takes the place of what does not go back: which part stands for which component and which new fasteners.

Bill, cash, list of what is to buy, reassembly list and checks all ask here, so that no two of them can disagree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from logbook.model.component_state import NOT_BACK
from logbook.model.new_fasteners import new_of
from logbook.model.same_words import same_words
from logbook.model.step import Connection, Fastener, Step
from logbook.model.unit import Component, Unit
from logbook.model.words import ConnectionKind, Disposition, Supply, Then
from logbook.model.work import Part


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
    members: tuple[str, ...] = ()
    """Codes of the members of a set that take them; empty when all do, and without a set."""


def fastener_uses(unit: Unit) -> Iterator[FastenerUse]:
    """Every new fastener that putting the unit back takes, step by step.

    How many each kind takes is said in `logbook.model.new_fasteners`. In a step recorded once for a set the
    numbers count for each member, with its differences. Steps and members that are still to be taken off count
    as they are expected.
    """
    for step in unit.steps:
        for fastener, members, named in _fasteners(unit, step):
            new = new_of(fastener)
            if new is None:
                continue
            ready, lacking = new.ready * members, (new.count - new.ready) * members
            if ready:
                yield FastenerUse(new.kind, step.code, ready, new.why, here=True, members=named)
            if lacking:
                yield FastenerUse(new.kind, step.code, lacking, new.why, here=False, members=named)
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


def serves(part: Part, step: str) -> bool:
    """Whether a part that renews fasteners is for those of a step: one that names no step is for all."""
    return not part.for_steps or step in part.for_steps


def shared_out(
    parts: Iterable[Part], uses: Iterable[FastenerUse]
) -> tuple[list[tuple[Part, list[FastenerUse]]], list[FastenerUse]]:
    """The uses of one kind shared out over the parts that renew this kind, and the uses that no part is for.

    Each use goes to the first part that serves its step.
    """
    found: list[tuple[Part, list[FastenerUse]]] = []
    left = list(uses)
    for part in parts:
        found.append((part, [use for use in left if serves(part, use.step)]))
        left = [use for use in left if not serves(part, use.step)]
    return found, left


def parts_by_fastener(unit: Unit) -> Mapping[str, list[Part]]:
    """The parts that renew fasteners, by their kind as it is compared."""
    found: dict[str, list[Part]] = {}
    for part in unit.parts:
        if part.fastener.strip():
            found.setdefault(same_words(part.fastener), []).append(part)
    return found


def part_for_fastener(parts: Mapping[str, list[Part]], kind: str, step: str) -> Part | None:
    """The part that stands for new fasteners of a kind at a step, as `shared_out` gives it; None without one."""
    return next((part for part in parts.get(same_words(kind), ()) if serves(part, step)), None)


def uses_without_part(unit: Unit) -> dict[str, list[FastenerUse]]:
    """New fasteners that no part is for, by their kind as it is compared."""
    parts = parts_by_fastener(unit)
    found = {}
    for kind, uses in by_kind(fastener_uses(unit)).items():
        _, left = shared_out(parts.get(kind, ()), uses)
        if left:
            found[kind] = left
    return found


def parts_for_component(unit: Unit, component: Component) -> tuple[Part, ...]:
    """The parts that take the place of a component.

    Those that name it; without any, those that are no fasteners, name no component at all, and name its step or are
    called as it is.
    """
    named = tuple(p for p in unit.parts if component.code in p.for_components)
    if named:
        return named
    free = [
        p for p in unit.parts if p.member in ("", component.member) and not p.for_components and not p.fastener.strip()
    ]
    of_step = tuple(p for p in free if component.from_step and component.from_step in p.for_steps)
    called = {same_words(component.name), same_words(f"new {component.name}")}
    return of_step or tuple(p for p in free if not p.for_steps and same_words(p.name) in called)


def is_replaced(unit: Unit, component: Component) -> bool:
    """Whether something new has to take the place of a component.

    It is to be renewed and nobody said that this is done, or it does not go back although it came off. What work
    builds anew at its step needs no part, nor does an old case in whose place a new one is built, nor what is itself a
    renewed fastener of its step.
    """
    step = _step_of(unit, component)
    if is_rebuilt_as_case(unit, component):
        return False
    if component.disposition is Disposition.RENEW:
        wanted = not component.repaired
    else:
        wanted = component.disposition in NOT_BACK and step is not None
    if not wanted or step is None:
        return wanted
    built_anew = step.one_way is not None and bool(step.one_way.rebuilt_by)
    return not built_anew and not _is_a_fastener(component, step)


_CASE = frozenset({"case", "casing", "housing", "cabinet", "carcass", "carcase"})
"""What a case is called, as the last word of a name: “old case”, but not “case back”."""


def is_rebuilt_as_case(unit: Unit, component: Component) -> bool:
    """Whether a component is the old case of a unit that gets a new one: it does not go back, and is not bought."""
    gets_one = unit.case is not None and bool(unit.case.panels or unit.case.plan)
    if not gets_one or component.disposition not in (*NOT_BACK, Disposition.RENEW):
        return False
    words = same_words(component.name).split()
    return bool(words) and words[-1] in _CASE


def _step_of(unit: Unit, component: Component) -> Step | None:
    """The step at which a component came out, as the component or the step says."""
    if component.from_step:
        return unit.step(component.from_step)
    return next((s for s in unit.steps if component.code in s.components), None)


def _is_a_fastener(component: Component, step: Step) -> bool:
    """Whether a component is a renewed fastener of its step: the name of the one stands in that of the other."""
    name = set(same_words(component.name).split())
    kinds = [set(same_words(f.kind).split()) for f in step.fasteners if f.then is Then.RENEW]
    return any(name <= kind for kind in kinds)


def without_part(unit: Unit) -> Iterator[Component]:
    """Components that something new has to take the place of, and that no part stands for."""
    for component in unit.components:
        if is_replaced(unit, component) and not parts_for_component(unit, component):
            yield component


class Renewal(NamedTuple):
    """Something new that a step takes and that no part is listed for."""

    step: Step
    what: str
    number: int = 1
    member: str = ""
    """For which one of a set, by its code; empty for all of it."""


def unlisted_renewals(unit: Unit) -> Iterator[Renewal]:
    """What the steps renew that is no fastener and that no part stands for: in words, or a wire, hose or belt."""
    seen: set[str] = set()
    for step in unit.steps:
        if step.refit.renew and not _has_parts(unit, step):
            named = {same_words(part.name) for part in unit.parts if step.code in part.for_steps}
            yield from (Renewal(step, what) for what in step.refit.renew if same_words(what) not in named)
        for made in step.connections:
            if made.renew and not made.stays_on and made.code not in seen and not _is_listed(unit, step, made):
                seen.add(made.code)  # its other end may be another step's
                number = 1 if made.member else max(1, _members(unit, step))
                yield Renewal(step, f"{made.kind} {made.code}", number, made.member)


class NotListed(NamedTuple):
    """Something new that goes in, and that no part is listed for."""

    step: str
    """Where it goes in; empty when nobody said at which step the old one came out."""
    what: str


def not_listed(unit: Unit) -> Iterator[NotListed]:
    """Everything but fasteners that has to be got new and that no part stands for, as the list of lines asks for it."""
    for component in without_part(unit):
        step = _step_of(unit, component)
        yield NotListed("" if step is None else step.code, component.name)
    yield from (NotListed(new.step.code, new.what) for new in unlisted_renewals(unit))


_CALLED = {
    ConnectionKind.WIRE: frozenset(["wire", "cord", "cable", "lead", "flex"]),
    ConnectionKind.PLUG: frozenset({"plug"}),
    ConnectionKind.HOSE: frozenset({"hose", "pipe", "tube"}),
    ConnectionKind.BELT: frozenset({"belt"}),
    ConnectionKind.LINKAGE: frozenset({"linkage", "link", "rod"}),
}
"""What a part is called that stands for a new connection of each kind (common practice)."""


def _is_listed(unit: Unit, step: Step, made: Connection) -> bool:
    """Whether a part of the step stands for a connection that is renewed: its name says the number or the kind."""
    names = {made.code.casefold(), *_CALLED[made.kind]}
    parts = (p for p in unit.parts if step.code in p.for_steps and p.member in ("", made.member))
    return any(not names.isdisjoint(p.name.casefold().split()) for p in parts)


def _has_parts(unit: Unit, step: Step) -> bool:
    """Whether anything stands for all that a step renews: a part, or a renewed fastener.

    A part that is called like one of several stands for that one alone.
    """
    of_step = [c for c in unit.components if c.from_step == step.code or c.code in step.components]
    codes = {c.code for c in of_step}
    for_it = [p for p in unit.parts if step.code in p.for_steps or codes.intersection(p.for_components)]
    renewed = {same_words(what) for what in step.refit.renew}
    listed = any(same_words(part.name) not in renewed for part in for_it)
    asked_by_component = any(is_replaced(unit, c) for c in of_step)
    return listed or asked_by_component or any(f.then is Then.RENEW for f in step.fasteners)


def is_missing(part: Part) -> bool:
    """Whether a part is not here and needed in any case."""
    return part.supply is not Supply.HERE and not part.only_if.strip()


def _members(unit: Unit, step: Step) -> int:
    of = unit.set_of(step)
    return len(of.members) if of is not None else 1


def _fasteners(unit: Unit, step: Step) -> Iterator[tuple[Fastener, int, tuple[str, ...]]]:
    """Each kind of fastener of a step, how many members have it so, and which, when not all do."""
    own = {d.member: d.fasteners for d in step.differences if d.fasteners is not None}
    of = unit.set_of(step)
    if of is None:
        yield from ((f, 1, ()) for f in step.fasteners)
        return
    like_pattern = tuple(m.code for m in of.members if m.code not in own)
    if like_pattern:
        named = like_pattern if len(like_pattern) < len(of.members) else ()
        yield from ((f, len(like_pattern), named) for f in step.fasteners)
    for member in of.members:
        yield from ((f, 1, (member.code,)) for f in own.get(member.code) or ())
