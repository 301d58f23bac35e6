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

import heapq
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from logbook.errors import CircleError
from logbook.model.step import Relation
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind

HARD = frozenset({RelationKind.MUST, RelationKind.LOOSEN, RelationKind.TEST})
"""Kinds that the reassembly list must respect."""

Key = tuple[int, ...]


class Edge(NamedTuple):
    """`earlier` comes off before `later`, and why that is so in a few words."""

    earlier: str
    later: str
    why: str


class Precedence(NamedTuple):
    """The order of a teardown and what it rests on."""

    order: tuple[str, ...]
    """Step codes as taken off: the recorded order, moved only where a relation asks for it."""
    stated: tuple[Edge, ...]
    """Hard relations that somebody stated, and those of sub-assemblies."""
    proven: tuple[Edge, ...]
    """What the recorded order adds for steps about which nothing was stated."""
    better: tuple[Edge, ...]
    """Relations that only prefer."""
    lumps: tuple[tuple[str, ...], ...]
    """Steps that came out together, each lump in order."""

    @property
    def edges(self) -> tuple[Edge, ...]:
        """Every edge that the reversed list respects."""
        return self.stated + self.proven


def stated_edges(unit: Unit, extra: Relation | None = None) -> tuple[Edge, ...]:
    """The hard edges that were stated, with those of sub-assemblies; `extra` is tried as if it were kept."""
    relations: Iterable[Relation] = unit.relations if extra is None else (*unit.relations, extra)
    edges = [Edge(r.earlier, r.later, str(r.kind)) for r in relations if r.kind in HARD]
    came_out = {s.code: s.came_out_at for s in unit.sub_assemblies}
    edges += [
        Edge(came_out[s.inside], s.code, "came out with")
        for s in unit.steps
        if s.inside in came_out and came_out[s.inside] != s.code
    ]
    return tuple(dict.fromkeys(edges))


def precedence(unit: Unit, extra: Relation | None = None) -> Precedence:
    """The order of a unit's teardown.

    Raises:
        CircleError: the relations form a circle; the sentence draws it and `steps` names it.
    """
    codes = tuple(s.code for s in unit.steps)
    known = frozenset(codes)
    stated = tuple(e for e in stated_edges(unit, extra) if e.earlier in known and e.later in known)
    relations = unit.relations if extra is None else (*unit.relations, extra)
    lump_of = _lumps(codes, relations)
    keys = _keys(unit)
    order = _ordered(codes, stated, lump_of, keys)
    members: dict[str, list[str]] = {}
    for code in order:
        members.setdefault(lump_of[code], []).append(code)
    better = tuple(
        Edge(r.earlier, r.later, str(r.kind))
        for r in relations
        if r.kind is RelationKind.BETTER and r.still_protects and {r.earlier, r.later} <= known
    )
    lumps = tuple(tuple(m) for m in members.values() if len(m) > 1)
    return Precedence(order, stated, _proven_edges(unit, order, stated), better, lumps)


def circle_closed_by(unit: Unit, relation: Relation) -> CircleError | None:
    """The circle that keeping `relation` would close, or None when it closes none."""
    if relation.earlier == relation.later:
        return CircleError(f"{relation.earlier} cannot come before itself.", (relation.earlier,))
    try:
        precedence(unit, relation)
    except CircleError as error:
        return error
    return None


def _lumps(codes: Sequence[str], relations: Iterable[Relation]) -> dict[str, str]:
    """For each step the first step of its lump (itself, when it came out alone)."""
    root = {code: code for code in codes}

    def find(code: str) -> str:
        while root[code] != code:
            root[code] = root[root[code]]
            code = root[code]
        return code

    place = {code: i for i, code in enumerate(codes)}
    for r in relations:
        if r.kind is RelationKind.TOGETHER and r.earlier in root and r.later in root:
            a, b = sorted((find(r.earlier), find(r.later)), key=place.__getitem__)
            root[b] = a
    return {code: find(code) for code in codes}


def _keys(unit: Unit) -> dict[str, Key]:
    """Where each step stands in the record; a step inside a sub-assembly stands right after its lump came out."""
    place = {s.code: i for i, s in enumerate(unit.steps)}
    if not unit.sub_assemblies:
        return {code: (i,) for code, i in place.items()}
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
    return keys


def _ordered(
    codes: Sequence[str], edges: Sequence[Edge], lump_of: Mapping[str, str], keys: Mapping[str, Key]
) -> tuple[str, ...]:
    """The topological order nearest to the record, lumps kept whole."""
    recorded = sorted(codes, key=keys.__getitem__)
    place = {code: i for i, code in enumerate(recorded)}
    if all(place[e.earlier] < place[e.later] for e in edges) and all(lump == code for code, lump in lump_of.items()):
        return tuple(recorded)  # nothing stated moves anything, as in most records
    members: dict[str, list[str]] = {}
    for code in codes:
        members.setdefault(lump_of[code], []).append(code)
    between = [(lump_of[e.earlier], lump_of[e.later]) for e in edges if lump_of[e.earlier] != lump_of[e.later]]
    within: dict[str, list[Edge]] = {}
    for e in edges:
        if lump_of[e.earlier] == lump_of[e.later]:
            within.setdefault(lump_of[e.earlier], []).append(e)
    lump_place = {lump: min(map(place.__getitem__, ms)) for lump, ms in members.items()}
    lumps = _topological(members, between, lump_place)
    if lumps is None:
        raise _circle([e for e in edges if lump_of[e.earlier] != lump_of[e.later]], lump_of)
    order: list[str] = []
    for lump in lumps:
        inner = within.get(lump, [])
        if len(members[lump]) == 1 and not inner:
            order += members[lump]
            continue
        inside = _topological(members[lump], [(e.earlier, e.later) for e in inner], place)
        if inside is None:
            raise _circle(inner, {m: m for m in members[lump]})
        order += inside
    return tuple(order)


def _topological(nodes: Iterable[str], edges: Iterable[tuple[str, str]], place: Mapping[str, int]) -> list[str] | None:
    """Nodes in the order nearest to their places that respects the edges; None when there is a circle."""
    waits: dict[str, int] = dict.fromkeys(nodes, 0)
    after: dict[str, list[str]] = {}
    for a, b in edges:
        after.setdefault(a, []).append(b)
        waits[b] += 1
    heap = [(place[n], n) for n, count in waits.items() if count == 0]
    heapq.heapify(heap)
    order: list[str] = []
    while heap:
        _, node = heapq.heappop(heap)
        order.append(node)
        for b in after.get(node, ()):
            waits[b] -= 1
            if waits[b] == 0:
                heapq.heappush(heap, (place[b], b))
    return order if len(order) == len(waits) else None


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
