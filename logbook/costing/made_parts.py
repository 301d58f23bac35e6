"""Parts that are newly made: what their material and the machine time cost."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import ZERO, cents, plain_number, total
from logbook.costing.consumption import ConsumableNeed
from logbook.costing.material_need import sheet_parts
from logbook.costing.wanted import made_from_shelf
from logbook.model.amount_words import number_words
from logbook.model.measures import hours_and_minutes
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply
from logbook.model.work import Part


@dataclass(frozen=True, slots=True)
class MadePart:
    """One part still to be made, without a price of its own."""

    code: str
    material_cost: Decimal | None
    """Share used of the material on the shelf; zero for a piece of the pile; None while not known."""
    machine_minutes: Fraction
    machine_cost: Decimal | None
    """Machine time at the rate of the shop, once for all of the quantity; None while there is no rate."""
    how: str

    @property
    def cost(self) -> Decimal | None:
        """Material and machine together; None when one of them is not known."""
        if self.material_cost is None or self.machine_cost is None:
            return None
        return total((self.material_cost, self.machine_cost))


def made_parts(unit: Unit, shop: Shop, needs: Iterable[ConsumableNeed]) -> tuple[MadePart, ...]:
    """What each part costs to make that has no price and is not here.

    The material of a part is priced by mass, area or length from the shelf, or comes from the pile at zero
    (`own_material` says what that would cost to replace). Machine time is minutes of one × quantity.
    A part with no machine time has a machine cost of zero; with time but without a rate it is not known.
    """
    from_shelf = {p.code for p in made_from_shelf(unit, shop)}
    from_pile = {p.code for p in sheet_parts(unit)}
    used = {n.code: n.used_up for n in needs if n.code in from_shelf}
    rate = shop.settings.machine_rate
    found = []
    for p in unit.parts:
        if p.source is not Source.MAKE or p.supply is Supply.HERE or p.price is not None:
            continue
        minutes = pieces_to_make(p) * (p.machine or 0)
        machine = ZERO if not minutes else None if rate is None else cents(minutes * Fraction(rate) / 60)
        material = used.get(p.code) if p.code in from_shelf else ZERO if p.code in from_pile else None
        found.append(MadePart(p.code, material, minutes, machine, _how(material, minutes, machine, rate)))
    return tuple(found)


def pieces_to_make(part: Part) -> Fraction:
    """How many pieces a part is: a quantity of sheet or strip is one piece to make, not so many."""
    return Fraction(1) if part.unit else Fraction(part.quantity)


def _how(material: Decimal | None, minutes: Fraction, machine: Decimal | None, rate: Decimal | None) -> str:
    words = [f"material {number_words(material) if material is not None else 'not known'}"]
    if minutes:
        time = hours_and_minutes(round(minutes))
        at = "not counted (no rate for an hour)"
        if rate is not None:
            at = f"at {plain_number(rate)} an hour = {number_words(machine or ZERO)}"
        words.append(f"machine {time} {at}")
    return ", ".join(words)
