"""How free a record is: which lines wait for none of their fellows, and how many orders it allows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import comb

from logbook.errors import InputError
from logbook.model.precedence import precedence
from logbook.model.unit import Unit
from logbook.reassembly.counting import Sets
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.records import Line
from logbook.reassembly.sequence import sequence


def free_of_each_other(unit: Unit) -> tuple[tuple[str, ...], ...]:
    """Groups of lines, by key, of which none has to wait for another of its group.

    A line belongs to the group of its depth: the length of the longest way of lines that must be done
    before it (the lines of one depth are an antichain; Mirsky 1971). Lines alone at their depth are in no
    group. Groups and their lines are in the order of the list.

    Raises:
        CircleError: the relations go round in a circle.
    """
    depth: dict[str, int] = {}
    groups: dict[int, list[str]] = {}
    arrangement = sequence(unit, Sets(unit))
    for slot in arrangement.slots:
        depth[slot.key] = 1 + max((depth[key] for key in arrangement.follows[slot.key]), default=-1)
        groups.setdefault(depth[slot.key], []).append(slot.key)
    return tuple(tuple(keys) for _, keys in sorted(groups.items()) if len(keys) > 1)


def free_of(lst: RefitList, key: str) -> tuple[Line, ...]:
    """The lines that neither have to be done before the line of that key nor wait for it, in the order of the list."""
    bound = {key}
    for onward in (lambda k: lst.by_key[k].must_follow, lst.followers.__getitem__):
        ahead = [key]
        while ahead:
            for k in onward(ahead.pop()):
                if k not in bound:
                    bound.add(k)
                    ahead.append(k)
    return tuple(line for line in lst.lines if line.key not in bound)


def lines_after(lst: RefitList, key: str) -> tuple[Line, ...]:
    """The lines that cannot be done before the line of that key, directly or through others, in the list's order."""
    found: set[str] = set()
    ahead = [key]
    while ahead:
        for follower in lst.followers[ahead.pop()]:
            if follower not in found:
                found.add(follower)
                ahead.append(follower)
    return tuple(line for line in lst.lines if line.key in found)


def number_of_orders(unit: Unit, limit: int = 1_000_000) -> int:
    """In how many orders the unit could be taken apart; `limit` stands for that many or more.

    One means that the order is forced; the more, the freer the record. Steps that came out together count
    as one and, inside, in every order that their relations allow. Parts of the record that have nothing to
    do with each other are counted apart and interleaved (a binomial coefficient), so that only what is
    really tangled is counted order by order, and never further than `limit`.

    Raises:
        InputError: `limit` is below 1.
        CircleError: the relations go round in a circle.
    """
    if limit < 1:
        raise InputError(f"The count needs a limit of at least 1, not {limit}.")
    found = precedence(unit)
    name = {code: lump[0] for lump in found.lumps for code in lump}
    whole = {name.get(code, code): None for code in found.order}
    edges = [(name.get(e.earlier, e.earlier), name.get(e.later, e.later)) for e in found.edges]
    orders = _orders(list(whole), [(a, b) for a, b in edges if a != b], limit)
    for lump in found.lumps:
        inside = set(lump)
        within = [(e.earlier, e.later) for e in found.edges if e.earlier in inside and e.later in inside]
        orders = min(limit, orders * _orders(lump, within, limit))
    return orders


def _orders(nodes: Sequence[str], edges: Iterable[tuple[str, str]], limit: int) -> int:
    """Topological orders of `nodes`, which stand in one such order themselves; counted up to `limit`."""
    before: dict[str, set[str]] = {node: set() for node in nodes}
    for a, b in edges:
        before[b].add(a)
    orders, placed = 1, 0
    for part in _components(nodes, before):
        placed += len(part)
        orders = min(limit, orders * _at_most(limit, placed, len(part)))
        orders = min(limit, orders * _orders_of_one(part, before, limit))
    return orders


def _at_most(limit: int, n: int, k: int) -> int:
    """The ways of interleaving k with the other n - k, up to `limit`."""
    # For 0 < k < n the number is at least n, so a long record needs no huge number.
    return limit if 0 < k < n and n >= limit else min(limit, comb(n, k))


def _components(nodes: Sequence[str], before: Mapping[str, set[str]]) -> list[list[str]]:
    """The parts of the graph that no edge joins, each in the order of `nodes`."""
    root = {node: node for node in nodes}

    def find(node: str) -> str:
        while root[node] != node:
            root[node] = root[root[node]]
            node = root[node]
        return node

    for node in nodes:
        for other in before[node]:
            root[find(other)] = find(node)
    parts: dict[str, list[str]] = {}
    for node in nodes:
        parts.setdefault(find(node), []).append(node)
    return list(parts.values())


def _orders_of_one(part: Sequence[str], before: Mapping[str, set[str]], limit: int) -> int:
    """Orders of one connected part, by the sets of nodes that can have come off after each number of steps.

    A set is an integer with one bit for each node; for each are kept the ways of coming to it and what is
    free to come off next. Every way of beginning can be finished, so the ways of beginning never outnumber
    the orders, and the count may stop as soon as they reach `limit`.
    """
    place = {node: i for i, node in enumerate(part)}
    needs = [sum(1 << place[other] for other in before[node]) for node in part]
    if _by_depth(part, before, limit) >= limit:
        return limit
    after: list[list[int]] = [[] for _ in part]
    for node in part:
        for other in before[node]:
            after[place[other]].append(place[node])
    ways = {0: (1, sum(1 << i for i, mask in enumerate(needs) if not mask))}
    for _ in part:
        following: dict[int, tuple[int, int]] = {}
        for off, (count, free) in ways.items():
            rest = free
            while rest:
                bit = rest & -rest
                rest ^= bit
                now_off, now_free = off | bit, free ^ bit
                known = following.get(now_off)
                if known is not None:
                    following[now_off] = (known[0] + count, known[1])
                    continue
                for i in after[bit.bit_length() - 1]:
                    if needs[i] & now_off == needs[i]:
                        now_free |= 1 << i
                following[now_off] = (count, now_free)
        if sum(count for count, _ in following.values()) >= limit:
            return limit
        ways = following
    return sum(count for count, _ in ways.values())


def _by_depth(part: Sequence[str], before: Mapping[str, set[str]], limit: int) -> int:
    """Orders that take one depth after the other, each depth in any order: a lower bound, counted up to `limit`."""
    depth: dict[str, int] = {}
    for node in part:
        depth[node] = 1 + max((depth[other] for other in before[node]), default=-1)
    bound, seen = 1, dict[int, int]()
    for d in depth.values():
        seen[d] = seen.get(d, 0) + 1
        bound *= seen[d]
        if bound >= limit:
            return limit
    return bound
