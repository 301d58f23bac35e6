"""What a unit uses up: the need of each consumable, what of it is in stock, what to buy, and the share used.

Two truths about a pack are kept apart: what must be bought is whole packs (cash), what this job uses up is
a share of a pack (its cost). See `logbook.costing.amounts` for the rounding rule.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import ZERO, cents, converted, quantity_in_words, times, total
from logbook.costing.wanted import ConsumableWanted, all_wanted, need_of_terms
from logbook.model.dates import is_past, use_by
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import Estimate
from logbook.model.remembered import remembered
from logbook.model.same_words import same_words
from logbook.model.shop import Consumable, Pack, Shop
from logbook.model.unit import Unit

__all__ = ["NO_CASH", "ConsumableNeed", "consumption", "need_of_terms", "usable_stock"]

NO_CASH = Estimate(low=Decimal(0), likely=Decimal(0), high=Decimal(0))
"""Nothing to buy; a true zero and not an unknown price."""


@dataclass(frozen=True, slots=True)
class ConsumableNeed:
    """What one unit needs of one consumable, and where it comes from."""

    code: str
    consumable: str
    stated: Fraction | None
    """The need with waste, in the unit in which it was stated; None when it cannot be computed."""
    stated_unit: str
    need: Fraction | None
    """The need in the unit of the shelf; None when it cannot be computed."""
    unit: str
    stock: Fraction
    """What of the shelf's stock, or of packs bought for a need above, this one may count on."""
    pack: Pack | None
    packs: int | None
    """Whole packs to buy; None when the need or the pack is not known."""
    cash: Estimate | None
    """Money for the packs to buy; None while unpriced."""
    used_up: Decimal | None
    """Cost of what is used: from stock and from bought packs together; None when a price is missing."""
    from_stock: Decimal | None
    from_packs: Decimal | None
    price_on: date | None
    seller: str
    how: str
    """How the need was computed and what follows, in words."""
    problems: tuple[str, ...] = ()
    """What is wrong or not counted, a sentence each."""
    rest: Fraction | None = None
    """What is left of the packs bought for it; it becomes stock on the shelf."""
    keeps_months: int | None = None
    """How long that rest keeps once opened; None when nobody said."""
    used_on: date | None = None
    """The day on which it was used up; then it is no need any more and costs nothing to come."""
    paid: bool = False
    """Its packs are paid for already: they are spent, whether they are here or not."""

    @property
    def share(self) -> Fraction | None:
        """The share of one pack that is used up."""
        if self.need is None or self.pack is None or self.pack.size <= 0:
            return None
        return self.need / Fraction(self.pack.size)

    @property
    def on_hand(self) -> bool:
        """Whether nothing has to be bought for it."""
        return self.packs == 0


@remembered
def consumption(unit: Unit, shop: Shop, today: date | None = None) -> tuple[ConsumableNeed, ...]:
    """What the unit uses up, in the order of its record.

    Needs of the same consumable share its stock and the rest of the packs bought for the ones before.

    Args:
        unit: whose consumables, and newly made parts priced by their material, are computed.
        shop: the shelf.
        today: stock opened longer ago than it keeps is not counted. Without a date nothing is too old.
    """
    pools: dict[str, _Pool] = {}
    needs = []
    for wanted in all_wanted(unit, shop):
        name = same_words(wanted.consumable)
        if name not in pools:
            pools[name] = _pool(wanted.consumable, shop, today)
        used_on = wanted.used_on
        needs.append(_need(wanted, pools[name]) if used_on is None else _used(wanted, used_on))
    return tuple(needs)


def _used(wanted: ConsumableWanted, used_on: date) -> ConsumableNeed:
    """What was used up already: shown, and no cost to come."""
    return ConsumableNeed(
        code=wanted.code,
        consumable=wanted.consumable,
        stated=wanted.stated,
        stated_unit=wanted.unit,
        need=wanted.stated,
        unit=wanted.unit,
        stock=Fraction(0),
        pack=None,
        packs=0,
        cash=NO_CASH,
        used_up=ZERO,
        from_stock=ZERO,
        from_packs=ZERO,
        price_on=None,
        seller=wanted.seller,
        how=f"{wanted.how}; used up on {day_and_year(used_on)}",
        used_on=used_on,
    )


@dataclass(slots=True)
class _Pool:
    """What is left of one consumable while the needs are worked through one after the other."""

    item: Consumable | None
    stock: Fraction = Fraction(0)
    notes: list[str] = field(default_factory=list)
    rest: list[tuple[Fraction, Fraction | None]] = field(default_factory=list)
    """Rests of packs bought for earlier needs, each with its price for one unit."""


def _pool(name: str, shop: Shop, today: date | None) -> _Pool:
    items = [c for c in shop.shelf if same_words(c.name) == same_words(name)]
    main = next((c for c in items if c.pack is not None), items[0] if items else None)
    pool = _Pool(main)
    for item in items:
        if main is None or item.stock <= 0:
            continue
        amount = converted(Fraction(item.stock), item.unit, main.unit, item.density or main.density)
        shown = quantity_in_words(item.stock, item.unit)
        if amount is None:
            pool.notes.append(f"{shown} of {item.name} in stock cannot be counted in {main.unit or 'pieces'}.")
        elif is_past(item, today):
            pool.notes.append(
                f"{shown} of {item.name} in stock are not counted: past their shelf life ({use_by(item)})."
            )
        else:
            pool.stock += amount
    return pool


def usable_stock(name: str, shop: Shop, today: date | None) -> tuple[Fraction, tuple[str, ...]]:
    """What the shelf has of a thing that still keeps, in the unit of the shelf; and sentences about what does not."""
    pool = _pool(name, shop, today)
    return pool.stock, tuple(pool.notes)


def _need(use: ConsumableWanted, pool: _Pool) -> ConsumableNeed:
    item = pool.item
    pack = item.pack if item else None
    need, how, problems = _in_shelf_unit(use, item)
    usable_pack = pack if pack is not None and pack.size > 0 else None
    stock = pool.stock + sum((amount for amount, _ in pool.rest), Fraction(0))
    bought = _supply(use, pool, need, usable_pack)
    if pack is not None and pack.size <= 0:
        problems.append(f"The pack of {use.consumable} has no size: write down how much it holds.")
    if bought.packs and not use.paid and _is_zero(use.price) and usable_pack and usable_pack.price > 0:
        problems.append("It must be bought, so the price of a pack counts and not the 0 that is written down.")
    used_up, from_stock, from_packs = _split(bought)
    shelf_unit = item.unit if item else use.unit
    return ConsumableNeed(
        code=use.code,
        consumable=use.consumable,
        stated=use.stated,
        stated_unit=use.unit,
        need=need,
        unit=shelf_unit,
        stock=stock,
        pack=usable_pack,
        packs=bought.packs,
        cash=NO_CASH if use.paid else bought.cash,
        used_up=used_up,
        from_stock=from_stock,
        from_packs=from_packs,
        price_on=use.price_on if use.price is not None and use.price.high else pack.price_on if pack else use.price_on,
        seller=use.seller or (pack.seller if pack else ""),
        how=f"{how}; {_supply_in_words(need, stock, bought.packs, shelf_unit)}" if how else "",
        problems=(*problems, *pool.notes),
        rest=bought.rest,
        keeps_months=item.keeps_months if item else None,
        paid=use.paid,
    )


def _in_shelf_unit(use: ConsumableWanted, item: Consumable | None) -> tuple[Fraction | None, str, list[str]]:
    """The need in the unit of the shelf, the computation in words, and what is wrong with it."""
    if use.stated is None:
        return None, use.how, list(use.problems)
    shelf_unit = item.unit if item else use.unit
    need = converted(use.stated, use.unit, shelf_unit, item.density if item else None)
    if need is None:
        sentence = (
            f"The need of {use.consumable} in {use.unit or 'pieces'} cannot be counted in {shelf_unit or 'pieces'}; "
            "give both in one unit, or a density for grams against millilitres."
        )
        return None, use.how, [*use.problems, sentence]
    how = use.how if need == use.stated else f"{use.how} = {quantity_in_words(need, shelf_unit)}"
    return need, how, list(use.problems)


@dataclass(slots=True)
class _Supply:
    """How one need is met: (amount, price for one unit or None) taken from stock and from packs."""

    packs: int | None
    cash: Estimate | None
    stock: tuple[Fraction, Fraction | None] | None
    packed: list[tuple[Fraction, Fraction | None]]
    rest: Fraction | None = None


def _supply(use: ConsumableWanted, pool: _Pool, need: Fraction | None, pack: Pack | None) -> _Supply:
    """Take the need from stock, then from rests of bought packs, then from packs to buy; `pool` gives it up."""
    if need is None:
        return _Supply(None, use.price, None, [])
    shelf_price = None if pack is None else Fraction(pack.price) / Fraction(pack.size)
    if shelf_price is None and _is_zero(use.price):
        # From a jar that has no pack: a price typed as 0 says that it costs nothing.
        shelf_price = Fraction(0)
    taken = min(need, pool.stock)
    pool.stock -= taken
    open_need, packed, rests = need - taken, [], []
    for amount, price in pool.rest:
        part = min(open_need, amount)
        open_need -= part
        packed.append((part, price))
        rests.append((amount - part, price))
    pool.rest = [r for r in rests if r[0]]
    from_stock = (taken, shelf_price)
    if open_need == 0:
        return _Supply(0, NO_CASH, from_stock, packed)
    if pack is None:
        return _Supply(None, use.price, from_stock, [*packed, (open_need, shelf_price)])
    packs = -int(-open_need // Fraction(pack.size))
    one = times(pack.price, packs)
    # A price typed as 0, because the shelf had some, is no price of packs that must be bought.
    stated = None if _is_zero(use.price) else use.price
    cash = stated or Estimate(low=one, likely=one, high=one)
    bought = packs * Fraction(pack.size)
    price = Fraction(cash.likely) / bought
    if bought > open_need:
        pool.rest.append((bought - open_need, price))
    return _Supply(packs, cash, from_stock, [*packed, (open_need, price)], bought - open_need)


def _is_zero(price: Estimate | None) -> bool:
    return price is not None and price.high == 0


def _split(supply: _Supply) -> tuple[Decimal | None, Decimal | None, Decimal | None]:
    """The cost used up, that from stock, and that from packs: two amounts and their sum."""
    if supply.stock is None:
        return None, None, None
    stock, packs = _cost([supply.stock]), _cost(supply.packed)
    return None if stock is None or packs is None else total((stock, packs)), stock, packs


def _cost(taken: Sequence[tuple[Fraction, Fraction | None]]) -> Decimal | None:
    cost = Fraction(0)
    for amount, price in taken:
        if amount and price is None:
            return None
        cost += amount * (price or 0)
    return cents(cost)


def _supply_in_words(need: Fraction | None, stock: Fraction, packs: int | None, unit: str) -> str:
    if need is None:
        return "what to buy is not known"
    in_stock = f"{quantity_in_words(stock, unit)} in stock"
    if packs is None:
        return f"{in_stock}, {quantity_in_words(need - stock, unit)} to buy, pack not known"
    return f"{in_stock}, nothing to buy" if packs == 0 else f"{in_stock}, {packs} pack{'s' if packs > 1 else ''} to buy"
