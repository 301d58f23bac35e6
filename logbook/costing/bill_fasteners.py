"""What is wanted of new fasteners: counted from the record, priced as a part, from a jar or in packs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import plain_number
from logbook.costing.bill_lines import consumable_line, part_line
from logbook.costing.bill_records import BillGroup, BillLine
from logbook.costing.consumption import NO_CASH, ConsumableNeed, consumption, usable_stock
from logbook.model.members import member_in_words
from logbook.model.replacements import (
    FastenerUse,
    by_kind,
    fastener_uses,
    parts_by_fastener,
    shared_out,
    uses_without_part,
)
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Source
from logbook.model.work import Part


def fastener_lines(
    unit: Unit, shop: Shop, needs: Iterable[ConsumableNeed], today: date | None = None
) -> Iterator[BillLine]:
    """A line for each kind of new fastener; a part that renews the kind is its line."""
    parts = parts_by_fastener(unit)
    consumables = {same_words(n.consumable): n for n in needs}
    for kind, of_kind in by_kind(fastener_uses(unit)).items():
        by_part, left = shared_out(parts.get(kind, ()), of_kind)
        for part, uses in by_part:
            yield replace(_part_line(part, uses), member=members_in_words(unit, uses))
        if left:
            line = _packed_line(left, consumables[kind]) if kind in consumables else _jar_line(left, shop, today)
            yield replace(line, member=members_in_words(unit, left))


def kinds_at_hand(unit: Unit, shop: Shop, today: date | None = None) -> frozenset[str]:
    """Kinds of new fasteners, as compared, that no part stands for and of which enough lie on the shelf."""
    without_part = uses_without_part(unit)
    codes = {p.code for p in unit.parts}
    lines = fastener_lines(unit, shop, consumption(unit, shop, today), today)
    at_hand = (same_words(line.name) for line in lines if line.here and line.code not in codes)
    return frozenset(kind for kind in at_hand if kind in without_part)


def _part_line(part: Part, uses: list[FastenerUse]) -> BillLine:
    """The line of a part that renews fasteners: counted from the record, priced as the part."""
    line = replace(part_line(part), group=BillGroup.FASTENER)
    if not uses:
        return line
    return replace(
        line,
        quantity=Decimal(sum(u.count for u in uses)),
        unit="",
        here=line.here or all(u.here for u in uses),
        used_in=tuple(dict.fromkeys((*(u.step for u in uses), *line.used_in))),
        how=f"{_uses_in_words(uses)}; {part.code}: {line.how}",
    )


def _packed_line(uses: Sequence[FastenerUse], need: ConsumableNeed) -> BillLine:
    """Fasteners that are sold in packs, or have a consumable of their own: bought like these."""
    return replace(
        consumable_line(need),
        group=BillGroup.FASTENER,
        name=uses[0].kind,
        quantity=Decimal(sum(u.count for u in uses)),
        unit="",
        used_in=tuple(dict.fromkeys(u.step for u in uses)),
        how="; ".join(filter(None, (_uses_in_words(uses), *need.problems))),
    )


def _jar_line(uses: Sequence[FastenerUse], shop: Shop, today: date | None) -> BillLine:
    """Fasteners from a jar, which costs nothing; what no jar holds has no price."""
    count = sum(u.count for u in uses)
    lying_ready = sum(u.count for u in uses if u.here)
    stock, notes = usable_stock(uses[0].kind, shop, today)
    here = Fraction(count - lying_ready) <= stock
    words = _uses_in_words(uses)
    if 0 < lying_ready < count:
        words += f"; {lying_ready} lie ready"
    if stock and lying_ready < count:
        words += f"; {plain_number(stock)} in the jar"
    return BillLine(
        group=BillGroup.FASTENER,
        code="",
        name=uses[0].kind,
        quantity=Decimal(count),
        unit="",
        source=Source.SHELF if here else Source.BUY,
        here=here,
        price=NO_CASH if here else None,
        used_in=tuple(dict.fromkeys(u.step for u in uses)),
        how=" ".join((words, *notes)),
    )


def _uses_in_words(uses: Iterable[FastenerUse]) -> str:
    return " + ".join(f"{u.count} {u.kind} {u.why} at {u.step}{for_members(u)}" for u in uses)


def for_members(use: FastenerUse) -> str:
    """The members that take it, behind what they take: ` for R`; empty when all do."""
    return f" for {' and '.join(use.members)}" if use.members else ""


def members_in_words(unit: Unit, uses: Sequence[FastenerUse]) -> str:
    """The members that fasteners are for, `right`; empty when some are for all."""
    if not all(use.members for use in uses):
        return ""
    codes = dict.fromkeys(code for use in uses for code in use.members)
    return " and ".join(member_in_words(unit.sets, code) for code in codes)
