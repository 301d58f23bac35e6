"""A piece drawn to scale in text: parts in frames whose edges join, defects hatched, the reference edge below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.render.plain import clean, fitted, width

TALLER = 2
"""A character is about twice as tall as it is wide."""

_LEFT, _RIGHT, _UP, _DOWN = 1, 2, 4, 8
EDGES = " ───│┘└┴│┐┌┬│┤├┼"
"""The sign for each set of sides to which an edge goes on."""

NARROWEST = 24
"""Columns below which the codes and sizes of parts are no longer read."""


@dataclass(frozen=True, slots=True)
class DrawnArea:
    """A rectangle of the piece, in any unit, from its reference corner."""

    x: int
    y: int
    length: int
    width: int
    fill: str = " "
    """Nothing leaves what is drawn there already."""
    labels: tuple[str, ...] = ()
    """From the most important down; as many as fit stand in it."""
    framed: bool = True


def rows_for(length: int, across: int, columns: int, most: int) -> int:
    """How many lines a piece takes at true scale, between 3 and `most`."""
    if length <= 0:
        return 3
    return max(3, min(most, -(-columns * across // (TALLER * length)) + 1))


def columns_for(length: int, across: int, columns: int, most: int) -> int:
    """How many columns a piece takes at true scale: fewer than there are when it would need more lines than `most`.

    Never under `NARROWEST`, because the codes and sizes in it must be read; such a piece is drawn longer than it is.
    """
    if across <= 0 or rows_for(length, across, columns, most + 1) <= most:
        return columns
    return min(columns, max(NARROWEST, TALLER * length * (most - 1) // across + 1))


def drawing(length: int, across: int, areas: Sequence[DrawnArea], columns: int, most: int = 9) -> list[str]:
    """The piece in lines of at most `columns` characters, the outside as a frame, x to the right and y upwards.

    Args:
        length: extent along x.
        across: extent along y.
        areas: what lies on it; later ones are drawn over earlier ones.
        columns: characters of a line at most, at least 8.
        most: lines at most, the frame included.
    """
    columns = columns_for(length, across, max(8, columns), most)
    rows = rows_for(length, across, columns, most)
    canvas = _Canvas(length, across, columns, rows)
    canvas.frame(0, 0, length, across)
    for area in areas:
        canvas.draw(area)
    return canvas.lines()


def _broken(labels: Sequence[str], room: int, lines: int) -> list[str]:
    """The labels, the first of them broken after its first word when it is too wide and there are lines for it."""
    found = [label for label in labels if label]
    if found and len(found[0]) > room and len(found) < lines and " " in found[0]:
        head, _, rest = found[0].partition(" ")
        found[:1] = [head, rest]
    return found


class _Canvas:
    def __init__(self, length: int, across: int, columns: int, rows: int) -> None:
        self.length, self.across = max(1, length), max(1, across)
        self.columns, self.rows = columns, rows
        self.cells = [[" "] * columns for _ in range(rows)]
        self.edges = [[0] * columns for _ in range(rows)]

    def column(self, x: int) -> int:
        return max(0, min(self.columns - 1, round(x * (self.columns - 1) / self.length)))

    def row(self, y: int) -> int:
        return max(0, min(self.rows - 1, self.rows - 1 - round(y * (self.rows - 1) / self.across)))

    def draw(self, area: DrawnArea) -> None:
        left, right = self.column(area.x), self.column(area.x + area.length)
        top, bottom = self.row(area.y + area.width), self.row(area.y)
        fill = area.fill[:1] or " "
        for r in range(top + 1, bottom) if area.fill else ():
            for c in range(left + 1, right):
                self._put(r, c, fill)
        if area.framed:
            self.frame(area.x, area.y, area.length, area.width)
        elif right - left <= 1 or bottom - top <= 1:  # too small for an inside: it still must be seen
            for r in range(top, max(bottom, top + 1)):
                for c in range(left, max(right, left + 1)):
                    self._put(min(r, self.rows - 1), min(c, self.columns - 1), fill)
        lines = _broken(area.labels, right - left - 1, bottom - top - 1)
        for line, label in enumerate(lines):
            self.write(label, left, right, top + 1 + line, bottom)

    def write(self, label: str, left: int, right: int, row: int, bottom: int) -> None:
        """A label inside, when there is a line and at least three columns for it."""
        room = right - left - 1
        if row >= bottom or room < 2 or not label:
            return
        text = clean(label, limit=200)
        if width(text) > room and room < 6:  # two or three letters of a word say nothing
            return
        shown = text if width(text) <= room else fitted(text, room)
        if not shown.isascii() and width(shown) != len(shown):
            shown = "?" * min(room, len(shown))
        for i, char in enumerate(shown[:room]):
            self._put(row, left + 1 + i, char)

    def frame(self, x: int, y: int, length: int, across: int) -> None:
        """The four edges; where edges of several areas meet, they join."""
        left, right = self.column(x), self.column(x + length)
        top, bottom = self.row(y + across), self.row(y)
        for c in range(left, right):
            for r in (top, bottom):
                self._join(r, c, _RIGHT)
                self._join(r, c + 1, _LEFT)
        for r in range(top, bottom):
            for c in (left, right):
                self._join(r, c, _DOWN)
                self._join(r + 1, c, _UP)

    def _join(self, row: int, column: int, side: int) -> None:
        self.edges[row][column] |= side
        self.cells[row][column] = EDGES[self.edges[row][column]]

    def _put(self, row: int, column: int, sign: str) -> None:
        """A sign that covers what was drawn there."""
        self.edges[row][column] = 0
        self.cells[row][column] = sign

    def lines(self) -> list[str]:
        return ["".join(row) for row in self.cells]
