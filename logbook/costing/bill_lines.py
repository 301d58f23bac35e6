"""The lines of the bill for everything but fasteners, each made from one thing of the record."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from logbook.costing.amounts import plain_number, quantity_in_words, rounded
from logbook.costing.bill_records import BillGroup, BillLine
from logbook.costing.consumption import NO_CASH, Need
from logbook.costing.material_need import MaterialNeed
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Source, Supply
from logbook.model.work import Part


def component_of(unit: Unit, code: str) -> Component | None:
    """The component of that code, or None."""
    return next((c for c in unit.components if c.code == code), None)


def component_lines(unit: Unit) -> Iterator[BillLine]:
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


def material_line(need: MaterialNeed) -> BillLine:
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


def consumable_line(need: Need) -> BillLine:
    """What is used up, with both truths: whole packs as the price, and the share that this job uses."""
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
        used_up=need.used_up,
        share=need.share,
        rest=rest_in_words(need),
    )


def rest_in_words(need: Need) -> str:
    """What is left of the packs and becomes stock, and how long it keeps; empty when nothing is."""
    if not need.rest:
        return ""
    keeps = f", good for {need.keeps_months} months once opened" if need.keeps_months is not None else ""
    return f"{quantity_in_words(need.rest, need.unit)} left become stock{keeps}"


def _pack_in_words(need: Need) -> str:
    if need.pack is None:
        return ""
    return f"{plain_number(need.pack.size)} {need.unit}".rstrip() + f" at {need.pack.price}"


def part_line(part: Part) -> BillLine:
    """A part that is bought, made or taken from elsewhere."""
    words = [f"{plain_number(part.quantity)} {part.unit}".rstrip() + " as listed"]
    if part.spare_of:
        words.append(f"taken from {part.spare_of}")
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


def other_lines(unit: Unit) -> Iterator[BillLine]:
    """Cash that is neither part nor consumable, such as shipping."""
    for c in unit.cost_lines:
        yield BillLine(
            group=BillGroup.OTHER,
            code=c.code,
            name=c.name,
            quantity=Decimal(1),
            unit="",
            source=Source.BUY,
            here=c.paid is not None,
            price=c.price if c.paid is None else NO_CASH,
            price_on=c.price_on,
            seller=c.seller,
            pack="",
            used_in=(),
            how="as listed" if c.paid is None else f"paid {c.paid}",
            conditional=c.only_if,
        )
