"""Parts, pieces and rules from the book: a unit's case, the scrap pile, the shop's settings.

How a piece is cut follows from what it is (common practice): sheet and board are trued and sawn; a strip, no wider
than twice its thickness, is only cut to length; veneer and other leaves under 1 mm are cut with a knife.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from logbook.layout.records import MM, Box, PartToCut, Piece, Rules
from logbook.model.casework_records import Layer, Leaf, Panel, Size, Strip
from logbook.model.measures import Length
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import Grain

LEAF = MM
"""Thinner than this is cut with a knife: no kerf, no truing."""
KEEP_LEAF = 200 * MM


def rules_of(shop: Shop, unit: str = "", **changed: Any) -> Rules:
    """The rules of the shop; what it does not say is as `Rules` has it.

    Args:
        shop: its settings are taken.
        unit: the unit that is laid out, for reserved pieces.
        changed: fields of `Rules` to set besides, such as `seconds`.
    """
    settings = shop.settings
    named = {
        "kerf": settings.kerf,
        "trim": settings.trim,
        "thickness_tolerance": settings.thickness_tolerance,
        "keep_length": settings.keep_length,
        "keep_width": settings.keep_width,
    }
    said: dict[str, Any] = {name: length.ticks for name, length in named.items() if length is not None}
    return replace(Rules(), for_unit=unit, **{**said, **changed})


def pieces_of(shop: Shop) -> tuple[Piece, ...]:
    """The pieces of the scrap pile that can be cut."""
    return tuple(p for p in map(piece_of, shop.offcuts) if p.length > 0 and p.width > 0)


def piece_of(offcut: Offcut) -> Piece:
    """One offcut as a piece: its usable rectangle, its defects as far as they lie in it."""
    length = (offcut.usable_length or offcut.length).ticks
    width = (offcut.usable_width or offcut.width).ticks
    readings = tuple(t.ticks for t in offcut.thickness)
    piece = Piece(
        code=offcut.code,
        material=offcut.material,
        thickness=readings,
        length=length,
        width=width,
        grain=offcut.grain,
        value=offcut.value,
        defects=tuple(Box(d.x.ticks, d.y.ticks, d.length.ticks, d.width.ticks) for d in offcut.defects),
        reserved_for=reserved_unit(offcut),
        trim_y=0 if offcut.true_edges >= 1 else None,
        trim_x=0 if offcut.true_edges >= 2 else None,
    )
    thick = max(readings, default=0)
    if readings and thick < LEAF:
        return replace(piece, trim_x=0, trim_y=0, kerf=0, keep_length=KEEP_LEAF)
    if readings and min(length, width) <= 2 * thick:
        return replace(piece, trim_x=0, trim_y=0, keep_width=0)
    return piece


def reserved_unit(offcut: Offcut) -> str:
    """Code of the unit an offcut is promised to: the first word of the promise."""
    words = offcut.reserved_for.split()
    return words[0].strip(",:;.") if words else ""


def parts_of(unit: Unit, prefix: str = "") -> tuple[PartToCut, ...]:
    """What is to be cut for the case of a unit: panels by layer, veneer leaves, strips.

    The rough size counts, else the cut size, else the finish size; a panel without any is left out. Several layers of
    one panel are told apart as `P1.1`, `P1.2`; leaves as `P1.v` (show face) and `P1.b` (backer). Leaves that wrap say
    so in the panel's note and are not put together here.

    Args:
        unit: the unit.
        prefix: put before each code, such as `R1 `, when several units are laid out at once.
    """
    case = unit.case
    if case is None:
        return ()
    found = [p for panel in case.panels for p in (*_layers(panel), *_leaves(panel))]
    found += [_strip(s) for s in case.strips]
    return tuple(replace(p, code=prefix + p.code, unit=unit.code) for p in found if p.length > 0 and p.width > 0)


def unsized(unit: Unit) -> tuple[str, ...]:
    """Codes of the panels that have no size yet, and so are in no layout."""
    panels = unit.case.panels if unit.case is not None else ()
    return tuple(p.code for p in panels if (p.rough or p.cut or p.finish) is None)


def _layers(panel: Panel) -> Iterator[PartToCut]:
    size = panel.rough or panel.cut or panel.finish
    if size is None:
        return
    leaves = {(x.material, x.thickness.ticks) for x in panel.leaves}
    layers = [x for x in panel.layers if (x.material, x.thickness.ticks) not in leaves]
    for number, layer in enumerate(layers, 1):
        code = panel.code if len(layers) == 1 else f"{panel.code}.{number}"
        yield _part(code, panel.quantity, size, layer, panel.grain)


def _leaves(panel: Panel) -> Iterator[PartToCut]:
    counts = {True: 0, False: 0}
    for leaf in panel.leaves:
        counts[leaf.show] += 1
        more = str(counts[leaf.show]) if counts[leaf.show] > 1 else ""
        yield _leaf(f"{panel.code}.{'v' if leaf.show else 'b'}{more}", panel, leaf)


def _leaf(code: str, panel: Panel, leaf: Leaf) -> PartToCut:
    grain = panel.grain if leaf.show else Grain.LENGTH
    return _part(code, panel.quantity, leaf.size, leaf, grain)


def _strip(strip: Strip) -> PartToCut:
    """A strip is as wide and thick as the stock it is named after; `12x12` at the end of the material says so."""
    numbers = strip.material.casefold().replace("×", "x").split()[-1].split("x")
    section = [Length.of(n).ticks for n in numbers if n.replace(".", "", 1).isdigit()]
    wide, thick = (max(section), min(section)) if len(section) == 2 else (0, 0)
    return PartToCut(strip.code, strip.quantity, strip.length.ticks, wide, strip.material, thick, Grain.LENGTH)


def _part(code: str, quantity: int, size: Size, of: Layer | Leaf, grain: Grain) -> PartToCut:
    return PartToCut(code, quantity, size.length.ticks, size.width.ticks, of.material, of.thickness.ticks, grain)
