"""The records of what is to buy: purchases with their shares, parcels with their shipping, clashes, the whole list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.costing.amounts import shared, total
from logbook.model.measures import Estimate
from logbook.model.members import called_for
from logbook.model.words import Supply


class BuyKind(StrEnum):
    """What is bought, in the order in which it stands on the list."""

    PART = "part"
    COMPONENT = "component"
    FASTENER = "fastener"
    CONSUMABLE = "consumable"
    MATERIAL = "material"
    OTHER = "other cost"


@dataclass(frozen=True, slots=True)
class FreedByPurchase:
    """What becomes ready in one unit once a purchase is here, because nothing else is missing for it."""

    unit: str
    lines: tuple[str, ...]
    """Numbers of lines of the reassembly list, and codes of operations."""


@dataclass(frozen=True, slots=True)
class Offer:
    """Something that is here already and may do instead of buying."""

    unit: str
    """Unit whose spare it is; empty for the shelf."""
    code: str
    """Code of the component, or name on the shelf."""
    words: str


@dataclass(frozen=True, slots=True)
class Share:
    """What one unit wants of a purchase, and its share of the price."""

    unit: str
    code: str
    """Code in its record; empty for what is summed up from steps or panels."""
    quantity: Decimal | None
    price: Estimate | None = None
    used_in: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Purchase:
    """One thing to buy, for one unit or for several together."""

    kind: BuyKind
    name: str
    quantity: Decimal | None
    """What is missing, in `unit`; None while it cannot be computed."""
    unit: str
    price: Estimate | None
    """Cash for the whole of it; None is unpriced, shown as “?”."""
    shares: tuple[Share, ...]
    """In the order of units; their prices add up to the price to the last hundredth."""
    seller: str = ""
    price_on: date | None = None
    price_age: str = ""
    packs: int | None = None
    """Whole packs, where packs are known."""
    pack: str = ""
    supply: Supply = Supply.NEEDED
    ordered_on: date | None = None
    expected_on: date | None = None
    only_if: str = ""
    how: str = ""
    """How the quantity follows from the records, in words."""
    offers: tuple[Offer, ...] = ()
    frees: tuple[FreedByPurchase, ...] = ()
    is_shipping: bool = False
    """It is shipping that stands for itself, because nothing is listed from its seller."""
    member: str = ""
    """Which ones of a set it is for, in words: `left`, `left and right`; empty: all of it."""

    @property
    def called(self) -> str:
        """Its name, with the member that it is for beside it: `lamp holder, left`."""
        return called_for(self.name, self.member)

    @property
    def key(self) -> str:
        """The same for the same thing while the list changes around it."""
        first = self.shares[0]
        return f"{self.kind} {self.name} {self.only_if} {first.unit} {first.code}"

    @property
    def units(self) -> tuple[str, ...]:
        """Codes of the units that it is for."""
        return tuple(dict.fromkeys(s.unit for s in self.shares))

    @property
    def freed(self) -> int:
        """How many lines become ready in all units together."""
        return sum(len(f.lines) for f in self.frees)


@dataclass(frozen=True, slots=True)
class Parcel:
    """Everything from one seller, and one shipping for it."""

    seller: str
    """Empty for what nobody has said where to buy."""
    purchases: tuple[Purchase, ...]
    goods: Estimate | None
    """Sum of the prices that are known; None while no price is."""
    shipping: Estimate | None
    """One parcel; None while not known."""
    shipping_shares: tuple[tuple[str, Estimate], ...]
    """(unit, its share); they add up to the shipping to the last hundredth."""
    shipping_how: str
    """Where the shipping comes from and how it is shared, in a sentence."""
    days: int | None = None

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Names of purchases without a price."""
        return tuple(p.name for p in self.purchases if p.price is None)


@dataclass(frozen=True, slots=True)
class Clash:
    """Two units or more that count on the same stock, which is not enough for all."""

    what: str
    units: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class ToBuy:
    """The list of what is to buy over units."""

    parcels: tuple[Parcel, ...]
    clashes: tuple[Clash, ...]
    price: Estimate | None
    """Goods and shipping whose prices are known; None while no price is."""
    by_unit: tuple[tuple[str, Estimate | None], ...]
    """(unit, its share of goods and shipping); they add up to `price` to the last hundredth. None: not known."""

    @property
    def purchases(self) -> tuple[Purchase, ...]:
        """Every purchase, parcel by parcel."""
        return tuple(p for parcel in self.parcels for p in parcel.purchases)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Names of purchases without a price, which are missing from the sums."""
        return tuple(p.name for p in self.purchases if p.price is None)


NOTHING = Estimate(low=Decimal("0.00"), likely=Decimal("0.00"), high=Decimal("0.00"))


def summed(prices: list[Estimate]) -> Estimate:
    """The sum of estimates, point by point."""
    if not prices:
        return NOTHING
    return Estimate(
        low=total(p.low for p in prices), likely=total(p.likely for p in prices), high=total(p.high for p in prices)
    )


def shared_estimate(price: Estimate, weights: list[Fraction]) -> tuple[Estimate, ...]:
    """A three-point price divided in proportion to weights; each point adds up to the last hundredth.

    The low price is shared first, then what likely lies above low, then what high lies above likely, each by
    `amounts.shared`. So no share has a low above its likely, which sharing the three apart could give.
    """
    low = shared(price.low, weights)
    more = shared(price.likely - price.low, weights)
    most = shared(price.high - price.likely, weights)
    return tuple(
        Estimate(low=a, likely=total((a, b)), high=total((a, b, c))) for a, b, c in zip(low, more, most, strict=True)
    )
