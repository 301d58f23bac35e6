"""A line of the bill of materials for a screen: what it says, why, and the place in the record behind it."""

from __future__ import annotations

from logbook.costing import BillGroup, BillLine, plain_number
from logbook.model.paths import Path
from logbook.model.unit import Unit
from logbook.render.bill_document import one_pack, price_words, source_words, used_words
from logbook.render.money import number_words
from logbook.render.plain import clean, fitted

WIDE = 110
"""From so many columns on a line of the bill shows all three points of its price."""


def bill_words(line: BillLine, columns: int) -> str:
    """A line of the bill: ready or not, how much, what, price, where from and what for."""
    box = "[x]" if line.is_ready else "[ ]"
    wide = columns >= WIDE
    price = price_words(line) if wide or line.price is None else price_in_short(line)
    state = "to repair" if line.to_repair else ""
    facts = (state, line.conditional, source_words(line), " ".join(line.used_in[:4]), used_words(line))
    rest = "; ".join(filter(None, facts))
    name = max(16, min(40, columns - (60 if wide else 43)))
    called = _fit(line.called, name)
    return f"{box} {_fit(_amount(line), 10)} {called} {price:>{22 if wide else 7}} {clean(rest, limit=80)}"


def _amount(line: BillLine) -> str:
    if line.quantity is None:
        return "?"
    if not line.here and (whole := one_pack(line.quantity, line.unit, line.pack)):
        return whole
    return f"{plain_number(line.quantity, 3 if line.quantity < 10 else 1)} {line.unit}".rstrip()


def price_in_short(line: BillLine) -> str:
    """A price in seven columns: `12.00`, `~8.40` where it is one of three points, `0-38.00` where it may be nothing."""
    price = line.price
    if price is None or (line.here and not price.high):
        return price_words(line)
    if price.low == price.high:
        return number_words(price.likely)
    return f"0-{number_words(price.high)}" if not price.likely else f"~{number_words(price.likely)}"


def bill_why(line: BillLine) -> tuple[str, ...]:
    """How a line of the bill was computed and what is known about its price."""
    words = [f"{line.called}: {line.how or 'as listed'}."]
    if line.used_in:
        words.append(f"For {', '.join(line.used_in)}.")
    if line.price is None and not line.here:
        words.append("It has no price: it is in none of the sums, never as zero.")
    if line.used_up is not None and line.used_up:
        share = f", {plain_number(line.share * 100, 0)} % of a pack" if line.share is not None else ""
        words.append(f"This job uses up {line.used_up}{share}; what is bought in whole packs is the cash.")
    if line.rest:
        words.append(f"{line.rest}.")
    if line.price_age:
        words.append(f"The {line.price_age}: ask again before counting on it.")
    if line.price_on is not None:
        words.append(f"Price of {line.price_on:%d %b %Y}" + (f", {line.seller}." if line.seller else "."))
    if line.pack:
        words.append(f"Pack: {line.pack}.")
    return tuple(words)


def record_behind(unit: Unit, line: BillLine) -> Path | None:
    """The place in the record that a line of the bill stands for."""
    for name in ("parts", "components", "consumables", "cost_lines"):
        if line.code and any(t.code == line.code for t in getattr(unit, name)) and _fits(name, line):
            return (name, line.code)
    if line.group in (BillGroup.PANEL, BillGroup.LEAF, BillGroup.STRIP):
        return ("case",) if unit.case is not None else None
    step = next((c for c in line.used_in if unit.step(c) is not None), None)
    return ("steps", step) if step else None


def _fits(name: str, line: BillLine) -> bool:
    """Whether a list can be behind the line: a code may stand in more than one list."""
    where = {
        "components": (BillGroup.COMPONENT,),
        "consumables": (BillGroup.CONSUMABLE, BillGroup.FASTENER),
        "cost_lines": (BillGroup.OTHER,),
        "parts": (BillGroup.PART, BillGroup.MADE, BillGroup.FASTENER),
    }
    return line.group in where[name]


def _fit(text: str, columns: int) -> str:
    return fitted(clean(text, limit=200), columns)
