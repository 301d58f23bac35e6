"""What has to be got for several units together, as purchases: what their bills want and is not here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal

from logbook.costing.bill_records import BillGroup, BillLine
from logbook.costing.joint import joint_wants, purchases_of_shelf
from logbook.costing.joint_material import joint_material, purchases_of_material
from logbook.costing.joint_parts import purchases_of_fasteners, purchases_of_parts
from logbook.costing.parcels import bare_shipping
from logbook.costing.to_buy_records import BuyKind, Purchase, Share
from logbook.costing.wants import Wants
from logbook.model.shop import Shop
from logbook.model.unit import Unit


def purchases_of(
    wants: Sequence[Wants], shop: Shop, today: date | None, everything: Sequence[Unit] | None = None
) -> list[Purchase]:
    """Everything that is to be got for these units, the same things together.

    Args:
        wants: what each unit wants; shares are in this order.
        shop: shelf and pile, which all units share.
        today: for the shelf life of stock.
        everything: all units of the book, for what others hold of the pile.
    """
    units = [w.unit for w in wants]
    return [
        *purchases_of_parts(wants),
        *_single(wants, BillGroup.COMPONENT, BuyKind.COMPONENT),
        *purchases_of_fasteners(units, shop, today),
        *purchases_of_shelf(list(joint_wants(units, shop)), wants, shop),
        *purchases_of_material(joint_material(units, shop, everything)),
        *_single(wants, BillGroup.OTHER, BuyKind.OTHER),
        *_bare_shipping(wants),
    ]


def _single(wants: Sequence[Wants], group: BillGroup, kind: BuyKind) -> Iterator[Purchase]:
    """Lines of a group that are got for one unit alone."""
    for wanted in wants:
        for line in wanted.lines:
            if line.group is group and not line.here:
                yield _purchase(wanted.unit.code, line, kind)


def _purchase(unit: str, line: BillLine, kind: BuyKind) -> Purchase:
    return Purchase(
        kind=kind,
        name=line.name,
        quantity=line.quantity,
        unit=line.unit,
        price=line.price,
        shares=(Share(unit, line.code, line.quantity, line.price, line.used_in),),
        seller=line.seller,
        price_on=line.price_on,
        only_if=line.conditional,
        how=line.how,
        member=line.member,
    )


def _bare_shipping(wants: Sequence[Wants]) -> Iterator[Purchase]:
    """Shipping of a seller from whom a unit has nothing on its list yet: it stands for itself."""
    for wanted in wants:
        for line in bare_shipping(wanted.unit):
            price = line.price
            share = Share(wanted.unit.code, line.code, Decimal(1), price)
            yield Purchase(
                kind=BuyKind.OTHER,
                name=line.name,
                quantity=Decimal(1),
                unit="",
                price=price,
                shares=(share,),
                seller=line.seller,
                price_on=line.price_on,
                how="shipping as listed; nothing is listed from there yet",
                is_shipping=True,
            )
