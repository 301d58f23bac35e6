"""A page that is written from the top: rules, headings, paragraphs, columns, photos. All text on it is cleaned.

`Page.text` sets it as plain text, wrapped at a width; `Page.blocks` is the same for paper and files.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from itertools import zip_longest

from logbook.model.dates_in_words import day_year_time
from logbook.model.shop_clock import on_clock_of
from logbook.render.blocks import (
    MOST,
    Block,
    Drawing,
    Ends,
    Gap,
    Group,
    Head,
    Item,
    NewPage,
    PageRule,
    Picture,
    Pictures,
    Plot,
    PlotRow,
    Runs,
    Sign,
    Table,
    Tone,
    Words,
    as_text,
    flat,
    runs,
)
from logbook.render.plain import clean, width, wrapped
from logbook.render.plot_text import plot_lines

CAUTION = (
    "Local codes and licensed practice come first. If you are not competent for a step, stop there and have it done."
)
"""Stands on every list that leads a hand to something that can hurt."""


class Page:
    """Blocks, added from the top. Every piece that comes in is cleaned here, so callers need not."""

    def __init__(self, columns: int = 80) -> None:
        self.columns = columns
        self._blocks: list[Block] = []

    @property
    def blocks(self) -> tuple[Block, ...]:
        """What stands on the page."""
        return tuple(self._blocks)

    def text(self) -> str:
        """The page as plain text, ending in a newline."""
        return _Lines(self.columns).of(self.blocks)

    def blank(self) -> None:
        """An empty line, never two of them."""
        self._blocks.append(Gap())

    def rule(self) -> None:
        """A line across the page."""
        self._blocks.append(PageRule())

    def ends(self, left: Words, right: Words, *, mark: Words = ()) -> None:
        """One line with something at both ends, or two when it does not fit; `mark` stands before the left end."""
        self._blocks.append(Ends(runs(left), runs(right), runs(mark)))

    def head(self, words: str) -> None:
        """A heading in capitals, with an empty line before it."""
        self._blocks.append(Head(clean(words, limit=MOST)))

    def say(self, words: Words, indent: int = 0, *, tone: Tone = Tone.PLAIN) -> None:
        """A paragraph; line ends in it are kept."""
        self.item("", words, indent, tone=tone)

    def item(self, mark: Words, words: Words, indent: int = 0, *, tone: Tone = Tone.PLAIN) -> None:
        """A paragraph after a mark; its later lines hang under the first word.

        Args:
            mark: what stands before it, such as `[ ] A07  `; cleaned like the words.
            words: the paragraph.
            indent: columns before the mark.
            tone: what kind of paragraph it is; it changes nothing in plain text.
        """
        self._blocks.append(Item(runs(mark), runs(words, lines=True), indent, tone))

    def table(
        self, rows: Iterable[Sequence[str]], *, right: Sequence[int] = (), widest: int = 0, headed: bool = False
    ) -> None:
        """Rows in columns two spaces apart. What does not fit is wrapped, first in the column `widest`.

        Args:
            rows: cells, all rows of the same number.
            right: columns that are set to the right, such as amounts.
            widest: the column that gives way first.
            headed: whether the first row says what the columns are; it changes nothing in plain text.
        """
        cells = tuple(tuple(clean(c, limit=MOST) for c in row) for row in rows)
        if cells:
            self._blocks.append(Table(cells, tuple(right), widest, headed))

    def pictures(self, pictures: Iterable[Picture], *, beside: bool = False) -> None:
        """Photos side by side, or small `beside` the lines before them; plain text names them with their captions."""
        shown = tuple(Picture(p.file, clean(p.caption, limit=MOST)) for p in pictures)
        if shown:
            self._blocks.append(Pictures(shown, beside))

    def drawing(self, drawn: Drawing) -> None:
        """A drawing; what is written on it is cleaned by whoever made it."""
        self._blocks.append(drawn)

    def plot(self, drawn: Plot) -> None:
        """Bars on one scale; one without rows is left out."""
        if not drawn.rows:
            return
        rows = tuple(
            PlotRow(clean(row.name, limit=MOST), row.bars, clean(row.figure, limit=MOST)) for row in drawn.rows
        )
        meanings = tuple((mark, clean(words, limit=MOST)) for mark, words in drawn.meanings)
        caption = clean(drawn.caption, limit=MOST)
        self._blocks.append(replace(drawn, rows=rows, meanings=meanings, caption=caption))

    def new_page(self) -> None:
        """Begin a new page of paper."""
        self._blocks.append(NewPage())

    @contextmanager
    def together(self) -> Iterator[None]:
        """What is added inside is kept together on paper when it fits on a page."""
        before, self._blocks = self._blocks, []
        try:
            yield
        finally:
            inner, self._blocks = self._blocks, before
            self._blocks.append(Group(tuple(inner)))


class _Lines:
    """Sets blocks as lines of plain text."""

    def __init__(self, columns: int) -> None:
        self.columns = columns
        self._lines: list[str] = []

    def of(self, blocks: tuple[Block, ...]) -> str:
        for block in flat(blocks):
            self._add(block)
        return "\n".join(line.replace("\u00a0", " ").rstrip() for line in self._lines).rstrip("\n") + "\n"

    def _add(self, block: Block) -> None:
        match block:
            case Ends(left, right, mark):
                self._ends(as_text((*mark, *left)), as_text(right))
            case PageRule():
                self._lines.append("-" * self.columns)
            case Gap() | NewPage():
                self._blank()
            case Drawing():
                self._lines += block.lines
            case Plot():
                self._lines += plot_lines(block, self.columns)
            case Head(words):
                self._blank()
                self._lines += wrapped(words.upper(), self.columns)
            case Item(mark, words, indent):
                self._item(as_text(mark), words, indent)
            case Table():
                self._table(block)
            case Pictures(pictures):
                for picture in pictures:
                    self._item("Photo: ", (picture.caption or picture.file,), 0)

    def _blank(self) -> None:
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def _ends(self, left: str, right: str) -> None:
        if width(left) + 2 + width(right) <= self.columns:
            self._lines.append(left + " " * (self.columns - width(left) - width(right)) + right)
        else:
            self._lines += [*wrapped(left, self.columns), *wrapped(right, self.columns)]

    def _item(self, mark: str, words: Runs, indent: int) -> None:
        lead = " " * indent + mark
        if width(lead) > self.columns // 2:
            self._lines += wrapped(mark.strip(), self.columns, " " * indent)
            lead = " " * (indent + 4)
        room = self.columns - width(lead)
        if words and words[-1] is Sign.REST:
            said = as_text(words[:-1])
            words = (said, "_" * max(8, room - width(said)))
        first, *rest = wrapped(as_text(words), room)
        self._lines += [lead + first, *(" " * width(lead) + r for r in rest)]

    def _table(self, table: Table) -> None:
        cells = table.rows
        sizes = [max(1, *(width(row[i]) for row in cells)) for i in range(len(cells[0]))]
        widest = table.widest
        sizes[widest] = max(min(sizes[widest], 16), sizes[widest] - max(0, self._over(sizes)))
        while self._over(sizes) > 0 and max(sizes) > 4:
            sizes[sizes.index(max(sizes))] -= 1
        for row in cells:
            self._row([wrapped(cell, size) for cell, size in zip(row, sizes, strict=True)], sizes, table.right)

    def _over(self, sizes: Sequence[int]) -> int:
        return sum(sizes) + 2 * (len(sizes) - 1) - self.columns

    def _row(self, cells: list[list[str]], sizes: Sequence[int], right: Sequence[int]) -> None:
        for texts in zip_longest(*cells, fillvalue=""):
            parts = []
            for i, (text, size) in enumerate(zip(texts, sizes, strict=True)):
                gap = " " * max(0, size - width(text))
                parts.append(gap + text if i in right else text + gap)
            self._lines.append("  ".join(parts))


def moment_words(moment: datetime | None, now: datetime | None = None) -> str:
    """A point in time as a person reads it: `12 Mar 2026 21:04`; `?` when it is not known.

    Args:
        moment: by its own clock, unless `now` gives another.
        now: the clock to read it by.
    """
    if moment is None:
        return "?"
    shown = moment if now is None else on_clock_of(moment, now)
    return day_year_time(shown)
