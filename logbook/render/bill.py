"""The bill of materials as text and as values for JSON."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from logbook.costing import BillGroup, BillLine, BillOfMaterials, plain_number
from logbook.model.measures import Estimate, hours_and_minutes
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.blocks import Sign
from logbook.render.page import Page, moment_words
from logbook.render.values import plain_values

UNKNOWN = "?"
"""What stands where nothing is known; never a zero."""


def bom_text(unit: Unit, shop: Shop, bill: BillOfMaterials, now: datetime, *, width: int = 80) -> str:
    """The bill of materials of a unit as text; arguments as of `bom_page`, which makes it."""
    return bom_page(unit, shop, bill, now, width=width).text()


def bom_page(unit: Unit, shop: Shop, bill: BillOfMaterials, now: datetime, *, width: int = 80) -> Page:
    """The bill of materials of a unit.

    Args:
        unit: whose bill it is.
        shop: for the currency.
        bill: `bill_of_materials(unit, shop, today)`.
        now: when this is printed.
        width: columns of plain text.
    """
    page = Page(width)
    page.ends(f"{unit.code} {unit.name}", "BILL OF MATERIALS")
    page.ends(f"amounts in {shop.settings.currency}: low / likely / high", f"printed {moment_words(now)}")
    page.rule()
    page.say(_sentence(bill))
    for group in BillGroup:
        lines = bill.of(group)
        if lines:
            page.head(str(group))
        for line in lines:
            _line(page, line)
    if bill.machine_minutes:
        page.blank()
        page.say(f"Machine time of what is still to be made: {hours_and_minutes(bill.machine_minutes)}.")
    return page


def _sentence(bill: BillOfMaterials) -> str:
    if not bill.lines:
        return "Nothing is needed by the record so far."
    get = [x for x in bill.to_get if not x.conditional]
    unpriced = [x for x in bill.lines if x.price is None and not x.here]
    said = f"{len(bill.lines)} lines, {len(get)} to get"
    if maybe := len(bill.to_get) - len(get):
        said += f" and {maybe} only under a condition"
    return said + (f"; {len(unpriced)} without a price ({UNKNOWN})." if unpriced else ".")


def _line(page: Page, line: BillLine) -> None:
    amount = UNKNOWN if line.quantity is None else f"{plain_number(line.quantity)} {line.unit}".rstrip()
    box = Sign.TICKED if line.here else Sign.BOX
    page.ends(line.name, price_words(line), mark=(box, f" {amount:<9} "))
    facts = [str(line.source) if line.source else "", f"for {', '.join(line.used_in)}" if line.used_in else ""]
    facts += [line.conditional, line.seller, f"pack {line.pack}" if line.pack else ""]
    facts.append(f"price of {line.price_on:%d %b %Y}" if line.price_on else "")
    page.say("; ".join(f for f in facts if f), 14)
    if line.how:
        page.say(line.how, 14)


def price_words(line: BillLine) -> str:
    """The price of a line: nothing for what is here and costs nothing, `?` when it is not known."""
    if line.price is None:
        return "here" if line.here else UNKNOWN
    if line.here and not line.price.high:
        return "here"
    return estimate_words(line.price)


def estimate_words(price: Estimate) -> str:
    """Three points, or one when they are the same."""
    if price.low == price.high:
        return f"{price.likely:.2f}"
    return f"{price.low:.2f} / {price.likely:.2f} / {price.high:.2f}"


def bom_data(unit: Unit, shop: Shop, bill: BillOfMaterials) -> dict[str, Any]:
    """The same as values for JSON."""
    return {
        "unit": {"code": unit.code, "name": unit.name},
        "currency": shop.settings.currency,
        **plain_values(bill),
    }
