"""What happens when a purchase is ordered, arrives, gets a price, or something that is here is taken instead.

Each is an edit over the units that share the purchase and over the shop, as one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import ZERO, cents, rounded, shared, total
from logbook.costing.consumption import consumption
from logbook.costing.joint import times_packs
from logbook.costing.stock import taken_from_jar, with_arrived, with_ordered, with_pack_price
from logbook.costing.to_buy_records import BuyKind, Offer, Parcel, Purchase, Share, shared_estimate
from logbook.costing.what_was_paid import is_known_only_paid, paid_by_share, paid_by_thing
from logbook.errors import InputError
from logbook.model.edits import free_code, replaced, with_changes
from logbook.model.measures import Estimate
from logbook.model.same_words import same_words
from logbook.model.shop import Pack, Shop
from logbook.model.unit import Unit
from logbook.model.unit_edits import with_supply
from logbook.model.words import Source, Supply
from logbook.model.work import CostLine, Part, Spent

Units = Mapping[str, Unit]


def ordered(purchase: Purchase, units: Units, shop: Shop, today: date) -> tuple[Units, Shop]:
    """The purchase is ordered today; it is expected after the days that its seller takes, where these are known.

    Raises:
        InputError: it is nothing that can be ordered, with what to do instead.
    """
    new = dict(units)
    if purchase.kind in (BuyKind.PART, BuyKind.COMPONENT):
        seller = next((s for s in shop.sellers if same_words(s.name) == same_words(purchase.seller)), None)
        expected = today + timedelta(days=seller.days) if seller is not None and seller.days is not None else None
        for share in purchase.shares:
            unit, code = _with_part(new[share.unit], purchase, share)
            unit = with_supply(unit, code, Supply.ORDERED, today)
            part = _part(unit, code)
            new[share.unit] = _put(unit, with_changes(part, expected_on=part.expected_on or expected))
        return new, shop
    if purchase.packs:
        return new, with_ordered(shop, purchase.name, purchase.packs, today)
    if is_of_steps(purchase, shop):
        for share in purchase.shares:
            unit, code = _with_part(new[share.unit], purchase, share)
            new[share.unit] = with_supply(unit, code, Supply.ORDERED, today)
        return new, shop
    raise InputError(f"{purchase.name} cannot be ordered from here: {_why_not(purchase)}")


def arrived(purchase: Purchase, paid: Decimal | None, units: Units, shop: Shop, today: date) -> tuple[Units, Shop]:
    """The purchase is here: parts are here, packs stand on the shelf, and what was paid is spent.

    Args:
        purchase: what came.
        paid: for all of it; None when nobody knows, and then nothing is written down as paid.
        units: those that share it, by code.
        shop: the shelf.
        today: when it was paid.

    Raises:
        InputError: what arrives has to be written down elsewhere first, such as a sheet on the pile; or it is
            here only by being paid, and that is not known.
    """
    if refused := why_not_here(purchase):
        raise InputError(refused)
    new = dict(units)
    if purchase.kind in (BuyKind.PART, BuyKind.COMPONENT):
        for share in purchase.shares:
            unit, code = _with_part(new[share.unit], purchase, share)
            new[share.unit] = with_supply(unit, code, Supply.HERE, today)
        shop = _with_rest(purchase, units, shop)
    elif is_known_only_paid(purchase):
        if paid is None:
            raise InputError(f"{purchase.name} is done once it is paid. Type what was paid, or leave it on the list.")
    elif purchase.quantity is not None:
        size = _pack_size(purchase, shop)
        quantity = purchase.quantity if size is None or purchase.packs is None else size * purchase.packs
        shop = with_arrived(shop, purchase.name, quantity, purchase.unit)
    for share, amount in zip(purchase.shares, paid_by_share(purchase, paid), strict=True):
        if amount is not None:
            new[share.unit] = _with_paid(new[share.unit], purchase, share, amount, today)
    return new, shop


def why_not_here(purchase: Purchase, *, at_the_keys: bool = True) -> str:
    """Why a purchase cannot be marked as here, and what to do instead; empty when it can.

    Args:
        purchase: what is to buy.
        at_the_keys: name the keys for it as well; elsewhere it is done at the desk.
    """
    if purchase.kind in (BuyKind.PART, BuyKind.COMPONENT, BuyKind.OTHER):
        return ""
    if purchase.kind is BuyKind.MATERIAL or purchase.quantity is None:
        return f"{purchase.name}: {_why_not(purchase, at_the_keys=at_the_keys)}"
    return ""


def parcel_arrived(parcel: Parcel, paid: Decimal | None, units: Units, shop: Shop, today: date) -> tuple[Units, Shop]:
    """Everything of a parcel is here; what was paid is shared out over its things and its shipping.

    What is needed only under a condition, and what has to be written down elsewhere, is left on the list.

    Args:
        parcel: what came.
        paid: for all of it with its shipping; None when nobody knows, and then nothing is written down as paid.
        units: those that share it, by code.
        shop: the shelf.
        today: when it was paid.

    Raises:
        InputError: nothing in it can arrive, or the sum cannot be shared out.
    """
    there = coming_with(parcel)
    if paid is None:
        there = tuple(p for p in there if not is_known_only_paid(p)) or there
    of_things, shipping = paid_by_thing(there, parcel, paid)
    new: Units = units
    for purchase, amount in zip(there, of_things, strict=True):
        new, shop = arrived(purchase, amount, new, shop, today)
    if shipping is None:
        return new, shop
    likely = {code: price.likely for code, price in parcel.shipping_shares}
    shares = dict(zip(likely, shared(shipping, list(likely.values())), strict=True)) if likely else {}
    closed = {code: _with_shipping_paid(unit, parcel, shares.get(code, ZERO), today) for code, unit in new.items()}
    return closed, shop


def coming_with(parcel: Parcel) -> tuple[Purchase, ...]:
    """The things of a parcel that can be here at once. Raises InputError when there is none."""
    there = things_of(parcel)
    if not there:
        raise InputError("Nothing of this parcel can be marked as here at once; mark the things one by one.")
    return there


def _with_shipping_paid(unit: Unit, parcel: Parcel, share: Decimal, today: date) -> Unit:
    """The unit's share is paid on the line that stands for this parcel; without one it is simply spent."""
    lines = [c for c in unit.cost_lines if _stands_for(c, parcel)]
    if not lines:
        name = f"shipping, {parcel.seller}" if parcel.seller else "shipping"
        return _with_spent(unit, name, share, today) if share > 0 else unit
    paid = {line.code: ZERO for line in lines} | {lines[0].code: share}  # it is one parcel, paid once
    closed = tuple(with_changes(c, paid=paid[c.code], paid_on=today) if c.code in paid else c for c in unit.cost_lines)
    return with_changes(unit, cost_lines=closed)


def _stands_for(line: CostLine, parcel: Parcel) -> bool:
    """Whether a cost line is the shipping of this parcel, still to be paid."""
    return line.parcel and line.paid is None and same_words(line.seller) == same_words(parcel.seller)


def parcel_ordered(parcel: Parcel, units: Units, shop: Shop, today: date) -> tuple[Units, Shop]:
    """Everything of a parcel that can be ordered and is not yet. Raises InputError when there is nothing."""
    wanted = [p for p in things_of(parcel) if p.supply is Supply.NEEDED and p.kind is not BuyKind.OTHER]
    wanted = [p for p in wanted if p.packs or p.kind in (BuyKind.PART, BuyKind.COMPONENT)]
    if not wanted:
        raise InputError("Nothing of this parcel is left to order.")
    new: Units = units
    for purchase in wanted:
        new, shop = ordered(purchase, new, shop, today)
    return new, shop


def things_of(parcel: Parcel) -> tuple[Purchase, ...]:
    """What of a parcel can be ordered or arrive in one go."""
    return tuple(
        p for p in parcel.purchases if not p.only_if and p.kind is not BuyKind.MATERIAL and p.quantity is not None
    )


def priced(purchase: Purchase, price: Estimate, units: Units, shop: Shop, today: date) -> tuple[Units, Shop]:
    """What it costs today: for one pack where packs are known, else for all of it.

    Raises:
        InputError: there is no place in the record for a price of it.
    """
    new = dict(units)
    if purchase.kind in (BuyKind.PART, BuyKind.COMPONENT):
        weights = _packs_of_shares(purchase, units)
        for share, packs in zip(purchase.shares, weights, strict=True):
            unit, code = _with_part(new[share.unit], purchase, share)
            new[share.unit] = _put(
                unit, with_changes(_part(unit, code), price=times_packs(price, packs, 1), price_on=today)
            )
        return new, shop
    if purchase.kind is BuyKind.OTHER:
        for share in purchase.shares:
            unit = new[share.unit]
            line = next(c for c in unit.cost_lines if c.code == share.code)
            lines = replaced(
                unit.cost_lines, with_changes(line, price=price, price_on=today), f"{unit.code} has no cost"
            )
            new[share.unit] = with_changes(unit, cost_lines=lines)
        return new, shop
    if purchase.packs:
        for code in purchase.units:
            new[code] = _with_use_price(new[code], shop, purchase.name, price, today)
        return new, with_pack_price(shop, purchase.name, price.likely, today)
    if purchase.kind is BuyKind.FASTENER and purchase.quantity is not None:
        if not is_of_steps(purchase, shop):
            return new, _with_first_pack(shop, purchase, purchase.quantity, price, today)
        each = shared_estimate(price, [Fraction(share.quantity or 1) for share in purchase.shares])
        for share, of_share in zip(purchase.shares, each, strict=True):
            unit, code = _with_part(new[share.unit], purchase, share)
            new[share.unit] = _put(unit, with_changes(_part(unit, code), price=of_share, price_on=today))
        return new, shop
    raise InputError(why_no_price(purchase))


def is_of_steps(purchase: Purchase, shop: Shop) -> bool:
    """Whether a purchase is new fasteners that only the steps ask for, and that stand in no jar."""
    wanted = same_words(purchase.name)
    return purchase.kind is BuyKind.FASTENER and all(same_words(jar.name) != wanted for jar in shop.shelf)


def _with_first_pack(shop: Shop, purchase: Purchase, quantity: Decimal, price: Estimate, today: date) -> Shop:
    """The jar of a fastener with what the missing ones cost, as a pack of so many: what it has still counts."""
    wanted = same_words(purchase.name)
    pack = Pack(size=quantity, price=price.likely, price_on=today)
    shelf = tuple(with_changes(jar, pack=pack) if same_words(jar.name) == wanted else jar for jar in shop.shelf)
    return with_changes(shop, shelf=shelf)


def why_no_price(purchase: Purchase) -> str:
    """Why a price of it cannot be written down, and what to do instead; empty when it can."""
    if purchase.packs or purchase.kind in (BuyKind.PART, BuyKind.COMPONENT, BuyKind.FASTENER, BuyKind.OTHER):
        return ""
    return f"{purchase.name} cannot be given a price yet: {_why_not(purchase)}"


def taken(offer: Offer, purchase: Purchase, units: Units, shop: Shop, today: date) -> tuple[Units, Shop]:
    """A spare, or what stands in a jar, is taken instead of buying, for the first unit that does not own it.

    Raises:
        InputError: there is too little of it.
    """
    new = dict(units)
    share = next((s for s in purchase.shares if s.unit != offer.unit), purchase.shares[0])
    unit, code = _with_part(new[share.unit], purchase, share)
    part = _part(unit, code)
    if offer.unit:
        part = with_changes(part, source=Source.SPARE, supply=Supply.HERE, spare_of=f"{offer.unit} {offer.code}")
    else:
        shop = taken_from_jar(shop, offer.code, part.quantity, today)
        part = with_changes(part, source=Source.SHELF, supply=Supply.HERE)
    new[share.unit] = _put(unit, part)
    return new, shop


def _packs_of_shares(purchase: Purchase, units: Units) -> list[int]:
    """For each share so many packs as its unit alone would buy; 1 where the price is for all of it."""
    counts = []
    for share in purchase.shares:
        part = next((p for p in units[share.unit].parts if p.code == share.code), None)
        size = part.pack_size if part is not None else None
        counts.append(1 if not size or part is None else -int(-Fraction(part.quantity) // Fraction(size)))
    return counts


def _with_use_price(unit: Unit, shop: Shop, name: str, price: Estimate, today: date) -> Unit:
    """The price that a unit states for a consumable follows that of the pack; without a range the shelf's is enough."""
    one_point = price.low == price.high
    packs = {
        n.code: n.packs or 1 for n in consumption(unit, shop, today) if same_words(n.consumable) == same_words(name)
    }
    uses = tuple(
        with_changes(u, price=None if one_point else times_packs(price, packs[u.code], 1), price_on=today)
        if same_words(u.consumable) == same_words(name) and u.code in packs
        else u
        for u in unit.consumables
    )
    return unit if uses == unit.consumables else with_changes(unit, consumables=uses)


def _with_part(unit: Unit, purchase: Purchase, share: Share) -> tuple[Unit, str]:
    """The unit with a part for the share, and the part's code: what is to be renewed gets one first."""
    if purchase.kind is BuyKind.PART:
        return unit, share.code
    code = free_code("N", [p.code for p in unit.parts])
    part = Part(
        code=code,
        name=purchase.name,
        quantity=share.quantity or Decimal(1),
        for_components=(share.code,) if share.code else (),
        for_steps=() if share.code else tuple(dict.fromkeys(share.used_in)),
        fastener=purchase.name if purchase.kind is BuyKind.FASTENER else "",
        member=_of_member(purchase, share),
        price=share.price,
        price_on=purchase.price_on,
    )
    return with_changes(unit, parts=(*unit.parts, part)), code


def _stands_for_share(part: Part, purchase: Purchase, share: Share) -> bool:
    """Whether a part is the one that `_with_part` makes for a share."""
    if share.code:
        return share.code in part.for_components
    return part.name == purchase.name and part.for_steps == share.used_in and part.member == _of_member(purchase, share)


def _of_member(purchase: Purchase, share: Share) -> str:
    """For which member the part of a share is; fasteners are counted at their step, where each member takes its own."""
    return "" if share.code or purchase.kind is BuyKind.FASTENER else purchase.member


def _part(unit: Unit, code: str) -> Part:
    part = next((p for p in unit.parts if p.code == code), None)
    if part is None:
        raise InputError(f"{unit.code} has no part {code}.")
    return part


def _put(unit: Unit, part: Part) -> Unit:
    return with_changes(unit, parts=replaced(unit.parts, part, f"{unit.code} has no part"))


def _with_spent(unit: Unit, what: str, amount: Decimal, on: date) -> Unit:
    return with_changes(unit, spent=(*unit.spent, Spent(what=what, amount=cents(amount), on=on)))


def _with_paid(unit: Unit, purchase: Purchase, share: Share, amount: Decimal, on: date) -> Unit:
    """What was paid stands with the line that it is for; with what is summed up from steps, among what was spent."""
    if purchase.kind in (BuyKind.PART, BuyKind.COMPONENT):
        name = "parts"
    else:
        name = "cost_lines" if purchase.kind is BuyKind.OTHER else "consumables"
    lines = getattr(unit, name)
    code = share.code
    if purchase.kind is BuyKind.COMPONENT:
        code = next(p.code for p in reversed(unit.parts) if _stands_for_share(p, purchase, share))
    line = next((x for x in lines if x.code == code), None)
    if line is None:
        return _with_spent(unit, purchase.name, amount, on) if amount else unit
    free = line.price is None and share.price is not None
    if not amount and (line.paid is not None or free):
        return unit  # it was paid before, or it costs nothing
    whole = amount if line.paid is None else total((line.paid, amount))
    paid = with_changes(line, paid=cents(whole), paid_on=on)
    return with_changes(unit, **{name: replaced(lines, paid, f"{unit.code} has no")})


def _with_rest(purchase: Purchase, units: Units, shop: Shop) -> Shop:
    """What is left of packs of parts goes onto the shelf, under the kind of fastener that it is, else its name."""
    parts = [_part(units[s.unit], s.code) for s in purchase.shares if purchase.kind is BuyKind.PART]
    size = next((p.pack_size for p in parts if p.pack_size), None)
    if size is None or not purchase.packs or purchase.quantity is None:
        return shop
    left = rounded(purchase.packs * Fraction(size) - Fraction(purchase.quantity), 4).normalize() + 0
    return with_arrived(shop, parts[0].fastener or purchase.name, left, purchase.unit) if left > 0 else shop


def _pack_size(purchase: Purchase, shop: Shop) -> Decimal | None:
    wanted = same_words(purchase.name)
    return next((c.pack.size for c in shop.shelf if c.pack is not None and same_words(c.name) == wanted), None)


def _why_not(purchase: Purchase, *, at_the_keys: bool = True) -> str:
    if purchase.kind is BuyKind.MATERIAL:
        why, keys = (
            "what is bought goes on the scrap pile as a piece, with its measured thickness",
            "s on the bench, then a",
        )
    elif purchase.quantity is None:
        why, keys = "how much is needed is not known yet", "Enter"
    else:
        why, keys = "write its pack on the shelf, or add it as a part first", "3 in its unit, then A"
    return f"{why} ({keys})." if at_the_keys else f"{why}. That is done at the desk."


def kept_words(purchases: Iterable[Purchase]) -> str:
    """Names of purchases for a message: the first three, and how many more."""
    names = [p.name for p in purchases]
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
