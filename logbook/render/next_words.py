"""What is next for a unit, as its line on the bench says it: as typed, as it waits, or as work and list stand."""

from __future__ import annotations

import re
import weakref
from collections.abc import Iterator
from datetime import datetime, timedelta

from logbook.costing import from_shop
from logbook.errors import LogbookError
from logbook.model.plural import counted
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Unit
from logbook.model.words import AT_REST, Stage, WorkState
from logbook.model.work import Operation
from logbook.planning.usual_waits import with_usual_waits
from logbook.reassembly import Progress, first_to_do, refit_list
from logbook.teardown.operations_ready import readiness
from logbook.teardown.stage import next_action


def next_words(unit: Unit, shop: Shop, now: datetime) -> str:
    """What is next for a unit, in a few words: what somebody typed wins, with what has become of it since.

    Args:
        unit: whose line it is.
        shop: for the shelf, the usual waits, and its clock.
        now: the moment, timezone-aware.
    """
    now = shop_time(now, shop)
    said = next_action(unit, now.date())
    if unit.next_action.strip():
        remark = "" if unit.stage in AT_REST else next(_since_typed(with_usual_waits(unit, shop), now), "")
        return f"{said} ({remark})" if remark else said
    if unit.stage is Stage.REASSEMBLY and said.startswith("next:"):
        return f"next: {_of_the_list(unit, shop, now)}"
    return said


def is_of_a_moment(unit: Unit, shop: Shop, now: datetime) -> bool:
    """Whether what is next can be another thing soon with no change of the record: waits run out by themselves."""
    follows_work = bool(unit.next_action.strip() and unit.operations) or unit.stage is Stage.REASSEMBLY
    if unit.stage in AT_REST or not follows_work:
        return False
    moments = [m for o in unit.operations for m in (o.done_at, o.last_at, o.started_at)]
    moments += [line.at for line in unit.refit.lines]
    last = max((m for m in moments if m is not None), default=None)
    return last is not None and now - last <= timedelta(minutes=_longest_wait(unit, shop))


def _longest_wait(unit: Unit, shop: Shop) -> int:
    """Minutes of the longest wait after anything in the record, usual waits included."""
    waits = [w for o in with_usual_waits(unit, shop).operations for w in (o.wait, o.between) if w is not None]
    ends = [m for w in waits for m in (w.earliest, w.clamped, w.latest, w.after_sanding, w.wet) if m is not None]
    joints = [s.one_way.remake for s in unit.steps if s.one_way is not None and s.one_way.remake is not None]
    return max([*ends, *((remake.clamp or 0) + (remake.cure or 0) for remake in joints)], default=0)


def _since_typed(unit: Unit, now: datetime) -> Iterator[str]:
    """What has become of the work that a typed next names: done, or not yet and why."""
    typed = same_words(unit.next_action)
    codes = set(re.findall(r"\w+", unit.next_action.casefold()))
    named = [o for o in unit.operations if o.code.casefold() in codes or _named_alike(typed, same_words(o.name))]
    for operation in named[:1]:
        yield from _standing_of(unit, operation, now)
    planned = {s.code for s in unit.steps if s.planned}
    for step in unit.steps:
        if step.code.casefold() in codes and step.code not in planned and unit.stage is Stage.TEARDOWN:
            yield f"{step.code} is off already"


def _standing_of(unit: Unit, operation: Operation, now: datetime) -> Iterator[str]:
    if operation.state is WorkState.DONE:
        yield f"{operation.code} is done"
    elif operation.started_at is None and (blocked := readiness(unit, operation, now).blocked):
        yield f"not yet: {blocked}"


def _named_alike(typed: str, name: str) -> bool:
    """Whether the one begins with the other, word for word."""
    return f"{name} ".startswith(f"{typed} ") or f"{typed} ".startswith(f"{name} ")


_told: dict[int, tuple[weakref.ref[Unit], Shop, datetime, str]] = {}
_REMEMBERED = 500


def _of_the_list(unit: Unit, shop: Shop, now: datetime) -> str:
    """The first line that can be done, or what the list waits for; worked out once a minute for each record."""
    minute = now.replace(second=0, microsecond=0)
    known = _told.get(id(unit))
    if known is not None and known[0]() is unit and known[1] is shop and known[2] == minute:
        return known[3]
    try:
        listed = refit_list(unit, from_shop(unit, shop, now.date()))
    except LogbookError:
        return "reassembly: its relations go round in a circle"
    progress = Progress(unit, listed, now)
    standing = progress.standing()
    ready = first_to_do(progress)
    if standing.done == standing.total:
        said = "close it: every line is done" if standing.total else "reassembly, nothing is off yet"
    elif ready is not None:
        said = f"{ready.number} {ready.title}, {standing.done} of {counted(standing.total, 'line')} done"
    else:
        said = f"reassembly, no line is ready, {standing.done} of {standing.total} done"
        said += f"; {standing.frees[0]} would free {standing.frees[1]}" if standing.frees is not None else ""
    if len(_told) > _REMEMBERED:
        _told.clear()
    _told[id(unit)] = weakref.ref(unit), shop, minute, said
    return said
