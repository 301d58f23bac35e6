"""The lines of what is to buy for a screen: what they say, why, and the place in the record behind them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.costing import BuyKind, Clash, Parcel, Purchase, Share, ToBuy
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import Estimate
from logbook.model.paths import Path
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Supply
from logbook.render.bill_document import UNKNOWN
from logbook.render.money import estimate_in_short, estimate_words, number_words
from logbook.render.plain import clean
from logbook.render.to_buy_document import box, facts, frees_words, parcel_name, price_words, quantity_words
from logbook.tui.look.inks import BLANK, Line, Span, flow, group, hanging, line, signal, typed, width_of
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.list_beside import paragraphs_in_full

COLUMNS = (
    Column(),
    Column("how many"),
    Column("what", least=24),
    Column("price", right=True),
    Column("for", least=8, below=True),
    Column("", least=12, below=True),
)


class Bought(NamedTuple):
    """What a line stands for."""

    name: str
    purchase: Purchase | None = None
    parcel: Parcel | None = None
    clash: Clash | None = None
    unit: str = ""
    price: Estimate | None = None


def buy_entries(found: ToBuy, columns: int) -> tuple[list[ListEntry], dict[str, Bought]]:
    """The entries of the list and what each stands for: what is counted on twice, parcels with their things, shares.

    Args:
        found: `to_buy(units, shop, now)`.
        columns: of the list.
    """
    entries: list[ListEntry] = []
    bought: dict[str, Bought] = {}
    for each, what in _entries(found, columns):
        bought[each.key] = what
        entries.append(each)
    if signs := _signs(found):
        entries.append(heading("signs", BLANK, typed(signs, "muted")))
        bought["signs"] = Bought("")
    return entries, bought


def _signs(found: ToBuy) -> str:
    """What the signs beside the prices mean, as far as they stand there."""
    purchases = [p for parcel in found.parcels for p in parcel.purchases]
    is_range = any(p.price and p.price.low != p.price.high and p.price.likely for p in purchases)
    said = ["[o] ordered, on its way"] if any(p.supply == "ordered" for p in purchases) else []
    said += ["~ likely, of three amounts"] if is_range else []
    said += ["! an old price, ask again"] if any(p.price_age for p in purchases) else []
    return "; ".join(said)


def _entries(found: ToBuy, columns: int) -> Iterator[tuple[ListEntry, Bought]]:
    for clash in found.clashes:
        key = f"clash {clash.what} {' '.join(clash.units)}"
        rows = hanging(line(signal("TWICE", "wait"), " "), clean(clash.sentence, limit=400), columns)
        yield entry(key, rows), Bought(clash.what, clash=clash)
    cells = {purchase.key: _cells(purchase) for purchase in found.purchases}
    table = WrappingTable(COLUMNS, cells.values(), columns)
    for parcel in found.parcels:
        text = f"{parcel_name(parcel)}  {_parcel_sum(parcel)}"
        head = group(clean(parcel_name(parcel), limit=200), clean(_parcel_sum(parcel), limit=200))
        rows = [head] if width_of(head) <= columns else flow(head, columns)
        yield entry(f"parcel {parcel.seller}", rows), Bought(text, parcel=parcel)
        for purchase in parcel.purchases:
            rows = [*table.lines(cells[purchase.key]), *_offers(purchase, columns)]
            yield entry(purchase.key, rows), Bought(purchase.name, purchase=purchase)
    if len(found.by_unit) > 1:
        yield heading("head units", group("Each unit's share", "shipping included")), Bought("")
        for unit, price in found.by_unit:
            words = line("    ", Span(f"{unit:<8} ", "bold accent"), price_words(price))
            yield entry(f"unit {unit}", [words]), Bought(unit, unit=unit, price=price)


def _cells(purchase: Purchase) -> list[Line]:
    """How far it has come, how much, what, for how much, for whom, and what it frees."""
    price = UNKNOWN if purchase.price is None else estimate_in_short(purchase.price)
    price += "!" if purchase.price_age else ""
    rest = ", ".join(filter(None, (purchase.only_if, frees_words(purchase))))
    return [
        line(Span(box(purchase), "wait" if purchase.supply is Supply.ORDERED else "")),
        typed(quantity_words(purchase)),
        typed(purchase.called),
        typed(price, "wait" if purchase.price is None else ""),
        typed(" ".join(purchase.units), "bold accent"),
        typed(rest, "muted"),
    ]


def _offers(purchase: Purchase, columns: int) -> Iterator[Line]:
    """What is here already instead of it."""
    for offer in purchase.offers:
        words = f"here: {clean(offer.words, limit=200)}  (t takes it)"
        yield from hanging(line("     "), words, columns, "good")


def _parcel_sum(parcel: Parcel) -> str:
    words = "goods "
    if parcel.goods is None:
        words += UNKNOWN
    else:
        words += number_words(parcel.goods.likely) + (" + ?" if parcel.unpriced else "")
    if parcel.shipping is None:
        return f"{words}, shipping {UNKNOWN}"
    return words + (f", shipping {number_words(parcel.shipping.likely)}" if parcel.shipping.high else "")


def bought_in_full(bought: Bought, columns: int, together: str = "") -> list[Line]:
    """What an entry stands for in full; `together` is what a whole parcel frees, in words."""
    return paragraphs_in_full(bought.name, why_of(bought, together), columns)


def why_of(bought: Bought, together: str = "") -> tuple[str, ...]:
    """How a line was computed and what is known about it; `together` is what a whole parcel frees, in words."""
    if bought.clash is not None:
        return (bought.clash.sentence, "There is enough for each alone, not for all of them. One has to wait or buy.")
    if bought.parcel is not None:
        rule = "A pack for several units is shared in proportion to what each needs of it."
        frees = (
            f"When all of it is here it {together}."
            if together
            else "Other things are still missing after this parcel."
        )
        return (f"Goods {price_words(bought.parcel.goods)}.", bought.parcel.shipping_how, rule, frees)
    if bought.purchase is not None:
        return tuple(_why_of_purchase(bought.purchase))
    if bought.price is not None:
        return (f"{bought.unit}: its shares of all purchases and parcels, {estimate_words(bought.price)}.",)
    return ("It is a heading.",)


def _why_of_purchase(purchase: Purchase) -> Iterator[str]:
    how = purchase.how or "as listed"
    yield how if how.endswith(".") else f"{how}."
    known = "; ".join(facts(purchase))
    yield f"{known[:1].upper()}{known[1:]}."
    if purchase.price is None:
        yield "It has no price: it is in none of the sums, never as zero. $ writes one down."
    elif purchase.price_on is not None:
        yield f"{estimate_words(purchase.price)}, price of {day_and_year(purchase.price_on)}."
    for offer in purchase.offers:
        yield f"Here already: {offer.words}. See whether it fits; t takes it."


def price_as_typed(purchase: Purchase) -> str:
    """The price as it would be typed again, for one pack where packs are known; empty while there is none."""
    if purchase.price is None:
        return ""
    price = purchase.price
    if purchase.packs and purchase.packs > 1:
        return ""
    return str(price.likely) if price.low == price.high else f"{price.low} / {price.likely} / {price.high}"


def record_of(purchase: Purchase, share: Share, unit: Unit, shop: Shop) -> tuple[str, Path | None]:
    """The record behind a share of a purchase: the unit's code (empty for the shop) and the path in it."""
    lists = {
        BuyKind.PART: "parts",
        BuyKind.COMPONENT: "components",
        BuyKind.CONSUMABLE: "consumables",
        BuyKind.OTHER: "cost_lines",
    }
    name = lists.get(purchase.kind)
    if name and any(t.code == share.code for t in getattr(unit, name)):
        return unit.code, (name, share.code)
    if name == "consumables" and any(p.code == share.code for p in unit.parts):
        return unit.code, ("parts", share.code)
    if purchase.kind is BuyKind.MATERIAL:
        return unit.code, ("case",) if unit.case is not None else None
    step = next((c for c in share.used_in if unit.step(c) is not None), None)
    if step is not None:
        return unit.code, ("steps", step)
    at = next((i for i, c in enumerate(shop.shelf) if same_words(c.name) == same_words(purchase.name)), None)
    return "", ("shelf", at) if at is not None else None
