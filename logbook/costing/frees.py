"""What a purchase would free: lines of the reassembly list and operations that wait for it and for nothing else."""

from __future__ import annotations

import weakref
from collections.abc import Mapping
from datetime import datetime

from logbook.errors import LogbookError
from logbook.model.unit import Unit
from logbook.model.words import Supply, WorkState
from logbook.reassembly import Progress, refit_list

Freeing = Mapping[tuple[str, str], tuple[str, ...]]
"""(“part” and its code, or “fastener” and its kind) to the lines and operations it would free."""

_known: dict[int, tuple[weakref.ref[Unit], datetime, Freeing]] = {}
"""The last answer for each record, by its identity: an edit of one unit leaves the others as they were."""


def freed_by(unit: Unit, now: datetime) -> Freeing:
    """For each part and each kind of fastener that is not here, what becomes ready when it alone comes.

    Args:
        unit: whose list is looked at; one without a valid order frees nothing, its own screen says why.
        now: decides which waits still run; within an hour the answer is not computed again.
    """
    hour = now.replace(minute=0, second=0, microsecond=0)
    known = _known.get(id(unit))
    if known is not None and known[0]() is unit and known[1] == hour:
        return known[2]
    found = _freed(unit, now)
    if len(_known) > 2000:
        _known.clear()
    _known[id(unit)] = weakref.ref(unit), hour, found
    return found


def _freed(unit: Unit, now: datetime) -> Freeing:
    found: dict[tuple[str, str], list[str]] = {}
    waiting = {p.code for p in unit.parts if p.supply is not Supply.HERE}
    for operation in unit.operations:
        missing = [code for code in operation.needs.parts if code in waiting] if operation.needs else []
        if operation.state is WorkState.TO_DO and len(missing) == 1:
            found.setdefault(("part", missing[0]), []).append(operation.code)
    try:
        listed = refit_list(unit)
        held_up = Progress(unit, listed, now).held_up
    except LogbookError:
        return {key: tuple(codes) for key, codes in found.items()}
    for line in listed.lines:
        needs = held_up.get(line.key) or {}
        if len(needs) == 1:
            ((ident, need),) = needs.items()
            if need.one and len(ident) == 2 and ident[0] in ("part", "fastener"):
                found.setdefault((ident[0], ident[1]), []).append(line.number)
    return {key: tuple(codes) for key, codes in found.items()}
