"""Plots in plain text: the rows of a `Plot` in blocks and strokes, as wide as asked for, what they mean below.

An output that has no such signs gets the ASCII form of `glyphs.bare`, which takes the same width.
"""

from __future__ import annotations

from logbook.render.blocks import Plot, PlotBar, PlotMark
from logbook.render.glyphs import FINE, block
from logbook.render.plain import fitted, width, wrapped

LEAST_BAR = 8
"""Columns that a drawing needs; with less there are only names and figures."""
LEAST_NAME = 6

SIGNS = {
    PlotMark.SOLID: FINE.parts[-1],
    PlotMark.GREY: FINE.gone,
    PlotMark.OPEN: FINE.perhaps,
    PlotMark.RANGE: f"{FINE.range_low}{FINE.full}{FINE.range_high}",
    PlotMark.POINT: FINE.expected,
    PlotMark.LIMIT: FINE.limit,
    PlotMark.NOUGHT: FINE.grid,
}
"""How each mark is drawn, which is said below the rows."""


def plot_lines(of: Plot, columns: int) -> list[str]:
    """The rows, then what their marks mean.

    Args:
        of: a plot whose words are clean.
        columns: width that no line passes.
    """
    if not of.rows:
        return []
    figure = max(width(row.figure) for row in of.rows)
    longest = max(width(row.name) for row in of.rows)
    name = max(LEAST_NAME, min(longest, max(16, columns // 3), columns - figure - 3 - LEAST_BAR))
    room = columns - name - figure - 3
    lines = []
    for row in of.rows:
        words = fitted(row.name, name)
        drawn = f" {_bars(of, row.bars, room)} " if room >= LEAST_BAR else " "
        lines.append(fitted(f"{words}{drawn} {row.figure:>{figure}}", columns))
    meanings = "  ".join(f"{SIGNS[mark]} {words}" for mark, words in of.meanings)
    return [*lines, *wrapped(meanings, columns), *(wrapped(of.caption, columns) if of.caption else ())]


def _bars(of: Plot, bars: tuple[PlotBar, ...], room: int) -> str:
    """One row. A line through all rows has a column of its own, so that it covers no bar and no bar covers it."""
    through = [
        (share, SIGNS[mark])
        for share, mark in ((of.nought, PlotMark.NOUGHT), (of.limit, PlotMark.LIMIT))
        if share is not None
    ]
    inside = room - len(through)
    cells = [" "] * inside
    begun = {bar.begin for bar in bars}
    for bar in bars:
        _draw(cells, bar, joined=bar.end in begun)
    for share, sign in sorted(through, reverse=True):
        cells.insert(min(inside, max(0, round(share * inside))), sign)
    return "".join(cells)


def _draw(cells: list[str], bar: PlotBar, *, joined: bool) -> None:
    """A stretch in its cells: what is more than nothing takes one at least; only a free end is cut in eighths."""
    room = len(cells)
    first = min(room - 1, max(0, round(bar.begin * room)))
    end = min(room, max(first, round(bar.end * room)))
    if bar.mark is PlotMark.POINT:
        cells[min(room - 1, max(0, round(bar.begin * (room - 1))))] = FINE.expected
    elif bar.mark is PlotMark.RANGE:
        last = min(room - 1, max(first, round(bar.end * (room - 1))))
        first = min(last, max(0, round(bar.begin * (room - 1))))
        cells[first : last + 1] = FINE.full * (last + 1 - first)
        cells[first], cells[last] = FINE.range_low, FINE.range_high
    elif bar.mark is PlotMark.SOLID and not joined:
        drawn = block(bar.end - bar.begin, room)[: room - first]
        cells[first : first + len(drawn)] = drawn
    else:
        size = max(1, end - first) if bar.end > bar.begin else 0
        cells[first : first + size] = SIGNS[bar.mark] * size
