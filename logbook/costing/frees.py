"""What a purchase would free: lines of the reassembly list and operations that wait for it and for nothing else."""

from __future__ import annotations

import weakref
from collections.abc import Mapping
from datetime import datetime

from logbook.costing.from_shop import from_shop
from logbook.costing.to_buy_records import BuyKind, FreedByPurchase, Parcel
from logbook.errors import LogbookError
from logbook.model.shop import Consumable, Shop
from logbook.model.shop_clock import shop_day
from logbook.model.unit import Unit
from logbook.model.words import Supply, WorkState
from logbook.reassembly import Progress, refit_list

Freeing = Mapping[tuple[str, str], tuple[str, ...]]
"""(“part” and its code, or “fastener” and its kind) to the lines and operations it would free."""

_known: dict[int, tuple[weakref.ref[Unit], tuple[Consumable, ...], datetime, Freeing]] = {}
"""The last answer for each record and shelf, by their identity: an edit of one unit leaves the others as they were."""


def freed_by(unit: Unit, shop: Shop, now: datetime) -> Freeing:
    """For each part and each kind of fastener that is not here, what becomes ready when it alone comes.

    Args:
        unit: whose list is looked at; one without a valid order frees nothing, its own screen says why.
        shop: the shelf, which may hold new fasteners.
        now: decides which waits still run; within an hour the answer is not computed again.
    """
    hour = now.replace(minute=0, second=0, microsecond=0)
    known = _known.get(id(unit))
    if known is not None and known[0]() is unit and known[1] is shop.shelf and known[2] == hour:
        return known[3]
    found = _freed(unit, shop, now)
    if len(_known) > 2000:
        _known.clear()
    _known[id(unit)] = weakref.ref(unit), shop.shelf, hour, found
    return found


def freed_by_parcel(
    parcel: Parcel, units: Mapping[str, Unit], shop: Shop, now: datetime
) -> tuple[FreedByPurchase, ...]:
    """What becomes ready when everything of a parcel is here that is needed in any case.

    More than its things alone would free one by one: what waits for two of them is ready with both.
    """
    codes: dict[str, set[str]] = {}
    for purchase in parcel.purchases:
        if purchase.kind is BuyKind.PART and not purchase.only_if:
            for share in purchase.shares:
                codes.setdefault(share.unit, set()).add(share.code)
    found = []
    for code, came in codes.items():
        unit = units[code]
        parts = tuple(p.model_copy(update={"supply": Supply.HERE}) if p.code in came else p for p in unit.parts)
        before, after = in_reach(unit, shop, now), in_reach(unit.model_copy(update={"parts": parts}), shop, now)
        if lines := tuple(x for x in after if x not in before):
            found.append(FreedByPurchase(code, lines))
    return tuple(found)


def in_reach(unit: Unit, shop: Shop, now: datetime) -> tuple[str, ...]:
    """Operations that lack no part, and lines that can be done with what is here, now or after others that can."""
    waiting = {p.code for p in unit.parts if p.supply is not Supply.HERE}
    todo = (o for o in unit.operations if o.state is WorkState.TO_DO)
    ready = [o.code for o in todo if not (o.needs and waiting.intersection(o.needs.parts))]
    try:
        listed = refit_list(unit, from_shop(unit, shop, shop_day(now, shop)))
        progress = Progress(unit, listed, now)
        held_up = progress.held_up
    except LogbookError:
        return tuple(ready)
    return (*ready, *(x.number for x in listed.lines if not held_up.get(x.key) and not progress.is_done(x)))


def _freed(unit: Unit, shop: Shop, now: datetime) -> Freeing:
    found: dict[tuple[str, str], list[str]] = {}
    waiting = {p.code for p in unit.parts if p.supply is not Supply.HERE}
    for operation in unit.operations:
        missing = [code for code in operation.needs.parts if code in waiting] if operation.needs else []
        if operation.state is WorkState.TO_DO and len(missing) == 1:
            found.setdefault(("part", missing[0]), []).append(operation.code)
    try:
        listed = refit_list(unit, from_shop(unit, shop, shop_day(now, shop)))
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
