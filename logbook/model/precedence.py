"""The order between steps: which relations bind, whether they close a circle, and the order that results.

A restorer asks of every part what holds it and what is in the way. Relations answer that. Three kinds
order the teardown and so, reversed, the refit: “must come off before”, “loosen first, remove later” and
“test before covering”. “Together” makes one lump that nothing comes between. “Better before” only
prefers, and “threaded on before” brings a part of one step forward in the refit without moving steps.

A step about which nothing was stated keeps its recorded place: it follows all that came off before it,
because that order is proven. A reversal exists exactly when there is no circle (Mascle and Balasoiu 2003;
Lambert 2003, assembly as reverse disassembly).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from heapq import heappop, heappush
from operator import attrgetter
from typing import NamedTuple

from logbook.errors import CircleError
from logbook.model.step import Relation
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind

HARD = frozenset({RelationKind.MUST, RelationKind.LOOSEN, RelationKind.TEST})
"""Kinds that the reassembly list must respect."""

Key = tuple[int, ...]
Lumps = tuple[tuple[str, ...], ...]


class Edge(NamedTuple):
    """`earlier` comes off before `later`, and why that is so in a few words."""

    earlier: str
    later: str
    why: str


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
        raise _circle_in([e for e in _edges(unit, relations) if e.earlier in place and e.later in place], lump_of)
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
                return _topological(place, pairs)
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
    lumps = _topological(members, between)
    parts = {lump: _topological(members[lump], inner) for lump, inner in within.items()}
    order: list[str] = []
    for lump in lumps or ():
        part = parts.get(lump, members[lump])
        if part is None:
            return None
        order += part
    return None if lumps is None else order


def _topological(nodes: Iterable[str], pairs: Iterable[tuple[str, str]]) -> list[str] | None:
    """Nodes in the order nearest to the one they are given in that respects the pairs; None when there is a circle."""
    names = list(nodes)
    number = {name: i for i, name in enumerate(names)}
    after: list[list[int]] = [[] for _ in names]
    waits = [0] * len(names)
    for earlier, later in pairs:
        n = number[later]
        after[number[earlier]].append(n)
        waits[n] += 1
    heap = [n for n, count in enumerate(waits) if count == 0]  # ascending, and so a heap already
    order: list[str] = []
    while heap:
        node = heappop(heap)
        order.append(names[node])
        for n in after[node]:
            left = waits[n] = waits[n] - 1
            if left == 0:
                heappush(heap, n)
    return order if len(order) == len(names) else None


def _circle_in(edges: Sequence[Edge], lump_of: Mapping[str, str]) -> CircleError:
    """The circle among the lumps or, when there is none, that inside one of them."""
    steps = {code for e in edges for code in (e.earlier, e.later)}
    whole = {code: lump_of.get(code, code) for code in steps}
    between = [e for e in edges if whole[e.earlier] != whole[e.later]]
    if _topological(dict.fromkeys(whole.values()), [(whole[e.earlier], whole[e.later]) for e in between]) is None:
        return _circle(between, whole)
    within: dict[str, list[Edge]] = {}
    for e in edges:
        if whole[e.earlier] == whole[e.later]:
            within.setdefault(whole[e.earlier], []).append(e)
    inner = next(i for i in within.values() if _topological(steps, [(e.earlier, e.later) for e in i]) is None)
    return _circle(inner, {code: code for code in steps})


def _circle(edges: Sequence[Edge], lump_of: Mapping[str, str]) -> CircleError:
    """A short way round a circle among these edges, drawn in words: the shortest, unless the record is huge."""
    after: dict[str, list[Edge]] = {}
    for e in edges:
        after.setdefault(lump_of[e.earlier], []).append(e)
    best = _some_circle(edges, lump_of)
    looked_at = 0
    for start in dict.fromkeys((*(lump_of[e.earlier] for e in best), *after)):
        if looked_at > _MOST_LOOKED_AT:
            break
        way, edges_seen = _shortest_round(start, after, lump_of, limit=len(best) - 1)
        looked_at += edges_seen
        best = way or best
    words = [f"{e.earlier} {_VERB.get(e.why, e.why)} {e.later}" for e in best]
    joined = [
        f"{a.later} came out together with {b.earlier}"
        for a, b in zip(best, [*best[1:], best[0]], strict=True)
        if a.later != b.earlier
    ]
    steps = tuple(dict.fromkeys(s for e in best for s in (e.earlier, e.later)))
    return CircleError("These relations go round in a circle: " + ", and ".join(words + joined) + ".", steps)


_MOST_LOOKED_AT = 200_000
"""Edges looked at for a shorter circle, so that a mistake in a huge record is still said at once."""


def _some_circle(edges: Sequence[Edge], lump_of: Mapping[str, str]) -> list[Edge]:
    """Any circle: what cannot be ordered always has something before it, so going back comes round again."""
    waits: dict[str, int] = {}
    after: dict[str, list[str]] = {}
    for e in edges:
        after.setdefault(lump_of[e.earlier], []).append(lump_of[e.later])
        waits[lump_of[e.later]] = waits.get(lump_of[e.later], 0) + 1
    free = [node for node in after if node not in waits]
    while free:
        for b in after.pop(free.pop(), ()):
            waits[b] -= 1
            if waits[b] == 0:
                del waits[b]
                free.append(b)
    before = {lump_of[e.later]: e for e in edges if lump_of[e.earlier] in waits and lump_of[e.later] in waits}
    node = next(iter(before))
    came: dict[str, Edge] = {}
    while node not in came:
        came[node] = before[node]
        node = lump_of[before[node].earlier]
    way = [came[node]]
    while lump_of[way[-1].earlier] != node:
        way.append(came[lump_of[way[-1].earlier]])
    return way[::-1]


_VERB = {
    str(RelationKind.MUST): "must come off before",
    str(RelationKind.LOOSEN): "is loosened before",
    str(RelationKind.TEST): "covers and so came off before",
    "came out with": "brought out",
}


def _shortest_round(
    start: str, after: Mapping[str, Sequence[Edge]], lump_of: Mapping[str, str], limit: int
) -> tuple[list[Edge] | None, int]:
    """The shortest way from `start` back to itself of at most `limit` edges, and how many edges were looked at."""
    came: dict[str, Edge] = {}
    ring, depth, seen = [start], 0, 0
    while ring and depth < limit:
        depth += 1
        following: list[str] = []
        for node in ring:
            for edge in after.get(node, ()):
                seen += 1
                to = lump_of[edge.later]
                if to == start:
                    way = [edge]
                    while lump_of[way[-1].earlier] != start:
                        way.append(came[lump_of[way[-1].earlier]])
                    return way[::-1], seen
                if to not in came:
                    came[to] = edge
                    following.append(to)
        ring = following
    return None, seen


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
