"""How much value layouts use up, against plain best-fit decreasing, and how soon they are there.

    python tests/benchmarks/layout_quality.py [--piles N] [--seconds S]

Prints for each invented pile the value used by the first layout, after S seconds (2), by the yardstick, and the bound
below which no layout can be; then the sums, the large case (150 parts, 80 pieces), and whether the aims are met.
The yardstick is written here from the textbook and shares nothing with the search: parts by falling area, each into
the free rectangle that it fills best, pieces opened by value for area, the longer rest left whole.
"""

from __future__ import annotations

import argparse
import resource
import sys
from collections.abc import Iterator
from decimal import Decimal
from random import Random
from time import perf_counter

from logbook.layout.checker import problems_of
from logbook.layout.cut_records import MM, Layout, PartToCut, Piece, Rules
from logbook.layout.layout_search import search
from logbook.model.words import Grain

FIRST_MS, LARGE_S, LARGE_MB = 50, 5.0, 300
THICK = 118 * MM // 10


def pile(seed: int, pieces: int | None = None, parts: int | None = None) -> tuple[list[PartToCut], list[Piece]]:
    """An invented pile: 8 to 24 pieces, 8 to 40 parts (some alike), grain on half; values by area, more or less."""
    chance = Random(seed)
    count, wanted = pieces or chance.randint(8, 24), parts or chance.randint(8, 40)
    cut: list[PartToCut] = []
    while wanted:
        number = min(wanted, chance.choice((1, 1, 1, 2, 2, 4)))
        length, width = sorted((chance.randrange(1200, 6000), chance.randrange(600, 3000)), reverse=True)
        grain = chance.choice((Grain.LENGTH, Grain.FREE))
        cut.append(PartToCut(f"P{len(cut) + 1}", number, length * MM // 10, width * MM // 10, "ply", THICK, grain))
        wanted -= number
    sizes = [sorted((chance.uniform(300, 1300), chance.uniform(120, 640)), reverse=True) for _ in range(count)]
    need = sum(p.quantity * p.length * p.width for p in cut) / MM**2
    stretch = min(1.6, max(0.8, (need * chance.uniform(1.7, 3.0) / sum(a * b for a, b in sizes)) ** 0.5))
    lying = []
    for n, (a, b) in enumerate(sizes):
        value = Decimal(int(a * b * stretch**2 * chance.uniform(0.6, 1.4) / 100)) / 100
        grain = chance.choice((Grain.LENGTH, Grain.FREE))
        size = (int(a * stretch * 10) * MM // 10, int(b * stretch * 10) * MM // 10)
        lying.append(Piece(f"O{n + 1}", "ply", (THICK,), *size, grain, value))
    return cut, lying


def yardstick(parts: list[PartToCut], pieces: list[Piece], rules: Rules) -> Decimal | None:
    """The value used by best-fit decreasing; None when it does not place everything."""
    singles = sorted((p for p in parts for _ in range(p.quantity)), key=lambda p: -p.length * p.width)
    closed = sorted(pieces, key=lambda p: (p.value or 0) / Decimal(p.length * p.width))
    free: list[tuple[int, int, Piece]] = []
    used: set[str] = set()
    for part in singles:
        best = min(_places(part, free), default=None)
        if best is None:
            for piece in closed:
                opened = [(piece.length - rules.trim, piece.width - rules.trim, piece)]
                best = min(_places(part, opened), default=None)
                if best is not None:
                    closed.remove(piece)
                    free += opened
                    best = (best[0], len(free) - 1, *best[2:])
                    break
        if best is None:
            return None
        _waste, index, a, b = best
        w, h, piece = free.pop(index)
        used.add(piece.code)
        rest_w, rest_h = w - a - rules.kerf, h - b - rules.kerf
        along = rest_h > rest_w
        rests = [(rest_w, b if along else h, piece), (w if along else a, rest_h, piece)]
        free += [r for r in rests if r[0] > 0 and r[1] > 0]
    return sum((p.value or Decimal(0) for p in pieces if p.code in used), Decimal(0))


def _places(part: PartToCut, free: list[tuple[int, int, Piece]]) -> Iterator[tuple[int, int, int, int]]:
    for index, (w, h, piece) in enumerate(free):
        for a, b, turned in ((part.length, part.width, False), (part.width, part.length, True)):
            if turned and Grain.FREE not in (part.grain, piece.grain):
                continue
            if a <= w and b <= h:
                yield w * h - a * b, index, a, b


def timed(parts: list[PartToCut], pieces: list[Piece], rules: Rules) -> tuple[Layout, float, float]:
    """The layout, the milliseconds to the first complete one, and the seconds in all."""
    began = perf_counter()
    first: list[float] = []

    def told(layout: Layout) -> None:
        if layout.complete and not first:
            first.append(1000 * (perf_counter() - began))

    layout = search(parts, pieces, rules, told)
    took = perf_counter() - began
    wrong = problems_of(layout, parts, pieces, rules)
    if wrong:
        sys.exit(f"A layout does not pass its check: {wrong[0]}")
    return layout, first[0] if first else float("inf"), took


def compared(piles: int, seconds: float) -> bool:
    """The piles one by one and in sum; whether the aims are met."""
    rules = Rules(rounds=None, seconds=seconds)
    sums = [Decimal(0)] * 3
    worst, slowest, longest, beaten, count = Decimal(0), 0.0, 0.0, 0, 0
    print("pile parts pieces   yardstick       found       bound   found/yardstick  first ms   s")
    seed = 0
    while count < piles:
        seed += 1
        parts, pieces = pile(seed)
        plain = yardstick(parts, pieces, rules)
        if plain is None:
            continue
        count += 1
        layout, first, took = timed(parts, pieces, rules)
        if not layout.complete:
            print(f"{seed:4d}  not everything placed, and the yardstick did")
            return False
        ratio = layout.used_value / plain
        sums = [s + v for s, v in zip(sums, (plain, layout.used_value, layout.bound_value), strict=True)]
        worst, slowest, longest = max(worst, ratio), max(slowest, first), max(longest, took)
        beaten += layout.used_value < plain
        number = sum(p.quantity for p in parts)
        print(
            f"{seed:4d} {number:5d} {len(pieces):6d} {plain:11} {layout.used_value:11} {layout.bound_value:11} "
            f"{ratio:17.3f} {first:9.1f} {took:5.2f}{'  proven' if layout.proven else ''}"
        )
    print(f"sum of {count}: yardstick {sums[0]}, found {sums[1]}, bound {sums[2]}")
    print(f"found / yardstick {sums[1] / sums[0]:.4f} (aim 0.97 or less), worst pile {worst:.3f} (aim 1.01 or less)")
    print(f"better on {beaten} of {count}; bound / found {sums[2] / sums[1]:.4f}")
    print(
        f"first complete layout at most {slowest:.1f} ms (aim {FIRST_MS}), longest search {longest:.2f} s of {seconds}"
    )
    good = sums[1] <= sums[0] * Decimal("0.97") and worst <= Decimal("1.01")
    return good and slowest <= FIRST_MS and longest <= 1.1 * seconds


def large() -> bool:
    """150 parts on 80 pieces."""
    parts, pieces = pile(4711, 80, 150)
    rules = Rules(rounds=None, seconds=4.6)
    plain = yardstick(parts, pieces, rules)
    layout, first, took = timed(parts, pieces, rules)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    ratio = f"{layout.used_value / plain:.3f} of the yardstick" if plain else "the yardstick fails"
    print(f"150 parts on 80 pieces: {took:.2f} s, {peak:.0f} MB, first {first:.0f} ms, {ratio}")
    return layout.complete and took <= LARGE_S and peak <= LARGE_MB


def main() -> int:
    """Run both; 0 when every aim is met."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    asked.add_argument("--piles", type=int, default=30)
    asked.add_argument("--seconds", type=float, default=2.0)
    options = asked.parse_args()
    good = compared(options.piles, options.seconds)
    good = large() and good
    print("every aim is met" if good else "NOT every aim is met")
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
