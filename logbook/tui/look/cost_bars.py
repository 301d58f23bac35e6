"""What drives a range of amounts, and cash over time, as rows of blocks. Every bar has its figure beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from logbook.render.glyphs import FINE, Glyphs, block, parts_of_a_cell
from logbook.tui.look.inks import Line, Span, fit, flow, joined, line, width_of

LEAST_BAR = 6
"""Columns that a drawing needs; with less there are only names and figures."""


class Drive(NamedTuple):
    """How far one thing moves a sum, below and above the likely case, with its figures in words."""

    name: str
    down: float
    up: float
    down_words: str = ""
    up_words: str = ""


def block_leftward(share: float, columns: int, ink: str, g: Glyphs = FINE) -> Line:
    """The same growing to the left. Parts of a cell begin at its left side, so the last one is drawn inverted."""
    whole_cell = parts_of_a_cell(g)
    parts = round(max(0.0, min(1.0, share)) * columns * whole_cell)
    if share > 0:
        parts = max(1, parts)
    cells, rest = divmod(parts, whole_cell)
    blank = columns - cells - (1 if rest else 0)
    if not rest:
        return line(" " * blank, Span(g.parts[-1] * cells, ink))
    part = Span(g.parts[whole_cell - rest - 1], f"invert {ink}")
    return line(" " * blank, part, Span(g.parts[-1] * cells, ink))


def drives(rows: Sequence[Drive], columns: int, g: Glyphs = FINE) -> list[Line]:
    """What drives a range: down to the left, up to the right, one scale for both, names before and figures outside."""
    if not rows:
        return []
    widest_down = max(row.down for row in rows)
    widest_up = max(row.up for row in rows)
    down_figure = max(len(row.down_words) for row in rows) + (1 if widest_down else 0)
    up_figure = max(len(row.up_words) for row in rows)
    name = max(8, min(max(len(row.name) for row in rows), columns // 3))
    room = columns - name - down_figure - up_figure - 3
    if room < LEAST_BAR:
        return [_drive_in_words(row, columns) for row in rows]
    reach = (widest_down + widest_up) or 1.0
    left = max(1, math.ceil(room * widest_down / reach)) if widest_down else 0
    right = room - left
    a_column = max(widest_down / left if left else 0.0, widest_up / right if right else 0.0) or 1.0
    drawn = []
    for row in rows:
        upward = block(row.up / a_column / right, right, g) if row.up and right else ""
        drawn.append(
            line(
                fit((Span(row.name),), name),
                Span(f" {row.down_words:>{down_figure}}", "muted"),
                block_leftward(row.down / a_column / left, left, "good", g) if left else "",
                Span(g.upright, "rule"),
                Span(upward, "wait"),
                " " * (right - len(upward)),
                f" {row.up_words:>{up_figure}}",
            )
        )
    return drawn


def _drive_in_words(row: Drive, columns: int) -> Line:
    figures = f"{row.down_words} {row.up_words}".strip()
    return fit(line(fit((Span(row.name),), columns - len(figures) - 1), " ", figures), columns)


class Payment(NamedTuple):
    """What leaves the purse at one time, with the sums up to it."""

    name: str
    sum_gone: float
    sum_likely: float
    sum_high: float
    words: str
    """The likely sum as it is said."""
    is_gone: bool = False


def cash_over_time(
    payments: Sequence[Payment], stop: float | None, stop_words: str, columns: int, g: Glyphs = FINE
) -> list[Line]:
    """A row for each payment, the sum growing downwards; the stop line runs through all, and red is what is beyond."""
    most = max([payment.sum_high for payment in payments] + [stop or 0.0], default=0.0)
    if not payments or most <= 0:
        return []
    name = max(8, min(max(len(payment.name) for payment in payments), columns // 3))
    figure = max(len(payment.words) for payment in payments)
    room = columns - name - figure - 3
    if room < LEAST_BAR:
        return [line(fit((Span(p.name),), columns - figure - 1), f" {p.words:>{figure}}") for p in payments]
    limit = None if stop is None else min(room - 1, round(stop / most * room))
    rows = []
    if limit is not None:
        words = f"stop {stop_words}"
        before = max(0, min(name + 1 + limit - len(words) // 2, columns - len(words)))
        rows.append(line(" " * before, Span(words, "bad")))
    for payment in payments:
        ink = "muted" if payment.is_gone else ""
        rows.append(
            line(
                fit((Span(payment.name, ink),), name),
                " ",
                _sums(payment, most, limit, room, g),
                Span(f"  {payment.words:>{figure}}", ink),
            )
        )
    key = cash_key(g)
    return [*rows, key] if width_of(key) <= columns else [*rows, *flow(key, columns)]


def cash_key(g: Glyphs = FINE) -> Line:
    """What the three blocks of cash over time mean."""
    return line(
        Span(g.gone, "muted"), Span(" gone  ", "muted"),
        Span(g.parts[-1], "head"), Span(" likely to come  ", "muted"),
        Span(g.perhaps, "head"), Span(" up to the high case", "muted"),
    )  # fmt: skip


def _sums(payment: Payment, most: float, limit: int | None, room: int, g: Glyphs) -> Line:
    spent = round(room * payment.sum_gone / most)
    likely = max(spent, round(room * payment.sum_likely / most))
    high = max(likely, round(room * payment.sum_high / most))
    cells = []
    for column in range(room):
        if column == limit:
            cells.append(Span(g.limit, "bad"))
            continue
        over = limit is not None and column > limit
        if column < spent:
            cells.append(Span(g.gone, "bad" if over else "muted"))
        elif column < likely:
            cells.append(Span(g.parts[-1], "bad" if over else "head"))
        elif column < high:
            cells.append(Span(g.perhaps, "bad" if over else "head"))
        else:
            cells.append(Span(" "))
    return joined(cells)


def steps(values: Sequence[float], g: Glyphs = FINE) -> str:
    """One column for each value, as high as it is beside the highest."""
    most = max(values, default=0.0)
    if most <= 0:
        return ""
    highest = len(g.steps) - 1
    return "".join(g.steps[max(1, round(value / most * highest))] if value > 0 else g.steps[0] for value in values)
