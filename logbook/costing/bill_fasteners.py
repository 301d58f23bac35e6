"""The lines of the bill that stand for fasteners: counted from the record, priced as a part, from a jar or in packs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

from logbook.costing.amounts import plain_number, same_words
from logbook.costing.bill_lines import consumable_line, part_line
from logbook.costing.bill_records import BillGroup, BillLine
from logbook.costing.consumption import Need
from logbook.costing.fastener_need import FastenerUse, by_kind
from logbook.costing.wanted import shelf_by_name
from logbook.model.shop import Consumable, Shop
from logbook.model.unit import Unit
from logbook.model.words import Source
from logbook.model.work import Part


def fastener_lines(unit: Unit, shop: Shop, uses: Iterable[FastenerUse], needs: Iterable[Need]) -> Iterator[BillLine]:
    """A line for each kind of fastener; a part that renews the kind is its line."""
    shelf = shelf_by_name(shop)
    consumables = {same_words(n.consumable): n for n in needs}
    for kind, of_kind in by_kind(uses).items():
        parts = [p for p in unit.parts if p.fastener and same_words(p.fastener) == kind]
        left = of_kind
        for i, part in enumerate(parts):
            # The last part of a kind takes what no part claimed by its steps, so that no fastener has two lines.
            last = i == len(parts) - 1
            mine: list[FastenerUse] = []
            rest: list[FastenerUse] = []
            for use in left:
                (mine if last or not part.for_steps or use.step in part.for_steps else rest).append(use)
            left = rest
            yield _part_line(part, mine)
        if left:
            yield _fastener_line(left, shelf.get(kind), consumables.get(kind))


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


def _fastener_line(uses: list[FastenerUse], jar: Consumable | None, need: Need | None) -> BillLine:
    """The line of fasteners that no part stands for; a jar on the shelf that holds enough makes them here."""
    count = sum(u.count for u in uses)
    here = sum(u.count for u in uses if u.here)
    in_jar = jar is not None and jar.stock >= count - here
    words = _uses_in_words(uses)
    if here and here < count:
        words += f"; {here} lie ready"
    if jar is not None and here < count:
        words += f"; {plain_number(jar.stock)} in the jar"
    ready = here == count or in_jar
    priced = consumable_line(need) if need is not None else None
    plain = BillLine(
        group=BillGroup.FASTENER,
        code="",
        name=uses[0].kind,
        quantity=Decimal(count),
        unit="",
        source=None,
        here=ready,
        price=None,
        price_on=None,
        seller="",
        pack="",
        used_in=(),
        how="",
    )
    return replace(
        priced or plain,
        group=BillGroup.FASTENER,
        name=uses[0].kind,
        quantity=Decimal(count),
        unit="",
        source=Source.SHELF if ready else Source.BUY,
        here=ready,
        used_in=tuple(dict.fromkeys(u.step for u in uses)),
        how=words,
    )


def _uses_in_words(uses: Iterable[FastenerUse]) -> str:
    return " + ".join(f"{u.count} {u.kind} {u.why} at {u.step}" for u in uses)
