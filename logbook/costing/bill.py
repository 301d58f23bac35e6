"""The bill of materials: everything the rebuild and the refit take, with quantity, source and price.

Each thing stands on one line. A part that renews a kind of fastener, or stands for a component, is that
fastener's or component's line and not a second one. A price that is not known is None, never zero.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

from logbook.costing.amounts import ZERO, same_words
from logbook.costing.bill_fasteners import fastener_lines
from logbook.costing.bill_lines import component_lines, consumable_line, material_line, other_lines, part_line
from logbook.costing.bill_records import BillGroup, BillLine, BillOfMaterials
from logbook.costing.consumption import consumption
from logbook.costing.fastener_need import fastener_uses
from logbook.costing.made_parts import MadePart, made_parts
from logbook.costing.material_need import material_needs
from logbook.costing.price_age import price_age
from logbook.model.measures import Estimate
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply

__all__ = ["BillGroup", "BillLine", "BillOfMaterials", "bill_of_materials"]


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
    made = {m.code: m for m in made_parts(unit, shop, needs)}
    lines = [
        *component_lines(unit),
        *fastener_lines(unit, shop, uses, needs),
        *(material_line(n) for n in material_needs(unit, shop)),
        *(consumable_line(n) for n in needs if same_words(n.consumable) not in kinds),
        *(_with_making(part_line(p), made.get(p.code)) for p in unit.parts if p.code not in renewing),
        *other_lines(unit),
    ]
    order = list(BillGroup)
    return BillOfMaterials(
        lines=tuple(_with_age(x, shop, today) for x in sorted(lines, key=lambda x: order.index(x.group))),
        machine_minutes=round(
            sum(
                Fraction(p.quantity) * (p.machine or 0)
                for p in unit.parts
                if p.source is Source.MAKE and p.supply is not Supply.HERE
            )
        ),
    )


def _with_making(line: BillLine, made: MadePart | None) -> BillLine:
    """A newly made part without a price of its own costs its machine time here; its material has its own line."""
    if made is None or line.price is not None:
        return line
    cost = made.machine_cost or ZERO  # without a rate machine time is not counted, and the line says so
    price = None if made.material_cost is None else Estimate(low=cost, likely=cost, high=cost)
    return replace(line, price=price, how=f"{line.how}; {made.how}", used_up=made.cost)


def _with_age(line: BillLine, shop: Shop, today: date | None) -> BillLine:
    """Say of a price that counts when it has no date or is too old."""
    if today is None or line.here or line.price is None or not line.price.high:
        return line
    return replace(line, price_age=price_age(line.price_on, shop.settings.price_old_months, today))
