"""What is to buy as text, as values for JSON and as CSV."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from logbook.costing import BuyKind, FreedByPurchase, Parcel, Purchase, ToBuy, list_question, plain_number
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import Estimate
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.render.bill_document import UNKNOWN, one_pack, priced_page
from logbook.render.csv_tables import Cell, csv_text
from logbook.render.money import amount_words, estimate_words, number_words
from logbook.render.page import Page
from logbook.render.values import plain_values


def to_buy_text(
    found: ToBuy,
    shop: Shop,
    now: datetime,
    *,
    width: int = 80,
    title: str = "ALL UNITS",
    together: Mapping[str, Sequence[FreedByPurchase]] | None = None,
) -> str:
    """The list as text: what is here already first, then parcel by parcel, then what each unit pays.

    Args:
        found: `to_buy(units, shop, now)`.
        shop: for the currency.
        now: when this is printed.
        width: columns.
        title: for whom the list is.
        together: for each seller what its whole parcel would free.
    """
    page = priced_page(
        title, "TO BUY", f"amounts in {shop.settings.currency}: low / likely / high", shop, now, width=width
    )
    page.say(question_words(found, shop.settings.currency))
    if any(purchase.supply == "ordered" for purchase in found.purchases):
        page.say("[o]: ordered, on its way.")
    _here_already(page, found)
    _clashes(page, found)
    for parcel in found.parcels:
        _parcel(page, parcel, (together or {}).get(parcel.seller, ()))
    _by_unit(page, found)
    return page.text()


def question_words(found: ToBuy, currency: str, how: str = "") -> str:
    """How many things, and for how much, in a sentence; `how` says what to do where no price is known."""
    amount = UNKNOWN if found.price is None else amount_words(found.price.likely, currency)
    return list_question(found, amount, how)


def _here_already(page: Page, found: ToBuy) -> None:
    offered = [p for p in found.purchases if p.offers]
    if offered:
        page.head("look here first")
    for p in offered:
        for offer in p.offers:
            page.item("", f"{p.called} for {', '.join(p.units)}: {offer.words}")


def _clashes(page: Page, found: ToBuy) -> None:
    if found.clashes:
        page.head("counted on twice")
    for clash in found.clashes:
        page.item("", clash.sentence)


def _parcel(page: Page, parcel: Parcel, together: Sequence[FreedByPurchase]) -> None:
    page.head(parcel_name(parcel))
    if together:
        page.say(f"The whole parcel {freed_words(together)}.")
    for p in parcel.purchases:
        page.ends(f"{box(p)} {quantity_words(p):<9} {p.called}", price_words(p.price))
        page.say("; ".join(facts(p)), 14)
        page.say(p.how, 14)
    if parcel.seller or (parcel.shipping is not None and parcel.shipping.high):
        page.ends("    shipping, one parcel", price_words(parcel.shipping))
        page.say(parcel.shipping_how, 14)


def parcel_name(parcel: Parcel) -> str:
    """The seller, and the days a parcel takes."""
    if not parcel.seller:
        return "seller not said"
    return parcel.seller + (f", {counted(parcel.days, 'day')}" if parcel.days is not None else "")


def box(purchase: Purchase) -> str:
    """How far it has come: `[ ]` to buy, `[o]` ordered."""
    return "[o]" if purchase.supply == "ordered" else "[ ]"


def quantity_words(purchase: Purchase) -> str:
    """Packs where these are known, else how much is missing."""
    if purchase.kind is BuyKind.PART and (whole := one_pack(purchase.quantity, purchase.unit, purchase.pack)):
        return whole
    if purchase.packs is not None and purchase.kind is not BuyKind.PART:
        return f"{purchase.packs} pack{'s' if purchase.packs != 1 else ''}"
    if purchase.quantity is None:
        return UNKNOWN
    places = 3 if purchase.quantity < 10 else 1
    return f"{plain_number(purchase.quantity, places)} {purchase.unit}".rstrip()


def price_words(price: Estimate | None) -> str:
    """Three points, one when they are the same, `?` when it is not known."""
    return UNKNOWN if price is None else estimate_words(price)


def facts(purchase: Purchase) -> Iterator[str]:
    """What is known about a purchase, each as a few words."""
    yield "for " + ", ".join(
        share.unit + (f" ({', '.join(share.used_in[:3])})" if share.used_in else "") for share in purchase.shares
    )
    if len(purchase.units) > 1 and purchase.price is not None:
        yield "shared " + ", ".join(
            f"{s.unit} {number_words(s.price.likely)}" for s in purchase.shares if s.price is not None
        )
    if purchase.only_if:
        yield purchase.only_if
    if purchase.pack:
        yield f"pack {purchase.pack}"
    if purchase.ordered_on is not None:
        yield f"ordered {day_and_year(purchase.ordered_on)}"
    if purchase.expected_on is not None:
        yield f"expected {day_and_year(purchase.expected_on)}"
    if purchase.frees:
        yield frees_words(purchase)
    if purchase.price_age:
        yield purchase.price_age


def frees_words(purchase: Purchase) -> str:
    """What becomes ready when it comes: `frees R1 A09 A12`; empty when nothing waits for it alone."""
    return freed_words(purchase.frees)


def freed_words(frees: Sequence[FreedByPurchase]) -> str:
    """The same for anything that frees something."""
    words = (f"{f.unit} {' '.join(f.lines[:6])}{' …' if len(f.lines) > 6 else ''}" for f in frees)
    return f"frees {', '.join(words)}" if frees else ""


def _by_unit(page: Page, found: ToBuy) -> None:
    if not found.purchases:
        return
    page.head("each unit's share, shipping included")
    rows = [(unit, *_points(price)) for unit, price in found.by_unit]
    page.table([*rows, ("together", *_points(found.price))], right=(1, 2, 3), widest=0)


def _points(price: Estimate | None) -> tuple[str, str, str]:
    if price is None:
        return UNKNOWN, UNKNOWN, UNKNOWN
    return number_words(price.low), number_words(price.likely), number_words(price.high)


def to_buy_data(
    found: ToBuy, shop: Shop, together: Mapping[str, Sequence[FreedByPurchase]] | None = None
) -> dict[str, Any]:
    """The same as values for JSON."""
    return {
        "currency": shop.settings.currency,
        **plain_values(found),
        "unpriced": list(found.unpriced),
        "parcel_frees": plain_values(together or {}),
    }


TO_BUY_HEAD = (
    "seller", "kind", "name", "quantity", "measure", "packs", "pack", "low", "likely", "high", "price_date", "state",
    "unit", "code", "share_low", "share_likely", "share_high", "used_in", "condition", "frees", "here_already",
    "member", "how",
)  # fmt: skip
"""Columns of the CSV; a purchase for several units has a row for each, and shipping is a row of its own kind."""


def to_buy_csv(found: ToBuy) -> str:
    """One row for each unit's share of each purchase, and one for its share of each shipping."""
    return csv_text(TO_BUY_HEAD, (row for parcel in found.parcels for row in _rows(parcel)))


def _rows(parcel: Parcel) -> Iterator[tuple[Cell, ...]]:
    for p in parcel.purchases:
        offers = "; ".join(o.words for o in p.offers)
        for s in p.shares:
            yield (
                parcel.seller, str(p.kind), p.name, p.quantity, p.unit, p.packs, p.pack, *_cells(p.price), p.price_on,
                str(p.supply), s.unit, s.code, *_cells(s.price), " ".join(s.used_in), p.only_if, frees_words(p),
                offers, p.member, p.how,
            )  # fmt: skip
    for unit, share in parcel.shipping_shares:
        if parcel.shipping is not None and parcel.shipping.high:
            yield (
                parcel.seller, "shipping", "shipping, one parcel", 1, "", None, "", *_cells(parcel.shipping), None, "",
                unit, "", *_cells(share), "", "", "", "", "", parcel.shipping_how,
            )  # fmt: skip


def _cells(price: Estimate | None) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
    return (None, None, None) if price is None else (price.low, price.likely, price.high)
