"""Edges between steps: the order that they allow, or the circle that leaves none, drawn in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

from logbook.errors import CircleError
from logbook.model.words import RelationKind


class Edge(NamedTuple):
    """`earlier` comes off before `later`, and why that is so in a few words."""

    earlier: str
    later: str
    why: str


def topological(nodes: Iterable[str], pairs: Iterable[tuple[str, str]]) -> list[str] | None:
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


def circle_among(edges: Sequence[Edge], lump_of: Mapping[str, str]) -> CircleError:
    """The circle among the lumps or, when there is none, that inside one of them."""
    steps = {code for e in edges for code in (e.earlier, e.later)}
    whole = {code: lump_of.get(code, code) for code in steps}
    between = [e for e in edges if whole[e.earlier] != whole[e.later]]
    if topological(dict.fromkeys(whole.values()), [(whole[e.earlier], whole[e.later]) for e in between]) is None:
        return _circle(between, whole)
    within: dict[str, list[Edge]] = {}
    for e in edges:
        if whole[e.earlier] == whole[e.later]:
            within.setdefault(whole[e.earlier], []).append(e)
    inner = next(i for i in within.values() if topological(steps, [(e.earlier, e.later) for e in i]) is None)
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
    str(RelationKind.REFIT): "goes back after",
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
