"""What the shop adds to the record of a unit for its reassembly list: what lies on the shelf, and usual waits."""

from __future__ import annotations

from datetime import date

from logbook.costing.bill_fasteners import kinds_at_hand
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.planning.usual_waits import lent_waits
from logbook.reassembly.refit_records import FromShop


def from_shop(unit: Unit, shop: Shop, today: date | None = None) -> FromShop:
    """What the reassembly list of a unit takes from the shop.

    Raises:
        InputError: the list of usual work was edited into something that cannot be used.
    """
    return FromShop(kinds_at_hand(unit, shop, today), lent_waits(unit, shop))
