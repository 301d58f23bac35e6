"""Drawings to scale: pieces of the pile with the parts on them, and the views of a case.

Sizes are in millimetres, x to the right and y upwards. A column is so many millimetres and a row twice as many.
What is thinner than a cell, such as a saw cut, is drawn as a heavy edge and said in words.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple

from logbook.render.glyphs import FINE, Glyphs
from logbook.render.plain import width
from logbook.tui.look.canvas import Canvas
from logbook.tui.look.inks import Line, Span, line

LEAST_COLUMNS = 12
"""Of a piece, so that a code can be read in it."""
LEAST_ROWS = 3
KEPT_DRAWINGS = 256
"""So many pieces and views are kept as they were drawn; of the others only what the cursor changes is drawn anew."""
LEAST_HIGH = 1.3
"""Rows from which a rectangle in a view has an inside, however its edges are rounded."""
ROUND_LENGTHS = (1000, 500, 200, 100, 50, 20, 10)
"""In mm, for the bar that says the scale."""


class RectangleKind(StrEnum):
    """What a rectangle of a drawing is."""

    PART = "part"
    KEPT = "kept"
    WASTE = "waste"
    DEFECT = "defect"
    NOT_USABLE = "not usable"
    """What lies around several usable rectangles of a piece."""
    OPENING = "opening"
    OUTLINE = "outline"
    """Only its edges count, such as of a thing inside a case."""
    WORDS = "words"
    """Only its words count: its edges are seen by what lies around it."""


class DrawnFace(NamedTuple):
    """A rectangle with words in it, the most important first; each stands on a row of its own."""

    x: float
    y: float
    length: float
    width: float
    words: tuple[str, ...] = ()
    ink: str = "hue1"
    kind: RectangleKind = RectangleKind.PART
    name: str = ""
    """What it is called where nothing else fits, and by which the cursor finds it."""
    mark: str = ""
    """What stands before the name as long as there is room for both: that it is cut."""


class Dimension(NamedTuple):
    """A size between two places along an edge of a drawing."""

    start: float
    end: float
    words: str
    ink: str = "text"
    name: str = ""
    """What stays of the words where there is little room."""


def dimension(columns: int, words: str, name: str = "", g: Glyphs = FINE) -> str:
    """`├──── 484 ────┤` over exactly so many columns; short of room its name, and at last the strokes alone."""
    if columns <= 0:
        return ""
    if columns == 1:
        return g.upright
    for said in (words, name):
        if said and width(said) + 4 <= columns:
            rest = columns - width(said) - 4
            return f"{g.left}{g.across * (rest // 2)} {said} {g.across * (rest - rest // 2)}{g.right}"
    return g.left + g.across * (columns - 2) + g.right


def scale_bar(mm: float, columns: int, g: Glyphs = FINE) -> str:
    """A bar of a round length, at most a third of the columns: `├─── 100 mm ───┤`; empty when none is readable."""
    for length in ROUND_LENGTHS:
        words, wide = f"{length} mm", round(length / mm) + 1
        if width(words) + 6 <= wide <= columns // 3:
            return dimension(wide, words, "", g)
    return ""


class DrawnSheet(NamedTuple):
    """A piece with what lies on it."""

    length: float
    width: float
    faces: tuple[DrawnFace, ...]
    grain: str = ""
    """`length`, `width`, or empty when it has none."""
    kerf: str = ""
    """Of the saw cut in mm, as it is said; empty for a knife."""
    true_edge: bool = True
    """Whether its long edge is, or will be made, true."""


def columns_of(length: float, mm: float) -> int:
    """Columns that a length takes."""
    return max(LEAST_COLUMNS, round(length / mm) + 1)


def rows_of(height: float, mm: float) -> int:
    """Rows that a height takes."""
    return max(LEAST_ROWS, round(height / mm / 2) + 1)


SHEET_ROWS = 2
"""Rows of a sheet besides the piece itself: dimensions above, the true edge below."""


def sheet_lines(sheet: DrawnSheet, mm: float, chosen: str = "", g: Glyphs = FINE) -> list[Line]:
    """A piece at so many millimetres to a column: parts, what is kept hatched, waste dotted, dimensions above.

    Args:
        sheet: what is drawn.
        mm: millimetres to a column.
        chosen: name of the part under the cursor.
        g: signs.
    """
    has_it = any(face.name == chosen for face in sheet.faces)
    return list(_drawn_sheet(sheet, mm, chosen if has_it else "", g))


@lru_cache(maxsize=KEPT_DRAWINGS)
def _drawn_sheet(sheet: DrawnSheet, mm: float, chosen: str, g: Glyphs) -> tuple[Line, ...]:
    wide, rows = columns_of(sheet.length, mm), rows_of(sheet.width, mm)
    drawn = _Sheet(sheet, Canvas(wide, rows, g), chosen)
    drawn.draw()
    return (drawn.dimensions(), *drawn.art.lines(), _foot(sheet, mm, wide, g))


def _foot(sheet: DrawnSheet, mm: float, wide: int, g: Glyphs) -> Line:
    """The true edge, the saw cut and the scale in words, as far as they fit."""
    said = ""
    for edge in ("true edge to the fence", "true edge") if sheet.true_edge else ():
        if width(edge) <= wide:
            said = edge
            break
    kerf = f"   saw cut {sheet.kerf}" if sheet.kerf else ""
    if width(said) + width(kerf) > wide:
        kerf = ""
    bar = scale_bar(mm, wide, g)
    gap = wide - width(said) - width(kerf) - width(bar)
    if gap < 2:
        gap, bar = gap + width(bar), ""
    return line(Span(said, "accent"), Span(kerf, "muted"), " " * gap, Span(bar, "muted"))


class _Sheet:
    """One piece being drawn."""

    def __init__(self, sheet: DrawnSheet, art: Canvas, chosen: str) -> None:
        self.sheet, self.art, self.chosen = sheet, art, chosen

    def column(self, x: float) -> int:
        share = x / self.sheet.length if self.sheet.length else 0
        return max(0, min(self.art.columns - 1, round(share * (self.art.columns - 1))))

    def row(self, y: float) -> int:
        share = y / self.sheet.width if self.sheet.width else 0
        return max(0, min(self.art.rows - 1, self.art.rows - 1 - round(share * (self.art.rows - 1))))

    def corners(self, face: DrawnFace) -> tuple[int, int, int, int]:
        """Left, top, right and bottom cell; never less than a cell across."""
        left, bottom = self.column(face.x), self.row(face.y)
        right = max(left + 1, self.column(face.x + face.length))
        top = min(bottom - 1, self.row(face.y + face.width))
        if right >= self.art.columns:
            left, right = left - 1, right - 1
        if top < 0:
            top, bottom = 0, bottom + 1
        return left, top, right, min(bottom, self.art.rows - 1)

    def draw(self) -> None:
        last_column, last_row = self.art.columns - 1, self.art.rows - 1
        self.art.box(0, 0, last_column, last_row)
        parts = [face for face in self.sheet.faces if face.kind is RectangleKind.PART]
        rests = [face for face in self.sheet.faces if face.kind is not RectangleKind.PART]
        for face in rests:
            self._rest(face)
        for face in parts:
            self._part(face)
        if self.sheet.true_edge:
            self.art.stroke(0, last_row, last_column, last_row, "accent", heavy=True)
        for face in rests:
            self._rest_words(face)

    def _rest(self, face: DrawnFace) -> None:
        left, top, right, bottom = self.corners(face)
        if face.kind is RectangleKind.DEFECT:
            self.art.fill(left, max(1, top), right, bottom, sign=self.art.g.defect, ink="bad")
            return
        if face.kind is RectangleKind.OUTLINE:
            self.art.box(left, top, right, bottom)
            return
        if face.kind is RectangleKind.WORDS:
            return
        if face.kind is RectangleKind.NOT_USABLE:
            self.art.fill(left + 1, top + 1, right - 1, bottom - 1, sign=":", ink="muted")
            return
        sign = self.art.g.hatch if face.kind is RectangleKind.KEPT else self.art.g.waste
        self.art.fill(left + 1, top + 1, right - 1, bottom - 1, sign=sign, ink="rule")
        self.art.box(left, top, right, bottom)

    def _rest_words(self, face: DrawnFace) -> None:
        """What a rest is, in it, or on its edge when it is thinner than a row."""
        if not face.words:
            return
        left, top, right, bottom = self.corners(face)
        ink = "good" if face.kind is RectangleKind.KEPT else "muted"
        for words in (" ".join(face.words), face.words[0]):
            said = f" {words} "
            if self.art.middle(left, top, right, bottom, [(said, ink)]):
                return
            room = right - left - 1
            if bottom - top < 2 and width(said) <= room:
                self.art.words(left + 1 + (room - width(said)) // 2, top, said, ink)
                return

    def _part(self, face: DrawnFace) -> None:
        left, top, right, bottom = self.corners(face)
        here = bool(self.chosen) and face.name == self.chosen
        ground, ink = face.ink.replace("hue", "tint"), face.ink
        self.art.clear(left + 1, top + 1, right - 1, bottom - 1)
        self.art.fill(left + 1, top + 1, right - 1, bottom - 1, ground=ground)
        self.art.box(left, top, right, bottom, ink, heavy=True)
        said = self._part_words(face, f"on-{ground}", ink)
        if here:  # one row changes under the cursor, not the whole face
            said[0] = (f" {said[0][0]} ", "bold ink on-accent")
        if self.art.middle(left, top, right, bottom, said):
            return
        marked = f"{face.mark}{face.name}"
        shorter = (f" {marked} ", marked, face.name) if here else (marked, face.name)
        for name in shorter:
            if self.art.middle(left, top, right, bottom, [(name, said[0][1]), *said[1:]]):
                return
        if right - left > width(face.name):
            self.art.words(left + 1, (top + bottom) // 2, face.name, f"bold {'accent' if here else ink}")

    def _part_words(self, face: DrawnFace, ground: str, ink: str) -> list[tuple[str, str]]:
        arrows = {"length": self.art.g.grain_along, "width": self.art.g.grain_up}
        said = [(words, f"text {ground}") for words in face.words]
        if said:
            said[0] = (said[0][0], f"bold text {ground}")
        if self.sheet.grain in arrows and "grain" not in " ".join(face.words):
            said.append((f"{arrows[self.sheet.grain]} grain", f"{ink} {ground}"))
        return said or [(face.name, f"bold text {ground}")]

    def dimensions(self) -> Line:
        """Lengths of the parts above the piece, those along its true edge first; one that finds no room is left out."""
        taken = [" "] * self.art.columns
        parts = [face for face in self.sheet.faces if face.kind is RectangleKind.PART]
        for face in sorted(parts, key=lambda face: (face.y, face.x)):
            left, _, right, _ = self.corners(face)
            if any(sign != " " for sign in taken[left + 1 : right]):
                continue
            words = dimension(right - left + 1, f"{face.length:g}", "", self.art.g)
            taken[left : right + 1] = list(words)
        return line(Span("".join(taken), "muted"))


def arranged(
    sizes: Sequence[tuple[float, float]], columns: int, rows: int, *, extra: int = SHEET_ROWS + 2, gap: int = 3
) -> tuple[float, list[list[int]]]:
    """One scale for several pieces, as large as fits, and which of them stand side by side.

    Args:
        sizes: length and width of each.
        columns: room.
        rows: room; more are taken when the longest piece would be shorter than `LEAST_COLUMNS` times two.
        extra: rows that each shelf needs besides the pieces.
        gap: columns between neighbours.

    Returns:
        Millimetres to a column, and the numbers of the pieces, shelf by shelf.
    """
    longest = max((length for length, _ in sizes), default=1.0) or 1.0
    mm = longest / max(1, columns - 1)
    smallest = longest / (LEAST_COLUMNS * 2)
    while True:
        shelves = _shelves([length for length, _ in sizes], mm, columns, gap)
        high = sum(max(rows_of(sizes[number][1], mm) for number in shelf) + extra for shelf in shelves)
        if high <= rows or mm >= smallest:
            return mm, shelves
        mm *= 1.03


def _shelves(lengths: Sequence[float], mm: float, columns: int, gap: int) -> list[list[int]]:
    shelves: list[list[int]] = []
    taken = columns
    for number, length in enumerate(lengths):
        wide = columns_of(length, mm)
        if shelves and taken + gap + wide <= columns:
            shelves[-1].append(number)
            taken += gap + wide
        else:
            shelves.append([number])
            taken = wide
    return shelves


class Disc(NamedTuple):
    """A round opening, or a shaft that is too thin for one."""

    x: float
    y: float
    diameter: float
    words: str = ""


class CaseView(NamedTuple):
    """One view of a case: its outline, what is drawn in it, and its held sizes."""

    title: str
    width: float
    height: float
    faces: tuple[DrawnFace, ...] = ()
    discs: tuple[Disc, ...] = ()
    across: tuple[Dimension, ...] = ()
    """Below the view, the innermost first."""
    up: tuple[Dimension, ...] = ()
    """At its left, the innermost first."""


def margin_of(view: CaseView) -> int:
    """Columns at the left of a view for upright dimensions."""
    widest = max((width(size.name) for size in view.up), default=0)
    return max(2, widest + 2) if view.up else 1


def view_size(view: CaseView, mm: float) -> tuple[int, int]:
    """Columns and rows that a view takes, its title and its dimensions with it."""
    columns = margin_of(view) + round(view.width / mm) + 2
    rows = round(view.height / mm / 2) + 2 + len(view.across)
    return max(columns, margin_of(view) + width(_titles(view)[-1])), rows


def _titles(view: CaseView) -> tuple[str, str]:
    """The title, and what stays of it where there is little room."""
    return view.title, view.title.partition(",")[0]


def view_lines(view: CaseView, mm: float, chosen: str = "", g: Glyphs = FINE) -> list[Line]:
    """A view at so many millimetres to a column, dimension lines at its left and below.

    Args:
        view: what is drawn.
        mm: millimetres to a column.
        chosen: name of the part or held size under the cursor.
        g: signs.
    """
    names = [*(face.name for face in view.faces), *(size.name for size in (*view.across, *view.up))]
    return list(_drawn_view(view, mm, chosen if chosen in names else "", g))


@lru_cache(maxsize=KEPT_DRAWINGS)
def _drawn_view(view: CaseView, mm: float, chosen: str, g: Glyphs) -> tuple[Line, ...]:
    columns, rows = view_size(view, mm)
    drawn = _View(view, Canvas(columns, rows - 1, g), mm, chosen)
    drawn.draw()
    room = columns - margin_of(view)
    title = next((words for words in _titles(view) if width(words) <= room), "")
    head = line(" " * margin_of(view), Span(title, "bold head"), " " * (room - width(title)))
    return (head, *drawn.art.lines())


class _View:
    """One view being drawn."""

    def __init__(self, view: CaseView, art: Canvas, mm: float, chosen: str) -> None:
        self.view, self.art, self.mm, self.chosen = view, art, mm, chosen
        self.margin = margin_of(view)
        self.floor = round(view.height / mm / 2)

    def column(self, x: float) -> int:
        return self.margin + round(x / self.mm)

    def row(self, y: float) -> int:
        return self.floor - round(y / self.mm / 2)

    def draw(self) -> None:
        self.art.box(self.margin, 0, self.column(self.view.width), self.floor, "text")
        names = []
        for face in self.view.faces:
            names += self._face(face)
        for disc in self.view.discs:
            self._disc(disc)
        for face in self.view.faces:
            names += self._words(face)
        for x, y, words, ink in names:  # a letter on every part: its hue is never alone
            self.art.words(max(0, min(x, self.art.columns - width(words))), y, words, f"bold {ink}")
        for number, size in enumerate(self.view.across):
            self._across(size, self.floor + 1 + number)
        for number, size in enumerate(self.view.up):
            self._up(size, self.margin - 2 - 2 * number)

    def corners(self, face: DrawnFace) -> tuple[int, int, int, int]:
        left, right = self.column(face.x), self.column(face.x + face.length)
        top, bottom = self.row(face.y + face.width), self.row(face.y)
        if bottom - top == 1 and face.width / self.mm / 2 >= LEAST_HIGH:
            top, bottom = self._opened(face)
        return left, top, right, bottom

    def _opened(self, face: DrawnFace) -> tuple[int, int]:
        """Top and bottom row a row further apart: the edge moves out that was rounded inwards the most."""
        under = face.y / self.mm / 2
        over = (face.y + face.width) / self.mm / 2
        if over - round(over) >= round(under) - under:
            return self.row(face.y + face.width) - 1, self.row(face.y)
        return self.row(face.y + face.width), self.row(face.y) + 1

    def _name_ink(self, face: DrawnFace) -> str:
        """The cursor changes no more of a drawing than names: each row that changes is sent anew."""
        return "ink on-accent" if self.chosen and face.name == self.chosen else face.ink

    def _face(self, face: DrawnFace) -> list[tuple[int, int, str, str]]:
        """Draw it; what is thinner than two cells becomes a heavy line, and its name is returned with its place."""
        left, top, right, bottom = self.corners(face)
        ink = face.ink
        if right - left >= 2 and bottom - top >= 2:
            self.art.fill(left + 1, top + 1, right - 1, bottom - 1, ground=self._ground(face))
            self.art.box(left, top, right, bottom, face.ink, heavy=face.kind is RectangleKind.PART)
            return []
        if right - left >= bottom - top:
            self.art.stroke(left, top, right, top, ink, heavy=True)
            return [(left + 3, top, face.name, self._name_ink(face))] if face.name else []
        self.art.stroke(left, top, left, bottom, ink, heavy=True)
        return [(left, (top + bottom) // 2 + 1, face.name, self._name_ink(face))] if face.name else []

    def _ground(self, face: DrawnFace) -> str:
        if face.kind is RectangleKind.OPENING:
            return "paper"
        return face.ink.replace("hue", "tint") if face.kind is RectangleKind.PART else ""

    def _words(self, face: DrawnFace) -> list[tuple[int, int, str, str]]:
        left, top, right, bottom = self.corners(face)
        if right - left < 2 or bottom - top < 2:
            return []
        if not face.words:
            narrow = right - left <= width(face.name)
            x, y = (left, (top + bottom) // 2 + 1) if narrow else (left + 1, min(top + 1, bottom - 1))
            return [(x, y, face.name, self._name_ink(face))] if face.name else []
        ground = self._ground(face)
        on = f" on-{ground}" if ground else ""
        said = [(words, f"muted{on}") for words in face.words]
        said[0] = (said[0][0], f"bold text{on}")
        if self.art.middle(left, top, right, bottom, said):
            return []
        if self.art.middle(left, bottom - 2, right, bottom, said[:1]):
            return []
        narrow = right - left < 4 and face.kind is RectangleKind.PART
        return [(left, (top + bottom) // 2 + 1, face.name, self._name_ink(face))] if narrow else []

    def _disc(self, disc: Disc) -> None:
        x, y, wide = self.column(disc.x), self.row(disc.y), disc.diameter / self.mm
        if wide < 1.6:
            self.art.put(x, y, self.art.g.point, "bold text")
            return
        self.art.disc((x + 0.5, y + 0.5), (wide / 2, wide / 4), "paper")
        if disc.words and width(disc.words) + 2 < wide:
            self.art.words(x - width(disc.words) // 2, y, disc.words, "text on-paper")

    def _across(self, size: Dimension, y: int) -> None:
        left, right = self.column(size.start), self.column(size.end)
        words = dimension(right - left + 1, size.words, size.name, self.art.g)
        self.art.words(left, y, words, self._size_ink(size))

    def _up(self, size: Dimension, x: int) -> None:
        top, bottom = self.row(size.end), self.row(size.start)
        g, ink = self.art.g, size.ink
        for y in range(top, bottom + 1):
            self.art.put(x, y, g.upright, ink)
        self.art.put(x, top, g.upper, ink)
        self.art.put(x, bottom, g.lower, ink)
        name = size.name or size.words
        self.art.words(max(0, x - width(name) + 1), (top + bottom) // 2, name, self._size_ink(size))

    def _size_ink(self, size: Dimension) -> str:
        here = bool(self.chosen) and size.name == self.chosen
        return "bold accent" if here else size.ink
