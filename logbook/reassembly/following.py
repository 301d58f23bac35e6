"""The progress after a tick from the progress before it: only what the tick can have changed is worked out anew.

A tick of a line bears on the lines that follow it, on what goes back together with these, on waits, and on the audit.
So the time it takes does not grow with the list, except for looking it over once.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from heapq import heappop, heappush

from logbook.model.unit import Unit
from logbook.reassembly.readiness import Held, Progress
from logbook.reassembly.refit_records import LineKind, Readiness

_RUNNING = frozenset({"wait", "cure"})
"""Kinds of needs that end by themselves as time goes on."""


def follow(before: Progress, unit: Unit, now: datetime) -> Progress:
    """`Progress(unit, before.list, now)`, from an earlier progress of the same list.

    Args:
        before: the progress before ticks, readings or counts were changed.
        unit: the unit as it is now. When more than those has changed, everything is worked out anew.
        now: the moment, not before that of `before`; else everything is worked out anew.
    """
    after = Progress(unit, before.list, now, before=before)
    same = after.index is before.index and after.differences is before.differences
    if same and now >= before.now and now.utcoffset() == before.now.utcoffset():
        touched = lines_touched(before, after)
        needing = _needs_again(before, after, touched)
        moved = _held_up_again(before, after, needing)
        kept_back = _holds_again(before, after)
        _lines_again(before, after, touched, needing | moved | kept_back)
    return after


def lines_touched(before: Progress, after: Progress) -> frozenset[str]:
    """Keys of the lines of which a tick, a reading or a remark is another one."""
    a, b = before.states, after.states
    keys = [k for k in b if a.get(k) is not b[k]] + [k for k in a if k not in b]
    by_tick = after.list.by_tick
    return frozenset(by_tick[k].key for k in keys if k in by_tick and a.get(k) != b.get(k))


def _needs_again(before: Progress, after: Progress, touched: frozenset[str]) -> set[str]:
    """Put what is missing at each line into `after`; the keys of the lines where that is another than before."""
    lst, own = after.list, dict(before.own)
    waiting = [key for key, needs in own.items() if any(need.ident[0] in _RUNNING for need in needs)]
    cured = [follower for key in touched & lst.cures for follower in lst.followers[key]]
    again = {*touched, *waiting, *cured}
    for key in again:
        line = lst.by_key[key]
        if after.is_done(line):
            own.pop(key, None)
        else:
            own[key] = after.own_needs(line)
    after.own = own
    return {key for key in again if own.get(key) != before.own.get(key)}


def _held_up_again(before: Progress, after: Progress, needing: Iterable[str]) -> set[str]:
    """Put what holds each line up into `after`, from the lines `needing` on; the keys where it is another."""
    lst, found = after.list, dict(before.held_up)
    heap: list[int] = []
    waiting: set[int] = set()
    moved: set[str] = set()

    def look_at(keys: Iterable[str]) -> None:
        for key in keys:
            together = lst.by_key[key].together
            place = lst.places[together[0] if together else key]
            if place not in waiting:
                waiting.add(place)
                heappush(heap, place)

    look_at(needing)
    while heap:
        at = heappop(heap)
        lump = lst.lines[at : at + max(1, len(lst.lines[at].together))]
        for key, held in after.held_in(lump, found).items():
            if held != found[key]:
                found[key] = held
                moved.add(key)
                look_at(lst.followers[key])
        waiting.discard(at)
    after.held_up = found
    return moved


def _holds_again(before: Progress, after: Progress) -> set[str]:
    """Put what each line has to wait for at open hold points into `after`; the keys where it may be another."""
    if after.open_holds == before.open_holds:
        after.behind, after.behind_members = before.behind, before.behind_members
        return set()
    return {*before.behind, *after.behind}


def _lines_again(before: Progress, after: Progress, touched: frozenset[str], others: set[str]) -> None:
    """Put the readiness of every line into `after`."""
    lst = after.list
    near = {*touched, *others, *(f for key in touched for f in lst.followers[key])}
    near |= {mate for key in near for mate in lst.by_key[key].together}
    near |= {key for key, stands in before.lines.items() if stands.waits}
    near |= {line.key for line in lst.lines[-1:] if line.kind is LineKind.AUDIT and touched}
    lines: dict[str, Readiness] = dict(before.lines)
    held: dict[str, Held] = after.held_up
    for key in near:
        found = after.of(lst.by_key[key], in_reach=not held[key])
        if found != lines[key]:
            lines[key] = found
    after.lines = lines
