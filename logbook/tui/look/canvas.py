"""A grid of cells to draw on: edges that join by themselves, fills, discs of half cells, words on top.

A cell is about twice as high as it is wide: one column is as many millimetres as half a row.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.render.glyphs import FINE, Glyphs
from logbook.render.plain import width
from logbook.tui.look.inks import Line, Span, cells, joined

NORTH, EAST, SOUTH, WEST = 1, 2, 4, 8
UPRIGHT = NORTH | SOUTH
LEVEL = EAST | WEST
_WAYS = (0, 10, 5, 6, 12, 3, 9, 7, 13, 14, 11, 15, 1, 4, 2, 8)
LIGHT = dict(zip(_WAYS, " ─│┌┐└┘├┤┬┴┼╵╷╶╴", strict=True))
HEAVY = dict(zip(_WAYS, " ━┃┏┓┗┛┣┫┳┻╋╹╻╺╸", strict=True))


class _Cell:
    """What lies in one cell, from below: a ground, a fill, edges, a sign."""

    __slots__ = ("edges", "edges_ink", "fill", "fill_ink", "ground", "heavy", "sign", "sign_ink")

    def __init__(self) -> None:
        self.ground = ""
        self.fill, self.fill_ink = " ", ""
        self.edges, self.edges_ink, self.heavy = 0, "rule", False
        self.sign: str | None = None
        self.sign_ink = ""


class Canvas:
    """So many columns and rows; what lies outside is not drawn."""

    def __init__(self, columns: int, rows: int, g: Glyphs = FINE) -> None:
        self.columns, self.rows, self.g = columns, rows, g
        self._cells = [[_Cell() for _ in range(columns)] for _ in range(rows)]

    def _at(self, x: int, y: int) -> _Cell | None:
        inside = 0 <= x < self.columns and 0 <= y < self.rows
        return self._cells[y][x] if inside else None

    def stroke(self, x0: int, y0: int, x1: int, y1: int, ink: str = "rule", *, heavy: bool = False) -> None:
        """A level or upright line from cell to cell, both included; where lines meet they join."""
        if y0 == y1:
            for x in range(min(x0, x1), max(x0, x1)):
                self._join(x, y0, EAST, ink, heavy)
                self._join(x + 1, y0, WEST, ink, heavy)
        elif x0 == x1:
            for y in range(min(y0, y1), max(y0, y1)):
                self._join(x0, y, SOUTH, ink, heavy)
                self._join(x0, y + 1, NORTH, ink, heavy)

    def _join(self, x: int, y: int, way: int, ink: str, heavy: bool) -> None:
        cell = self._at(x, y)
        if cell is not None:
            cell.edges |= way
            cell.edges_ink = ink
            cell.heavy = cell.heavy or heavy

    def box(self, x0: int, y0: int, x1: int, y1: int, ink: str = "rule", *, heavy: bool = False) -> None:
        """The four edges of a rectangle, in those cells."""
        self.stroke(x0, y0, x1, y0, ink, heavy=heavy)
        self.stroke(x0, y1, x1, y1, ink, heavy=heavy)
        self.stroke(x0, y0, x0, y1, ink, heavy=heavy)
        self.stroke(x1, y0, x1, y1, ink, heavy=heavy)

    def fill(self, x0: int, y0: int, x1: int, y1: int, *, sign: str = " ", ink: str = "", ground: str = "") -> None:
        """All cells from one to the other, both included."""
        for y in range(y0, y1 + 1):
            for x in range(x0, x1 + 1):
                cell = self._at(x, y)
                if cell is not None:
                    cell.fill, cell.fill_ink, cell.ground = sign, ink, ground

    def clear(self, x0: int, y0: int, x1: int, y1: int) -> None:
        """Take edges away inside a rectangle: what is drawn there later lies on top."""
        for y in range(y0, y1 + 1):
            for x in range(x0, x1 + 1):
                cell = self._at(x, y)
                if cell is not None:
                    cell.edges, cell.heavy = 0, False

    def put(self, x: int, y: int, sign: str, ink: str = "") -> None:
        """One sign of one column, on top."""
        cell = self._at(x, y)
        if cell is not None:
            self._free(x, y)
            cell.sign, cell.sign_ink = sign, ink

    def _free(self, x: int, y: int) -> None:
        """Half of a wide letter that is written over takes the other half with it."""
        here, after = self._at(x, y), self._at(x + 1, y)
        if here is not None and here.sign == "":
            before = self._at(x - 1, y)
            if before is not None:
                before.sign = " "
        elif after is not None and after.sign == "":
            after.sign = " "

    def words(self, x: int, y: int, text: str, ink: str = "") -> bool:
        """Words in a row, only when all of them fit; says whether they did."""
        if not 0 <= y < self.rows or x < 0 or x + width(text) > self.columns:
            return False
        for at, span in enumerate(cells(text, ink), x):
            cell = self._cells[y][at]
            if span.text:
                self._free(at, y)
            cell.sign, cell.sign_ink = span.text, ink
        return True

    def middle(self, x0: int, y0: int, x1: int, y1: int, said: Sequence[tuple[str, str]]) -> bool:
        """Words and inks in the middle of a rectangle, a row each, as many as fit; what stands there already stays.

        False when the first finds no room.
        """
        room, deep = x1 - x0 - 1, y1 - y0 - 1
        fitting = [(text, ink) for text, ink in said if text and width(text) <= room][: max(0, deep)]
        if not fitting or fitting[0][0] != said[0][0]:
            return False
        top = y0 + 1 + (deep - len(fitting)) // 2
        for row, (text, ink) in enumerate(fitting, top):
            left = x0 + 1 + (room - width(text)) // 2
            if not self._is_free(left, row, width(text)):
                return row > top
            self.words(left, row, text, ink)
        return True

    def _is_free(self, x: int, y: int, columns: int) -> bool:
        """Whether no words stand there yet."""
        return all(self._cells[y][at].sign is None for at in range(max(0, x), min(self.columns, x + columns)))

    def disc(self, centre: tuple[float, float], radii: tuple[float, float], ink: str) -> None:
        """A filled ellipse about a point in cells, in half cells; without fine signs of letters."""
        (middle_x, middle_y), (across, up) = centre, radii
        for y in range(max(0, int(middle_y - up) - 1), min(self.rows, int(middle_y + up) + 2)):
            for x in range(max(0, int(middle_x - across) - 1), min(self.columns, int(middle_x + across) + 2)):
                beside = ((x + 0.5 - middle_x) / across) ** 2
                upper = beside + ((y + 0.25 - middle_y) / up) ** 2 <= 1
                lower = beside + ((y + 0.75 - middle_y) / up) ** 2 <= 1
                sign = self._half(upper=upper, lower=lower)
                if sign:
                    self.put(x, y, sign, ink)

    def _half(self, *, upper: bool, lower: bool) -> str:
        if not self.g.fine:
            return "o" if upper or lower else ""
        if upper and lower:
            return "█"
        if upper:
            return "▀"
        return "▄" if lower else ""

    def lines(self) -> list[Line]:
        """What was drawn, each row as wide as the canvas."""
        return [joined(self._row(row)) for row in self._cells]

    def _row(self, row: list[_Cell]) -> Iterator[Span]:
        for cell in row:
            if cell.sign is not None:
                sign, ink = cell.sign, cell.sign_ink
            elif cell.edges:
                sign, ink = self._edge(cell), cell.edges_ink
            else:
                sign, ink = cell.fill, cell.fill_ink
            grounded = cell.ground and " on-" not in ink
            yield Span(sign, f"{ink or 'text'} on-{cell.ground}" if grounded else ink)

    def _edge(self, cell: _Cell) -> str:
        if self.g.fine:
            return (HEAVY if cell.heavy else LIGHT)[cell.edges]
        if not cell.edges & LEVEL:
            return "|"
        return "-" if not cell.edges & UPRIGHT else "+"
