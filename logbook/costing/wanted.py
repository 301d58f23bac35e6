"""What a unit wants of the shelf, from every place of its record that says so.

Stated consumables, each share of a mix, newly made parts that are priced by their material, and new
fasteners that stand on the shelf in packs and that no part stands for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import as_recorded, converted, quantity_in_words, rounded, unit_kind
from logbook.costing.measured import measured, per_of
from logbook.costing.mixes import MixPart, amounts_of_mix, ratio_in_words
from logbook.model.measures import Estimate
from logbook.model.replacements import uses_without_part
from logbook.model.same_words import same_words
from logbook.model.shop import Consumable, Shop
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply
from logbook.model.work import ConsumableUse, Part, UseTerm


@dataclass(slots=True)
class ConsumableWanted:
    """So much of one consumable, and what the record says about buying it."""

    code: str
    consumable: str
    stated: Fraction | None
    unit: str
    how: str
    price: Estimate | None = None
    price_on: date | None = None
    seller: str = ""
    used_on: date | None = None
    paid: bool = False
    """Its packs are paid for."""
    problems: list[str] = field(default_factory=list)


def all_wanted(unit: Unit, shop: Shop) -> Iterator[ConsumableWanted]:
    """Everything a unit wants of the shelf, in the order of its record."""
    shelf = shelf_by_name(shop)
    for use in unit.consumables:
        yield from _of_use(use, unit, shelf)
    for part in made_from_shelf(unit, shop):
        if part.supply is not Supply.HERE:
            yield _of_made_part(part)
    yield from _of_fasteners(unit, shelf)


def shelf_by_name(shop: Shop) -> dict[str, Consumable]:
    """What is on the shelf by its name as it is compared; of two the one with a pack, else the first."""
    found: dict[str, Consumable] = {}
    for item in shop.shelf:
        name = same_words(item.name)
        if name not in found or (found[name].pack is None and item.pack is not None):
            found[name] = item
    return found


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


def _term(term: UseTerm) -> tuple[Fraction | None, str, str]:
    amount = Fraction(term.amount) * term.times
    text = " ".join(x for x in (term.what, as_recorded(term.amount), _of_many(term)) if x)
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


def _of_many(term: UseTerm) -> str:
    """What is counted, in the plural unless there is one: `4 pieces`; a unit of measure has none."""
    is_word = term.per.isalpha() and len(term.per) >= _LETTERS_OF_A_WORD and not term.per.endswith("s")
    return f"{term.per}s" if is_word and term.amount != 1 else term.per


_LETTERS_OF_A_WORD = 4


def made_from_shelf(unit: Unit, shop: Shop) -> tuple[Part, ...]:
    """Newly made parts without a price whose cost is that of their material from the shelf.

    By mass when the mass of one is known; else by area or length when the quantity is one and the shelf
    counts the material so.
    """
    shelf = shelf_by_name(shop)
    found = []
    for p in unit.parts:
        item = shelf.get(same_words(p.made_from)) if p.made_from else None
        if p.source is not Source.MAKE or p.price is not None or item is None:
            continue
        by_size = unit_kind(p.unit) in ("area", "length") and unit_kind(p.unit) == unit_kind(item.unit)
        if p.mass_g or by_size:
            found.append(p)
    return tuple(found)


def _of_made_part(p: Part) -> ConsumableWanted:
    rate, unit = (p.mass_g, "g") if p.mass_g else (None, p.unit)
    terms = (UseTerm(what=p.name, amount=p.quantity, rate=rate),)
    return _wanted(p.code, p.made_from, unit, need_of_terms(terms))


def _wanted(code: str, name: str, unit: str, need: tuple[Fraction | None, str, str]) -> ConsumableWanted:
    stated, how, wrong = need
    if stated is None:
        return ConsumableWanted(code, name, None, unit, how, problems=[f"The need of {name} is not known: {wrong}."])
    return ConsumableWanted(code, name, stated, unit, f"{how} = {quantity_in_words(stated, unit)}")


def _need_of_use(use: ConsumableUse, unit: Unit) -> tuple[Fraction | None, str, str]:
    """The need of a use, with what the case measures for it measured now."""
    terms: list[UseTerm] = []
    for term in use.terms:
        if term.measure is None:
            terms.append(term)
            continue
        found = measured(unit, term.measure)
        if found is None:
            return None, "", f"the case gives no {term.measure} yet"
        what = " ".join(x for x in (term.what, found.words) if x)
        amount = rounded(Fraction(term.amount) * Fraction(found.amount), 5)
        terms.append(term.model_copy(update={"what": what, "amount": amount, "per": per_of(term.measure)}))
    return need_of_terms(terms, use.waste_percent)


def _of_use(use: ConsumableUse, unit: Unit, shelf: dict[str, Consumable]) -> Iterator[ConsumableWanted]:
    whole = _wanted(use.code, use.consumable, use.unit, _need_of_use(use, unit))
    whole.price, whole.price_on, whole.seller, whole.used_on = use.price, use.price_on, use.seller, use.used_on
    whole.paid = use.paid is not None
    if not use.mixed_with:
        yield whole
        return
    parts = [
        MixPart(name, number, _density(shelf, name))
        for name, number in (
            (use.consumable, use.parts or Decimal(0)),
            *((m.consumable, m.parts) for m in use.mixed_with),
        )
    ]
    amounts: list[Fraction] = []
    if use.parts is None:
        whole.problems.append(f"{use.consumable} is mixed, but its own parts of the mix are not written down.")
    elif whole.stated is not None:
        amounts, wrong = amounts_of_mix(whole.stated, use.unit, use.parts_by, parts)
        whole.problems += [wrong] if wrong else []
    for i, part in enumerate(parts):
        share = None if not amounts else amounts[i]
        one = ConsumableWanted(
            use.code, part.name, share, use.unit, "", used_on=use.used_on, problems=list(whole.problems)
        )
        one.paid = whole.paid
        if share is not None:
            one.how = f"{whole.how} of {ratio_in_words(use.parts_by, parts)}: {quantity_in_words(share, use.unit)}"
        buying = use if i == 0 else use.mixed_with[i - 1]
        one.price, one.price_on, one.seller = buying.price, buying.price_on, buying.seller
        yield one


def _density(shelf: dict[str, Consumable], name: str) -> Decimal | None:
    item = shelf.get(same_words(name))
    return item.density if item is not None else None


def _of_fasteners(unit: Unit, shelf: dict[str, Consumable]) -> Iterator[ConsumableWanted]:
    """New fasteners that are sold in packs, have no line of their own, and do not lie ready."""
    stated = {same_words(u.consumable) for u in unit.consumables}
    for kind, uses in uses_without_part(unit).items():
        item = shelf.get(kind)
        wanted = [u for u in uses if not u.here]
        if not wanted or kind in stated or item is None or item.pack is None:
            continue
        if converted(Fraction(1), "", item.unit) is None:
            continue
        count = sum(u.count for u in wanted)
        words = " + ".join(f"{u.count} {u.why} at {u.step}" for u in wanted)
        yield ConsumableWanted("", item.name, Fraction(count), "", f"{words} = {count}")
