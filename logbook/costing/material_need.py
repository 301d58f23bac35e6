"""What a case takes from the scrap pile: panels, leaves and strips by material and measured thickness."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.casework import completed
from logbook.casework.cut_list import thickness_tolerance
from logbook.costing.amounts import converted, plain_number, rounded, unit_of
from logbook.model.case_plan import Size
from logbook.model.casework_records import Panel, Strip
from logbook.model.layout_records import parts_cut
from logbook.model.material_names import bare_material, same_material
from logbook.model.measures import Length
from logbook.model.promises import free_for
from logbook.model.remembered import remembered
from logbook.model.same_words import same_words
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import Source, Supply
from logbook.model.work import Part

_SQUARE_MM = Fraction(1_000_000)


class MaterialKind(StrEnum):
    """How a material is measured out."""

    PANEL = "panels"
    LEAF = "veneer"
    STRIP = "strips and blocks"


@dataclass(frozen=True, slots=True)
class MaterialNeed:
    """How much of one material a unit takes, and whether the pile has that much."""

    kind: MaterialKind
    material: str
    thickness: Length | None
    """As measured; None for strips, whose section is in their name."""
    quantity: Decimal | None
    """Square metres to 0.0001, or metres to 0.001; None while no size is known."""
    unit: str
    used_in: tuple[str, ...]
    pieces: tuple[str, ...]
    """Codes of the offcuts that it is to be cut from, as far as settled."""
    on_pile: Decimal
    """What the pile has of it that is not promised to another unit; no promise that a layout fits."""
    without_size: tuple[str, ...]
    """Codes of panels that have no size yet and are missing from the quantity."""
    how: str
    cut: Decimal = Decimal(0)
    """What of it is cut already, by the unit's layouts."""
    bought_as: str = ""
    """Code of the part that stands for buying it; empty without one."""
    no_place: str = ""
    """What the layout that was kept found no place for, in words; empty when all has one, or none is kept."""
    laid_out: bool = False
    """Whether a layout that was kept decides; without one areas are compared, which is no promise that all fits."""

    @property
    def enough(self) -> bool:
        """Whether what is cut and what the pile holds are at least that much."""
        if self.quantity is None or self.without_size or self.no_place:
            return False
        return self.laid_out or self.on_pile + self.cut >= self.quantity

    @property
    def name(self) -> str:
        """The material with its measured thickness, as one says it: `12 ply 11.8`."""
        return self.material if self.thickness is None else f"{self.material} {self.thickness.in_mm()}"


@dataclass(frozen=True, slots=True)
class _Taken:
    """One share of a material: so many square or running millimetres for one panel, strip or part."""

    code: str
    amount: Fraction | None
    piece: str
    words: str


_Key = tuple[MaterialKind, str, int]


@remembered
def material_needs(unit: Unit, shop: Shop) -> tuple[MaterialNeed, ...]:
    """What the unit's case, and parts newly made from sheet or strip, take of each material.

    The area of a panel is that of its rough size; before that is known its cut or finish size stands in,
    and the line says so. A layer that is also recorded as a leaf is counted once, as the leaf.
    """
    groups: dict[_Key, tuple[str, Length | None, list[_Taken]]] = {}
    for kind, material, thickness, taken in _all_taken(unit):
        key = (kind, bare_material(material, _ticks(thickness)), thickness.ticks if thickness else 0)
        groups.setdefault(key, (material, thickness, []))[2].append(taken)
    return tuple(
        _need(
            kind,
            material,
            thickness,
            taken,
            unit=unit,
            shop=shop,
        )
        for (kind, _, _), (material, thickness, taken) in sorted(
            groups.items(), key=lambda g: list(MaterialKind).index(g[0][0])
        )
    )


def sheet_parts(unit: Unit) -> tuple[Part, ...]:
    """Newly made parts without a price that are cut from sheet or strip of the pile and not made yet."""
    return tuple(
        p
        for p in unit.parts
        if p.source is Source.MAKE
        and p.price is None
        and p.supply is not Supply.HERE
        and p.made_from
        and converted(Fraction(1), p.unit, "m2" if unit_of(p.unit).endswith("2") else "m") is not None
    )


def _all_taken(unit: Unit) -> Iterator[tuple[MaterialKind, str, Length | None, _Taken]]:
    case = completed(unit)
    panels: tuple[Panel, ...] = case.panels if case else ()
    strips: tuple[Strip, ...] = case.strips if case else ()
    for panel in panels:
        leaves = {(bare_material(x.material, _ticks(x.thickness)), x.thickness.ticks) for x in panel.leaves}
        for layer in panel.layers:
            if (bare_material(layer.material, _ticks(layer.thickness)), layer.thickness.ticks) not in leaves:
                yield MaterialKind.PANEL, layer.material, layer.thickness, _of_panel(panel, layer.piece)
        for leaf in panel.leaves:
            area = _area(leaf.size) * panel.quantity if leaf.size is not None else None
            words = f"{panel.code} {_size(leaf.size)}{_times(panel.quantity)}" if leaf.size is not None else panel.code
            yield MaterialKind.LEAF, leaf.material, leaf.thickness, _Taken(panel.code, area, leaf.piece, words)
    for strip in strips:
        length = Fraction(strip.length.mm) * strip.quantity if strip.length.ticks else None
        words = f"{strip.code} {strip.length.in_mm()}{_times(strip.quantity)}"
        words = f"{strip.code} has no length yet" if length is None else words
        yield MaterialKind.STRIP, strip.material, None, _Taken(strip.code, length, strip.piece, words)
    for part in sheet_parts(unit):
        flat = unit_of(part.unit).endswith("2")
        amount = converted(Fraction(part.quantity), part.unit, "m2" if flat else "m")
        scale = _SQUARE_MM if flat else Fraction(1000)
        taken = _Taken(part.code, (amount or Fraction(0)) * scale, "", f"{part.code} {part.quantity} {part.unit}")
        yield MaterialKind.PANEL if flat else MaterialKind.STRIP, part.made_from, None, taken


def _of_panel(panel: Panel, piece: str) -> _Taken:
    for size, words in ((panel.rough, ""), (panel.cut, " (cut size)"), (panel.finish, " (finish size)")):
        if size is not None:
            text = f"{panel.code} {_size(size)}{_times(panel.quantity)}{words}"
            return _Taken(panel.code, _area(size) * panel.quantity, piece, text)
    return _Taken(panel.code, None, piece, f"{panel.code} has no size yet")


def _need(
    kind: MaterialKind,
    material: str,
    thickness: Length | None,
    taken: Iterable[_Taken],
    *,
    unit: Unit,
    shop: Shop,
) -> MaterialNeed:
    taken = tuple(taken)
    on_pile = _on_pile(kind, material, thickness, unit.code, shop)
    cut = _cut(kind, material, thickness, unit)
    codes = tuple(dict.fromkeys(t.code for t in taken))
    laid = _laid(unit, shop, kind, (material, thickness), codes)
    known = [t.amount for t in taken if t.amount is not None]
    strip = kind is MaterialKind.STRIP
    amount = sum(known, Fraction(0)) / (1000 if strip else _SQUARE_MM)
    quantity = rounded(amount, 3 if strip else 4) if known else None
    measure = "m" if strip else "m2"
    words = " + ".join(t.words for t in taken)
    return MaterialNeed(
        kind=kind,
        material=material,
        thickness=thickness,
        quantity=quantity,
        unit=measure,
        used_in=codes,
        pieces=tuple(dict.fromkeys(t.piece for t in taken if t.piece)),
        on_pile=on_pile,
        without_size=tuple(dict.fromkeys(t.code for t in taken if t.amount is None)),
        how=_how(words, quantity, on_pile, cut, measure) + _laid_words(laid),
        cut=cut,
        bought_as=_bought_as(unit, material),
        no_place=laid.words if laid is not None else "",
        laid_out=laid is not None,
    )


def _how(words: str, quantity: Decimal | None, on_pile: Decimal, cut: Decimal, measure: str) -> str:
    sum_ = plain_number(quantity) if quantity is not None else "?"
    cut_words = f", {plain_number(cut)} {measure} cut already" if cut else ""
    return f"{words} = {sum_} {measure}; {plain_number(on_pile)} {measure} of it on the pile{cut_words}"


_LAYOUTS = {MaterialKind.PANEL: "panels", MaterialKind.LEAF: "veneer", MaterialKind.STRIP: "strips"}
"""How a kept layout calls the parts of each kind of material."""


@dataclass(frozen=True, slots=True)
class _Laid:
    """What the layout that was kept says of one material."""

    without_place: tuple[str, ...]
    """Parts that it found no place for."""
    to_buy: tuple[str, ...]
    """The smallest purchases that would give them one, in sentences."""

    @property
    def words(self) -> str:
        """What has no place; empty when all has."""
        return f"no room in the layout for {', '.join(self.without_place)}" if self.without_place else ""


def _laid(
    unit: Unit, shop: Shop, kind: MaterialKind, sheet: tuple[str, Length | None], codes: Sequence[str]
) -> _Laid | None:
    """What the kept layout says.

    None when none is kept, when it was made without one of the panels or strips, or when a piece that is still to be
    cut is not on the pile any more.
    """
    kept = next((k for k in unit.layouts if k.what == _LAYOUTS[kind]), None)
    if kept is None:
        return None
    to_be_cut = {laid.piece.code for laid in kept.pieces if not laid.finished}
    if not to_be_cut <= {piece.code for piece in shop.offcuts}:
        return None
    material, thickness = sheet
    own = [p for p in (*kept.parts, *kept.cut) if p.unit in ("", unit.code)]
    of_material = {p.code for p in own if same_material(p.material, (p.thickness.ticks,), material, _ticks(thickness))}
    if not set(codes) <= {_cut_for(code, codes) for code in of_material}:
        return None
    without = tuple(x.part for x in kept.left_out if x.part in of_material)
    names = [name.rpartition("/")[2] for name in without]
    return _Laid(without, tuple(s for s in kept.to_buy if any(re.search(rf"\b{re.escape(n)}\b", s) for n in names)))


def _cut_for(part: str, codes: Sequence[str]) -> str:
    """The panel or strip that a laid part is cut for: `P1` of `P1.2`, `P1v`, `P1-2` and `R1/P1`."""
    name = part.rpartition("/")[2]
    return next((c for c in codes if re.fullmatch(rf"{re.escape(c)}(\.\d+)?([vb]\d*)?(-\d+)?", name)), "")


def _laid_words(laid: _Laid | None) -> str:
    if laid is None:
        return " (by area; not laid out yet)"
    said = (laid.words, *(s.rstrip(".") for s in laid.to_buy))
    return "".join(f"; {words}" for words in said if words)


def _bought_as(unit: Unit, material: str) -> str:
    """The part that stands for buying the material: one whose name says it."""
    wanted = same_words(material)
    return next((p.code for p in unit.parts if wanted in same_words(p.name)), "")


def _cut(kind: MaterialKind, material: str, thickness: Length | None, unit: Unit) -> Decimal:
    """What the unit's layouts have cut of a material in that thickness, in m2 or m."""
    amount = Fraction(0)
    for part, count in parts_cut(unit.layouts, unit.code):
        alike = same_material(part.material, (part.thickness.ticks,), material, _ticks(thickness))
        if alike and (thickness is None or thickness.ticks == part.thickness.ticks):
            length, width = Fraction(part.length.mm), Fraction(part.width.mm)
            amount += count * (length / 1000 if kind is MaterialKind.STRIP else length * width / _SQUARE_MM)
    return rounded(amount, 3 if kind is MaterialKind.STRIP else 4)


def _on_pile(kind: MaterialKind, material: str, thickness: Length | None, unit_code: str, shop: Shop) -> Decimal:
    """What the pile has of a material in that thickness and not promised to another unit, in m2 or m."""
    pieces = (o for o in shop.offcuts if is_free_for(o, (unit_code,)) and is_of(o, material, thickness, shop))
    amount = sum((size_of(o, kind) for o in pieces), Fraction(0))
    return rounded(amount, 3 if kind is MaterialKind.STRIP else 4)


def is_of(offcut: Offcut, material: str, thickness: Length | None, shop: Shop) -> bool:
    """Whether a piece is of a material, and wherever it was measured within the tolerance of its thickness."""
    if not same_material(offcut.material, (t.ticks for t in offcut.thickness), material, _ticks(thickness)):
        return False
    if thickness is None:
        return True
    tolerance = thickness_tolerance(shop)
    return bool(offcut.thickness) and all(abs(t.ticks - thickness.ticks) <= tolerance for t in offcut.thickness)


def size_of(offcut: Offcut, kind: MaterialKind) -> Fraction:
    """What of a piece is usable, in square metres; in metres for strips."""
    length = Fraction((offcut.usable_length or offcut.length).mm)
    width = Fraction((offcut.usable_width or offcut.width).mm)
    return length / 1000 if kind is MaterialKind.STRIP else length * width / _SQUARE_MM


def is_free_for(offcut: Offcut, units: Collection[str]) -> bool:
    """Whether a piece is promised to nobody, or to one of these units."""
    return free_for(offcut.reserved_for, units)


def _ticks(thickness: Length | None) -> tuple[int, ...]:
    return () if thickness is None else (thickness.ticks,)


def _area(size: Size) -> Fraction:
    return Fraction(size.length.mm) * Fraction(size.width.mm)


def _size(size: Size) -> str:
    return f"{size.length.in_mm()} × {size.width.in_mm()}"


def _times(quantity: int) -> str:
    return "" if quantity == 1 else f" × {quantity}"
