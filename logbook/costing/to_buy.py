"""What is to buy over all units: one list, joined by seller, with packs and parcels shared.

Each purchase says for whom it is, what it would free, and what is here already that may do instead. Stock that
two units count on is told, because each of them alone sees enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction

from logbook.costing.bill_lines import component_of
from logbook.costing.frees import freed_by
from logbook.costing.joint import clash, clashes_of_shelf, joint_wants
from logbook.costing.joint_material import clashes_of_pieces, joint_material
from logbook.costing.joint_parts import jar_needs
from logbook.costing.offers import Spares, like_names_of_shelf, names_of_part, offers_of_shelf
from logbook.costing.parcels import by_unit, parcels, whole_price
from logbook.costing.price_age import price_age
from logbook.costing.purchases import purchases_of
from logbook.costing.to_buy_records import BuyKind, Clash, FreedByPurchase, Offer, Purchase, ToBuy
from logbook.costing.wants import wants_of
from logbook.layout.reservations import seen_by
from logbook.model.plural import counted
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_day
from logbook.model.unit import Unit
from logbook.model.words import AT_REST


def to_buy(
    units: Sequence[Unit], shop: Shop, now: datetime | None = None, everything: Sequence[Unit] | None = None
) -> ToBuy:
    """The list of what is to buy.

    Units that are closed or stopped buy nothing; their spares are offered all the same.

    Args:
        units: for which the list is made; shares are in this order.
        shop: shelf, pile, sellers and settings.
        now: for shelf life, the age of prices and what would be freed; without it none of these is looked at.
        everything: all units of the book, for their spares and what they hold of the pile; `units` when left out.
    """
    today = shop_day(now, shop) if now is not None else None
    buying = [u for u in units if u.stage not in AT_REST]
    everything = units if everything is None else everything
    wants = [wants_of(u, seen_by((u.code,), shop, everything), today) for u in buying]
    spares = Spares(everything)
    found = purchases_of(wants, shop, today, everything)
    by_code = {u.code: u for u in buying}
    order = list(BuyKind)
    dressed = [_dressed(p, by_code, shop, spares, now) for p in found]
    dressed.sort(key=lambda p: (not p.offers, order.index(p.kind), -p.freed))
    parted = parcels(dressed, buying, shop)
    price = whole_price(parted)
    shares = by_unit(parted)
    if price is None:  # where the whole is not known, no share of it is
        shares = tuple((unit, None) for unit, _ in shares)
    return ToBuy(
        parcels=parted,
        clashes=(
            *clashes_of_shelf(list(joint_wants(buying, shop)), shop, today),
            *_clashes_of_jars(buying, shop, today),
            *clashes_of_pieces(joint_material(buying, shop, everything), shop),
            *spares.clashes(),
        ),
        price=price,
        by_unit=shares,
    )


def _dressed(purchase: Purchase, units: dict[str, Unit], shop: Shop, spares: Spares, now: datetime | None) -> Purchase:
    """The purchase with what it frees, what may do instead, and the age of its price."""
    changes: dict[str, object] = {}
    if now is not None:
        if purchase.price is not None and purchase.price.high > 0:
            months = shop.settings.price_old_months
            changes["price_age"] = price_age(purchase.price_on, months, shop_day(now, shop))
        changes["frees"] = tuple(_freed(purchase, units, shop, now))
    if purchase.kind in (BuyKind.PART, BuyKind.COMPONENT, BuyKind.FASTENER):
        today: date | None = shop_day(now, shop) if now is not None else None
        changes["offers"] = tuple(dict.fromkeys(_offers(purchase, units, shop, spares, today)))
    return replace(purchase, **changes) if changes else purchase  # type: ignore[arg-type]


def _freed(purchase: Purchase, units: dict[str, Unit], shop: Shop, now: datetime) -> Iterator[FreedByPurchase]:
    if purchase.kind is BuyKind.PART:
        wanted = {(s.unit, "part", s.code) for s in purchase.shares}
    elif purchase.kind is BuyKind.FASTENER:
        wanted = {(s.unit, "fastener", same_words(purchase.name)) for s in purchase.shares}
    else:
        return
    for code in purchase.units:
        lines: list[str] = []
        for (kind, name), freed in freed_by(units[code], shop, now).items():
            if (code, kind, name if kind == "part" else same_words(name)) in wanted:
                lines += freed
        if lines:
            yield FreedByPurchase(code, tuple(dict.fromkeys(lines)))


def _offers(
    purchase: Purchase, units: dict[str, Unit], shop: Shop, spares: Spares, today: date | None
) -> Iterator[Offer]:
    if purchase.kind is BuyKind.FASTENER:
        yield from like_names_of_shelf(purchase.name, shop, today)
        return
    for share in purchase.shares:
        unit = units[share.unit]
        part = next((p for p in unit.parts if p.code == share.code), None)
        if purchase.kind is BuyKind.PART and part is not None:
            names = names_of_part(unit, part)
            yield from spares.offers(unit.code, names)
            yield from offers_of_shelf((part.name, part.fastener), shop, today)
        elif (component := component_of(unit, share.code)) is not None:
            yield from spares.offers(unit.code, (component.name,))
            yield from offers_of_shelf((component.name,), shop, today)


def _clashes_of_jars(units: Sequence[Unit], shop: Shop, today: date | None) -> Iterator[Clash]:
    """Jars of fasteners that two units count on; what is sold in packs is told with the shelf."""
    for kind in jar_needs(units, shop, today):
        wanted = {u: Fraction(n) for u, n in kind.by_unit().items()}
        yield from clash(kind.name, "", wanted, kind.stock)


def list_question(found: ToBuy, amount: str, how: str = "") -> str:
    """How many things are to get and for how much, in a sentence; `amount` is the likely sum as it is shown.

    Where no price is known at all, `how` says what to do to say one, in the words of the place where it is read.
    With a price missing the sum is a lower limit, and with every price missing there is no sum to say.
    """
    things = found.purchases
    if not things:
        return "Nothing to buy: everything that the units need is here."
    ordered = sum(p.supply == "ordered" for p in things)
    units = {u for p in things for u in p.units}
    words = f"{len(things)} thing{'s' if len(things) > 1 else ''} to get"
    words += f" for {len(units)} units" if len(units) > 1 else ""
    words += f", {ordered} of them ordered" if ordered else ""
    if found.price is None:
        return f"{words}; none has a price yet{how and f': {how}'} (?)."
    unpriced = len(found.unpriced)
    unshipped = sum(parcel.shipping is None for parcel in found.parcels)
    if not unpriced and not unshipped:
        return f"{words}, likely {amount} together."
    unknown = [f"{unpriced} {'has' if unpriced == 1 else 'have'} no price"] if unpriced else []
    unknown += [f"the shipping of {counted(unshipped, 'parcel')} is not known"] if unshipped else []
    return f"{words}, likely {amount} or more together; {', '.join(unknown)} (?)."
