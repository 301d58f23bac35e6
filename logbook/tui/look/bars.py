"""Bars of one row. A bar never stands alone: its figure is beside it.

What is more than nothing shows at least the smallest part of a bar, and what is less than the whole never looks full.
"""

from __future__ import annotations

from collections.abc import Sequence

from logbook.render.glyphs import FINE, Glyphs
from logbook.tui.look.inks import Line, Span, joined, line


def filled(share: float, parts: int) -> int:
    """How many of so many parts are filled: some for what is more than 0, not all for what is less than 1."""
    if share <= 0:
        return 0
    if share >= 1:
        return parts
    return max(min(1, parts), min(parts - 1, round(share * parts)))


def rail(share: float, columns: int, g: Glyphs = FINE, ink: str = "good") -> Line:
    """A thin bar in half cells on a thin track.

    Args:
        share: from 0 to 1; what lies outside is drawn at the end.
        columns: width.
        g: signs.
        ink: of what is filled.
    """
    whole, half = divmod(filled(share, columns * 2), 2) if g.fine else (filled(share, columns), 0)
    bar = g.full * whole + g.half * half
    return line(Span(bar, ink), Span(g.track * (columns - len(bar)), "rule"))


def progress(parts: Sequence[tuple[int, str]], columns: int, g: Glyphs = FINE) -> Line:
    """Counts side by side: done, ready, waiting. They differ in their strokes as well as in their inks.

    Args:
        parts: how many, and their ink; each that is not 0 gets a column at least.
        columns: width, at least one for each part.
        g: signs.
    """
    sizes = _shares([count for count, _ in parts], columns)
    strokes = (g.full, g.ready, g.track)
    spans = []
    for number, (size, (_, ink)) in enumerate(zip(sizes, parts, strict=True)):
        spans.append(Span(strokes[min(number, len(strokes) - 1)] * size, ink))
    spent = sum(sizes)
    return line(*spans, Span(g.track * (columns - spent), "faint"))


def _shares(counts: Sequence[int], columns: int) -> list[int]:
    """So many columns among the counts; the largest gives or takes what rounding leaves."""
    total = sum(counts)
    if not total or columns < sum(1 for count in counts if count):
        return [0] * len(counts)
    sizes = [max(1, round(count * columns / total)) if count else 0 for count in counts]
    while sum(sizes) != columns:
        largest = sizes.index(max(sizes))
        sizes[largest] += 1 if sum(sizes) < columns else -1
    return sizes


def against(value: float, limit: float, columns: int, g: Glyphs = FINE) -> Line:
    """A figure against its limit: an upright stroke where the limit is, and in `bad` what goes beyond it.

    Args:
        value: in any unit.
        limit: in the same; the bar reaches to 1.25 times of it, or to the value when that is more.
        columns: width.
        g: signs.
    """
    top = max(limit * 1.25, value) or 1
    at = min(columns - 1, round(limit / top * columns))
    bar = filled(value / top, columns)
    if value < limit:
        bar = min(bar, at)
    elif value > limit:
        bar = max(bar, at + 2)
    signs = []
    for column in range(columns):
        if column == at:
            signs.append(Span(g.limit, "bold text"))
        elif column < bar:
            signs.append(Span(g.full, "bad" if column > at else "good"))
        else:
            signs.append(Span(g.track, "rule"))
    return joined(signs)
