"""How much sheet and strip a case takes: areas at rough size, and what is left of the strip."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from logbook.casework.lookup import mm
from logbook.casework.parts import RoughPart, rough_parts
from logbook.casework.worked import WorkedCase
from logbook.model.material_names import bare_material
from logbook.model.measures import TICKS_PER_MM
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.usual_lengths import length_in_use


@dataclass(frozen=True, slots=True)
class MaterialArea:
    """What a material at one thickness comes to, at rough size."""

    material: str
    thickness: int
    square_metres: Fraction
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StripStock:
    """One strip material: what is cut from it, with a kerf for each cut, and what a piece of the pile leaves."""

    material: str
    total: int
    """All lengths, in ticks."""
    cuts: int
    with_kerf: int
    piece: str
    stock: int | None
    sentence: str


def areas_of(worked: WorkedCase) -> tuple[MaterialArea, ...]:
    """The area of every sheet and leaf material, in the order of the parts."""
    found: dict[tuple[str, int], list[RoughPart]] = {}
    for p in rough_parts(worked):
        found.setdefault((bare_material(p.material, (p.thickness,)), p.thickness), []).append(p)
    return tuple(
        MaterialArea(
            of[0].material, thickness,
            Fraction(sum(p.length * p.width * p.quantity for p in of), TICKS_PER_MM**2 * 10**6),
            tuple(dict.fromkeys(p.panel for p in of)),
        )
        for (_, thickness), of in found.items()
    )  # fmt: skip


def strip_stock(unit: Unit, shop: Shop, worked: WorkedCase) -> tuple[StripStock, ...]:
    """Every strip material with what its piece of the pile leaves; a kerf is counted for each length cut off."""
    kerf = ((unit.case and unit.case.kerf) or length_in_use(shop.settings, "kerf")).ticks
    groups: dict[tuple[str, str], list[tuple[int, int]]] = {}
    for s in worked.strips:
        groups.setdefault((s.record.material, s.record.piece), []).append((s.length, s.quantity))
    return tuple(_stock(shop, material, piece, of, kerf) for (material, piece), of in groups.items())


def _stock(shop: Shop, material: str, piece: str, of: list[tuple[int, int]], kerf: int) -> StripStock:
    total, cuts = sum(n * length for length, n in of), sum(n for _, n in of)
    need = total + cuts * kerf
    found = next((o for o in shop.offcuts if o.code == piece), None)
    stock = None if found is None else (found.usable_length or found.length).ticks
    words = f"{material}: {mm(total)} + {counted(cuts, 'cut')} x {mm(kerf)} = {mm(need)}"
    if stock is not None:
        left = stock - need
        rest = f"leaves {mm(left)}" if left >= 0 else f"{mm(-left)} short"
        words += f" of {mm(stock)} ({piece}), {rest}"
    return StripStock(material, total, cuts, need, piece, stock, words + ".")
