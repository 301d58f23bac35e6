"""What comes onto the shelf and goes off it: packs that arrive, jars that are opened, what a job uses up.

Shelf life runs from the opening of a pack. So packs that arrive while an opened one stands there are kept as
a line of their own, and what is used comes first from what was opened first.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal, localcontext
from fractions import Fraction

from logbook.costing.amounts import converted, quantity_in_words, rounded
from logbook.costing.consumption import consumption
from logbook.errors import InputError
from logbook.model.dates import is_past, use_by
from logbook.model.dates_in_words import day_and_year
from logbook.model.edits import replaced, with_changes
from logbook.model.same_words import same_words
from logbook.model.shop import Consumable, Shop
from logbook.model.unit import Unit


def with_arrived(shop: Shop, name: str, amount: Decimal, unit: str = "") -> Shop:
    """So much of a thing comes onto the shelf, unopened; what was ordered of it is no longer ordered.

    It joins a line of the same name that is empty or holds only unopened packs; beside an opened one it gets a
    line of its own. What the shelf does not have yet is begun.
    """
    at = [i for i, c in enumerate(shop.shelf) if same_words(c.name) == same_words(name)]
    shelf = [with_changes(c, packs_ordered=0, ordered_on=None) if i in at else c for i, c in enumerate(shop.shelf)]
    for i in at:
        if shelf[i].stock <= 0:
            shelf[i] = with_changes(shelf[i], stock=amount, opened_on=None)
            return with_changes(shop, shelf=tuple(shelf))
        if shelf[i].pack is None or (shelf[i].opened_on is None and _whole_packs(shelf[i])):
            shelf[i] = with_changes(shelf[i], stock=_sum(shelf[i].stock, amount))
            return with_changes(shop, shelf=tuple(shelf))
    if at:
        fresh = with_changes(shelf[at[0]], stock=amount, opened_on=None)
        shelf.insert(at[-1] + 1, fresh)
    else:
        shelf.append(Consumable(name=name, unit=unit, stock=amount))
    return with_changes(shop, shelf=tuple(shelf))


def with_ordered(shop: Shop, name: str, packs: int, on: date) -> Shop:
    """So many packs of a thing are ordered.

    Raises:
        InputError: the shelf has no line for it with a pack.
    """
    for i, c in enumerate(shop.shelf):
        if same_words(c.name) == same_words(name) and c.pack is not None:
            item = with_changes(c, packs_ordered=packs, ordered_on=on)
            return with_changes(shop, shelf=(*shop.shelf[:i], item, *shop.shelf[i + 1 :]))
    raise InputError(
        f"{name} has no pack on the shelf yet. Write it down in the store first: what a pack holds and costs."
    )


def with_pack_price(shop: Shop, name: str, price: Decimal, on: date) -> Shop:
    """What a pack of a thing costs today; a shelf that has no pack of it stays as it is."""
    shelf = tuple(
        with_changes(c, pack=with_changes(c.pack, price=price, price_on=on))
        if c.pack is not None and same_words(c.name) == same_words(name)
        else c
        for c in shop.shelf
    )
    return with_changes(shop, shelf=shelf)


def with_opened(shop: Shop, at: int, on: date) -> Shop:
    """The line number `at` (from 0) of the shelf is opened: of several packs one, which gets a line of its own.

    Raises:
        InputError: it is not there, is empty, or was opened before.
    """
    if not 0 <= at < len(shop.shelf):
        raise InputError("That is not on the shelf any more.")
    item = shop.shelf[at]
    if item.stock <= 0:
        raise InputError(f"There is no {item.name} to open.")
    if item.opened_on is not None:
        raise InputError(f"{item.name} was opened on {day_and_year(item.opened_on)}. Change the date in its form.")
    size = item.pack.size if item.pack is not None else item.stock
    opened = with_changes(item, stock=min(size, item.stock), opened_on=on, packs_ordered=0, ordered_on=None)
    rest = _sum(item.stock, -opened.stock)
    lines = (with_changes(item, stock=rest), opened) if rest > 0 else (with_changes(item, opened_on=on),)
    return with_changes(shop, shelf=(*shop.shelf[:at], *lines, *shop.shelf[at + 1 :]))


def with_used(unit: Unit, shop: Shop, code: str, on: date) -> tuple[Unit, Shop]:
    """A consumable of a unit is used up: it goes off the shelf and is no need any more.

    What keeps shortest goes first; a pack that was not opened is opened today. For a mix all of it is taken.

    Raises:
        InputError: there is no such consumable, its amount is not known, it was used already, or too little
            that still keeps is on the shelf.
    """
    use = next((u for u in unit.consumables if u.code == code), None)
    if use is None:
        raise InputError(f"{unit.code} has no consumable {code}.")
    if use.used_on is not None:
        raise InputError(f"{use.consumable} was used up on {day_and_year(use.used_on)} already.")
    alone = unit.model_copy(update={"consumables": (use,), "parts": (), "steps": ()})
    for need in consumption(alone, shop, on):
        if need.need is None:
            raise InputError(" ".join(need.problems) or f"How much {need.consumable} is needed is not known.")
        if need.stock < need.need:
            short = quantity_in_words(need.need - need.stock, need.unit)
            raise InputError(
                f"There is {short} too little {need.consumable} on the shelf. Buy it, then mark it as here."
            )
        shop = _taken(shop, need.consumable, need.need, need.unit, on)
    done = with_changes(use, used_on=on)
    return unit.model_copy(update={"consumables": replaced(unit.consumables, done, f"{unit.code} has no")}), shop


def taken_from_jar(shop: Shop, name: str, amount: Decimal, on: date) -> Shop:
    """So much is taken from the shelf. Raises InputError when there is too little."""
    item = next((c for c in shop.shelf if same_words(c.name) == same_words(name)), None)
    there = sum(c.stock for c in shop.shelf if same_words(c.name) == same_words(name))
    if item is None or there < amount:
        raise InputError(f"There are only {there} of {name} on the shelf.")
    return _taken(shop, name, Fraction(amount), item.unit, on)


def _taken(shop: Shop, name: str, amount: Fraction, unit: str, on: date) -> Shop:
    """Take so much off the shelf, in the unit of its main line, as far as there is any."""
    while amount > 0:
        usable = ((i, n) for i in _in_order_of_use(shop, name, on) if (n := _there(shop.shelf[i], unit)) > 0)
        at, there = next(usable, (-1, Fraction(0)))
        if at < 0:
            return shop
        item = shop.shelf[at]
        if item.opened_on is None and item.pack is not None and _whole_packs(item):
            shop, at = _opened_for(shop, at, on)
            item = shop.shelf[at]
            there = _there(item, unit)
        part = min(amount, there)
        amount -= part
        left = converted(there - part, unit, item.unit, item.density) or Fraction(0)
        item = with_changes(item, stock=rounded(left, 6).normalize() + 0)
        shop = with_changes(shop, shelf=(*shop.shelf[:at], item, *shop.shelf[at + 1 :]))
    return shop


def _there(item: Consumable, unit: str) -> Fraction:
    """What a line of the shelf holds, in a unit; nothing when it cannot be counted so."""
    return converted(Fraction(item.stock), item.unit, unit, item.density) or Fraction(0)


def _opened_for(shop: Shop, at: int, on: date) -> tuple[Shop, int]:
    """Open a pack of a line; where the opened one stands then."""
    opened = with_opened(shop, at, on)
    return opened, at + len(opened.shelf) - len(shop.shelf)


def _in_order_of_use(shop: Shop, name: str, on: date) -> list[int]:
    """Where on the shelf the thing stands, what keeps shortest first; what is past its life is left."""
    wanted = same_words(name)
    good = [(i, c) for i, c in enumerate(shop.shelf) if same_words(c.name) == wanted and c.stock > 0]

    def rank(line: tuple[int, Consumable]) -> tuple[bool, date, int]:
        i, c = line
        return c.opened_on is None and _whole_packs(c), use_by(c) or date.max, i

    return [i for i, c in sorted(good, key=rank) if not is_past(c, on)]


def _whole_packs(item: Consumable) -> bool:
    """Whether a line holds only packs that nobody has opened, as far as its amount can tell."""
    return item.pack is None or item.pack.size <= 0 or item.stock % item.pack.size == 0


def _sum(one: Decimal, other: Decimal) -> Decimal:
    with localcontext() as context:
        context.prec = 60
        return one + other
