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

from logbook.costing.amounts import as_recorded, cents, converted, quantity_in_words, same_words, times, total
from logbook.model.dates import is_past, use_by
from logbook.model.measures import Estimate
from logbook.model.shop import Consumable, Pack, Shop
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply
from logbook.model.work import ConsumableUse, UseTerm

NO_CASH = Estimate(low=Decimal(0), likely=Decimal(0), high=Decimal(0))
"""Nothing to buy; a true zero and not an unknown price."""


@dataclass(frozen=True, slots=True)
class Need:
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


def consumption(unit: Unit, shop: Shop, today: date | None = None) -> tuple[Need, ...]:
    """What the unit uses up, in the order of its record.

    Needs of the same consumable share its stock and the rest of the packs bought for the ones before.

    Args:
        unit: whose consumables, and newly made parts priced by their material, are computed.
        shop: the shelf.
        today: stock opened longer ago than it keeps is not counted. Without a date nothing is too old.
    """
    pools: dict[str, _Pool] = {}
    needs = []
    for use in (*unit.consumables, *_uses_of_made_parts(unit, shop)):
        name = same_words(use.consumable)
        if name not in pools:
            pools[name] = _pool(use.consumable, shop, today)
        needs.append(_need(use, pools[name]))
    return tuple(needs)


def need_of_terms(terms: Sequence[UseTerm], waste_percent: Decimal | None = None) -> tuple[Fraction | None, str, str]:
    """The need that terms add up to.

    Each term is amount × times × rate, or amount × times / coverage, or amount × times alone; a negative
    amount is taken off, such as openings from a face. The waste is added to the sum.

    Returns:
        The need (None when it cannot be computed), the computation in words, and what is wrong with it.
    """
    if not terms:
        return None, "", "no amount is written down"
    need, words = Fraction(0), []
    for term in terms:
        part, text, wrong = _term(term)
        if part is None:
            return None, "", wrong
        need += part
        words.append(text)
    waste = Fraction(waste_percent or 0)
    if waste < 0:
        return None, "", f"the waste of {waste_percent} % is below zero"
    if need < 0:
        return None, "", "more is taken off than there is"
    text = " + ".join(words)
    if waste:
        text += f", + {as_recorded(waste_percent or Decimal(0))} % waste"
    return need * (1 + waste / 100), text, ""


def uses_material_of(unit: Unit, shop: Shop) -> frozenset[str]:
    """Codes of newly made parts whose cost is that of their material, by mass, from the shelf."""
    names = {same_words(c.name) for c in shop.shelf}
    return frozenset(
        p.code
        for p in unit.parts
        if p.source is Source.MAKE and p.price is None and p.mass_g and same_words(p.made_from) in names
    )


def _uses_of_made_parts(unit: Unit, shop: Shop) -> tuple[ConsumableUse, ...]:
    by_material = uses_material_of(unit, shop)
    return tuple(
        ConsumableUse(
            code=p.code,
            consumable=p.made_from,
            unit="g",
            terms=(UseTerm(what=p.name, amount=p.quantity, rate=p.mass_g),),
        )
        for p in unit.parts
        if p.code in by_material and p.supply is not Supply.HERE
    )


def _term(term: UseTerm) -> tuple[Fraction | None, str, str]:
    amount = Fraction(term.amount) * term.times
    text = " ".join(x for x in (term.what, as_recorded(term.amount), term.per) if x)
    if term.times != 1:
        text += f" × {term.times}"
    if term.rate is not None and term.coverage is not None:
        return None, "", f"“{term.what}” has a rate and a coverage; give one of them"
    if term.rate is not None:
        if term.rate < 0:
            return None, "", f"“{term.what}” has a rate below zero"
        return amount * Fraction(term.rate), f"{text} × {as_recorded(term.rate)}", ""
    if term.coverage is not None:
        if term.coverage <= 0:
            return None, "", f"“{term.what}” has a coverage that is not above zero"
        return amount / Fraction(term.coverage), f"{text} / {as_recorded(term.coverage)}", ""
    return amount, text, ""


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


def _need(use: ConsumableUse, pool: _Pool) -> Need:
    item = pool.item
    pack = item.pack if item else None
    stated, need, how, problems = _amounts(use, item)
    usable_pack = pack if pack is not None and pack.size > 0 else None
    stock = pool.stock + sum((amount for amount, _ in pool.rest), Fraction(0))
    bought = _supply(use, pool, need, usable_pack)
    if pack is not None and pack.size <= 0:
        problems.append(f"The pack of {use.consumable} has no size above zero.")
    if bought.packs and use.price is not None and use.price.high == 0 and usable_pack and usable_pack.price > 0:
        problems.append(f"{use.consumable} must be bought, but its price for this unit is written down as 0.")
    used_up, from_stock, from_packs = _split(bought)
    shelf_unit = item.unit if item else use.unit
    return Need(
        code=use.code,
        consumable=use.consumable,
        stated=stated,
        stated_unit=use.unit,
        need=need,
        unit=shelf_unit,
        stock=stock,
        pack=usable_pack,
        packs=bought.packs,
        cash=bought.cash,
        used_up=used_up,
        from_stock=from_stock,
        from_packs=from_packs,
        price_on=use.price_on if use.price is not None else pack.price_on if pack else None,
        seller=use.seller or (pack.seller if pack else ""),
        how=f"{how}; {_supply_in_words(need, stock, bought.packs, shelf_unit)}" if how else "",
        problems=(*problems, *pool.notes),
    )


def _amounts(use: ConsumableUse, item: Consumable | None) -> tuple[Fraction | None, Fraction | None, str, list[str]]:
    """The need as stated and in the unit of the shelf, the computation in words, and what is wrong with it."""
    stated, how, wrong = need_of_terms(use.terms, use.waste_percent)
    if stated is None:
        return None, None, how, [f"The need of {use.consumable} is not known: {wrong}."]
    how += f" = {quantity_in_words(stated, use.unit)}"
    shelf_unit = item.unit if item else use.unit
    need = converted(stated, use.unit, shelf_unit, item.density if item else None)
    if need is None:
        sentence = (
            f"The need of {use.consumable} in {use.unit or 'pieces'} cannot be counted in {shelf_unit or 'pieces'}; "
            "give both in one unit, or a density for grams against millilitres."
        )
        return stated, None, how, [sentence]
    return stated, need, how if need == stated else f"{how} = {quantity_in_words(need, shelf_unit)}", []


@dataclass(slots=True)
class _Supply:
    """How one need is met: (amount, price for one unit or None) taken from stock and from packs."""

    packs: int | None
    cash: Estimate | None
    stock: tuple[Fraction, Fraction | None] | None
    packed: list[tuple[Fraction, Fraction | None]]


def _supply(use: ConsumableUse, pool: _Pool, need: Fraction | None, pack: Pack | None) -> _Supply:
    """Take the need from stock, then from rests of bought packs, then from packs to buy; `pool` gives it up."""
    if need is None:
        return _Supply(None, use.price, None, [])
    shelf_price = None if pack is None else Fraction(pack.price) / Fraction(pack.size)
    if shelf_price is None and use.price is not None and use.price.high == 0:
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
    cash = use.price or Estimate(low=one, likely=one, high=one)
    bought = packs * Fraction(pack.size)
    price = Fraction(cash.likely) / bought
    if bought > open_need:
        pool.rest.append((bought - open_need, price))
    return _Supply(packs, cash, from_stock, [*packed, (open_need, price)])


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
