"""The bill of materials: what is wanted, and the shipping of the parcels in which it comes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.bill_lines import other_line
from logbook.costing.bill_records import BillGroup, BillLine, BillOfMaterials
from logbook.costing.consumption import NO_CASH
from logbook.costing.made_parts import pieces_to_make
from logbook.costing.parcels import has_goods_of, parcels
from logbook.costing.purchases import purchases_of
from logbook.costing.to_buy_records import Parcel
from logbook.costing.wants import Wants, wants_of
from logbook.model.remembered import remembered
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply
from logbook.model.work import CostLine

__all__ = ["BillGroup", "BillLine", "BillOfMaterials", "bill_of_materials"]


@remembered
def bill_of_materials(unit: Unit, shop: Shop, today: date | None = None) -> BillOfMaterials:
    """The bill of materials of a unit.

    Args:
        unit: whose record is worked through.
        shop: the shelf and the pile, which say what is here.
        today: opened stock past its shelf life is not counted as here. Without a date nothing is too old.
    """
    wants = wants_of(unit, shop, today)
    making = [p for p in unit.parts if p.source is Source.MAKE and p.supply is not Supply.HERE]
    machine_minutes = sum((pieces_to_make(p) * (p.machine or 0) for p in making), Fraction(0))
    return BillOfMaterials(
        lines=(*wants.lines, *_shipping_lines(wants, shop, today)), machine_minutes=round(machine_minutes)
    )


def _shipping_lines(wants: Wants, shop: Shop, today: date | None) -> Iterator[BillLine]:
    """One line for each parcel that costs shipping, and one for each shipping that is not to come any more."""
    unit = wants.unit
    found = parcels(purchases_of([wants], shop, today), [unit], shop)
    stated = {same_words(c.seller): c for c in unit.cost_lines if c.parcel}
    told = set()
    for parcel in found:
        line = stated.get(same_words(parcel.seller))
        if line is not None and any(p.is_shipping for p in parcel.purchases):
            told.add(same_words(parcel.seller))
            yield replace(_shipping_line(parcel, line), price=line.price)
        elif parcel.shipping is None or parcel.shipping.high or line is not None:
            told.add(same_words(parcel.seller))
            yield _shipping_line(parcel, line)
    for seller, line in stated.items():
        if seller not in told and has_goods_of(unit, line.seller):
            yield _settled_line(line)


def _shipping_line(parcel: Parcel, line: CostLine | None) -> BillLine:
    name = line.name if line is not None else f"shipping, {parcel.seller}"
    return BillLine(
        group=BillGroup.OTHER,
        code=line.code if line is not None else "",
        name=name,
        quantity=Decimal(1),
        unit="",
        source=Source.BUY,
        here=False,
        price=parcel.shipping,
        price_on=line.price_on if line is not None else None,
        seller=parcel.seller,
        how=f"shipping: {parcel.shipping_how}",
        is_shipping=True,
    )


def _settled_line(line: CostLine) -> BillLine:
    """The shipping of a seller from whom nothing is to come any more."""
    why = "paid" if line.paid is not None else f"nothing is to come from {line.seller} any more"
    settled = replace(other_line(line), here=True, price=NO_CASH, price_on=None, chance=None, when_needed=None)
    return replace(settled, how=f"shipping: {why}", conditional="", is_shipping=True)
