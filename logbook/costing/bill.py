"""The bill of materials: everything the rebuild and the refit take, with quantity, source and price.

Each thing stands on one line. A part that renews a kind of fastener, or stands for a component, is that
fastener's or component's line and not a second one. A price that is not known is None, never zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.costing.amounts import plain_number, rounded, same_words
from logbook.costing.consumption import NO_CASH, Need, consumption
from logbook.costing.fastener_need import FastenerUse, by_kind, fastener_uses
from logbook.costing.material_need import MaterialNeed, material_needs
from logbook.model.measures import Estimate
from logbook.model.shop import Consumable, Shop
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Source, Supply
from logbook.model.work import Part


class BillGroup(StrEnum):
    """The groups of the bill, in the order in which they stand."""

    COMPONENT = "components to renew or repair"
    FASTENER = "fasteners"
    PANEL = "panels"
    LEAF = "veneer"
    STRIP = "strips and blocks"
    CONSUMABLE = "consumables"
    PART = "parts"
    MADE = "newly made"
    OTHER = "other costs"


@dataclass(frozen=True, slots=True)
class BillLine:
    """One thing of the bill."""

    group: BillGroup
    code: str
    """Code in the record of a part, component, consumable or cost; empty for what is summed up."""
    name: str
    quantity: Decimal | None
    """In `unit`, to four places; None while it cannot be computed."""
    unit: str
    """Empty for pieces."""
    source: Source | None
    here: bool
    """All of it is here; nothing has to be got."""
    price: Estimate | None
    """Cash for the line; None is unpriced, shown as “?”."""
    price_on: date | None
    seller: str
    pack: str
    used_in: tuple[str, ...]
    """Codes of the steps, panels or components that it is for."""
    how: str
    """How the quantity was computed, in a sentence."""
    conditional: str = ""
    """The condition under which it is needed; empty: in any case."""


@dataclass(frozen=True, slots=True)
class BillOfMaterials:
    """The whole bill of a unit."""

    lines: tuple[BillLine, ...]
    machine_minutes: int
    """Machine time of the parts still to be made."""

    def of(self, group: BillGroup) -> tuple[BillLine, ...]:
        """The lines of one group, in order."""
        return tuple(x for x in self.lines if x.group is group)

    @property
    def to_get(self) -> tuple[BillLine, ...]:
        """The lines of which something is not here."""
        return tuple(x for x in self.lines if not x.here)


def bill_of_materials(unit: Unit, shop: Shop, today: date | None = None) -> BillOfMaterials:
    """The bill of materials of a unit.

    Args:
        unit: whose record is worked through.
        shop: the shelf and the pile, which say what is here.
        today: opened stock past its shelf life is not counted as here. Without a date nothing is too old.
    """
    uses = tuple(fastener_uses(unit))
    kinds = {same_words(u.kind) for u in uses}
    needs = consumption(unit, shop, today)
    renewing = {p.code for p in unit.parts if same_words(p.fastener) in kinds and p.fastener}
    lines = [
        *_components(unit),
        *_fasteners(unit, shop, uses, needs),
        *(_material(n) for n in material_needs(unit, shop)),
        *(_consumable(n) for n in needs if same_words(n.consumable) not in kinds),
        *(_part(p) for p in unit.parts if p.code not in renewing),
        *_other(unit),
    ]
    order = list(BillGroup)
    return BillOfMaterials(
        lines=tuple(sorted(lines, key=lambda x: order.index(x.group))),
        machine_minutes=round(
            sum(
                Fraction(p.quantity) * (p.machine or 0)
                for p in unit.parts
                if p.source is Source.MAKE and p.supply is not Supply.HERE
            )
        ),
    )


def _components(unit: Unit) -> Iterator[BillLine]:
    """Components to renew or repair that no part stands for; a part with `for_components` is their line."""
    covered = {code for p in unit.parts for code in p.for_components}
    for c in unit.components:
        if c.code in covered or c.disposition not in (Disposition.RENEW, Disposition.REPAIR):
            continue
        renew = c.disposition is Disposition.RENEW
        yield BillLine(
            group=BillGroup.COMPONENT,
            code=c.code,
            name=c.name,
            quantity=Decimal(c.quantity),
            unit="",
            source=Source.BUY if renew else None,
            here=not renew,
            price=c.price_to_replace if renew else None,
            price_on=None,
            seller="",
            pack="",
            used_in=(c.from_step,) if c.from_step else (),
            how=_component_in_words(c),
        )


def _component_in_words(component: Component) -> str:
    count = f"{component.quantity} to {component.disposition}"
    if component.disposition is Disposition.REPAIR:
        return f"{count}, {'done' if component.repaired else 'not done yet'}"
    return f"{count}; no part is listed for it, the price is what it costs to replace"


def _fasteners(unit: Unit, shop: Shop, uses: Iterable[FastenerUse], needs: Iterable[Need]) -> Iterator[BillLine]:
    shelf = {same_words(c.name): c for c in shop.shelf}
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
    line = replace(_part(part), group=BillGroup.FASTENER)
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
    return BillLine(
        group=BillGroup.FASTENER,
        code=need.code if need else "",
        name=uses[0].kind,
        quantity=Decimal(count),
        unit="",
        source=Source.SHELF if here == count or in_jar else Source.BUY,
        here=here == count or in_jar,
        price=need.cash if need else None,
        price_on=need.price_on if need else None,
        seller=need.seller if need else "",
        pack=_pack_in_words(need) if need else "",
        used_in=tuple(dict.fromkeys(u.step for u in uses)),
        how=words,
    )


def _uses_in_words(uses: Iterable[FastenerUse]) -> str:
    return " + ".join(f"{u.count} {u.kind} {u.why} at {u.step}" for u in uses)


def _material(need: MaterialNeed) -> BillLine:
    """Own material is charged at zero; what it would cost to replace stands in `own_material`."""
    return BillLine(
        group=BillGroup(str(need.kind)),
        code="",
        name=need.name,
        quantity=need.quantity,
        unit=need.unit,
        source=Source.PILE if need.enough else Source.BUY,
        here=need.enough,
        price=NO_CASH if need.enough else None,
        price_on=None,
        seller="",
        pack="",
        used_in=need.used_in,
        how=need.how + (f"; cut from {', '.join(need.pieces)}" if need.pieces else ""),
    )


def _consumable(need: Need) -> BillLine:
    return BillLine(
        group=BillGroup.CONSUMABLE,
        code=need.code,
        name=need.consumable,
        quantity=None if need.need is None else rounded(need.need, 4),
        unit=need.unit,
        source=Source.SHELF if need.on_hand else Source.BUY,
        here=need.on_hand,
        price=need.cash,
        price_on=need.price_on,
        seller=need.seller,
        pack=_pack_in_words(need),
        used_in=(),
        how=" ".join((need.how, *need.problems)).strip(),
    )


def _pack_in_words(need: Need) -> str:
    if need.pack is None:
        return ""
    return f"{plain_number(need.pack.size)} {need.unit}".rstrip() + f" at {need.pack.price}"


def _part(part: Part) -> BillLine:
    words = [f"{plain_number(part.quantity)} {part.unit}".rstrip() + " as listed"]
    if part.made_from:
        words.append(f"made from {part.made_from}")
    if part.mass_g is not None:
        words.append(f"{plain_number(part.mass_g)} g each")
    if part.machine is not None:
        words.append(f"{part.machine} machine minutes each")
    return BillLine(
        group=BillGroup.MADE if part.source is Source.MAKE else BillGroup.PART,
        code=part.code,
        name=part.name,
        quantity=part.quantity,
        unit=part.unit,
        source=part.source,
        here=part.supply is Supply.HERE,
        price=part.price,
        price_on=part.price_on,
        seller=part.seller,
        pack=part.pack,
        used_in=(*part.for_steps, *part.for_components),
        how=", ".join(words),
        conditional=part.only_if,
    )


def _other(unit: Unit) -> Iterator[BillLine]:
    for c in unit.cost_lines:
        yield BillLine(
            group=BillGroup.OTHER,
            code=c.code,
            name=c.name,
            quantity=Decimal(1),
            unit="",
            source=Source.BUY,
            here=False,
            price=c.price,
            price_on=c.price_on,
            seller=c.seller,
            pack="",
            used_in=(),
            how="as listed",
        )
