"""What was paid when a thing or a parcel came: what is likely, what a person typed, and whose share it is.

Nothing is written down as paid that nobody said was paid: not known stays not known.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from logbook.costing.amounts import ZERO, shared, total
from logbook.costing.to_buy_records import BuyKind, Parcel, Purchase
from logbook.errors import InputError
from logbook.model.currency import refuse_foreign
from logbook.model.fields import FieldKind
from logbook.model.typed_values import parsed

NOT_KNOWN = ("", "?", "not known", "unknown")
"""How one types that nobody knows what was paid."""


def likely_paid(purchase: Purchase) -> Decimal | None:
    """What was probably paid for a thing; None while it has no price."""
    return None if purchase.price is None else purchase.price.likely


def likely_paid_for(things: Iterable[Purchase], parcel: Parcel) -> Decimal | None:
    """What was probably paid for these things of a parcel with its shipping; None while one of them has no price."""
    prices = [likely_paid(thing) for thing in things]
    known = [price for price in prices if price is not None]
    if len(known) < len(prices):
        return None
    return total((*known, shipping_of(parcel)))


def shipping_of(parcel: Parcel) -> Decimal:
    """What was probably paid for the shipping of a parcel; nothing while that is not known."""
    return total(price.likely for _, price in parcel.shipping_shares)


def costs_nothing(purchase: Purchase) -> bool:
    """Whether nothing can have been paid, so that nobody needs to be asked: it was paid before, or it is free."""
    return purchase.price is not None and not purchase.price.high


def is_known_only_paid(purchase: Purchase) -> bool:
    """Whether it is here only by being paid: a cost such as a fee has nothing that could lie on the shelf."""
    return purchase.kind is BuyKind.OTHER


def paid_as_typed(text: str, currency: str) -> Decimal | None:
    """The amount that was typed as paid; None when it is not known.

    Raises:
        InputError: it is no amount from 0 up, or one in another currency.
    """
    words = " ".join(text.split()).casefold()
    if words in NOT_KNOWN:
        return None
    refuse_foreign(text, currency)
    amount: Decimal = parsed(FieldKind.MONEY, "paid", text)
    if amount < 0:
        raise InputError("What was paid is an amount from 0 up.")
    return amount


def paid_by_share(purchase: Purchase, paid: Decimal | None) -> tuple[Decimal | None, ...]:
    """What each unit paid of a purchase, by the likely price of its share; without prices by how much it takes."""
    if paid is None:
        return (None,) * len(purchase.shares)
    prices = [share.price for share in purchase.shares]
    known = [price.likely for price in prices if price is not None]
    if len(known) == len(prices):
        return shared(paid, known)
    return shared(paid, [share.quantity or ZERO for share in purchase.shares])


def paid_by_thing(
    things: Sequence[Purchase], parcel: Parcel, paid: Decimal | None
) -> tuple[tuple[Decimal | None, ...], Decimal | None]:
    """What of the sum paid for a parcel went into each of its things, and into its shipping; None is not known.

    By their likely prices. The rest of the sum goes to the one thing that has no price.

    Raises:
        InputError: the sum cannot be shared out, because two things have no price or the others cost more.
    """
    if paid is None:
        return (None,) * len(things), None
    prices = [likely_paid(thing) for thing in things]
    weights = [ZERO if price is None else price for price in prices]
    unpriced = [place for place, price in enumerate(prices) if price is None]
    shipping = shipping_of(parcel)
    if unpriced:
        rest = paid - total((*weights, shipping))
        if len(unpriced) > 1 or rest < 0:
            raise InputError(_not_to_be_shared(things[unpriced[0]]))
        weights[unpriced[0]] = rest
    of_shipping = [shipping] if shipping else []
    parts = shared(paid, [*weights, *of_shipping])
    known = parcel.shipping is not None
    return parts[: len(things)], (parts[-1] if of_shipping else ZERO) if known else None


def _not_to_be_shared(thing: Purchase) -> str:
    return (
        f"Nobody can say what of it was for {thing.name}: it has no price. Give it one ($), mark the things here "
        "one by one, or leave the line empty: not known."
    )
