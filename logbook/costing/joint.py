"""What several units want of the shelf or of the pile together: packs are bought once and shared.

A pack that serves several units is shared in proportion to what each needs of the thing, stock included,
because what is in stock belongs to all of them alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from logbook.costing.amounts import cents, converted, plain_number, quantity_in_words, rounded
from logbook.costing.consumption import NO_CASH, ConsumableNeed, usable_stock
from logbook.costing.to_buy_records import BuyKind, Clash, Purchase, Share, shared_estimate, summed
from logbook.costing.wanted import ConsumableWanted, all_wanted, shelf_by_name
from logbook.costing.wants import Wants
from logbook.model.measures import Estimate
from logbook.model.same_words import same_words
from logbook.model.shop import Consumable, Pack, Shop
from logbook.model.unit import Unit
from logbook.model.words import Supply


@dataclass(slots=True)
class Joint:
    """One thing of the shelf and what each unit wants of it, in the unit of the shelf."""

    name: str
    item: Consumable | None
    unit: str
    wants: list[tuple[str, ConsumableWanted, Fraction]] = field(default_factory=list)
    unknown: list[tuple[str, ConsumableWanted]] = field(default_factory=list)
    """Wants whose amount is not known."""

    @property
    def need(self) -> Fraction:
        """What all want together."""
        return sum((n for _, _, n in self.wants), Fraction(0))


def joint_wants(units: Sequence[Unit], shop: Shop) -> Iterator[Joint]:
    """Everything that units still want of the shelf, the same things together, in the order of first need."""
    shelf = shelf_by_name(shop)
    found: dict[str, Joint] = {}
    for unit in units:
        for want in all_wanted(unit, shop):
            if want.used_on is not None:
                continue
            name = same_words(want.consumable)
            item = shelf.get(name)
            joint = found.setdefault(name, Joint(want.consumable, item, item.unit if item else want.unit))
            amount = None
            if want.stated is not None:
                amount = converted(want.stated, want.unit, joint.unit, item.density if item else None)
            if amount is None:
                joint.unknown.append((unit.code, want))
            elif amount:
                joint.wants.append((unit.code, want, amount))
    yield from found.values()


def purchases_of_shelf(joints: Sequence[Joint], wants: Sequence[Wants], shop: Shop) -> Iterator[Purchase]:
    """What must be bought of the shelf: what all want, less the stock that still keeps, in whole packs."""
    today = wants[0].today if wants else None
    needs = {w.unit.code: w.needs for w in wants}
    for joint in joints:
        stock, notes = usable_stock(joint.name, shop, today)
        missing = joint.need - stock
        if missing > 0:
            yield _purchase(joint, stock, notes, needs)
        for unit, want in joint.unknown:
            problem = " ".join(want.problems) or "The unit does not match that of the shelf."
            price = NO_CASH if want.paid else want.price
            share = Share(unit, want.code, None, price)
            yield Purchase(
                kind=BuyKind.CONSUMABLE,
                name=want.consumable,
                quantity=None,
                unit=joint.unit,
                price=price,
                shares=(share,),
                seller=want.seller,
                price_on=want.price_on,
                how=problem,
            )


def _purchase(
    joint: Joint, stock: Fraction, notes: Sequence[str], needs: Mapping[str, Sequence[ConsumableNeed]]
) -> Purchase:
    missing = joint.need - stock
    pack = joint.item.pack if joint.item is not None and joint.item.pack and joint.item.pack.size > 0 else None
    packs = None if pack is None else -int(-missing // Fraction(pack.size))
    price, price_on, seller = _price(joint, stock, pack, packs)
    units = {unit for unit, _, _ in joint.wants}
    if len(units) == 1:
        shares = _shares_alone(joint, needs[next(iter(units))])
        known = [s.price for s in shares if s.price is not None]
        price = summed(known) if len(known) == len(shares) else None
    else:
        shares = _shares(joint, price)
    words = " + ".join(f"{u} {quantity_in_words(n, joint.unit)}" for u, _, n in joint.wants)
    how = f"{words}; {quantity_in_words(stock, joint.unit)} in stock, {quantity_in_words(missing, joint.unit)} missing"
    if packs is not None and pack is not None:
        left = packs * Fraction(pack.size) - missing
        how += f"; {packs} pack{'s' if packs > 1 else ''} of {plain_number(pack.size)}"
        how += f", {quantity_in_words(left, joint.unit)} left over for the shelf" if left else ""
    ordered = joint.item.packs_ordered if joint.item is not None else 0
    if packs is not None and 0 < ordered < packs:
        how += f"; {ordered} of them ordered"
    done = bool(packs) and packs is not None and ordered >= packs
    return Purchase(
        kind=BuyKind.FASTENER if not any(w.code for _, w, _ in joint.wants) else BuyKind.CONSUMABLE,
        name=joint.name,
        quantity=rounded(missing, 4),
        unit=joint.unit,
        price=price,
        shares=shares,
        seller=seller,
        price_on=price_on,
        packs=packs,
        pack=f"{plain_number(pack.size)} {joint.unit}".rstrip() if pack else "",
        supply=Supply.ORDERED if done else Supply.NEEDED,
        ordered_on=joint.item.ordered_on if joint.item is not None and ordered else None,
        how=" ".join((how + ".", *notes)),
    )


def _price(
    joint: Joint, stock: Fraction, pack: Pack | None, packs: int | None
) -> tuple[Estimate | None, date | None, str]:
    """Price of the packs, its date, and the seller: from the newest price a record states, else from the shelf."""
    seller = next((w.seller for _, w, _ in joint.wants if w.seller), pack.seller if pack else "")
    if pack is None or packs is None:
        stated = [w.price for _, w, _ in joint.wants]
        known = [p for p in stated if p is not None]
        newest = max((w.price_on for _, w, _ in joint.wants if w.price_on), default=None)
        return (summed(known) if len(known) == len(stated) else None), newest, seller
    best: tuple[date, Estimate, int] | None = None
    for _, want, need in joint.wants:
        alone = -int(-(need - stock) // Fraction(pack.size))
        if want.price is not None and want.price.high > 0 and alone > 0:
            on = want.price_on or date.min
            if best is None or on > best[0]:
                best = on, want.price, alone
    several = len({unit for unit, _, _ in joint.wants}) > 1
    if best is None or (several and pack.price_on is not None and best[0] < pack.price_on):
        one = Estimate(low=pack.price, likely=pack.price, high=pack.price)
        return times_packs(one, packs, 1), pack.price_on, seller
    on, price, alone = best
    return times_packs(price, packs, alone), None if on == date.min else on, seller


def times_packs(price: Estimate, count: int, over: int) -> Estimate:
    """The price of `count` packs, when `over` packs cost so much."""
    if count == over:
        return price
    low, likely, high = (cents(Fraction(x) * count / over) for x in (price.low, price.likely, price.high))
    return Estimate(low=low, likely=likely, high=high)


def _shares_alone(joint: Joint, needs: Sequence[ConsumableNeed]) -> tuple[Share, ...]:
    """The shares of one unit that wants the thing alone: what its own needs say that each costs."""
    of_name = [n for n in needs if same_words(n.consumable) == same_words(joint.name) and n.used_on is None and n.need]
    return tuple(
        Share(unit, want.code, rounded(amount, 4), need.cash)
        for (unit, want, amount), need in zip(joint.wants, of_name, strict=True)
    )


def _shares(joint: Joint, price: Estimate | None) -> tuple[Share, ...]:
    prices: Sequence[Estimate | None] = [None] * len(joint.wants)
    if price is not None:
        prices = shared_estimate(price, [n for _, _, n in joint.wants])
    return tuple(
        Share(unit, want.code, rounded(need, 4), p) for (unit, want, need), p in zip(joint.wants, prices, strict=True)
    )


def clashes_of_shelf(joints: Sequence[Joint], shop: Shop, today: date | None) -> Iterator[Clash]:
    """Stock that two units or more count on, and that is not enough for all of them."""
    for joint in joints:
        by_unit: dict[str, Fraction] = {}
        for unit, _, need in joint.wants:
            by_unit[unit] = by_unit.get(unit, Fraction(0)) + need
        stock, _ = usable_stock(joint.name, shop, today)
        yield from clash(joint.name, joint.unit, by_unit, stock)


def clash(name: str, unit: str, by_unit: Mapping[str, Fraction], stock: Fraction) -> Iterator[Clash]:
    """The clash over one thing: none when one unit alone wants it, when nothing is there, or when it suffices."""
    need = sum(by_unit.values(), Fraction(0))
    if len(by_unit) < 2 or stock <= 0 or need <= stock:
        return
    words = ", ".join(f"{u} {quantity_in_words(n, unit)}" for u, n in by_unit.items())
    short = quantity_in_words(need - stock, unit)
    sentence = (
        f"{' and '.join(by_unit)} count on the same {quantity_in_words(stock, unit)} of {name} ({words}): "
        f"{short} too little for all."
    )
    yield Clash(name, tuple(by_unit), sentence)
