"""Checks 8, 17 and 18: parts that are not here, stock past its shelf life, and prices that say too little."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from datetime import date, datetime

from logbook.checks.counts import fasteners_of
from logbook.checks.problem import Problem, Severity
from logbook.model.dates import is_past, months_after, use_by
from logbook.model.measures import Estimate
from logbook.model.new_fasteners import new_of
from logbook.model.shop import Consumable, Shop
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply, Then
from logbook.model.work import ConsumableUse, Part


def renewed_parts(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[Problem]:
    """Check 8: what a step needs new before it can go back, and is not here. For information."""
    here: dict[str, list[Part]] = {}
    wanted_at: dict[str, list[str]] = {}
    for p in unit.parts:
        if p.fastener and p.supply is Supply.HERE:
            here.setdefault(_same(p.fastener), []).append(p)
        elif not p.fastener and p.supply is not Supply.HERE and not p.only_if.strip():
            for code in p.for_steps:
                wanted_at.setdefault(code, []).append(f"{p.name} ({p.supply})")
    for step in unit.steps:
        missing = [*_fasteners_not_here(unit, step, here), *wanted_at.get(step.code, ())]
        if missing:
            sentence = f"{step.code} {step.what} cannot go back yet; not here: {', '.join(dict.fromkeys(missing))}."
            yield Problem(8, "part-not-here", unit.code, step.code, sentence, Severity.NOTE)


def _fasteners_not_here(unit: Unit, step: Step, here: Mapping[str, list[Part]]) -> Iterator[str]:
    def lacks(kind: str) -> bool:
        return not any(not p.for_steps or step.code in p.for_steps for p in here.get(_same(kind), ()))

    wanted: Counter[tuple[str, str]] = Counter()
    for _, _, f, members in fasteners_of(unit, step):
        new = new_of(f)
        if new is not None and lacks(new.kind):
            why = "missing" if f.then is Then.REUSE else str(new.why)
            wanted[new.kind, why] += (new.count - new.ready) * members
    of = unit.set_of(step)
    for extra in step.refit.new_fasteners:
        if not extra.here and lacks(extra.kind):
            wanted[extra.kind, "new"] += extra.count * (len(of.members) if of else 1)
    yield from (f"{count} {kind} ({why})" for (kind, why), count in wanted.items() if count)


def stock_shelf_life(unit: Unit, shop: Shop, now: datetime) -> Iterator[Problem]:
    """Check 17, in part: the unit does not count on stock that is past its shelf life."""
    for use in unit.consumables:
        for item in _on_shelf(use, shop):
            if item.stock > 0 and is_past(item, now.date()):
                sentence = (
                    f"{unit.code} needs {item.name}; what is on the shelf kept until {use_by(item)}. "
                    "Try it on a waste piece, or buy it anew."
                )
                yield Problem(17, "stock-past-shelf-life", unit.code, use.code, sentence, Severity.LOOK)


def shelf(shop: Shop, now: datetime) -> Iterator[Problem]:
    """Check 17 and 18 for the shelf itself: shelf life, and the age of pack prices. For information."""
    for item in shop.shelf:
        if item.stock > 0 and is_past(item, now.date()):
            sentence = f"{item.name} on the shelf kept until {use_by(item)}. Try it before use, or throw it out safely."
            yield Problem(17, "shelf-past-shelf-life", "", item.name, sentence, Severity.NOTE)
        if item.pack is not None and item.pack.price > 0:
            age = _age(item.pack.price_on, shop.settings.price_old_months, now.date())
            if age:
                sentence = f"{item.name}: the price of a pack {age}. Ask again before counting on it."
                yield Problem(18, "price-old", "", item.name, sentence, Severity.NOTE)


def prices(unit: Unit, shop: Shop, now: datetime) -> Iterator[Problem]:
    """Check 18, in part: every cost to come has a price, and the price a date that is not too old."""
    old = shop.settings.price_old_months
    for code, name, price, on, needs_price in _priced(unit, shop):
        if price is None:
            if needs_price:
                sentence = f"{code} {name} has no price. It counts as unknown, not as nothing; the sums can only grow."
                yield Problem(18, "unpriced", unit.code, code, sentence, Severity.LOOK)
        elif price.high > 0 and (age := _age(on, old, now.date())):
            severity = Severity.NOTE if on is None else Severity.LOOK
            sentence = f"{code} {name}: its price {age}. Ask again before counting on it."
            yield Problem(18, "price-old", unit.code, code, sentence, severity)
    for c in unit.comparators:
        name = c.what or str(c.kind)
        if c.price is None and not c.sales:
            sentence = f"{c.code} {name} has no price, so nothing can be held against it."
            yield Problem(18, "comparator-unpriced", unit.code, c.code, sentence, Severity.LOOK)
        elif age := _age(c.price_on, old, now.date()):
            severity = Severity.NOTE if c.price_on is None else Severity.LOOK
            sentence = f"{c.code} {name}: its price {age}. The comparison is only as good as this price."
            yield Problem(18, "price-old", unit.code, c.code, sentence, severity)


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
    return f"is of {on}, older than {months} months" if months_after(on, months) < today else ""


def _on_shelf(use: ConsumableUse, shop: Shop) -> tuple[Consumable, ...]:
    return tuple(i for i in shop.shelf if _same(i.name) == _same(use.consumable))


def _same(words: str) -> str:
    return " ".join(words.split()).casefold()
