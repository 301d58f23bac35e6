"""Checks 8, 17 and 18: parts that are not here, stock past its shelf life, and prices that say too little."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.costing import from_shop
from logbook.errors import CircleError
from logbook.model.dates import is_past, months_after, use_by
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import Estimate
from logbook.model.plural import counted
from logbook.model.shop import Consumable, Shop
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply
from logbook.model.work import ConsumableUse
from logbook.reassembly import Progress, refit_list


def renewed_parts(unit: Unit, shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 8: what a line of the reassembly list needs new before it can be done, and is not here. For information."""
    try:
        listed = refit_list(unit, from_shop(unit, shop, now.date()))
    except CircleError:
        return  # check 1 says so
    progress = Progress(unit, listed, now)
    for line in listed.lines:
        missing = [need.what for need in progress.own.get(line.key, ()) if need.what]
        if missing:
            named = ", ".join(dict.fromkeys(missing))
            place = line.steps[0] if line.steps else line.key
            step = unit.step(place)
            what = step.what if step is not None else line.title
            sentence = f"{place} {what} cannot go back yet; not here: {named}."
            yield CheckProblem(8, "part-not-here", unit.code, place, sentence, Severity.NOTE)


def stock_shelf_life(unit: Unit, shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 17, in part: the unit does not count on stock that is past its shelf life."""
    for use in unit.consumables:
        for item in _on_shelf(use, shop):
            last = use_by(item)
            if last is not None and item.stock > 0 and is_past(item, now.date()):
                sentence = (
                    f"{unit.code} needs {item.name}; what is on the shelf is past its date, {day_and_year(last)}. "
                    "Try it on a waste piece, or buy it anew."
                )
                yield CheckProblem(17, "stock-past-shelf-life", unit.code, use.code, sentence, Severity.LOOK)


def shelf(shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 17 and 18 for the shelf itself: shelf life, and the age of pack prices. For information."""
    for item in shop.shelf:
        last = use_by(item)
        if last is not None and item.stock > 0 and is_past(item, now.date()):
            sentence = (
                f"{item.name} on the shelf is past its date, {day_and_year(last)}. "
                "Try it before use, or throw it out safely."
            )
            yield CheckProblem(17, "shelf-past-shelf-life", "", item.name, sentence, Severity.NOTE)
        if item.pack is not None and item.pack.price > 0:
            age = _age(item.pack.price_on, shop.settings.price_old_months, now.date())
            if age:
                sentence = f"{item.name}: the price of a pack {age}. Ask again before counting on it."
                yield CheckProblem(18, "price-old", "", item.name, sentence, Severity.NOTE)


def prices(unit: Unit, shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 18, in part: every cost to come has a price, and the price a date that is not too old."""
    old = shop.settings.price_old_months
    for code, name, price, on, needs_price in _priced(unit, shop):
        if price is None:
            if needs_price:
                sentence = f"{code} {name} has no price yet, so the real sum is higher than what is shown."
                yield CheckProblem(18, "unpriced", unit.code, code, sentence, Severity.LOOK)
        elif price.high > 0 and (age := _age(on, old, now.date())):
            severity = Severity.NOTE if on is None else Severity.LOOK
            sentence = f"{code} {name}: its price {age}. Ask again before counting on it."
            yield CheckProblem(18, "price-old", unit.code, code, sentence, severity)
    for c in unit.comparators:
        name = c.what or str(c.kind)
        if c.price is None and not c.sales:
            sentence = f"{c.code} {name} has no price, so it cannot be compared."
            yield CheckProblem(18, "comparator-unpriced", unit.code, c.code, sentence, Severity.LOOK)
        elif age := _age(c.price_on, old, now.date()):
            severity = Severity.NOTE if c.price_on is None else Severity.LOOK
            sentence = f"{c.code} {name}: its price {age}. The comparison is only as good as this price."
            yield CheckProblem(18, "price-old", unit.code, c.code, sentence, severity)


_Priced = tuple[str, str, Estimate | None, date | None, bool]


def _priced(unit: Unit, shop: Shop) -> Iterator[_Priced]:
    """What costs cash: (code, name, price, its date, whether it must have a price)."""
    for p in unit.parts:
        if p.supply is not Supply.HERE:
            from_material = p.source is Source.MAKE and bool(p.made_from)
            yield p.code, p.name, p.price, p.price_on, p.source in (Source.BUY, Source.MAKE) and not from_material
    for use in unit.consumables:
        items = _on_shelf(use, shop)
        known = any(i.stock > 0 or i.pack is not None for i in items)
        yield use.code, use.consumable, use.price, use.price_on, not known
    for c in unit.cost_lines:
        yield c.code, c.name, c.price, c.price_on, True


def _age(on: date | None, months: int, today: date) -> str:
    if on is None:
        return "has no date"
    if months_after(on, months) >= today:
        return ""
    return f"is of {day_and_year(on)}, older than {counted(months, 'month')}"


def _on_shelf(use: ConsumableUse, shop: Shop) -> tuple[Consumable, ...]:
    return tuple(i for i in shop.shelf if _same(i.name) == _same(use.consumable))


def _same(words: str) -> str:
    return " ".join(words.split()).casefold()
