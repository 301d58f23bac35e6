"""Cash still to come: every line on three points, their sums, and what is not in them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.costing.amounts import cents, total
from logbook.costing.bill import bill_of_materials
from logbook.costing.bill_records import BillGroup, BillLine
from logbook.costing.spread import ThreePoint
from logbook.model.measures import Estimate
from logbook.model.remembered import remembered
from logbook.model.shop import Shop
from logbook.model.unit import Unit


class CashKind(StrEnum):
    """What a line of cash is for."""

    CONSUMABLE = "consumable"
    PART = "part"
    COMPONENT = "component"
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
    recorded: bool = True
    """Whether the record has anything that could cost money."""

    @property
    def missing(self) -> int:
        """How many things will cost money and are in no sum."""
        return len(self.unpriced) + len(self.not_counted)

    @property
    def known(self) -> bool:
        """Whether the sums say anything: what was never written down, or never priced, is not known and not nothing."""
        priced = any(line.price is not None for line in self.lines)
        return priced or (self.recorded and not self.missing)

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


@remembered
def cash_to_come(unit: Unit, shop: Shop, today: date | None = None) -> CashTotals:
    """The cash that the unit will still cost.

    It is what the bill wants and is not here: packs, parts (also those needed only under a condition), components
    without a part, other costs, and the shipping of the parcels in which the unit's things come. What was paid
    already is spent and not counted.

    Args:
        unit: whose record is added up.
        shop: the shelf and the pile, for what need not be bought.
        today: opened stock past its shelf life is bought anew. Without a date nothing is too old.
    """
    wanted = [x for x in bill_of_materials(unit, shop, today).lines if not x.here]
    lines = tuple(sorted((_line(x) for x in wanted if _counts(x)), key=_place(unit)))
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
        not_counted=tuple(_not_counted(x) for x in wanted if _has_no_line(x)),
        recorded=bool(unit.parts or unit.consumables or unit.cost_lines),
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


_KINDS = {
    BillGroup.COMPONENT: CashKind.COMPONENT,
    BillGroup.FASTENER: CashKind.PART,
    BillGroup.CONSUMABLE: CashKind.CONSUMABLE,
    BillGroup.PART: CashKind.PART,
    BillGroup.MADE: CashKind.PART,
    BillGroup.OTHER: CashKind.OTHER,
}
"""What kind of cash each group of the bill is; material of the pile is none of them."""


def _counts(wanted: BillLine) -> bool:
    """Whether a line of the bill is a line of the cash: not where it costs nothing, nor where a sentence says it."""
    if wanted.group not in _KINDS or _has_no_line(wanted):
        return False
    return wanted.price is None or wanted.price.high > 0 or wanted.chance is not None


def _has_no_line(wanted: BillLine) -> bool:
    """Whether it will cost money that nothing in the record has a place for."""
    own_sentence = wanted.group is BillGroup.COMPONENT or wanted.group not in _KINDS
    return own_sentence and wanted.price is None


def _not_counted(wanted: BillLine) -> str:
    if wanted.group is BillGroup.COMPONENT:
        name = f"{wanted.code} {wanted.name}".strip()
        return f"{name}: a new one is wanted, but no part is listed for it."
    return f"{wanted.name}: {wanted.how}; nobody has priced what is missing."


def _line(wanted: BillLine) -> CashLine:
    return CashLine(
        kind=_kind(wanted),
        code=wanted.code,
        name=_name(wanted),
        price=wanted.price,
        price_on=wanted.price_on,
        seller=wanted.seller,
        only_if=wanted.conditional,
        chance=wanted.chance,
        when_needed=wanted.when_needed,
    )


def _kind(wanted: BillLine) -> CashKind:
    """Fasteners that no part stands for come from the shelf, as consumables do."""
    a_part = bool(wanted.code) and wanted.share is None
    if wanted.group is BillGroup.FASTENER and not a_part:
        return CashKind.CONSUMABLE
    return _KINDS[wanted.group]


def _name(wanted: BillLine) -> str:
    """A newly made part without a price costs its machine time here; its material has a line of its own."""
    of_machine = wanted.group is BillGroup.MADE and wanted.used_up is not None
    return f"machine time of {wanted.name}" if of_machine else wanted.name


def _place(unit: Unit) -> Callable[[CashLine], tuple[int, int]]:
    """Where a line stands: by its kind, then as the record has it."""
    kinds = list(CashKind)
    codes = [r.code for r in unit.consumables] + [r.code for r in unit.components]
    codes += [r.code for r in unit.parts] + [r.code for r in unit.cost_lines]
    places = {code: place for place, code in enumerate(codes)}
    return lambda line: (kinds.index(line.kind), places.get(line.code, len(places)))
