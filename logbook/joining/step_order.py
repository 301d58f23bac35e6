"""In which order the things of a list stand after both sides moved, added and took out some."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import TypeVar

K = TypeVar("K")


def joined_order(
    before: Sequence[K], first: Sequence[K], second: Sequence[K], times: Mapping[K, datetime | None]
) -> list[K]:
    """Every thing of either list once.

    What was there before keeps its order, or the one that one side gave it (`second`, when both did). What is new
    stands behind what it stood behind on its side; where both put something there, the earlier comes first.

    Args:
        before: the things in common, as they stood.
        first: as they stand on one side.
        second: as they stand on the other.
        times: when each new thing happened; None when nobody said.
    """
    known = set(before)
    spine = _spine(before, first, second)
    one, other = _groups(first, known, set(spine)), _groups(second, known, set(spine))
    order: list[K] = []
    for anchor in (None, *spine):
        if anchor is not None:
            order.append(anchor)
        order += _by_time(one.get(anchor, []), other.get(anchor, []), times)
    return list(dict.fromkeys(order))


def _spine(before: Sequence[K], first: Sequence[K], second: Sequence[K]) -> list[K]:
    """The things that were there before and still are on either side, in the order that a side gave them."""
    known, one, other = set(before), set(first), set(second)
    both = one & other & known
    old, moved_first, moved_second = ([k for k in keys if k in both] for keys in (before, first, second))
    order = moved_second if moved_second != old else moved_first
    rest = [k for k in before if k in (one | other) and k not in both]
    for key in rest:  # taken out on one side only, and kept all the same: where it stood
        at = list(before).index(key)
        earlier = [k for k in before[:at] if k in order]
        order.insert(order.index(earlier[-1]) + 1 if earlier else 0, key)
    return order


def _groups(keys: Sequence[K], known: set[K], spine: set[K]) -> dict[K | None, list[K]]:
    """The new things behind each of the old ones; behind None what stands before all of them."""
    groups: dict[K | None, list[K]] = {}
    anchor: K | None = None
    for key in keys:
        if key in spine:
            anchor = key
        elif key not in known:
            groups.setdefault(anchor, []).append(key)
    return groups


def _by_time(first: Sequence[K], second: Sequence[K], times: Mapping[K, datetime | None]) -> list[K]:
    """Two lists as one: each keeps its own order, and of the next two the earlier comes first."""
    one, other = list(first), list(second)
    order: list[K] = []
    while one and other:
        here, there = _next_time(one, times), _next_time(other, times)
        second_is_earlier = here is not None and there is not None and there < here
        order.append(other.pop(0) if second_is_earlier else one.pop(0))
    return order + one + other


def _next_time(keys: Sequence[K], times: Mapping[K, datetime | None]) -> datetime | None:
    """When the next of these happened; of one that says nothing, the time of the one behind it."""
    return next((at for key in keys if (at := times.get(key)) is not None), None)
