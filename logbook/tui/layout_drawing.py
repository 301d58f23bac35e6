"""The pieces of a layout drawn to scale for its screen: all of them on one scale, or one as large as it goes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from logbook.layout.cut_records import Box, Leftover, Piece, Placement
from logbook.layout.layout_tables import mm
from logbook.layout.saw import Saw
from logbook.layout.usable_rectangles import NOT_USABLE, not_usable, usable_boxes
from logbook.model.unit import Unit
from logbook.model.words import Grain
from logbook.render.glyphs import Glyphs
from logbook.render.layout_document import kept_words, length_left
from logbook.render.plain import clean
from logbook.tui.look.inks import BLANK, Line, Span, beside, fit, line, signal, width_of
from logbook.tui.look.palette import hue
from logbook.tui.look.to_scale import (
    SHEET_ROWS,
    DrawnFace,
    DrawnSheet,
    RectangleKind,
    arranged,
    columns_of,
    sheet_lines,
)
from logbook.tui.pile_drawing import GRAINS, defect_faces, face_at, in_mm

GAP = 3
"""Columns between pieces side by side."""


class Shown(NamedTuple):
    """What the drawings of a layout need besides the piece."""

    saw: Saw
    names: Mapping[str, str]
    """What each part is called: `P1` to `top`."""
    here: str
    """Code of the piece that is worked on."""
    chosen: str
    """Code of the part under the cursor."""
    g: Glyphs


def part_names(units: Sequence[Unit]) -> dict[str, str]:
    """What each part is called, by the code that the layout has for it; with several units that carries the unit's."""
    found: dict[str, str] = {}
    for unit in units:
        lead = f"{unit.code}/" if len(units) > 1 else ""
        for panel in unit.case.panels if unit.case is not None else ():
            found[f"{lead}{panel.code}"] = panel.name
            for number in range(1, len(panel.layers) + 1):
                found[f"{lead}{panel.code}.{number}"] = f"{panel.name} {number}"
            for number in ("", *range(2, len(panel.leaves) + 1)):
                found[f"{lead}{panel.code}v{number}"] = f"{panel.name} face"
                found[f"{lead}{panel.code}b{number}"] = f"{panel.name} backer"
        for strip in unit.case.strips if unit.case is not None else ():
            found[f"{lead}{strip.code}"] = strip.name
    return found


def hues_of(saw: Saw) -> dict[str, str]:
    """The hue of each part, in the order in which parts are listed."""
    codes = dict.fromkeys(part.code for part in saw.kept.parts)
    return {code: hue(number) for number, code in enumerate(codes)}


def all_pieces(shown: Shown, columns: int, rows: int) -> tuple[list[Line], int]:
    """Every piece on one scale, as large as fits, and the row where the one that is worked on begins."""
    pieces = shown.saw.pieces
    sizes = [(in_mm(piece.length), in_mm(piece.width)) for piece in pieces]
    scale, shelves = arranged(sizes, columns, rows, extra=SHEET_ROWS + 2, gap=GAP)
    lines: list[Line] = []
    at = 0
    for shelf in shelves:
        if any(pieces[number].code == shown.here for number in shelf):
            at = len(lines)
        lines += [*_shelf(shown, [pieces[number] for number in shelf], scale, columns), BLANK]
    return lines[:-1], at


def _shelf(shown: Shown, pieces: Sequence[Piece], scale: float, columns: int) -> list[Line]:
    """Pieces side by side; the last one's head may take the room that is left."""
    found: list[Line] = []
    taken = 0
    for piece in reversed(pieces):
        wide = columns_of(in_mm(piece.length), scale)
        room = wide if taken else columns - _before(pieces[:-1], scale)
        block = [head_line(shown, piece, room), *sheet_lines(sheet_of(shown, piece), scale, shown.chosen, shown.g)]
        found = beside(block, found, wide, GAP) if taken else block
        taken += wide
    return found


def _before(pieces: Sequence[Piece], scale: float) -> int:
    return sum(columns_of(in_mm(piece.length), scale) + GAP for piece in pieces)


def one_piece(shown: Shown, piece: Piece, columns: int, rows: int) -> list[Line]:
    """One piece as large as so many rows allow, under its head."""
    scale, _ = arranged([(in_mm(piece.length), in_mm(piece.width))], columns, rows, extra=SHEET_ROWS + 1)
    drawn = sheet_lines(sheet_of(shown, piece), scale, shown.chosen, shown.g)
    return [head_line(shown, piece, columns), *drawn]


def head_line(shown: Shown, piece: Piece, columns: int) -> Line:
    """Code, material and size of a piece at the left, what is left of it at the right; it gives way from its end."""
    saw = shown.saw
    thick = sorted({mm(reading) for reading in piece.thickness})
    measured = "-".join(dict.fromkeys((thick[0], thick[-1]))) if thick else "?"
    size = f"{mm(piece.length)} x {mm(piece.width)}"
    here = piece.code == shown.here
    code = Span(clean(piece.code, limit=40), "bold accent" if here else "bold")
    stuff = Span(f"  {clean(piece.material, limit=60)} {measured}", "muted")
    laid = saw.laid(piece.code)
    place = Span(f"  {clean(laid.piece.place, limit=60)}", "muted") if laid.piece.place else Span("")
    left = line("  ", signal("CUT", "good")) if laid.finished else line(Span(f"   {left_words(saw, piece)}", "muted"))
    sized = Span(f"  {size}", "bold")
    for parts in (
        line(code, stuff, sized, place, left),
        line(code, stuff, sized, left),
        line(code, stuff, sized),
        line(code, sized),
    ):
        if width_of(parts) <= columns:
            return parts
    return fit(line(code, sized), columns)


def left_words(saw: Saw, piece: Piece) -> str:
    """What is left of a piece: what is kept, else how much of its length."""
    kept = kept_words(saw, piece.code)
    if kept:
        return f"keep {clean(kept, limit=200)}"
    left = length_left(saw.layout, piece)
    return f"{mm(left)} mm of the length left over" if left else "all of the length used"


def sheet_of(shown: Shown, piece: Piece) -> DrawnSheet:
    """A piece with its parts, what is kept, what is waste and what is no good, in millimetres."""
    kerf = piece.kerf if piece.kerf is not None else shown.saw.rules.kerf
    return DrawnSheet(
        in_mm(piece.length),
        in_mm(piece.width),
        (*_rests(shown.saw, piece), *_parts(shown, piece)),
        GRAINS.get(piece.grain, ""),
        mm(kerf) if kerf else "",
    )


def _rests(saw: Saw, piece: Piece) -> Iterator[DrawnFace]:
    names, of_pile = saw.names(), saw.laid(piece.code).piece
    around = not_usable(of_pile)
    for box in usable_boxes(of_pile) if around else ():
        yield face_at(box, (), "rule", RectangleKind.OUTLINE)
    for rest in saw.layout.leftovers:
        if rest.piece == piece.code:
            box = Box(rest.x, rest.y, rest.length, rest.width)
            kind = RectangleKind.KEPT if rest.keep else RectangleKind.WASTE
            words = _rest_words(rest, names.get((piece.code, box), ""))
            yield face_at(box, words, "rule", kind)
    for box in around:
        yield face_at(box, (NOT_USABLE,), "muted", RectangleKind.NOT_USABLE)
    yield from defect_faces(of_pile)


def _rest_words(rest: Leftover, name: str) -> tuple[str, ...]:
    if rest.keep:
        return f"KEEP {clean(name, limit=40)}".strip(), f"{mm(rest.length)} x {mm(rest.width)}"
    return (f"{mm(min(rest.length, rest.width))} bin",)


def _parts(shown: Shown, piece: Piece) -> Iterator[DrawnFace]:
    freed, hues = shown.saw.freed(), hues_of(shown.saw)
    free = {part.code for part in shown.saw.kept.parts if part.grain is Grain.FREE}
    for placed in shown.saw.layout.placements:
        if placed.piece != piece.code:
            continue
        mark = "[x] " if (piece.code, placed.box) in freed else ""
        words = _part_words(shown, placed, mark)
        words += ("any grain",) if placed.part in free and piece.grain is not Grain.FREE else ()
        ink = hues.get(placed.part, hue(0))
        drawn = face_at(placed.box, words, ink, RectangleKind.PART)
        yield drawn._replace(name=clean(placed.part, limit=40), mark=mark)


def _part_words(shown: Shown, placed: Placement, mark: str) -> tuple[str, ...]:
    code = clean(placed.part, limit=40)
    name = clean(shown.names.get(placed.part, ""), limit=40)
    long, wide = (placed.width, placed.length) if placed.turned else (placed.length, placed.width)
    called = f"{mark}{code} {name}".rstrip()
    size = f"{mm(long)} x {mm(wide)}"
    return (called, size, "turned") if placed.turned else (called, size)
