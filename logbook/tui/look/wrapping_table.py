"""A table of a screen: each column as wide as its words, and where there is no room, words wrap; nothing is cut.

A column that finds no room beside the others stands below them, in a row of its own for each entry.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from logbook.render.plain import width
from logbook.tui.look.inks import BLANK, Line, Span, fit, flow, line, width_of

GAP = 2
"""Columns between one cell and the next."""
LEAST_BELOW = 8
"""Columns for words below the others, however narrow the screen."""


class Column(NamedTuple):
    """A column of a table."""

    title: str = ""
    least: int = 0
    """So far it may be narrowed, its words then wrap; 0 where a wrapped word would be no word: a code, an amount."""
    right: bool = False
    """Whether its words end at its right edge, as figures do."""
    below: bool = False
    """Whether it stands below the others where there is no room beside them; the last such column goes first."""
    lead: str = ""
    """What is said before its words there, where they would not be understood without their title: `for`."""


class WrappingTable:
    """Cells in columns.

    The widths are chosen once for all rows, so that every row has its columns at the same place.
    """

    def __init__(self, columns: Sequence[Column], rows: Iterable[Sequence[Line]], room: int) -> None:
        """Choose the widths.

        Args:
            columns: what is known of each column; one of which no cell has words is left out.
            rows: the cells of each row, as many as columns.
            room: columns of the screen for all of it.
        """
        self._columns = columns
        self._room = room
        widest = [0] * len(columns)
        for cells in rows:
            widest = [max(most, width_of(cell)) for most, cell in zip(widest, cells, strict=True)]
        self._widths = {at: max(widest[at], width(column.title)) for at, column in enumerate(columns) if widest[at]}
        self._below = [at for at in self._to_put_below() if self._widths.pop(at)]
        self._narrow()

    def _to_put_below(self) -> list[int]:
        """The columns that find no room even when the others are as narrow as they may be."""
        beside = dict(self._widths)
        below: list[int] = []
        for at in reversed(range(len(self._columns))):
            if at in beside and self._columns[at].below and self._least_of(beside) > self._room:
                del beside[at]
                below.insert(0, at)
        return below

    def _least_of(self, widths: dict[int, int]) -> int:
        narrowed = sum(min(size, self._columns[at].least or size) for at, size in widths.items())
        return narrowed + GAP * (len(widths) - 1)

    def _narrow(self) -> None:
        """Take from the columns that may wrap, always from the widest, what is more than the room."""
        over = sum(self._widths.values()) + GAP * (len(self._widths) - 1) - self._room
        while over > 0:
            spare = [at for at, size in self._widths.items() if size > (self._columns[at].least or size)]
            if not spare:
                return
            widest = max(spare, key=lambda at: self._widths[at])
            self._widths[widest] -= 1
            over -= 1

    @property
    def head(self) -> Line:
        """The titles of the columns beside each other."""
        return self._beside({at: [self._titled(at)] for at in self._widths}, 0)

    def _titled(self, at: int) -> Line:
        column, size = self._columns[at], self._widths[at]
        return _at_its_edge((Span(column.title, "bold head"),), size, right=column.right)

    def lines(self, cells: Sequence[Line]) -> list[Line]:
        """The lines of one row: its cells beside each other, and below them what found no room there."""
        blocks = {at: self._block(at, cells[at]) for at in self._widths}
        high = max((len(block) for block in blocks.values()), default=0)
        rows = [self._beside(blocks, number) for number in range(high)]
        indent = self.indent
        below = [self._led(at, cells[at]) for at in self._below if cells[at]]
        room = max(LEAST_BELOW, self._room - indent)
        return rows + [line(" " * indent, words) for words in _below_each_other(below, room)]

    def _block(self, at: int, cell: Line) -> list[Line]:
        size = self._widths[at]
        rows = [cell] if width_of(cell) <= size else flow(cell, size)
        return [_at_its_edge(row, size, right=self._columns[at].right) for row in rows]

    def _beside(self, blocks: dict[int, list[Line]], number: int) -> Line:
        """The row with this number of every cell; a cell with fewer rows is blank there."""
        parts: list[Line] = []
        for at, block in blocks.items():
            row = block[number] if number < len(block) else BLANK
            parts += [(Span(" " * GAP),)] if parts else []
            parts.append(fit(row, self._widths[at]))
        return line(*parts)

    def _led(self, at: int, cell: Line) -> Line:
        lead = self._columns[at].lead
        return line(Span(f"{lead} ", "muted"), cell) if lead else cell

    @property
    def indent(self) -> int:
        """Where what stands below a row begins: under the first column that may be narrowed."""
        taken = 0
        for at, size in self._widths.items():
            if self._columns[at].least:
                return taken
            taken += size + GAP
        return 0

    def note(self, words: Line) -> list[Line]:
        """What is said below a row, in rows of its own."""
        room = max(LEAST_BELOW, self._room - self.indent)
        return [line(" " * self.indent, row) for row in flow(words, room)]


def _below_each_other(cells: Sequence[Line], room: int) -> list[Line]:
    """Cells in one row where they find room in it, else each in rows of its own."""
    together = line(*(line(" " * GAP if number else "", cell) for number, cell in enumerate(cells)))
    if width_of(together) <= room:
        return [together] if together else []
    return [row for cell in cells for row in flow(cell, room)]


def _at_its_edge(words: Line, columns: int, *, right: bool) -> Line:
    if not right:
        return fit(words, columns)
    return line(" " * max(0, columns - width_of(words)), words)
