"""What a piece can hold at best beside a rectangle in its corner: upper bounds for the fullest filling.

The bound allows any number of each kind of part and is found by dynamic programming over the sums of lengths and of
widths at which cuts can matter (Gilmore and Gomory 1966, Oper. Res. 14:1045-1074; from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from logbook.layout.joined_parts import BITS, JoinedRectangle, PartsAlike

SCALE = 1 << 10
"""By which profits are multiplied, so that prices are whole numbers."""
PRICINGS = 25
PRICING_WORK = 60_000
"""How often prices are changed at most, and how many table entries that may cost in all."""
ONE = 1 << 64

Offer = tuple[Sequence[tuple[int, int]], int]
"""The ways in which a kind may lie, and what one of it brings."""


class CornerPromise:
    """What a rectangle in the corner promises: what it holds, and at best what the piece can hold beside it.

    The numbers of parts are not looked at in the table; instead each part pays a price for its kind, and the prices
    of the parts that are there are paid back once (Lagrangian relaxation, prices by subgradient steps). With any prices
    from 0 the promise is never too low. Profits are scaled so that prices are whole numbers.
    """

    def __init__(
        self, length: int, width: int, kinds: Sequence[PartsAlike], points: int, stop: Callable[[], bool]
    ) -> None:
        self._stop = stop
        self._kinds, self._area = kinds, length * width
        self._ratio = max((_ceil_ratio(k.profit, a * b) for k in kinds for a, b in k.ways), default=0)
        self._prices = [0] * len(kinds)
        self._back = 0
        self._table: list[list[int]] = []
        xs = _sums(length, [(a, k.number) for k in kinds for a, _ in k.ways], points)
        ys = _sums(width, [(b, k.number) for k in kinds for _, b in k.ways], points)
        if len(xs) <= points and len(ys) <= points:
            self._x, self._y = {x: i for i, x in enumerate(xs)}, {y: i for i, y in enumerate(ys)}
            grid = Grid(xs, ys)
            inside = self._priced(grid)
            self._back = sum(p * k.number for p, k in zip(self._prices, kinds, strict=True))
            self._table = grid.outside(inside)

    def _priced(self, grid: Grid) -> list[list[int]]:
        """Find prices under which the unlimited filling promises least; gives its table."""
        kinds, prices = self._kinds, [0] * len(self._kinds)
        best: tuple[int, list[int], list[list[int]]] | None = None
        pace = 1.0
        for _ in range(max(2, min(PRICINGS, PRICING_WORK // (len(grid.xs) * len(grid.ys))))):
            offers = [(k.ways, k.profit * SCALE - p) for k, p in zip(kinds, prices, strict=True)]
            inside = grid.inside(offers)
            total = inside[-1][-1] + sum(p * k.number for p, k in zip(prices, kinds, strict=True))
            if best is not None and self._stop():
                break
            if best is None or total < best[0]:
                best = total, prices, inside
            else:
                pace *= 0.7
            counts = grid.counts(inside, offers)
            over = [c - k.number for c, k in zip(counts, kinds, strict=True)]
            if all(o <= 0 or p < 0 for o, p in zip(over, prices, strict=True)):
                break
            step = pace * total * 0.05 / sum(o * o for o in over)
            prices = [max(0, p + round(step * o)) for p, o in zip(prices, over, strict=True)]
        if best is None:  # cannot be: there is at least one pass
            return grid.inside([])
        self._prices = best[1]
        return best[2]

    def of(self, joined: JoinedRectangle) -> int:
        """An upper bound on the profit of any filling with this rectangle in its corner, scaled."""
        if not self._table:
            return joined.profit * SCALE + (self._area - joined.length * joined.width) * self._ratio // ONE
        beside = self._table[self._x[joined.length]][self._y[joined.width]]
        return joined.profit * SCALE - self._paid(joined.held) + beside + self._back

    def _paid(self, held: int) -> int:
        """The prices of what a rectangle holds."""
        paid, number = 0, 0
        while held:
            paid += (held & (1 << BITS - 1) - 1) * self._prices[number]
            held >>= BITS
            number += 1
        return paid


def _ceil_ratio(profit: int, area: int) -> int:
    return -(-profit * SCALE * ONE // max(1, area))


def _sums(most: int, sizes: Sequence[tuple[int, int]], points: int) -> list[int]:
    """The sums of sizes up to a length, and the length itself; stops early when there are too many."""
    sums = {0}
    for size, number in sizes:
        times = min(number, most // size) if size else 0
        for _ in range(times):
            more = {s + size for s in sums if s + size <= most} - sums
            if not more:
                break
            sums |= more
            if len(sums) > points:
                return list(sums)
    return sorted(sums | {most})


class Grid:
    """Tables over the sums of lengths and widths at which cuts can matter."""

    def __init__(self, xs: Sequence[int], ys: Sequence[int]) -> None:
        self.xs, self.ys = xs, ys
        self._halves_x, self._halves_y = _halves(xs), _halves(ys)

    def inside(self, offers: Sequence[Offer]) -> list[list[int]]:
        """For each pair of sums the most that such a rectangle brings when there is any number of each kind."""
        table = [[0] * len(self.ys) for _ in self.xs]
        for ways, brings in offers:
            for a, b in ways:
                first = next((i for i, x in enumerate(self.xs) if x >= a), len(self.xs))
                low = next((j for j, y in enumerate(self.ys) if y >= b), len(self.ys))
                for row in table[first:]:
                    row[low:] = [max(brings, v) for v in row[low:]]
        for i, row in enumerate(table):
            halves = self._halves_x[i]
            for j, start in enumerate(row):
                best = start
                for p, q in halves:
                    if (got := table[p][j] + table[q][j]) > best:
                        best = got
                for p, q in self._halves_y[j]:
                    if (got := row[p] + row[q]) > best:
                        best = got
                row[j] = best
        return table

    def counts(self, table: list[list[int]], offers: Sequence[Offer]) -> list[int]:
        """How many of each kind lie in the filling that the last entry of a table stands for."""
        counts = [0] * len(offers)
        open_ = [(len(self.xs) - 1, len(self.ys) - 1)]
        while open_:
            i, j = open_.pop()
            value = table[i][j]
            if value <= 0:
                continue
            kind = next((n for n, o in enumerate(offers) if o[1] == value and self._fits(o, i, j)), None)
            if kind is not None:
                counts[kind] += 1
                continue
            pairs = [((p, j), (q, j)) for p, q in self._halves_x[i] if table[p][j] + table[q][j] == value]
            pairs += [((i, p), (i, q)) for p, q in self._halves_y[j] if table[i][p] + table[i][q] == value]
            open_ += pairs[0]
        return counts

    def _fits(self, offer: Offer, i: int, j: int) -> bool:
        return any(a <= self.xs[i] and b <= self.ys[j] for a, b in offer[0])

    def outside(self, inside: list[list[int]]) -> list[list[int]]:
        """For each rectangle in the corner the most around it, built up strip by strip to the whole piece."""
        table = [[0] * len(self.ys) for _ in self.xs]
        beside_x, beside_y = _growths(self.xs), _growths(self.ys)
        for i in range(len(self.xs) - 1, -1, -1):
            for j in range(len(self.ys) - 1, -1, -1):
                best = 0
                for k, rest in beside_x[i]:
                    if (got := inside[rest][j] + table[k][j]) > best:
                        best = got
                for k, rest in beside_y[j]:
                    if (got := inside[i][rest] + table[i][k]) > best:
                        best = got
                table[i][j] = best
        return table


def _halves(points: Sequence[int]) -> list[list[tuple[int, int]]]:
    """For each point the pairs of smaller ones that fit side by side: each with the largest that fits beside it."""
    found: list[list[tuple[int, int]]] = []
    for i, point in enumerate(points):
        pairs = [(0, i - 1)] if i else []  # what a smaller one holds, this one holds
        q = i
        for p in range(1, i):
            if points[p] * 2 > point:
                break
            while points[q] > point - points[p]:
                q -= 1
            pairs.append((p, q))
        found.append(pairs)
    return found


def _growths(points: Sequence[int]) -> list[list[tuple[int, int]]]:
    """For each point the larger ones, with the largest point that fits into the difference."""
    found = []
    for i, point in enumerate(points):
        grown, rest = [], 0
        for k in range(i + 1, len(points)):
            while rest + 1 < len(points) and points[rest + 1] <= points[k] - point:
                rest += 1
            grown.append((k, rest))
        found.append(grown)
    return found
