"""A piece of the scrap pile drawn to scale: what is usable, what lies around it, defects, the true edge."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.layout.cut_records import Box
from logbook.layout.layout_tables import mm
from logbook.layout.usable_rectangles import defect_boxes, not_usable, usable_boxes
from logbook.model.measures import TICKS_PER_MM
from logbook.model.shop import Offcut
from logbook.model.words import Grain
from logbook.render.glyphs import Glyphs
from logbook.render.pile_document import GRAIN_WORDS
from logbook.tui.look.inks import Line, text_of
from logbook.tui.look.to_scale import DrawnFace, DrawnSheet, RectangleKind, arranged, sheet_lines

GRAINS = {Grain.LENGTH: "length", Grain.WIDTH: "width"}


def piece_lines(piece: Offcut, columns: int, rows: int, g: Glyphs) -> list[Line]:
    """The piece as large as so many columns and rows allow."""
    sheet = piece_sheet(piece)
    scale, _ = arranged([(sheet.length, sheet.width)], columns, rows, extra=1)
    return [row for row in sheet_lines(sheet, scale, "", g) if text_of(row).strip()]


def piece_sheet(piece: Offcut) -> DrawnSheet:
    """What is drawn of a piece, in millimetres."""
    faces = (*_usable(piece), *_around(piece), *defect_faces(piece))
    long, wide = in_mm(piece.length.ticks), in_mm(piece.width.ticks)
    return DrawnSheet(long, wide, faces, GRAINS.get(piece.grain, ""), true_edge=piece.true_edges > 0)


def _usable(piece: Offcut) -> Iterator[DrawnFace]:
    boxes = usable_boxes(piece)
    kind = RectangleKind.OUTLINE if len(boxes) > 1 else RectangleKind.WORDS
    for box in boxes:
        yield face_at(box, (f"{mm(box.length)} x {mm(box.width)}", GRAIN_WORDS[piece.grain]), "text", kind)


def _around(piece: Offcut) -> Iterator[DrawnFace]:
    """What is not usable: around several usable rectangles, or beyond the only one."""
    boxes = usable_boxes(piece)
    around = not_usable(piece)
    if not around and len(boxes) == 1:
        around = tuple(_beyond(piece, boxes[0]))
    for box in around:
        yield face_at(box, (), "muted", RectangleKind.NOT_USABLE)


def _beyond(piece: Offcut, used: Box) -> Iterator[Box]:
    """The end and the edge that are left beside one usable rectangle in the corner."""
    length, width = piece.length.ticks, piece.width.ticks
    if used.length < length:
        yield Box(used.length, 0, length - used.length, width)
    if used.width < width:
        yield Box(0, used.width, used.length, width - used.width)


def defect_faces(piece: Offcut) -> Iterator[DrawnFace]:
    """What is wrong within a piece."""
    for box in defect_boxes(piece):
        yield face_at(box, (), "bad", RectangleKind.DEFECT)


def face_at(box: Box, words: tuple[str, ...], ink: str, kind: RectangleKind) -> DrawnFace:
    """A rectangle of a piece as it is drawn."""
    return DrawnFace(in_mm(box.x), in_mm(box.y), in_mm(box.length), in_mm(box.width), words, ink, kind)


def in_mm(ticks: int) -> float:
    """For drawing alone: the record keeps exact lengths."""
    return ticks / TICKS_PER_MM
