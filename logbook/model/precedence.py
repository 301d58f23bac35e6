"""The order between steps: which relations bind, whether they close a circle, and the order that results.

A restorer asks of every part what holds it and what is in the way. Relations answer that. Three kinds
order the teardown and so, reversed, the refit: “must come off before”, “loosen first, remove later” and
“test before covering”. “Together” makes one lump that nothing comes between. “Better before” only
prefers, and “threaded on before” brings a part of one step forward in the refit without moving steps.

“Goes back after” binds the way back alone: it moves a step in the reversed list, whatever order was recorded.

A step about which nothing was stated keeps its recorded place: it follows all that came off before it,
because that order is proven. A reversal exists exactly when there is no circle (Mascle and Balasoiu 2003;
Lambert 2003, assembly as reverse disassembly).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from operator import attrgetter

from logbook.errors import CircleError
from logbook.model.edges import Edge, circle_among, topological
from logbook.model.step import Relation
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind

HARD = frozenset({RelationKind.MUST, RelationKind.LOOSEN, RelationKind.TEST, RelationKind.REFIT})
"""Kinds that the reassembly list must respect."""

Key = tuple[int, ...]
Lumps = tuple[tuple[str, ...], ...]


Row = tuple[RelationKind, str, str]
"""A relation without its words: kind, earlier, later."""
_row = attrgetter("kind", "earlier", "later")


class Precedence:
    """The order of a teardown and what it rests on; the edges get their words when somebody asks for them."""

    def __init__(self, unit: Unit, relations: Iterable[Relation], order: Sequence[str], lumps: Lumps) -> None:
        self._unit = unit
        self._relations = relations
        self.order: tuple[str, ...] = tuple(order)
        """Step codes as taken off: the recorded order, moved only where a relation asks for it."""
        self.lumps = lumps
        """Steps that came out together, each lump in order."""

    @cached_property
    def stated(self) -> tuple[Edge, ...]:
        """Hard relations that somebody stated, and those of sub-assemblies."""
        known = set(self.order)
        return tuple(e for e in _edges(self._unit, self._relations) if e.earlier in known and e.later in known)

    @cached_property
    def proven(self) -> tuple[Edge, ...]:
        """What the recorded order adds for steps about which nothing was stated."""
        return _proven_edges(self._unit, self.order, self.stated)

    @cached_property
    def better(self) -> tuple[Edge, ...]:
        """Relations that only prefer."""
        known = set(self.order)
        return tuple(
            Edge(r.earlier, r.later, str(r.kind))
            for r in self._relations
            if r.kind is RelationKind.BETTER and r.still_protects and r.earlier in known and r.later in known
        )

    @property
    def edges(self) -> tuple[Edge, ...]:
        """Every edge that the reversed list respects."""
        return self.stated + self.proven


def without_way_back(unit: Unit) -> Unit:
    """The unit with the relations that bind the teardown, without those of the way back alone."""
    binding = tuple(r for r in unit.relations if r.kind is not RelationKind.REFIT)
    return unit if len(binding) == len(unit.relations) else unit.model_copy(update={"relations": binding})


def stated_edges(unit: Unit) -> tuple[Edge, ...]:
    """The hard edges that were stated, with those of sub-assemblies, also where a step that they name is not there."""
    return _edges(unit, unit.relations)


def _edges(unit: Unit, relations: Iterable[Relation]) -> tuple[Edge, ...]:
    rows = map(_row, relations)
    edges = [Edge(earlier, later, _WORDS[kind]) for kind, earlier, later in rows if kind in HARD]
    edges += [Edge(earlier, later, "came out with") for earlier, later in _came_out_with(unit)]
    return tuple(dict.fromkeys(edges))


_WORDS = {kind: str(kind) for kind in RelationKind}


def _came_out_with(unit: Unit) -> Iterator[tuple[str, str]]:
    """For every step of a sub-assembly the step at which the whole came out, and itself."""
    came_out = {s.code: s.came_out_at for s in unit.sub_assemblies}
    if came_out:
        for s in unit.steps:
            if s.inside in came_out and came_out[s.inside] != s.code:
                yield came_out[s.inside], s.code


def precedence(unit: Unit, extra: Relation | None = None) -> Precedence:
    """The order of a unit's teardown; `extra` is tried as if it were kept.

    Raises:
        CircleError: the relations form a circle; the sentence draws it and `steps` names it.
    """
    relations: Sequence[Relation] = unit.relations if extra is None else (*unit.relations, extra)
    place = _places(unit)
    rows: list[Row] = [row for row in map(_row, relations) if row[1] in place and row[2] in place]
    pairs = [(earlier, later) for kind, earlier, later in rows if kind in HARD]
    pairs += [(earlier, later) for earlier, later in _came_out_with(unit) if earlier in place]
    lump_of = _lumps(place, rows)
    order = _ordered(place, pairs, lump_of)
    if order is None:
        raise circle_among([e for e in _edges(unit, relations) if e.earlier in place and e.later in place], lump_of)
    members: dict[str, list[str]] = {}
    for code in order if lump_of else ():
        if code in lump_of:
            members.setdefault(lump_of[code], []).append(code)
    return Precedence(unit, relations, order, tuple(map(tuple, members.values())))


def circle_closed_by(unit: Unit, relation: Relation) -> CircleError | None:
    """The circle that keeping `relation` would close, or None when it closes none."""
    if relation.earlier == relation.later:
        return CircleError(f"{relation.earlier} cannot come before itself.", (relation.earlier,))
    try:
        precedence(unit, relation)
    except CircleError as error:
        return error
    return None


def _lumps(place: Mapping[str, int], rows: Iterable[Row]) -> dict[str, str]:
    """For each step that came out together with others the first step of its lump."""
    root: dict[str, str] = {}

    def find(code: str) -> str:
        while (up := root.setdefault(code, code)) != code:
            root[code] = code = root[up]
        return code

    for kind, earlier, later in rows:
        if kind is RelationKind.TOGETHER and earlier != later:
            first, second = sorted((find(earlier), find(later)), key=place.__getitem__)
            root[second] = first
    return {code: find(code) for code in tuple(root)}


def _places(unit: Unit) -> dict[str, int]:
    """Where each step stands in the record, counted; one inside a sub-assembly stands right after its lump came out."""
    place = {s.code: i for i, s in enumerate(unit.steps)}
    if not unit.sub_assemblies:
        return place
    inside = {s.code: s.inside for s in unit.steps}
    came_out = {s.code: s.came_out_at for s in unit.sub_assemblies}
    keys: dict[str, Key] = {}
    for code in place:
        path, at, seen = [place[code]], code, {code}
        while (parent := came_out.get(inside[at])) is not None and parent in place and parent not in seen:
            path.append(place[parent])
            seen.add(parent)
            at = parent
        keys[code] = tuple(reversed(path))
    return {code: i for i, code in enumerate(sorted(place, key=keys.__getitem__))}


def _ordered(
    place: Mapping[str, int], pairs: Sequence[tuple[str, str]], lump_of: Mapping[str, str]
) -> list[str] | None:
    """The topological order nearest to the record, lumps kept whole; None when there is a circle."""
    if not lump_of:
        for earlier, later in pairs:
            if place[earlier] >= place[later]:
                return topological(place, pairs)
        return list(place)  # nothing stated moves anything, as in most records
    members: dict[str, list[str]] = {}
    for code in place:
        members.setdefault(lump_of.get(code, code), []).append(code)
    between: list[tuple[str, str]] = []
    within: dict[str, list[tuple[str, str]]] = {}
    for earlier, later in pairs:
        a, b = lump_of.get(earlier, earlier), lump_of.get(later, later)
        if a == b:
            within.setdefault(a, []).append((earlier, later))
        else:
            between.append((a, b))
    lumps = topological(members, between)
    parts = {lump: topological(members[lump], inner) for lump, inner in within.items()}
    order: list[str] = []
    for lump in lumps or ():
        part = parts.get(lump, members[lump])
        if part is None:
            return None
        order += part
    return None if lumps is None else order


def _proven_edges(unit: Unit, order: Sequence[str], stated: Sequence[Edge]) -> tuple[Edge, ...]:
    """For each step about which nothing was stated: it follows all that came off before it in its own scope.

    Only the edges that say something new are given: from the steps that nothing follows yet.
    """
    steps = {s.code: s for s in unit.steps}
    if all(s.order is OrderBasis.STATED for s in unit.steps):
        return ()
    came_out = {s.code: s.came_out_at for s in unit.sub_assemblies if s.came_out_at in steps}
    before: dict[str, set[str]] = {}
    for e in stated:
        before.setdefault(e.later, set()).add(e.earlier)
    last: dict[str, dict[str, None]] = {}
    edges: list[Edge] = []
    for code in order:
        scope = steps[code].inside if steps[code].inside in came_out else ""
        open_ends = last.setdefault(scope, {came_out[scope]: None} if scope and came_out[scope] != code else {})
        if steps[code].order is OrderBasis.PROVEN:
            edges += [Edge(e, code, "came off before, as recorded") for e in open_ends if e not in before.get(code, ())]
            open_ends.clear()
        else:
            for earlier in before.get(code, ()):
                open_ends.pop(earlier, None)
        open_ends[code] = None
    return tuple(edges)
