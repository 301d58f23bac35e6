"""One quick way to fill pieces: part after part into the free rectangle where it fits best, cutting edge to edge.

Whoever calls it does so thousands of times with changing orders and rules, so it works on plain numbers and tuples.
A rectangle is divided by the two cuts that free the part in its corner; which of them comes first is the split.
Packing literature calls the scheme guillotine placement with best fit (Jylänki 2010 compares its rules; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from random import Random

Rect = tuple[int, int, int, int]
"""x, y, extent along x, extent along y."""
Option = tuple[int, int, bool]
"""Extent along x, extent along y, turned."""
Options = Sequence[Sequence[tuple[Option, ...]]]
"""For each piece and item the ways in which it may lie there; empty when it may not."""
Entry = tuple[int, int, int, bool, int]
"""Item, extents as it lies, turned, split. Item -1 is a bare cut: split says which way, the extents where."""
Log = dict[Rect, Entry]
"""What happened to each rectangle of a piece; one that is missing is free."""
Free = list[Rect]

RIP_FIRST, CROSSCUT_FIRST = 0, 1
FITS = 5
SPLITS = 5


class Filling:
    """Pieces while they are filled: for each piece its log and its free rectangles."""

    __slots__ = ("free", "logs")

    def __init__(self, free: dict[int, Free] | None = None, logs: dict[int, Log] | None = None) -> None:
        self.free: dict[int, Free] = free if free is not None else {}
        self.logs: dict[int, Log] = logs if logs is not None else {}

    def copy(self) -> Filling:
        """The same, to go on from; the parts are replaced, never changed."""
        return Filling(dict(self.free), dict(self.logs))

    def items(self, piece: int) -> list[int]:
        """The items on a piece."""
        return [e[0] for e in self.logs[piece].values() if e[0] >= 0]


@dataclass(frozen=True, slots=True)
class Manner:
    """By which rules items are put into rectangles."""

    fit: int
    """Rule for the best rectangle, 0 to FITS - 1."""
    split: int
    """Rule for the first cut, 0 to SPLITS - 1."""
    random: Random
    """Source of chance."""


Start = tuple[int, Free, Log]
"""A piece that may be cut, with its free rectangles and what has already happened to it."""


def fill(
    order: Iterable[int],
    starts: Iterable[Start],
    ground: tuple[Options, Sequence[int]],
    manner: Manner,
    closed: Sequence[Start] = (),
) -> tuple[Filling, list[int]]:
    """Put items into pieces.

    Args:
        order: the items in the order in which they are placed.
        starts: pieces that may be cut.
        ground: how each item may lie on each piece, and the kerf on each piece.
        manner: the rules of placing.
        closed: pieces that are opened, in this order, only for an item that fits nowhere else.

    Returns:
        The pieces as filled (opened ones only), and the items that found no place.
    """
    options, kerfs = ground
    fit = manner.fit
    logs: dict[int, Log] = {}
    free: list[tuple[int, int, int, int, int]] = []
    for piece, rects, log in starts:
        logs[piece] = dict(log)
        free += [(w, h, x, y, piece) for x, y, w, h in rects]
    waiting = list(closed)
    left: list[int] = []
    for item in order:
        found = _best(item, free, options, fit)
        if found is None:
            found = _opened(item, waiting, free, options, fit)
            if found is not None:
                opened = free[found[0]][4]
                logs[opened] = next(dict(log) for piece, _, log in closed if piece == opened)
        if found is None:
            left.append(item)
            continue
        index, option = found
        w, h, x, y, piece = free[index]
        free[index] = free[-1]
        free.pop()
        a, b, turned = option
        kerf = kerfs[piece]
        rest_w, rest_h = w - a - kerf, h - b - kerf
        way = _split(manner, w, h, rest_w, rest_h)
        logs[piece][x, y, w, h] = (item, a, b, turned, way)
        if way == RIP_FIRST:
            if rest_w > 0:
                free.append((rest_w, b, x + a + kerf, y, piece))
            if rest_h > 0:
                free.append((w, rest_h, x, y + b + kerf, piece))
        else:
            if rest_w > 0:
                free.append((rest_w, h, x + a + kerf, y, piece))
            if rest_h > 0:
                free.append((a, rest_h, x, y + b + kerf, piece))
    frees: dict[int, Free] = {p: [] for p in logs}
    for w, h, x, y, piece in free:
        frees[piece].append((x, y, w, h))
    return Filling(frees, logs), left


def _best(
    item: int, free: list[tuple[int, int, int, int, int]], options: Options, fit: int
) -> tuple[int, Option] | None:
    """The free rectangle and the way of lying that fit best by the rule."""
    best: float | None = None
    found: tuple[int, Option] | None = None
    for index, (w, h, _x, _y, piece) in enumerate(free):
        for option in options[piece][item]:
            over_w = w - option[0]
            over_h = h - option[1]
            if over_w < 0 or over_h < 0:
                continue
            score: float
            if fit == 0:
                score = over_w if over_w < over_h else over_h
            elif fit == 1:
                score = w * h
            elif fit == 2:
                score = over_w if over_w > over_h else over_h
            elif fit == 3:
                score = w * over_h if over_w * h > over_h * w else over_w * h
            else:
                score = min(over_w / w, over_h / h)
            if best is None or score < best:
                best, found = score, (index, option)
    return found


def _opened(
    item: int, waiting: list[Start], free: list[tuple[int, int, int, int, int]], options: Options, fit: int
) -> tuple[int, Option] | None:
    """Open the first waiting piece on which the item fits."""
    for number, (piece, rects, _log) in enumerate(waiting):
        if not options[piece][item]:
            continue
        fresh = [(w, h, x, y, piece) for x, y, w, h in rects]
        found = _best(item, fresh, options, fit)
        if found is not None:
            del waiting[number]
            free += fresh
            return len(free) - len(fresh) + found[0], found[1]
    return None


def _split(manner: Manner, w: int, h: int, rest_w: int, rest_h: int) -> int:
    """Which cut comes first."""
    split = manner.split
    if split == 0:  # the larger rest stays whole
        return RIP_FIRST if rest_h * w > rest_w * h else CROSSCUT_FIRST
    if split == 1:  # the shorter rest is cut off along its whole length
        return RIP_FIRST if rest_w < rest_h else CROSSCUT_FIRST
    if split == 2:
        return RIP_FIRST if manner.random.random() < 0.5 else CROSSCUT_FIRST
    if split == 3:
        return RIP_FIRST
    return CROSSCUT_FIRST
