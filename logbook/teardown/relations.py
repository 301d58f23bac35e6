"""The order of one step and of the whole, as a restorer asks for it: what is before it, what does it hold up?

Every answer follows from `logbook.model.precedence`; nothing here is a rule of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.edges import Edge
from logbook.model.edits import relate, unrelate
from logbook.model.precedence import HARD, Precedence, precedence, without_way_back
from logbook.model.step import Relation
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from logbook.teardown.kinds import UnitWords


class Near(NamedTuple):
    """A step directly before or after another one."""

    code: str
    why: str
    """Kind of the relation, or what else puts it there: “came off before, as recorded”."""
    relation: Relation | None
    """The stated relation; None when the recorded order or a sub-assembly puts it there."""
    implied: bool = False
    """Other relations say the same already, by a longer way."""


class OrderAround(NamedTuple):
    """The order seen from one step."""

    code: str
    before: tuple[Near, ...]
    """What comes off directly before it, in the order of the record."""
    further_before: tuple[str, ...]
    """What comes off before those."""
    waiting: tuple[Near, ...]
    """What waits directly for it."""
    further_waiting: tuple[str, ...]
    """What waits for those."""
    together: tuple[Near, ...]
    """What came out with it as one lump, as it was stated."""
    way_back: tuple[Near, ...]
    """What is stated for the way back alone, in which it goes back before or after others."""
    free: tuple[str, ...]
    """What can come off before or after it, as one likes."""

    @property
    def all_before(self) -> frozenset[str]:
        """Everything that has to come off before it, near or far."""
        return frozenset(_binding(self.before)) | frozenset(self.further_before)

    @property
    def all_waiting(self) -> frozenset[str]:
        """Everything that has to wait for it, near or far."""
        return frozenset(_binding(self.waiting)) | frozenset(self.further_waiting)


class FreedTogether(NamedTuple):
    """What comes free at the same moment, so that nothing in it has to wait for the rest."""

    after: tuple[str, ...]
    """Steps that have to be off; empty for what can come off at any time."""
    lumps: tuple[tuple[str, ...], ...]
    """Steps that came out together stand in one lump; every other step stands alone."""


def implied_relations(unit: Unit) -> frozenset[Relation]:
    """The hard relations that others say already by a longer way (what a transitive reduction leaves out).

    Raises:
        CircleError: the relations form a circle.
    """
    following = _following(precedence(unit).stated)
    reached = {code: _reached([code], following) for code in following}

    def longer(r: Relation) -> bool:
        return any(m != r.later and r.later in reached.get(m, ()) for m in following.get(r.earlier, ()))

    return frozenset(r for r in unit.relations if r.kind in HARD and longer(r))


def around(unit: Unit, code: str) -> OrderAround:
    """What is before a step, what waits for it, and what is free of it.

    Raises:
        CircleError: the relations form a circle.
    """
    order = precedence(without_way_back(unit))
    place = {c: i for i, c in enumerate(order.order)}
    lump = next((set(steps) for steps in order.lumps if code in steps), {code})
    in_lumps = [Edge(a, b, "") for steps in order.lumps for a in steps for b in steps if a != b]
    following = _following([*order.edges, *in_lumps])
    preceding = _following([*(Edge(e.later, e.earlier, e.why) for e in order.edges), *in_lumps])
    all_before, all_waiting = _reached([code], preceding) - lump, _reached([code], following) - lump
    before, waiting = _near(unit, code, order, place)
    together = tuple(
        Near(r.later if r.earlier == code else r.earlier, str(r.kind), r)
        for r in unit.relations
        if r.kind is RelationKind.TOGETHER and code in (r.earlier, r.later)
    )
    return OrderAround(
        code=code,
        before=before,
        further_before=_in_order(all_before - _binding(before), place),
        waiting=waiting,
        further_waiting=_in_order(all_waiting - _binding(waiting), place),
        together=together,
        way_back=tuple(_on_the_way_back(unit, code)),
        free=tuple(c for c in order.order if c not in all_before | all_waiting | lump),
    )


def _on_the_way_back(unit: Unit, code: str) -> Iterator[Near]:
    for r in unit.relations:
        if r.kind is RelationKind.REFIT and code in (r.earlier, r.later):
            goes_first = r.later == code
            other = r.earlier if goes_first else r.later
            yield Near(other, "goes back before it" if goes_first else "goes back after it", r)


def freed_together(unit: Unit) -> tuple[FreedTogether, ...]:
    """What waits directly for the same steps: each group comes free at one moment, in teardown order.

    Nothing in a group is ordered among itself, because else one would wait for more than the other.

    Raises:
        CircleError: the relations form a circle.
    """
    order = precedence(without_way_back(unit))
    place = {c: i for i, c in enumerate(order.order)}
    lump_of = {c: lump for lump in order.lumps for c in lump}
    lumps = list(dict.fromkeys(lump_of.get(c, (c,)) for c in order.order))
    first = {c: lump[0] for lump in lumps for c in lump}
    edges = {(first[e.earlier], first[e.later]) for e in order.edges}
    following = _following(Edge(a, b, "") for a, b in edges if a != b)
    reached = {c: _reached([c], following) for c in first.values()}
    direct: dict[str, set[str]] = {c: set() for c in first.values()}
    for earlier, after in following.items():
        for later in after:
            if not any(later in reached[m] for m in after if m != later):
                direct[later].add(earlier)
    groups: dict[tuple[str, ...], list[tuple[str, ...]]] = {}
    for lump in lumps:
        groups.setdefault(_in_order(direct[lump[0]], place), []).append(lump)
    return tuple(FreedTogether(after, tuple(together)) for after, together in groups.items())


def order_words(unit: Unit, code: str) -> str:
    """What was stated about a step's place, in a few words: `after T05 T06; better T04`."""
    said: dict[RelationKind, list[str]] = {}
    for r in unit.relations:
        if r.later == code:
            said.setdefault(r.kind, []).append(r.earlier)
    parts = [f"{words} {' '.join(said[kind])}" for kind, words in _SHORT.items() if kind in said]
    step = unit.step(code)
    if not parts and step is not None and step.order is OrderBasis.STATED:
        return "free"
    return "; ".join(parts)


_SHORT: Mapping[RelationKind, str] = {
    RelationKind.MUST: "after",
    RelationKind.TEST: "under",
    RelationKind.LOOSEN: "loosened",
    RelationKind.BETTER: "better",
    RelationKind.TOGETHER: "with",
    RelationKind.THREADED: "threaded",
    RelationKind.REFIT: "back before",
}


def relations_typed(unit: Unit, code: str, kind: RelationKind, text: str) -> tuple[Relation, ...]:
    """Relations of `code` as typed: codes of the steps that come first (`T05 6`), or `before T12` for those that wait.

    For the way back alone they are the steps that it goes back before (`T05`, `before T05`), or `after T12`.

    Raises:
        InputError: nothing was typed, or one of the words is no step of this unit.
    """
    words = text.replace(",", " ").replace(";", " ").split()
    said = words[0].casefold() if words else ""
    before = said == ("after" if kind is RelationKind.REFIT else "before")
    words = words[1:] if said in ("before", "after") else words
    if not words:
        raise InputError("Type the code of the other step, such as T05; several with blanks between them.")
    known = UnitWords(unit)
    relations = []
    for word in words:
        other = known.step_code(word)
        if other is None:
            raise InputError(f"{unit.code} has no step {word[:20]}.")
        relations.append(Relation(kind=kind, earlier=code if before else other, later=other if before else code))
    return tuple(relations)


def with_order_from_line(
    unit: Unit, code: str, after: Sequence[str], better_after: Sequence[str], back_before: Sequence[str] = ()
) -> Unit:
    """The unit with exactly these steps stated as coming before `code` (hard, and as better); others are taken back.

    `back_before` are the steps that it goes back before, for the way back alone.

    Raises:
        InputError: one of them does not exist; CircleError: a circle would close.
    """
    wanted = [(RelationKind.MUST, c) for c in after] + [(RelationKind.BETTER, c) for c in better_after]
    wanted += [(RelationKind.REFIT, c) for c in back_before]
    have = {(r.kind, r.earlier): r for r in unit.relations if r.later == code and r.kind in _OF_A_LINE}
    for key, relation in have.items():
        if key not in wanted:
            unit = unrelate(unit, relation)
    for kind, earlier in dict.fromkeys(wanted):
        if (kind, earlier) not in have:
            unit = relate(unit, Relation(kind=kind, earlier=earlier, later=code))
    return unit


def with_threaded(unit: Unit, code: str, threaded: Iterable[tuple[str, str]]) -> Unit:
    """The unit with these steps' things stated as going on first at `code`; what was stated before stays.

    Args:
        unit: the record.
        code: the step at whose joint they go on.
        threaded: codes of steps, each with what of it goes on; nothing when it is the whole of it.
    """
    said = dict(threaded_at(unit, code))
    for earlier, items in threaded:
        wanted = Relation(kind=RelationKind.THREADED, earlier=earlier, later=code, items=items)
        if earlier not in said:
            unit = relate(unit, wanted)
        elif said[earlier] != items:
            unit = _with_items(unit, wanted)
    return unit


def _with_items(unit: Unit, wanted: Relation) -> Unit:
    """The unit with what goes on first, of two steps that are so related already, named as in `wanted`."""
    same = (wanted.kind, wanted.earlier, wanted.later)
    relations = tuple(
        r.model_copy(update={"items": wanted.items}) if (r.kind, r.earlier, r.later) == same else r
        for r in unit.relations
    )
    return unit.model_copy(update={"relations": relations})


def threaded_at(unit: Unit, code: str) -> tuple[tuple[str, str], ...]:
    """Steps whose thing goes on first at one, each with what of it as written."""
    of = (r for r in unit.relations if r.later == code and r.kind is RelationKind.THREADED)
    return tuple((r.earlier, " ".join(r.items.split())) for r in of)


_OF_A_LINE = (RelationKind.MUST, RelationKind.BETTER, RelationKind.REFIT)


def goes_back_before(unit: Unit, code: str) -> tuple[str, ...]:
    """Codes of the steps that one is stated to go back before, for the way back alone."""
    return tuple(r.earlier for r in unit.relations if r.later == code and r.kind is RelationKind.REFIT)


def said_order(unit: Unit, code: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Codes of the steps stated as coming before one: those that must, and those that better do."""
    of = [r for r in unit.relations if r.later == code]
    return (
        tuple(r.earlier for r in of if r.kind is RelationKind.MUST),
        tuple(r.earlier for r in of if r.kind is RelationKind.BETTER),
    )


def _near(
    unit: Unit, code: str, order: Precedence, place: Mapping[str, int]
) -> tuple[tuple[Near, ...], tuple[Near, ...]]:
    """The direct neighbours: stated relations first, then what sub-assemblies and the recorded order add."""
    implied = implied_relations(unit)
    before: list[Near] = []
    waiting: list[Near] = []
    for r in unit.relations:
        if r.kind not in (RelationKind.TOGETHER, RelationKind.REFIT) and code in (r.earlier, r.later):
            at_end = r.later == code
            near = Near(r.earlier if at_end else r.later, str(r.kind), r, implied=r in implied)
            (before if at_end else waiting).append(near)
    said = {(r.earlier, r.later) for r in unit.relations if r.kind in HARD}
    for edge in order.edges:
        if (edge.earlier, edge.later) not in said:
            if edge.later == code:
                before.append(Near(edge.earlier, edge.why, None))
            elif edge.earlier == code:
                waiting.append(Near(edge.later, edge.why, None))

    def key(near: Near) -> tuple[bool, int]:
        return near.relation is None, place.get(near.code, len(place))

    return tuple(sorted(before, key=key)), tuple(sorted(waiting, key=key))


def _binding(near: Iterable[Near]) -> set[str]:
    """The neighbours that bind; “better before” and “threaded on before” only prefer."""
    return {n.code for n in near if n.relation is None or n.relation.kind in HARD}


def _following(edges: Iterable[Edge]) -> dict[str, list[str]]:
    following: dict[str, list[str]] = {}
    for edge in edges:
        following.setdefault(edge.earlier, []).append(edge.later)
    return following


def _reached(starts: Iterable[str], following: Mapping[str, Sequence[str]]) -> set[str]:
    """The starts and everything reached from them."""
    waiting, seen = list(starts), set(starts)
    while waiting:
        for code in following.get(waiting.pop(), ()):
            if code not in seen:
                seen.add(code)
                waiting.append(code)
    return seen


def _in_order(codes: Iterable[str], place: Mapping[str, int]) -> tuple[str, ...]:
    return tuple(sorted(codes, key=lambda c: place.get(c, len(place))))
