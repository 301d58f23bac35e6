"""An order that is bound by some pairs and would rather keep others."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping, Sequence

_MOST_LOOKED_AT = 200_000
"""Pairs looked at in the search for contradictions; beyond it no further preference is added."""


def preferred_order(
    nodes: Sequence[str], hard: Iterable[tuple[str, str]], soft: Iterable[tuple[str, str]]
) -> list[str]:
    """The order nearest to that of `nodes` that keeps every hard pair and each soft one that contradicts no other.

    A pair is (sooner, later). `nodes` stand in an order that keeps the hard pairs, so only a soft pair that
    runs against it can close a circle and has to be tried.
    """
    place = {node: i for i, node in enumerate(nodes)}
    after: dict[str, set[str]] = {node: set() for node in nodes}
    for a, b in hard:
        after[a].add(b)
    against = []
    for a, b in soft:
        if place[a] < place[b]:
            after[a].add(b)
        else:
            against.append((a, b))
    looked_at = 0
    for a, b in against:
        reached, looked_at = _reaches(after, b, a, looked_at)
        if not reached:
            after[a].add(b)
    return _nearest_order(place, after)


def _reaches(after: Mapping[str, set[str]], start: str, goal: str, looked_at: int) -> tuple[bool, int]:
    """Whether a way leads from `start` to `goal`; taken to be so once very much has been looked at."""
    seen, ring = {start}, [start]
    while ring and looked_at < _MOST_LOOKED_AT:
        for node in after[ring.pop()]:
            looked_at += 1
            if node == goal:
                return True, looked_at
            if node not in seen:
                seen.add(node)
                ring.append(node)
    return bool(ring), looked_at


def _nearest_order(place: Mapping[str, int], after: Mapping[str, set[str]]) -> list[str]:
    """Of all orders that keep the pairs the one that takes the earliest by place first."""
    waits = dict.fromkeys(place, 0)
    for following in after.values():
        for b in following:
            waits[b] += 1
    heap = [(place[node], node) for node, count in waits.items() if count == 0]
    heapq.heapify(heap)
    order = []
    while heap:
        _, node = heapq.heappop(heap)
        order.append(node)
        for b in after[node]:
            waits[b] -= 1
            if waits[b] == 0:
                heapq.heappush(heap, (place[b], b))
    return order
