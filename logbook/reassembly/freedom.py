"""How free a record is: which lines wait for none of their fellows."""

from __future__ import annotations

from logbook.model.unit import Unit
from logbook.reassembly.counting import Sets
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.refit_records import RefitLine
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


def free_of(lst: RefitList, key: str) -> tuple[RefitLine, ...]:
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


def lines_after(lst: RefitList, key: str) -> tuple[RefitLine, ...]:
    """The lines that cannot be done before the line of that key, directly or through others, in the list's order."""
    found: set[str] = set()
    ahead = [key]
    while ahead:
        for follower in lst.followers[ahead.pop()]:
            if follower not in found:
                found.add(follower)
                ahead.append(follower)
    return tuple(line for line in lst.lines if line.key in found)
