"""The lines of what is to buy for a screen: what they say, why, and the place in the record behind them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.costing import BuyKind, Clash, Parcel, Purchase, Share, ToBuy
from logbook.model.measures import Estimate
from logbook.model.paths import Path
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.bill_document import UNKNOWN
from logbook.render.money import estimate_words, number_words
from logbook.render.plain import clean, fitted, wrapped
from logbook.render.to_buy_document import box, facts, frees_words, parcel_name, price_words, quantity_words
from logbook.tui.widgets.rows import Row

WIDE = 110
"""From so many columns on a line shows all three points of its price."""


class Bought(NamedTuple):
    """What a line stands for."""

    name: str
    purchase: Purchase | None = None
    parcel: Parcel | None = None
    clash: Clash | None = None
    unit: str = ""
    price: Estimate | None = None


def buy_rows(found: ToBuy, columns: int) -> tuple[list[Row], dict[str, Bought]]:
    """The rows of the list and what each stands for: parcels with their things, clashes, each unit's share."""
    rows: list[Row] = []
    bought: dict[str, Bought] = {}
    for row, what in _lines(found, columns):
        bought[row.key] = what
        rows.append(row)
    if signs := _signs(found, columns):
        rows.append(Row("signs", (signs,), "head", selectable=False))
        bought["signs"] = Bought("")
    return rows, bought


def _signs(found: ToBuy, columns: int) -> str:
    """What the signs beside the prices mean, as far as they stand there."""
    purchases = [p for parcel in found.parcels for p in parcel.purchases]
    short = columns < WIDE and any(p.price and p.price.low != p.price.high and p.price.likely for p in purchases)
    said = ["~ likely, of three amounts"] if short else []
    said += ["! an old price, ask again"] if any(p.price_age for p in purchases) else []
    return "; ".join(said)


def _lines(found: ToBuy, columns: int) -> Iterator[tuple[Row, Bought]]:
    for clash in found.clashes:
        key = f"clash {clash.what} {' '.join(clash.units)}"
        first, *rest = wrapped(clean(f"twice! {clash.sentence}", limit=400), columns - 7)
        lines = (first, *(f"       {line}" for line in rest))
        yield Row(key, lines, "warning"), Bought(clash.what, clash=clash)
    room = min(12, max((len(" ".join(p.units)) for p in found.purchases), default=0))
    for parcel in found.parcels:
        text = f"{parcel_name(parcel)}  {_parcel_sum(parcel)}"
        yield Row(f"parcel {parcel.seller}", (clean(text, limit=200),), "head"), Bought(text, parcel=parcel)
        for purchase in parcel.purchases:
            yield Row(purchase.key, purchase_lines(purchase, columns, room)), Bought(purchase.name, purchase=purchase)
    if len(found.by_unit) > 1:
        yield Row("head units", ("each unit's share, shipping included",), "head", selectable=False), Bought("")
        for unit, price in found.by_unit:
            yield Row(f"unit {unit}", (f"    {unit:<8} {price_words(price)}",)), Bought(unit, unit=unit, price=price)


def _parcel_sum(parcel: Parcel) -> str:
    words = "goods "
    if parcel.goods is None:
        words += UNKNOWN
    else:
        words += number_words(parcel.goods.likely) + (" + ?" if parcel.unpriced else "")
    if parcel.shipping is None:
        return f"{words}, shipping {UNKNOWN}"
    return words + (f", shipping {number_words(parcel.shipping.likely)}" if parcel.shipping.high else "")


def purchase_lines(purchase: Purchase, columns: int, units_room: int = 9) -> tuple[str, ...]:
    """A purchase in a line, and what is here already in a line below it."""
    wide = columns >= WIDE
    price = price_words(purchase.price) if wide or purchase.price is None else _in_short(purchase.price)
    age = "!" if purchase.price_age else " "
    name = max(14, min(40, columns - units_room - (53 if wide else 41)))
    rest = "; ".join(x for x in (purchase.only_if, frees_words(purchase)) if x)
    units = " ".join(purchase.units)
    called = _fit(purchase.called, name)
    line = (
        f"{box(purchase)} {_fit(quantity_words(purchase), 8)} {called} {price:>{22 if wide else 8}}"
        f"{age} {_fit(units, units_room)}  {clean(rest, limit=80)}"
    )
    return (line, *(f"    here: {clean(o.words, limit=200)}  (t takes it)" for o in purchase.offers))


def _in_short(price: Estimate) -> str:
    """A price in eight columns: `12.00`, `~8.40` where it is one of three, `0-38.00` where it may be nothing."""
    if price.low == price.high:
        return number_words(price.likely)
    return f"0-{number_words(price.high)}" if not price.likely else f"~{number_words(price.likely)}"


def why_of(bought: Bought, together: str = "") -> tuple[str, ...]:
    """How a line was computed and what is known about it; `together` is what a whole parcel frees, in words."""
    if bought.clash is not None:
        return (bought.clash.sentence, "Each of them alone sees enough; together they do not. One has to wait or buy.")
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
    yield "; ".join(facts(purchase)) + "."
    if purchase.price is None:
        yield "It has no price: it is in none of the sums, never as zero. $ writes one down."
    elif purchase.price_on is not None:
        yield f"{estimate_words(purchase.price)}, price of {purchase.price_on:%d %b %Y}."
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


def _fit(text: str, columns: int) -> str:
    return fitted(clean(text, limit=200), columns)
