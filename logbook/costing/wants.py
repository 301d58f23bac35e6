"""What is wanted: everything that the rebuild and the refit of a unit take, each thing once.

The bill shows these lines, the cash adds up what they cost, and the list of what is to buy joins those of several
units. A part that renews a kind of fastener, or stands for a component, is that fastener's or component's line and
not a second one. A price that is not known is None, never zero.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from logbook.costing.bill_fasteners import fastener_lines
from logbook.costing.bill_lines import component_lines, consumable_line, material_line, other_line, part_line
from logbook.costing.bill_records import BillGroup, BillLine
from logbook.costing.consumption import ConsumableNeed, consumption
from logbook.costing.made_parts import made_parts
from logbook.costing.material_need import material_needs
from logbook.costing.price_age import price_age
from logbook.model.members import member_in_words
from logbook.model.remembered import remembered
from logbook.model.replacements import by_kind, fastener_uses
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit


@dataclass(frozen=True, slots=True)
class Wants:
    """What one unit wants, without the shipping of parcels."""

    unit: Unit
    lines: tuple[BillLine, ...]
    needs: tuple[ConsumableNeed, ...]
    """What it wants of the shelf, with the packs to buy."""
    today: date | None = None
    """The day on which the shelf was looked at."""

    def of_code(self, codes: Sequence[str] | Mapping[str, object]) -> Iterator[BillLine]:
        """The lines that are not here, of some codes."""
        return (x for x in self.lines if not x.here and x.code and x.code in codes)


@remembered
def wants_of(unit: Unit, shop: Shop, today: date | None = None) -> Wants:
    """Everything that a unit wants, in the order of the bill.

    Args:
        unit: whose record is worked through.
        shop: the shelf and the pile, which say what is here.
        today: opened stock past its shelf life is not counted as here. Without a date nothing is too old.
    """
    needs = consumption(unit, shop, today)
    kinds = by_kind(fastener_uses(unit))
    made = {m.code: m for m in made_parts(unit, shop, needs)}
    lines = [
        *component_lines(unit),
        *fastener_lines(unit, shop, needs, today),
        *(material_line(n) for n in material_needs(unit, shop)),
        *(consumable_line(n) for n in needs if same_words(n.consumable) not in kinds),
        *(part_line(p, made.get(p.code)) for p in unit.parts if same_words(p.fastener) not in kinds),
        *(other_line(c) for c in unit.cost_lines if not c.parcel),
    ]
    order = list(BillGroup)
    lines.sort(key=lambda line: order.index(line.group))
    members = {p.code: p.member for p in unit.parts if p.member}
    members |= {c.code: c.member for c in unit.components if c.member}
    lines = [_for_member(unit, line, members) for line in lines]
    return Wants(unit, tuple(_with_age(line, shop, today) for line in lines), needs, today)


def _for_member(unit: Unit, line: BillLine, members: Mapping[str, str]) -> BillLine:
    """Say which one of a set a part or a component is for."""
    if line.code not in members or line.group not in _THINGS:
        return line
    return replace(line, member=member_in_words(unit.sets, members[line.code]))


_THINGS = frozenset({BillGroup.COMPONENT, BillGroup.PART, BillGroup.MADE})


def _with_age(line: BillLine, shop: Shop, today: date | None) -> BillLine:
    """Say of a price that counts when it has no date or is too old."""
    if today is None or line.here or line.price is None or not line.price.high:
        return line
    return replace(line, price_age=price_age(line.price_on, shop.settings.price_old_months, today))
