"""Amounts on one common scale: ranges from low over expected to high, single prices, and a limit through all rows.

The scale is chosen once for all rows, with round steps. Every row says its own figure in words beside the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from logbook.render.glyphs import FINE, Glyphs
from logbook.tui.look.inks import Line, Span, cells, joined

LEAST_BETWEEN_FIGURES = 9
"""Columns from one figure of the axis to the next, so that they can be told apart."""


LEAST_REACH = 0.01
"""Amounts go to hundredths; what differs by less is one place on the scale."""


class Amount(NamedTuple):
    """A range, or a single value where `low` and `high` are None."""

    value: float
    low: float | None = None
    high: float | None = None
    beside: str = ""
    """What is said in the drawing itself, where there is room."""


class Scale(NamedTuple):
    """From which value to which, over how many columns, with a round figure at each step."""

    low: float
    high: float
    columns: int
    step: float

    def at(self, value: float) -> int:
        """The column of a value; what lies outside is drawn at the edge."""
        share = (value - self.low) / (self.high - self.low)
        return max(0, min(self.columns - 1, round(share * (self.columns - 1))))

    @property
    def figures(self) -> list[float]:
        """The round values on it."""
        first = math.ceil(self.low / self.step - 1e-9)
        last = math.floor(self.high / self.step + 1e-9)
        return [number * self.step for number in range(first, last + 1)]


class Mark(NamedTuple):
    """A value that runs through all rows, with its word on the axis."""

    value: float
    words: str


def scale_for(values: Sequence[float], columns: int) -> Scale:
    """A scale from the least value to the greatest, with nought, in steps of 1, 2 or 5 times a power of ten."""
    columns = max(8, columns)
    low = min(0.0, *values)
    high = max(0.0, *values)
    if high - low < LEAST_REACH:
        high = low + 1.0
    reach = high - low
    rough = reach / max(1, columns // LEAST_BETWEEN_FIGURES)
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(times * size for times in (1, 2, 5, 10) if times * size >= rough * (1 - 1e-9))
    return Scale(low, high, columns, step)


def axis(scale: Scale, limit: Mark | None = None, g: Glyphs = FINE) -> tuple[Line, Line]:
    """Figures above, strokes below. The word of the limit stands in place of the figures it would cover."""
    figures = [Span(" ")] * scale.columns
    strokes = [Span(g.track, "rule")] * scale.columns
    if limit is not None:
        _put(figures, scale.at(limit.value), cells(f" {limit.words} ", "bad"))
    for value in scale.figures:
        strokes[scale.at(value)] = Span(g.upper, "rule")
        words = cells(f" {value:g} ", "muted")
        if _is_free(figures, scale.at(value), len(words)):
            _put(figures, scale.at(value), words)
    if limit is not None:
        strokes[scale.at(limit.value)] = Span(g.limit, "bad")
    return joined(figures), joined(strokes)


def _first_column(at: int, length: int, room: int) -> int:
    """Where words begin whose middle belongs over a column."""
    return max(0, min(room - length, at - length // 2))


def _is_free(row: Sequence[Span], at: int, length: int) -> bool:
    first = _first_column(at, length, len(row))
    return all(not span.text.strip() for span in row[first : first + length])


def _put(row: list[Span], at: int, words: Sequence[Span]) -> None:
    words = words[: len(row)]
    first = _first_column(at, len(words), len(row))
    row[first : first + len(words)] = words


def range_row(amount: Amount, scale: Scale, limit: float | None = None, g: Glyphs = FINE) -> Line:
    """One row of the drawing: a range with its expected value, or a point; what is beyond the limit is in `bad`."""
    row = empty_row(scale, limit, g)
    stop = None if limit is None else scale.at(limit)
    if amount.low is None or amount.high is None:
        row[scale.at(amount.value)] = Span(g.point, "bold")
    else:
        first = scale.at(amount.low)
        last = scale.at(amount.high)
        for column in range(first, last + 1):
            sign = g.range_low if column == first else g.range_high if column == last else g.full
            if column != stop:
                row[column] = Span(sign, "bad" if stop is not None and column > stop else "head")
        row[scale.at(amount.value)] = Span(g.expected, "bold")
    if amount.beside:
        _say_beside(row, amount.beside)
    return joined(row)


def empty_row(scale: Scale, limit: float | None = None, g: Glyphs = FINE) -> list[Span]:
    """A row without an amount: nought where the scale goes below it, and the limit."""
    row = [Span(" ")] * scale.columns
    if scale.low < 0:
        row[scale.at(0)] = Span(g.grid, "rule")
    if limit is not None:
        row[scale.at(limit)] = Span(g.limit, "bad")
    return row


def _say_beside(row: list[Span], words: str) -> None:
    """Words in the first gap that holds them with a blank on either side, right of what is drawn if it can be."""
    said = cells(f" {words} ", "muted")
    drawn = [column for column, span in enumerate(row) if span.ink == "bold"]
    after = drawn[-1] + 1 if drawn else 0
    for first in (*range(after, len(row) - len(said) + 1), *range(min(after, len(row) - len(said) + 1))):
        if all(not span.text.strip() for span in row[first : first + len(said)]):
            row[first : first + len(said)] = said
            return
