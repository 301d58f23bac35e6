"""Cash still to come: every line on three points, their sums, and what is not in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.costing.amounts import cents, same_words, total
from logbook.costing.consumption import consumption, uses_material_of
from logbook.costing.made_parts import made_parts
from logbook.costing.material_need import material_needs, sheet_parts
from logbook.costing.spread import ThreePoint
from logbook.model.measures import Estimate
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Disposition, Source, Supply
from logbook.model.work import CostLine, Part


class CashKind(StrEnum):
    """What a line of cash is for."""

    CONSUMABLE = "consumable"
    PART = "part"
    OTHER = "other cost"


@dataclass(frozen=True, slots=True)
class CashLine:
    """Money still to be spent on one thing."""

    kind: CashKind
    code: str
    name: str
    price: Estimate | None
    """None is unpriced: shown as “?” and named beside the sums."""
    price_on: date | None
    seller: str
    only_if: str
    """The condition under which it is needed at all; the three points of `price` allow for that."""
    chance: Fraction | None = None
    """The stated chance, from 0 to 1, that the condition comes true; None: not stated."""
    when_needed: Estimate | None = None
    """What it costs if it is needed, when a chance is stated."""

    @property
    def point(self) -> ThreePoint | None:
        """The line as it is drawn; None while unpriced.

        With a stated chance it costs its price with that chance, else nothing. Without one, 0 / 0 / high under a
        condition is all or nothing as well: by (low + 4 likely + high) / 6 the high case then counts one sixth.
        """
        if self.price is None:
            return None
        if self.when_needed is not None and self.chance is not None:
            needed = self.when_needed
            return ThreePoint(Fraction(needed.low), Fraction(needed.likely), Fraction(needed.high), self.chance)
        low, likely, high = (Fraction(x) for x in (self.price.low, self.price.likely, self.price.high))
        if self.only_if and low == likely == 0 < high:
            return ThreePoint(high, high, high, Fraction(1, 6))
        return ThreePoint(low, likely, high)

    @property
    def expected(self) -> Fraction | None:
        """What it is expected to cost, exact; None while unpriced."""
        point = self.point
        return None if point is None else point.mean

    @property
    def spread(self) -> Decimal:
        """How far the high case lies above the likely one."""
        return Decimal(0) if self.price is None else self.price.high - self.price.likely


@dataclass(frozen=True, slots=True)
class CashTotals:
    """Cash to come on three points. The sums leave out what is named in `unpriced` and `not_counted`."""

    lines: tuple[CashLine, ...]
    low: Decimal
    likely: Decimal
    high: Decimal
    expected: Fraction
    """The sum of what each line is expected to cost, exact. Without stated chances it is the
    (low + 4 likely + high) / 6 of the three sums; see `amounts.expected_value`."""
    unpriced: tuple[str, ...]
    """Names of lines without a price."""
    not_counted: tuple[str, ...]
    """A sentence for each thing that will cost money and that no line stands for."""

    @property
    def by_three_sums(self) -> bool:
        """Whether the expected sum follows from the three sums alone: no line has a stated chance."""
        return all(x.when_needed is None for x in self.lines)

    @property
    def contingency(self) -> Fraction:
        """What to keep ready above the likely sum: expected − likely, exact."""
        return self.expected - Fraction(self.likely)

    @property
    def expected_shown(self) -> Decimal:
        """The expected sum to whole hundredths, half to even."""
        return cents(self.expected)

    @property
    def contingency_shown(self) -> Decimal:
        """The contingency to whole hundredths, half to even."""
        return cents(self.contingency)


def cash_to_come(unit: Unit, shop: Shop, today: date | None = None) -> CashTotals:
    """The cash that the unit will still cost.

    Counted are consumables of which packs must be bought, parts that are not here yet (also those needed
    only under a condition), and the other costs. A part without a price is unpriced when it is bought or
    newly made; one from the pile, the shelf, another unit or salvage costs nothing unless a price is given.
    What was paid already is spent and not counted. A line under a condition with a stated chance has its price
    with that chance: its low case is nothing, its likely one is the price from an even chance up, its high one
    the high price.

    Args:
        unit: whose record is added up.
        shop: the shelf and the pile, for what need not be bought.
        today: opened stock past its shelf life is bought anew. Without a date nothing is too old.
    """
    lines = (*_consumable_lines(unit, shop, today), *_part_lines(unit, shop), *_other_lines(unit))
    prices = [x.price for x in lines if x.price is not None]
    low, likely, high = (
        total(p.low for p in prices),
        total(p.likely for p in prices),
        total(p.high for p in prices),
    )
    return CashTotals(
        lines=lines,
        low=low,
        likely=likely,
        high=high,
        expected=sum((x.expected for x in lines if x.expected is not None), Fraction(0)),
        unpriced=tuple(x.name for x in lines if x.price is None),
        not_counted=(
            *_components_without_part(unit),
            *_material_to_buy(unit, shop),
            *_parcels_without_line(unit, shop, lines),
        ),
    )


def lines_behind(lines: Iterable[CashLine], excess: Decimal) -> tuple[CashLine, ...]:
    """The fewest lines, widest first, whose high case makes up the excess; all that spread, when none suffice."""
    chosen: list[CashLine] = []
    left = excess
    for line in sorted((x for x in lines if x.spread > 0), key=lambda x: -x.spread):
        if left <= 0:
            break
        chosen.append(line)
        left -= line.spread
    return tuple(chosen)


def _consumable_lines(unit: Unit, shop: Shop, today: date | None) -> Iterable[CashLine]:
    paid = {u.code for u in unit.consumables if u.paid is not None}
    for need in consumption(unit, shop, today):
        if not need.on_hand and need.code not in paid:
            yield CashLine(
                CashKind.CONSUMABLE, need.code, need.consumable, need.cash, need.price_on, need.seller, only_if=""
            )


def _part_lines(unit: Unit, shop: Shop) -> Iterable[CashLine]:
    from_shelf = uses_material_of(unit, shop)
    from_pile = {p.code for p in sheet_parts(unit)}
    made = {m.code: m for m in made_parts(unit, shop, ())}
    for part in unit.parts:
        here = part.supply is Supply.HERE or part.paid is not None
        if here or part.code in from_shelf or part.code in from_pile:
            machine = made[part.code].machine_cost if not here and part.code in made else None
            if machine:
                price = Estimate(low=machine, likely=machine, high=machine)
                yield CashLine(CashKind.PART, part.code, f"machine time of {part.name}", price, None, "", part.only_if)
            continue
        if part.price is None and part.source not in (Source.BUY, Source.MAKE):
            continue
        yield _line(CashKind.PART, part)


def _other_lines(unit: Unit) -> Iterable[CashLine]:
    yield from (_line(CashKind.OTHER, c) for c in unit.cost_lines if c.paid is None)


def _line(kind: CashKind, of: Part | CostLine) -> CashLine:
    """A line with its condition; a stated chance is carried into the three points."""
    line = CashLine(kind, of.code, of.name, of.price, of.price_on, of.seller, of.only_if)
    if of.chance_percent is None or of.price is None:
        return line
    chance, needed = Fraction(of.chance_percent) / 100, _when_needed(of.price)
    nothing = Decimal(0)
    return replace(
        line,
        chance=chance,
        when_needed=needed,
        price=Estimate(
            low=needed.low if chance == 1 else nothing,
            likely=needed.likely if chance >= Fraction(1, 2) else nothing,
            high=needed.high if chance > 0 else nothing,
        ),
    )


def _when_needed(price: Estimate) -> Estimate:
    """The price when the thing is needed: a zero that only stood for “not needed” gives way to the next point."""
    likely = price.likely or price.high
    return Estimate(low=price.low or likely, likely=likely, high=price.high)


def _components_without_part(unit: Unit) -> Iterable[str]:
    """Components to be renewed that no part, and no renewed fastener of their step, stands for."""
    covered = {code for p in unit.parts for code in p.for_components}
    renewing = {code for p in unit.parts for code in p.for_steps}
    renewing |= {s.code for s in unit.steps if any(f.then == "renew" for f in s.fasteners) or s.refit.renew}
    for c in unit.components:
        if c.disposition is Disposition.RENEW and c.code not in covered and c.from_step not in renewing:
            yield f"{c.code} {c.name} is to be renewed, but no part is listed for it."


def _material_to_buy(unit: Unit, shop: Shop) -> Iterable[str]:
    named = [same_words(p.name) for p in unit.parts]
    for need in material_needs(unit, shop):
        if not need.enough and not any(same_words(need.material) in name for name in named):
            quantity = "an unknown amount" if need.quantity is None else f"{need.quantity} {need.unit}"
            pile = f"{need.on_pile} {need.unit} on the pile"
            if need.cut:
                pile += f", {need.cut} {need.unit} cut already"
            yield f"{need.name}: {quantity} needed, {pile}; what is missing has no price here."


def _parcels_without_line(unit: Unit, shop: Shop, lines: Iterable[CashLine]) -> Iterable[str]:
    """Sellers whose parcel costs something, and no cost line of the unit stands for it."""
    goods: dict[str, Decimal] = {}
    for line in lines:
        low = Decimal(0) if line.price is None else line.price.low
        goods[same_words(line.seller)] = goods.get(same_words(line.seller), Decimal(0)) + low
    lined = {same_words(c.seller) for c in unit.cost_lines if c.parcel and c.paid is None}
    for seller in shop.sellers:
        name, shipping = same_words(seller.name), seller.shipping
        if name not in goods or name in lined or shipping is None or not shipping.high:
            continue
        if seller.free_from is not None and goods[name] >= seller.free_from > 0:
            continue
        yield (
            f"A parcel from {seller.name} is in none of these sums: "
            f"add its share as a cost, “shipping, {shipping.likely}, seller {seller.name}, parcel”."
        )


def price_by_chance(of: Part | CostLine) -> Estimate | None:
    """The price of a line as it stands in the sums: with a stated chance, what the chance makes of it."""
    return _line(CashKind.OTHER, of).price
