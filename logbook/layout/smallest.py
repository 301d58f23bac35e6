"""The smallest sheet on which some parts can be cut: what to buy when the pile is not enough."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random

from logbook.layout.cut_records import MM, PartToCut, Rules
from logbook.layout.packing import Manner, Rect, fill
from logbook.layout.preparing import CutItem, item_size, ways
from logbook.model.words import Grain

_Size = tuple[int, int, bool]
TRIES = 12
WORK, FEW = 12_000, 40
"""Parts placed in all before the best so far is given, as long as they are few: of many, each takes longer to place."""
STEP = MM
"""Sizes to buy are said in whole millimetres."""


def smallest_sheet(
    items: Sequence[CutItem],
    parts: Sequence[PartToCut],
    grain: Grain,
    rules: Rules,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[int, int]:
    """Length and width of the smallest sheet found, in whole millimetres, truing included.

    Widths are those at which one to four parts lie side by side; for each the shortest length is sought by halving.
    Found, not proved: for one part it is the least, for several a person may find a smaller one. Once `stop` is true,
    the first that is found is given.
    """
    kerf = rules.kerf
    options: list[tuple[_Size, ...]] = []
    for item in items:
        a, b, own = item_size(item, parts, kerf)
        options.append(tuple((b, a, True) if turned else (a, b, False) for turned in ways(own, grain)))
    widths = sorted({o[1] * n + kerf * (n - 1) for row in options for o in row for n in (1, 2, 3, 4)})
    if len(widths) > 40:
        widths = widths[:: len(widths) // 40 + 1]
    area = sum((row[0][0] + kerf) * (row[0][1] + kerf) for row in options)
    best: tuple[int, int] | None = None
    tries = _Tries(stop, max(TRIES, WORK * FEW // (len(options) * max(FEW, len(options)))))
    for width in widths:
        if best is not None and tries.over:
            break
        if any(all(o[1] > width for o in row) for row in options):
            continue
        below = None if best is None else (best[0] + rules.trim) * (best[1] + rules.trim) // (width + rules.trim)
        length = _shortest(options, (width, area, kerf), None if below is None else below - rules.trim, tries)
        if length is not None and (below is None or length + rules.trim < below):
            best = length, width
    if best is None:  # cannot happen: the widest part alone gives a width
        best = sum(row[0][0] + kerf for row in options), max(row[0][1] for row in options)
    return _whole(best[0] + rules.trim), _whole(best[1] + rules.trim)


@dataclass(slots=True)
class _Tries:
    """How many fillings may still be tried; the more parts, the fewer."""

    stop: Callable[[], bool]
    left: int

    @property
    def over(self) -> bool:
        return self.left <= 0 or self.stop()


def _shortest(
    options: list[tuple[_Size, ...]], sheet: tuple[int, int, int], below: int | None, tries: _Tries
) -> int | None:
    """The shortest length found at which everything fits on a sheet of this width, unless it is not below a limit."""
    width, area, kerf = sheet
    shortest = [min(o[0] for o in row if o[1] <= width) for row in options]
    low = max(area // (width + kerf) - kerf, *shortest)
    high = sum(shortest) + kerf * len(shortest)
    if below is not None and low >= below:
        return None
    if _fits(options, (low, width, kerf), tries):
        return low
    while high - low > STEP and not tries.over:
        middle = (low + high) // 2
        if _fits(options, (middle, width, kerf), tries):
            high = middle
        else:
            low = middle
    return high


def _fits(options: list[tuple[_Size, ...]], size: tuple[int, int, int], tries: _Tries) -> bool:
    length, width, kerf = size
    random = Random(1)  # noqa: S311 - chance that can be repeated, no secret
    sheet: Rect = (0, 0, length, width)
    row = [tuple(o for o in ways_ if o[0] <= length and o[1] <= width) for ways_ in options]
    by_size = sorted(range(len(row)), key=lambda i: -options[i][0][0] * options[i][0][1])
    by_side = sorted(range(len(row)), key=lambda i: -max(options[i][0][0], options[i][0][1]))
    by_width = sorted(range(len(row)), key=lambda i: (-options[i][0][1], -options[i][0][0]))
    for number in range(TRIES):
        tries.left -= 1
        order = (by_size, by_side, by_width)[number % 3]
        manner = Manner(number % 4, (0, 1, 3, 4)[number // 3], random)
        if not fill(order, [(0, [sheet], {})], ([row], [kerf]), manner)[1]:
            return True
    return False


def _whole(ticks: int) -> int:
    return -(-ticks // STEP) * STEP
