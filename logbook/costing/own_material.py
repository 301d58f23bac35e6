"""Own material from the scrap pile at zero and at replacement value, and the three views of what a rebuild costs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.actuals import paid_in_all
from logbook.costing.amounts import ZERO, cents, plain_number, total
from logbook.costing.cash import cash_to_come
from logbook.costing.consumption import ConsumableNeed, consumption
from logbook.costing.material_need import MaterialKind, MaterialNeed, is_of, material_needs, size_of
from logbook.model.casework_records import Material
from logbook.model.material_names import same_material
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit


@dataclass(frozen=True, slots=True)
class OwnMaterialLine:
    """One material of the case, taken from the pile."""

    material: MaterialNeed
    rate: Decimal | None
    """What a square metre or a metre of it would cost to buy; None when nobody has said."""
    replacement: Decimal | None
    """Quantity × rate with waste; None when either is not known."""
    how: str
    resale: Decimal | None = None
    """What somebody would pay for it, from the values of such pieces on the pile; None when none has a value."""


@dataclass(frozen=True, slots=True)
class OwnMaterial:
    """Own material in its three views. At zero it costs nothing, because it was to be thrown away."""

    lines: tuple[OwnMaterialLine, ...]
    at_zero: Decimal
    replacement: Decimal
    """Sum of the lines with a known rate: what was saved by not buying."""
    unpriced: tuple[str, ...]
    """Materials that are missing from that sum."""
    resale: Decimal = ZERO
    """Sum of the lines whose pieces have a value: what was given up by not selling."""
    without_value: tuple[str, ...] = ()
    """Materials that are missing from that sum."""


@dataclass(frozen=True, slots=True)
class CostViews:
    """Three views of the cost of one rebuild at the likely prices. They answer different questions."""

    to_pay: Decimal
    """Cash: whole packs, parts and the rest."""
    used_up_bought: Decimal
    """The same, with the share used instead of whole packs."""
    stock_used: Decimal
    """What was in stock and is used up."""
    used_up: Decimal
    """The two together: what the job consumes."""
    own_material: Decimal
    """Own material at replacement value."""
    with_own_material: Decimal
    own_material_resale: Decimal
    """Own material at what somebody would pay for it; beside the others, in none of the sums."""
    already_spent: Decimal
    """Shown beside the others and in none of them."""
    unpriced: tuple[str, ...]
    """What is missing from one of the sums because its price is not known."""
    known: bool = True
    """Whether the cash to come says anything; without it the sums are not known, and not nothing."""


def own_material(unit: Unit, shop: Shop) -> OwnMaterial:
    """The material a case takes from the pile, at zero, at what it would cost to replace, and at resale."""
    lines = tuple(replace(_line(n, _priced(n, unit)), resale=_resale(n, shop)) for n in material_needs(unit, shop))
    return OwnMaterial(
        lines=lines,
        at_zero=ZERO,
        replacement=total(x.replacement for x in lines if x.replacement is not None),
        unpriced=tuple(x.material.name for x in lines if x.replacement is None),
        resale=total(x.resale for x in lines if x.resale is not None),
        without_value=tuple(x.material.name for x in lines if x.resale is None),
    )


def _priced(need: MaterialNeed, unit: Unit) -> Material | None:
    """The material that says what a need costs to replace: the one called by the same words, else the same one."""
    materials = unit.case.materials if unit.case else ()
    called = (m for m in materials if same_words(m.name) == same_words(need.material))
    thickness = () if need.thickness is None else (need.thickness.ticks,)
    same = (m for m in materials if same_material(m.name, (), need.material, thickness))
    return next(called, None) or next(same, None)


def cost_views(unit: Unit, shop: Shop, today: date | None = None) -> CostViews:
    """What is to pay, what is used up, and what it would be with own material bought: three sums at likely prices."""
    cash = cash_to_come(unit, shop, today)
    needs = consumption(unit, shop, today)
    own = own_material(unit, shop)
    used_up_bought = total(
        (cash.likely, *(_used_of_packs(n) - n.cash.likely for n in needs if n.cash is not None and not n.paid))
    )
    stock_used = total(n.from_stock for n in needs if n.from_stock is not None)
    used_up = total((used_up_bought, stock_used))
    missing = (
        *cash.unpriced,
        *(f"{n.consumable}, used from stock" for n in needs if n.from_stock is None and n.stock > 0),
        *(f"{name}, own material" for name in own.unpriced),
    )
    return CostViews(
        to_pay=cash.likely,
        used_up_bought=used_up_bought,
        stock_used=stock_used,
        used_up=used_up,
        own_material=own.replacement,
        own_material_resale=own.resale,
        with_own_material=total((used_up, own.replacement)),
        already_spent=already_spent(unit),
        unpriced=tuple(dict.fromkeys(missing)),
        known=cash.known,
    )


def already_spent(unit: Unit) -> Decimal:
    """Money already gone, spent or paid on a line. It is shown and decides nothing."""
    return paid_in_all(unit)


def _used_of_packs(need: ConsumableNeed) -> Decimal:
    """What is used of bought packs; without a pack size the whole of what is bought counts as used."""
    if need.from_packs is not None:
        return need.from_packs
    return need.cash.likely if need.cash is not None else ZERO


def _resale(need: MaterialNeed, shop: Shop) -> Decimal | None:
    """The share of the value of such pieces: those it is cut from when that is settled, else all on the pile."""
    of_kind = [o for o in shop.offcuts if is_of(o, need.material, need.thickness, shop)]
    pieces = [o for o in of_kind if o.code in need.pieces] or of_kind
    valued = [(o.value, size_of(o, need.kind)) for o in pieces if o.value is not None]
    size = sum((s for _, s in valued), Fraction(0))
    if need.quantity is None or not size:
        return None
    return cents(Fraction(total(v for v, _ in valued)) / size * Fraction(need.quantity))


def _line(need: MaterialNeed, material: Material | None) -> OwnMaterialLine:
    strip = need.kind is MaterialKind.STRIP
    rate = None if material is None else material.per_m if strip else material.per_m2
    if rate is None or material is None or need.quantity is None:
        lacking = "no size is known" if need.quantity is None else f"no price for one {need.unit}"
        return OwnMaterialLine(need, rate, None, f"{need.how}; {lacking}")
    waste = Fraction(material.waste_percent or 0)
    amount = cents(Fraction(need.quantity) * (1 + waste / 100) * Fraction(rate))
    words = f"{plain_number(need.quantity)} {need.unit} × {plain_number(rate)}"
    if waste:
        words += f", + {plain_number(waste)} % waste"
    return OwnMaterialLine(need, rate, amount, f"{need.how}; {words} = {amount}")
