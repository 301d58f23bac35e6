"""From the book to what a layout is asked with: parts of units, pieces of the pile, rules of the shop."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from enum import StrEnum

from logbook.casework import completed
from logbook.layout.cut_records import Box, PartToCut, Piece, Rules
from logbook.layout.offcut_rules import keep_rule, kind_of, usable
from logbook.layout.reservations import claims_on, held_for
from logbook.model.case_plan import Size
from logbook.model.casework_records import Panel, Strip
from logbook.model.layout_records import KeptLayout
from logbook.model.measures import TICKS_PER_MM, Length
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.usual_lengths import length_in_use
from logbook.model.words import PieceKind

MM = TICKS_PER_MM


class PartKind(StrEnum):
    """What is laid out together, because it is cut together: at the saw, with the knife, to length."""

    PANELS = "panels"
    VENEER = "veneer"
    STRIPS = "strips"


def parts_of(unit: Unit, kind: PartKind) -> tuple[PartToCut, ...]:
    """The parts of a unit's case that are to be cut, as far as their sizes are known.

    A panel counts at its rough size (else cut, else finish size), one part for each layer; a leaf at the size it is
    cut to; a strip at its length and the section of its stock. Sizes that are not written down are computed, and a
    unit that is a pair or set wants the parts of each member. What has no size is left out (see `without_size`).
    """
    case = completed(unit)
    if case is None:
        return ()
    if kind is PartKind.PANELS:
        found = [p for panel in case.panels for p in _layers(unit.code, panel)]
    elif kind is PartKind.VENEER:
        found = [p for panel in _around(case.panels) for p in _leaves(unit.code, panel)]
    else:
        found = [p for strip in case.strips if (p := _strip(unit.code, strip))]
    return tuple(_told_apart(found))


def _told_apart(parts: Iterable[PartToCut]) -> Iterator[PartToCut]:
    """The parts with codes of their own: members of a set can have unlike panels of one code."""
    seen: dict[str, int] = {}
    for part in parts:
        seen[part.code] = seen.get(part.code, 0) + 1
        yield part if seen[part.code] == 1 else replace(part, code=f"{part.code}-{seen[part.code]}")


def parts_together(units: Sequence[Unit], kind: PartKind) -> tuple[PartToCut, ...]:
    """The parts of several units; with more than one their codes carry the unit's: `R1/P1`."""
    if len(units) == 1:
        return parts_of(units[0], kind)
    return tuple(replace(p, code=f"{unit.code}/{p.code}") for unit in units for p in parts_of(unit, kind))


def size_to_cut(panel: Panel) -> Size | None:
    """The size at which a panel leaves the saw: rough, else cut, else finish."""
    return panel.rough or panel.cut or panel.finish


def without_size(unit: Unit) -> tuple[str, ...]:
    """Codes of the panels that cannot be laid out, because a size or a measured thickness is missing."""
    case = completed(unit)
    panels = case.panels if case is not None else ()
    return tuple(p.code for p in panels if size_to_cut(p) is None or not p.layers)


def _layers(unit: str, panel: Panel) -> Iterator[PartToCut]:
    size = size_to_cut(panel)
    if size is None:
        return
    for number, layer in enumerate(panel.layers, 1):
        code = panel.code if len(panel.layers) == 1 else f"{panel.code}.{number}"
        yield PartToCut(
            code, panel.quantity, size.length.ticks, size.width.ticks, layer.material,
            layer.thickness.ticks, panel.grain, unit=unit,
        )  # fmt: skip


def _leaves(unit: str, panel: Panel) -> Iterator[PartToCut]:
    wrap = panel.wrap.strip()
    shown = backed = 0
    for leaf in panel.leaves:
        if leaf.size is None:
            continue
        shown, backed = shown + leaf.show, backed + (not leaf.show)
        number = shown if leaf.show else backed
        code = f"{panel.code}{'v' if leaf.show else 'b'}{number if number > 1 else ''}"
        together = f"{unit} {wrap}" if wrap and leaf.show else ""
        yield PartToCut(
            code, panel.quantity, leaf.size.length.ticks, leaf.size.width.ticks, leaf.material,
            leaf.thickness.ticks, panel.grain, together, unit,
        )  # fmt: skip


_PLACES = (("left", "l"), ("top",), ("right", "r"), ("bottom",))


def _around(panels: Sequence[Panel]) -> list[Panel]:
    """The panels in the order in which grain runs around a box: left side, top, right side, bottom, the others."""

    def place(panel: Panel) -> int:
        words = re.findall(r"\w+", panel.name.casefold())
        return next((i for i, names in enumerate(_PLACES) if any(n in words for n in names)), len(_PLACES))

    return sorted(panels, key=place)


_SECTION = re.compile(r"(\d+(?:[.,]\d+)?)\s*[x×]\s*(\d+(?:[.,]\d+)?)")


def _strip(unit: str, strip: Strip) -> PartToCut | None:
    """A strip with its section: as recorded, else as the name of its stock says; without one it cannot be laid out."""
    section = _SECTION.search(strip.material)
    wide = strip.wide or (Length.of(section[2]) if section else None)
    thick = strip.thick or (Length.of(section[1]) if section else None)
    if wide is None or thick is None or strip.length is None:
        return None
    return PartToCut(strip.code, strip.quantity, strip.length.ticks, wide.ticks, strip.material, thick.ticks, unit=unit)


def rules_of(shop: Shop, unit: str = "", *, kerf: Length | None = None, seed: int = 1) -> Rules:
    """The rules of the shop: kerf, squaring trim, tolerance of thickness, keep rule.

    Args:
        shop: its settings; what they leave out is usual.
        unit: whose layout it is; pieces promised to it may be cut.
        kerf: that of a case, where it says its own.
        seed: another number searches in another order.
    """

    def ticks(name: str) -> int:
        return length_in_use(shop.settings, name).ticks

    return Rules(
        kerf=ticks("kerf") if kerf is None else kerf.ticks,
        trim=ticks("trim"),
        thickness_tolerance=ticks("thickness_tolerance"),
        keep_length=ticks("keep_length"),
        keep_width=ticks("keep_width"),
        for_unit=unit,
        seed=seed,
    )


def piece_of(offcut: Offcut, shop: Shop, reserved_for: str = "") -> Piece:
    """A piece of the pile as the search takes it: its usable rectangle from the corner, with the defects inside.

    Veneer is cut with a knife: no kerf, no squaring. A strip is only crosscut, so its edge counts as true. An edge
    or end that is recorded as true needs no squaring: the first true one is the long edge.
    """
    kind = kind_of(offcut)
    size = usable(offcut)
    rule = keep_rule(offcut, shop.settings)
    squared = kind in (PieceKind.VENEER, PieceKind.STRIP)
    trim_y = 0 if squared or offcut.true_edges >= 1 else None
    trim_x = 0 if squared or offcut.true_edges >= 2 else None
    return Piece(
        offcut.code, offcut.material, tuple(t.ticks for t in offcut.thickness), size.length, size.width, offcut.grain,
        offcut.value, tuple(_inside(offcut, size.length, size.width)), reserved_for, trim_x, trim_y,
        0 if kind is PieceKind.VENEER else None, rule.long, rule.short,
    )  # fmt: skip


def _inside(offcut: Offcut, length: int, width: int) -> Iterator[Box]:
    """The defects as far as they lie in the usable rectangle."""
    for d in offcut.defects:
        x0, y0 = max(0, d.x.ticks), max(0, d.y.ticks)
        x1, y1 = min(length, d.x.ticks + d.length.ticks), min(width, d.y.ticks + d.width.ticks)
        if x0 < x1 and y0 < y1:
            yield Box(x0, y0, x1 - x0, y1 - y0)


def pieces_of(shop: Shop, rules: Rules, units: Iterable[Unit] = (), kind: PartKind | None = None) -> tuple[Piece, ...]:
    """The pile as the search takes it.

    Args:
        shop: the pile.
        rules: for whom it is laid out.
        units: all units of the book; a piece that another one's layout is about to cut is reserved for it, except a
            strip, of which only so much is gone.
        kind: only what such parts are cut from; None: everything.
    """
    claims = claims_on(shop, units)
    found = []
    for offcut in shop.offcuts:
        if kind is not None and (kind_of(offcut) is PieceKind.VENEER) != (kind is PartKind.VENEER):
            continue
        holder, gone = held_for(claims.get(offcut.code, ()), (rules.for_unit,))
        piece = piece_of(offcut, shop, holder)
        if gone:
            piece = _shortened(piece, gone)
        if piece.length > 0:
            found.append(piece)
    return tuple(found)


def _shortened(piece: Piece, gone: int) -> Piece:
    return replace(piece, length=max(0, piece.length - gone))


def layout_for(unit: Unit, kind: PartKind) -> KeptLayout | None:
    """The layout that was chosen for those parts of a unit, or None."""
    return next((k for k in unit.layouts if k.what == kind), None)


def laid_out_with(units: Iterable[Unit], code: str, kind: PartKind) -> str:
    """Code of the unit in whose layout the parts of another one lie; empty when they are in none."""
    return next((u.code for u in units for k in u.layouts if k.what == kind and code in k.with_units), "")
