"""Parcels: everything from one seller comes together, and its shipping is shared fairly.

The rule: one parcel for each seller. Its shipping is shared over the units in proportion to the likely price of
their goods in it, to the last hundredth (`amounts.shared`); when none of the goods has a price, equally.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from logbook.costing.amounts import ZERO
from logbook.costing.to_buy_records import NOTHING, Parcel, Purchase, shared_estimate, summed
from logbook.model.measures import Estimate
from logbook.model.same_words import same_words
from logbook.model.shop import Seller, Shop
from logbook.model.unit import Unit
from logbook.model.work import CostLine

FlaggedLine = tuple[str, CostLine]
"""A unit's code and its cost line that stands for the shipping of a parcel."""


def parcels(purchases: Sequence[Purchase], units: Iterable[Unit], shop: Shop) -> tuple[Parcel, ...]:
    """The purchases by seller, each with one shipping; what nobody said where to buy comes last."""
    sellers = {same_words(s.name): s for s in shop.sellers}
    lines: dict[str, list[FlaggedLine]] = {}
    paid: dict[str, set[str]] = {}
    for unit in units:
        for line in unit.cost_lines:
            if line.parcel and line.paid is None:
                lines.setdefault(same_words(line.seller), []).append((unit.code, line))
            elif line.parcel:
                paid.setdefault(same_words(line.seller), set()).add(unit.code)
    groups: dict[str, list[Purchase]] = {}
    for purchase in purchases:
        groups.setdefault(same_words(purchase.seller), []).append(purchase)
    names = sorted(groups, key=lambda n: (not n, n))
    return tuple(
        _parcel(name, groups[name], lines.get(name, []), sellers.get(name), paid.get(name, set())) for name in names
    )


def has_goods_of(unit: Unit, seller: str) -> bool:
    """Whether anything in a unit's record is bought from a seller, here already or not."""
    wanted = same_words(seller)
    sellers = [p.seller for p in unit.parts] + [c.seller for c in unit.cost_lines if not c.parcel]
    for use in unit.consumables:
        sellers += [use.seller, *(share.seller for share in use.mixed_with)]
    return any(same_words(name) == wanted for name in sellers)


def bare_shipping(unit: Unit) -> Iterator[CostLine]:
    """Shipping that a unit has written down for a seller from whom nothing is listed: it stands for itself."""
    for line in unit.cost_lines:
        if line.parcel and line.paid is None and not has_goods_of(unit, line.seller):
            yield line


def _parcel(
    name: str, purchases: list[Purchase], lines: list[FlaggedLine], seller: Seller | None, paid: set[str]
) -> Parcel:
    things = [p for p in purchases if not p.is_shipping]
    purchases = things or purchases
    goods = _known_sum([p.price for p in purchases])
    shipping: Estimate | None
    if not things:
        shipping, how = NOTHING, "It is listed by itself."
    elif {unit for p in things for unit in p.units} <= paid:
        shipping, how = NOTHING, "Its shipping is paid."
    else:
        shipping, how = _shipping(name, goods, lines, seller)
    weights = _weights(purchases, lines)
    shares: tuple[tuple[str, Estimate], ...] = ()
    if shipping is not None and weights:
        shares = tuple(zip(weights, shared_estimate(shipping, list(weights.values())), strict=True))
    if len(weights) > 1 and shipping is not None and shipping.high:
        by = "equally" if not any(weights.values()) else "by the likely price of the goods for each"
        how += f" Shared over {', '.join(weights)} {by}."
    said = next((p.seller for p in purchases if p.seller), next((x.seller for _, x in lines), ""))
    return Parcel(
        seller=seller.name if seller is not None else said,
        purchases=tuple(purchases),
        goods=goods,
        shipping=shipping,
        shipping_shares=shares,
        shipping_how=how,
        days=seller.days if seller is not None else None,
    )


def _weights(purchases: Iterable[Purchase], lines: Iterable[FlaggedLine]) -> dict[str, Fraction]:
    """The likely price of each unit's goods; a unit that only has the shipping written down takes part at nothing."""
    weights: dict[str, Fraction] = {}
    for purchase in purchases:
        for share in purchase.shares:
            worth = Fraction(0) if share.price is None else Fraction(share.price.likely)
            weights[share.unit] = weights.get(share.unit, Fraction(0)) + worth
    if not weights:
        weights = {unit: Fraction(0) for unit, _ in lines}
    return weights


def _shipping(
    name: str, goods: Estimate | None, lines: Sequence[FlaggedLine], seller: Seller | None
) -> tuple[Estimate | None, str]:
    """What one parcel costs, and where that comes from."""
    low = ZERO if goods is None else goods.low
    if seller is not None and seller.free_from is not None and low >= seller.free_from > 0:
        return NOTHING, f"Free from {seller.free_from} on."
    if seller is not None and seller.shipping is not None:
        return seller.shipping, f"One parcel, as written down for {seller.name}."
    known = [(unit, x.price) for unit, x in lines if x.price is not None]
    if known:
        unit, price = max(known, key=lambda k: (k[1].likely, k[1].high))
        once = " It is paid once, though more than one unit has it." if len(known) > 1 else ""
        return price, f"One parcel, as written down in {unit}.{once}"
    if not name:
        return NOTHING, "Nobody has said where to buy these; no shipping is counted."
    return None, "What a parcel costs is not written down; it is in none of the sums."


def by_unit(found: Iterable[Parcel]) -> tuple[tuple[str, Estimate | None], ...]:
    """Each unit's share of goods and shipping, in the order of codes; together they are the whole.

    A unit of whose things none has a price has no share: None, which is not nothing.
    """
    shares: dict[str, list[Estimate]] = {}
    for parcel in found:
        for purchase in parcel.purchases:
            for share in purchase.shares:
                of_unit = shares.setdefault(share.unit, [])
                if share.price is not None:
                    of_unit.append(share.price)
        for unit, price in parcel.shipping_shares:
            if price.high or shares.get(unit):
                shares.setdefault(unit, []).append(price)
    return tuple((unit, summed(shares[unit]) if shares[unit] else None) for unit in sorted(shares))


def whole_price(found: Sequence[Parcel]) -> Estimate | None:
    """Goods and shipping of all parcels; None while there is something to buy and none of it has a price."""
    prices = [purchase.price for parcel in found for purchase in parcel.purchases]
    shipping = [parcel.shipping for parcel in found]
    return _known_sum([*prices, *shipping])


def _known_sum(prices: Sequence[Estimate | None]) -> Estimate | None:
    """The sum of the prices that are known; None when all that is known costs nothing and a price is missing."""
    known = [price for price in prices if price is not None]
    costs = any(price.high for price in known)
    return summed(known) if costs or len(known) == len(prices) else None
