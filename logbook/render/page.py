"""A page of plain text: rules, headings, paragraphs and columns, wrapped at a width. All text on it is cleaned."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import zip_longest

from logbook.render.plain import clean, width, wrapped

CAUTION = (
    "Local codes and licensed practice come first. If you are not competent for a step, stop there and have it done."
)
"""Stands on every list that leads a hand to something that can hurt."""

MOST = 20_000
"""Characters of one piece of user text that are set; what is cut is counted in the text."""


class Page:
    """Lines of text, added from the top. Every piece that comes in is cleaned here, so callers need not."""

    def __init__(self, columns: int = 80) -> None:
        self.columns = columns
        self._lines: list[str] = []

    def text(self) -> str:
        """The page, ending in a newline."""
        return "\n".join(line.replace("\u00a0", " ").rstrip() for line in self._lines).rstrip("\n") + "\n"

    def blank(self) -> None:
        """An empty line, never two of them."""
        if self._lines and self._lines[-1]:
            self._lines.append("")

    def rule(self) -> None:
        """A line across the page."""
        self._lines.append("-" * self.columns)

    def ends(self, left: str, right: str) -> None:
        """One line with something at both ends, or two when it does not fit."""
        a, b = clean(left, limit=MOST), clean(right, limit=MOST)
        if width(a) + 2 + width(b) <= self.columns:
            self._lines.append(a + " " * (self.columns - width(a) - width(b)) + b)
        else:
            self.say(left)
            self.say(right)

    def head(self, words: str) -> None:
        """A heading in capitals, with an empty line before it."""
        self.blank()
        self._lines += wrapped(clean(words, limit=MOST).upper(), self.columns)

    def say(self, words: str, indent: int = 0) -> None:
        """A paragraph; line ends in it are kept."""
        self.item("", words, indent)

    def item(self, mark: str, words: str, indent: int = 0) -> None:
        """A paragraph after a mark; its later lines hang under the first word.

        Args:
            mark: what stands before it, such as `[ ] A07  `; cleaned like the words.
            words: the paragraph.
            indent: columns before the mark.
        """
        lead = " " * indent + clean(mark, limit=MOST)
        if width(lead) > self.columns // 2:
            self._lines += wrapped(clean(mark, limit=MOST).strip(), self.columns, " " * indent)
            lead = " " * (indent + 4)
        first, *rest = wrapped(clean(words, limit=MOST, lines=True), self.columns - width(lead))
        self._lines += [lead + first, *(" " * width(lead) + r for r in rest)]

    def table(self, rows: Iterable[Sequence[str]], *, right: Sequence[int] = (), widest: int = 0) -> None:
        """Rows in columns two spaces apart. What does not fit is wrapped, first in the column `widest`.

        Args:
            rows: cells, all rows of the same number.
            right: columns that are set to the right, such as amounts.
            widest: the column that gives way first.
        """
        cells = [[clean(c, limit=MOST) for c in row] for row in rows]
        if not cells:
            return
        sizes = [max(1, *(width(row[i]) for row in cells)) for i in range(len(cells[0]))]
        sizes[widest] = max(min(sizes[widest], 16), sizes[widest] - max(0, self._over(sizes)))
        while self._over(sizes) > 0 and max(sizes) > 4:
            sizes[sizes.index(max(sizes))] -= 1
        for row in cells:
            self._row([wrapped(cell, size) for cell, size in zip(row, sizes, strict=True)], sizes, right)

    def _over(self, sizes: Sequence[int]) -> int:
        return sum(sizes) + 2 * (len(sizes) - 1) - self.columns

    def _row(self, cells: list[list[str]], sizes: Sequence[int], right: Sequence[int]) -> None:
        for texts in zip_longest(*cells, fillvalue=""):
            parts = []
            for i, (text, size) in enumerate(zip(texts, sizes, strict=True)):
                gap = " " * max(0, size - width(text))
                parts.append(gap + text if i in right else text + gap)
            self._lines.append("  ".join(parts))


def moment_words(moment: datetime | None) -> str:
    """A point in time as a person reads it where he is: `12 Mar 2026 21:04`; `?` when it is not known."""
    return f"{moment.astimezone():%d %b %Y %H:%M}" if moment else "?"
