"""The bill of materials as text, as values for JSON and as CSV."""

from __future__ import annotations

import re
from datetime import datetime
from decimal import Decimal
from typing import Any

from logbook.costing import BillGroup, BillLine, BillOfMaterials, OwnMaterial, plain_number, quantity_in_words
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import hours_and_minutes
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Unit
from logbook.model.words import Source
from logbook.render.blocks import Sign
from logbook.render.csv_tables import csv_text
from logbook.render.money import estimate_words, number_words
from logbook.render.page import Page, moment_words
from logbook.render.values import plain_values

UNKNOWN = "?"
"""What stands where nothing is known; never a zero."""


ONE_PACK = re.compile(r"(?:(?P<word>set|pack|bag|box|card) of )?(?P<count>[0-9]{1,6})")
"""A pack as people write it with its count: `set of 8`, `pack of 5`, or only `5`."""


def bom_text(
    unit: Unit,
    shop: Shop,
    bill: BillOfMaterials,
    now: datetime,
    *,
    width: int = 80,
    own: OwnMaterial | None = None,
) -> str:
    """The bill of materials of a unit as text; arguments as of `bom_page`, which makes it."""
    return bom_page(unit, shop, bill, now, width=width, own=own).text()


def bom_page(
    unit: Unit,
    shop: Shop,
    bill: BillOfMaterials,
    now: datetime,
    *,
    width: int = 80,
    own: OwnMaterial | None = None,
) -> Page:
    """The bill of materials of a unit.

    Args:
        unit: whose bill it is.
        shop: for the currency.
        bill: `bill_of_materials(unit, shop, today)`.
        now: when this is printed.
        width: columns of plain text.
        own: `own_material(unit, shop)`, to say what is saved by cutting from the pile.
    """
    amounts = f"amounts in {shop.settings.currency}: low / likely / high"
    page = priced_page(f"{unit.code} {unit.name}", "BILL OF MATERIALS", amounts, shop, now, width=width)
    page.say(bill_question(bill))
    for group in BillGroup:
        lines = bill.of(group)
        if lines:
            page.head(str(group))
        for line in lines:
            _line(page, line)
    if bill.machine_minutes:
        page.blank()
        page.say(f"Machine time of what is still to be made: {hours_and_minutes(bill.machine_minutes)}.")
    if own is not None and own.lines:
        _own(page, own)
    return page


def priced_page(of: str, title: str, amounts: str, shop: Shop, now: datetime, *, width: int) -> Page:
    """An empty page under the heading that every page of amounts has: of what, in which currency, printed when."""
    page = Page(width)
    page.ends(of, title)
    page.ends(amounts, f"printed {moment_words(shop_time(now, shop))}")
    page.rule()
    return page


def _own(page: Page, own: OwnMaterial) -> None:
    """Own material in its three values, and what each is not known of."""
    page.head("own material, from the pile")
    rows = [["", "as rubbish", "to replace", "at resale"]]
    for x in own.lines:
        known = (number_words(v) if v is not None else UNKNOWN for v in (own.at_zero, x.replacement, x.resale))
        rows.append([x.material.name, *known])
    rows.append(["together, as far as known", number_words(own.at_zero), *_known_sums(own)])
    page.table(rows, right=(1, 2, 3))
    if own.without_value:
        page.say("At resale: a piece counts when a value is written down with it.")


def own_words(own: OwnMaterial) -> str:
    """The three values in a sentence."""
    replace, resale = _known_sums(own)
    replace += " and ?" if own.unpriced and replace != UNKNOWN else ""
    resale += " and ?" if own.without_value and resale != UNKNOWN else ""
    return f"Own material counts as 0.00; to replace it would cost {replace}, selling it would bring {resale}."


def _known_sums(own: OwnMaterial) -> tuple[str, str]:
    """The sums at replacement and at resale; one of which no line is known is not known, and not zero."""
    none_priced = len(own.unpriced) == len(own.lines)
    none_valued = len(own.without_value) == len(own.lines)
    return (
        UNKNOWN if none_priced else number_words(own.replacement),
        UNKNOWN if none_valued else number_words(own.resale),
    )


def bill_question(bill: BillOfMaterials) -> str:
    """How many lines, how many to get, how many without a price, in a sentence."""
    if not bill.lines:
        return "Nothing is needed by the record so far."
    get = [x for x in bill.to_get if not x.conditional]
    unpriced = [x for x in bill.lines if x.price is None and not x.here]
    said = f"{counted(len(bill.lines), 'line')}, {len(get)} to get"
    if maybe := len(bill.to_get) - len(get):
        said += f" and {maybe} only under a condition"
    return said + (f"; {len(unpriced)} without a price ({UNKNOWN})." if unpriced else ".")


def _line(page: Page, line: BillLine) -> None:
    box = Sign.TICKED if line.is_ready else Sign.BOX
    page.ends(line.called, price_words(line), mark=(box, f" {amount_to_get(line):<9} "))
    facts = [source_words(line), f"for {', '.join(line.used_in)}" if line.used_in else ""]
    facts += [line.conditional, line.seller, f"pack {line.pack}" if line.pack else ""]
    facts.append(line.price_age or (f"price of {day_and_year(line.price_on)}" if line.price_on else ""))
    facts += [used_words(line), line.rest]
    page.say("; ".join(f for f in facts if f), 14)
    if line.how:
        page.say(line.how, 14)


def amount_to_get(line: BillLine) -> str:
    """How much of a line, `1 set` where that is just what a pack holds; `?` when it cannot be computed."""
    if line.quantity is None:
        return UNKNOWN
    whole = "" if line.here else one_pack(line.quantity, line.unit, line.pack)
    return whole or quantity_in_words(line.quantity, line.unit)


def one_pack(quantity: Decimal | None, unit: str, pack: str) -> str:
    """`1 set` or `1 pack` when a quantity in pieces is just what one pack is written down to hold; empty otherwise."""
    held = ONE_PACK.fullmatch(pack.strip().casefold())
    if held is None or unit or quantity != int(held["count"]) or quantity < 2:
        return ""
    return f"1 {held['word'] or 'pack'}"


def used_words(line: BillLine) -> str:
    """The other truth about a pack: what this job uses of it, `used up 5.95 (54 % of a pack)`, `used up ?`.

    Empty for what is no consumable and for what was used up before.
    """
    if line.group is not BillGroup.CONSUMABLE or line.used_before:
        return ""
    if line.used_up is None:
        return f"used up {UNKNOWN}" if line.here else ""
    share = f" ({plain_number(line.share * 100, 0)} % of a pack)" if line.share is not None else ""
    return f"used up {number_words(line.used_up)}{share}"


def source_words(line: BillLine) -> str:
    """Where a line comes from; what was to be bought and is here is bought."""
    if line.source is Source.BUY and line.here:
        return "bought"
    return str(line.source or "")


def price_words(line: BillLine) -> str:
    """The price of a line: nothing for what is here and costs nothing, `?` when it is not known."""
    if line.price is None:
        return "here" if line.here else UNKNOWN
    if line.here and not line.price.high:
        return "here"
    return estimate_words(line.price)


BOM_HEAD = (
    "group", "code", "name", "quantity", "measure", "source", "here", "low", "likely", "high", "price_date", "seller",
    "pack", "used_up", "used_in", "condition", "member", "how",
)  # fmt: skip
"""Columns of the CSV."""


def bom_csv(bill: BillOfMaterials) -> str:
    """One row for each line of the bill; an empty price is one that is not known."""
    return csv_text(
        BOM_HEAD,
        (
            (
                str(x.group), x.code, x.name, x.quantity, x.unit, str(x.source or ""), "yes" if x.here else "no",
                *((None,) * 3 if x.price is None else (x.price.low, x.price.likely, x.price.high)),
                x.price_on, x.seller, x.pack, x.used_up, " ".join(x.used_in), x.conditional, x.member, x.how,
            )
            for x in bill.lines
        ),
    )  # fmt: skip


def bom_data(unit: Unit, shop: Shop, bill: BillOfMaterials, own: OwnMaterial | None = None) -> dict[str, Any]:
    """The same as values for JSON."""
    return {
        "unit": {"code": unit.code, "name": unit.name},
        "currency": shop.settings.currency,
        **plain_values(bill),
        "own_material": plain_values(own),
    }
