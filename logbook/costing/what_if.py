"""What if: the same unit with lines ticked out or other figures, reckoned anew, the record untouched.

A trial is a set of changes that is nowhere written. `tried` makes the unit and shop that they would give, and
everything that is reckoned from a record is reckoned from those.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import TypeVar

from logbook.costing.amounts import cents
from logbook.costing.cash import CashKind, cash_to_come
from logbook.costing.comparison import net_price
from logbook.costing.hours import hours
from logbook.errors import InputError
from logbook.model.amount_words import estimate_words, number_words
from logbook.model.edits import with_changes
from logbook.model.measures import Effort, Estimate, hours_and_minutes, parse_minutes, parse_money
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Supply, WorkState
from logbook.model.work import Comparator, ConsumableUse, CostLine, Operation, Part
from logbook.planning.operations import proposed
from logbook.planning.usual_work_lists import usual_work

N = TypeVar("N", Decimal, int)


class TrialKind(StrEnum):
    """What a line of a trial is."""

    RATE = "rate"
    CASH = "cash"
    WORK = "work"
    OTHER = "instead"


@dataclass(frozen=True, slots=True)
class TrialLine:
    """One thing that can be tried otherwise."""

    key: str
    """`cash N6`, `work B01`, `instead NEW`, `rate mine`, `rate fair`."""
    kind: TrialKind
    code: str
    name: str
    words: str
    """Its figures in the record."""
    can_leave_out: bool = True
    """Whether it can be ticked out; a line of cash for which the record has no line of its own cannot be tried."""
    can_have_chance: bool = False


@dataclass(frozen=True, slots=True)
class Trial:
    """Changes that are only tried."""

    out: frozenset[str] = frozenset()
    """Keys of lines ticked out."""
    prices: Mapping[str, Estimate] = field(default_factory=dict)
    quantities: Mapping[str, Decimal] = field(default_factory=dict)
    chances: Mapping[str, Decimal] = field(default_factory=dict)
    """In percent."""
    efforts: Mapping[str, Effort] = field(default_factory=dict)
    rates: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def changed(self) -> frozenset[str]:
        """Keys of all lines that are tried otherwise."""
        maps = (self.prices, self.quantities, self.chances, self.efforts, self.rates)
        return self.out.union(*maps)

    def toggled(self, key: str) -> Trial:
        """With a line ticked out, or in again."""
        return replace(self, out=self.out ^ {key})

    def cleared(self, key: str) -> Trial:
        """With a line as it stands in the record."""
        without = {
            name: {k: v for k, v in getattr(self, name).items() if k != key}
            for name in ("prices", "quantities", "chances", "efforts", "rates")
        }
        return replace(self, out=self.out - {key}, **without)


def trial_lines(unit: Unit, shop: Shop) -> tuple[TrialLine, ...]:
    """Everything that can be tried otherwise: rates, lines of cash, operations, and what could be bought instead."""
    settings = shop.settings
    rates = [
        TrialLine(f"rate {name}", TrialKind.RATE, name, f"an hour, {name}", _rate(rate), can_leave_out=False)
        for name, rate in (("mine", settings.rate), ("fair", settings.fair_rate))
    ]
    priced = {code for records in (unit.parts, unit.cost_lines, unit.consumables) for code in (x.code for x in records)}
    cash = [
        TrialLine(
            f"cash {x.code or x.name}",
            TrialKind.CASH,
            x.code,
            f"{x.name} ({x.only_if})" if x.only_if else x.name,
            estimate_words(x.price),
            can_leave_out=x.code in priced,
            can_have_chance=x.kind is not CashKind.CONSUMABLE,
        )
        for x in cash_to_come(unit, shop).lines
    ]
    work = [
        TrialLine(f"work {x.code}", TrialKind.WORK, x.code, f"{x.code} {x.name}", _minutes(x.effort))
        for x in hours(unit, shop).lines
    ]
    others = [
        TrialLine(
            f"instead {c.code}", TrialKind.OTHER, c.code, f"{c.kind}: {c.what}" if c.what else str(c.kind), _price(c)
        )
        for c in unit.comparators
    ]
    return (*rates, *cash, *work, *others)


_QUANTITY = re.compile(
    r"[x×]\s?(\d{1,6}(?:[.,]\d{1,3})?)|(\d{1,6}(?:[.,]\d{1,3})?)\s?(?:pieces|piece|pcs)", re.IGNORECASE
)
_PERCENT = re.compile(r"(\d{1,3}(?:[.,]\d{1,2})?)\s?%")
HOW = {
    TrialKind.RATE: "What an hour is counted at, like 15.",
    TrialKind.CASH: "A price like 8 or 6 / 8 / 12, a quantity like x2, or a chance like 30 %.",
    TrialKind.WORK: "A time like 45 or 30 / 45 / 90 (minutes).",
    TrialKind.OTHER: "What it costs with delivery, like 140; what it brings, when it is sold.",
}
"""How each kind of line is typed."""


NOT_TRIED = "{name} has no line of its own in the record. Add it as a part or a cost, then other prices can be tried."


def with_typed(trial: Trial, line: TrialLine, text: str) -> Trial:
    """The trial with a line changed to what was typed.

    Raises:
        InputError: the text does not fit the line, is negative, or its three points decrease.
    """
    words = text.strip()
    if not words:
        return trial.cleared(line.key)
    if line.kind is TrialKind.WORK:
        return replace(trial, efforts={**trial.efforts, line.key: _effort_of(words)})
    if line.kind is TrialKind.RATE:
        return replace(trial, rates={**trial.rates, line.key: _amount(words)})
    if line.kind is TrialKind.OTHER:
        price = _amount(words)
        return replace(trial, prices={**trial.prices, line.key: Estimate(low=price, likely=price, high=price)})
    return _cash_typed(trial, line, words)


def _cash_typed(trial: Trial, line: TrialLine, words: str) -> Trial:
    """A price, a quantity or a chance, told apart by how it is written."""
    if not line.can_leave_out:
        raise InputError(NOT_TRIED.format(name=line.name))
    if quantity := _QUANTITY.fullmatch(words):
        number = Decimal((quantity[1] or quantity[2]).replace(",", "."))
        return replace(trial, quantities={**trial.quantities, line.key: number})
    if percent := _PERCENT.fullmatch(words):
        chance = Decimal(percent[1].replace(",", "."))
        if not line.can_have_chance:
            raise InputError(f"{line.name} is used in any case, so it has no chance. Type a price or a quantity.")
        if chance > 100:
            raise InputError(f"A chance is from 0 to 100 %, and {chance} is not.")
        return replace(trial, chances={**trial.chances, line.key: chance})
    low, likely, high = _points(words, _amount)
    return replace(trial, prices={**trial.prices, line.key: Estimate(low=low, likely=likely, high=high)})


def tried(unit: Unit, shop: Shop, trial: Trial) -> tuple[Unit, Shop]:
    """The unit and the shop as they would be; the ones given stay as they are.

    A part ticked out counts as here, a consumable or other cost as paid nothing for, an operation as gone. Another
    quantity changes the price in proportion.
    """
    rates = {"rate": trial.rates.get("rate mine"), "fair_rate": trial.rates.get("rate fair")}
    settings = with_changes(shop.settings, **{k: v for k, v in rates.items() if v is not None})
    packs = {x.code: x.price for x in cash_to_come(unit, shop).lines if x.kind is CashKind.CONSUMABLE}
    new = unit.model_copy(
        update={
            "parts": tuple(_part(p, trial) for p in unit.parts),
            "cost_lines": tuple(_cost(c, trial) for c in unit.cost_lines),
            "consumables": tuple(_consumable(c, packs.get(c.code), trial) for c in unit.consumables),
            "operations": _operations(unit, shop, trial),
            "comparators": tuple(
                _comparator(c, trial) for c in unit.comparators if f"instead {c.code}" not in trial.out
            ),
        }
    )
    return new, shop.model_copy(update={"settings": settings})


def _part(part: Part, trial: Trial) -> Part:
    key = f"cash {part.code}"
    if key in trial.out:
        return with_changes(part, supply=Supply.HERE)
    price = trial.prices.get(key, part.price)
    quantity = trial.quantities.get(key)
    if quantity is not None and quantity <= 0:
        return with_changes(part, supply=Supply.HERE)
    if quantity is not None and price is not None and part.quantity > 0:
        price = _times(price, Fraction(quantity) / Fraction(part.quantity))
    chance = trial.chances.get(key, part.chance_percent)
    return with_changes(part, price=price, chance_percent=chance, quantity=quantity or part.quantity)


def _cost(line: CostLine, trial: Trial) -> CostLine:
    key = f"cash {line.code}"
    if key in trial.out:
        return with_changes(line, paid=Decimal(0))
    price, quantity = trial.prices.get(key, line.price), trial.quantities.get(key)
    if quantity is not None and price is not None:
        price = _times(price, Fraction(quantity))
    return with_changes(line, price=price, chance_percent=trial.chances.get(key, line.chance_percent))


def _consumable(use: ConsumableUse, cash: Estimate | None, trial: Trial) -> ConsumableUse:
    """Without a new figure it stays; a quantity is so many times the packs of the record."""
    key = f"cash {use.code}"
    if key in trial.out:
        return with_changes(use, paid=Decimal(0))
    price, quantity = trial.prices.get(key, cash), trial.quantities.get(key)
    if quantity is not None and price is not None:
        price = _times(price, Fraction(quantity))
    return use if price is cash or price is None else with_changes(use, price=price)


def _operations(unit: Unit, shop: Shop, trial: Trial) -> tuple[Operation, ...]:
    """The operations as tried; what follows from the record is written down for it, left out as done."""
    kept = [o for o in unit.operations if f"work {o.code}" not in trial.out]
    efforts = {o.code: trial.efforts.get(f"work {o.code}") for o in kept}
    recorded = [o if efforts[o.code] is None else with_changes(o, effort=efforts[o.code], spent=None) for o in kept]
    following = []
    for operation in (p.operation for p in proposed(unit, usual_work(shop))):
        key = f"work {operation.code}"
        if key in trial.out:
            following.append(with_changes(operation, state=WorkState.DONE))
        elif key in trial.efforts:
            following.append(with_changes(operation, effort=trial.efforts[key]))
    return (*recorded, *following)


def _comparator(comparator: Comparator, trial: Trial) -> Comparator:
    price = trial.prices.get(f"instead {comparator.code}")
    if price is None:
        return comparator
    return with_changes(comparator, price=price.likely, delivery=None, sales=(), fee_percent=None)


def _times(price: Estimate, factor: Fraction) -> Estimate:
    low, likely, high = (cents(Fraction(x) * factor) for x in (price.low, price.likely, price.high))
    return Estimate(low=low, likely=likely, high=high)


def _amount(words: str) -> Decimal:
    amount = parse_money(words)
    if amount < 0:
        raise InputError(f"“{words[:40]}” is below zero; type an amount from 0 up.")
    return amount


def _points(words: str, parse: Callable[[str], N]) -> tuple[N, N, N]:
    """One value or three that do not decrease."""
    parts = [p.strip() for p in words.split("/")]
    if len(parts) not in (1, 3) or not all(parts):
        raise InputError(f"“{words[:40]}”: type one value, or three like 6 / 8 / 12 (low, likely, high).")
    low, likely, high = (parse(p) for p in (parts if len(parts) == 3 else parts * 3))
    if not low <= likely <= high:
        raise InputError(f"“{words[:40]}”: low, likely and high must not decrease.")
    return low, likely, high


def _rate(rate: Decimal | None) -> str:
    return "not set" if rate is None else number_words(rate)


def _minutes(effort: Effort | None) -> str:
    if effort is None:
        return "?"
    points = (effort.likely,) if effort.low == effort.high else (effort.low, effort.likely, effort.high)
    return " / ".join(map(hours_and_minutes, points))


def _price(comparator: Comparator) -> str:
    price = net_price(comparator)
    return "?" if price is None else number_words(price)


def _effort_of(words: str) -> Effort:
    low, likely, high = _points(words, parse_minutes)
    return Effort(low=low, likely=likely, high=high)
