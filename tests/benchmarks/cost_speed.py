"""How long the cost and the decision of a unit with 2,000 lines take, with 10,000 draws.

    python tests/benchmarks/cost_speed.py

Measured against one second of processor time, and against numpy drawing every line in 10,000 draws by itself.
Exits 1 when it takes longer than one second and longer than ten times numpy.
"""

from __future__ import annotations

import sys
from decimal import Decimal
from random import Random
from time import process_time

import numpy as np

from logbook.costing import decision
from logbook.costing.simulation import _simulated, _table
from logbook.model.measures import Estimate
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import ComparatorKind
from logbook.model.work import Comparator, CostLine, StopLine

LINES, DRAWS = 2000, 10_000


def a_unit(lines: int) -> Unit:
    """A unit with so many other costs, every fiftieth under a condition."""
    random = Random(5)
    made = []
    for i in range(lines):
        low = random.randrange(0, 1000)
        likely = low + random.randrange(0, 1000)
        three = (Decimal(n).scaleb(-2) for n in (low, likely, likely + random.randrange(1, 4000)))
        price = Estimate(**dict(zip(("low", "likely", "high"), three, strict=True)))
        chance = Decimal(25) if i % 50 == 0 else None
        made.append(CostLine(code=f"S{i}", name=f"cost {i}", price=price, chance_percent=chance))
    return Unit(
        code="R1",
        name="many lines",
        cost_lines=tuple(made),
        comparators=(Comparator(code="NEW", kind=ComparatorKind.NEW, price=Decimal(30_000)),),
        stop_lines=(StopLine(amount=Decimal(25_000)),),
    )


def numpy_seconds() -> float:
    """A bare draw of the same size: every line by itself."""
    generator, start = np.random.default_rng(1), process_time()
    total = np.zeros(DRAWS)
    for _ in range(LINES):
        total += generator.beta(2.0, 4.0, DRAWS)
    np.sort(total)
    return process_time() - start


def ours_seconds() -> float:
    """The best of three, nothing kept from one to the next."""
    of_unit, best = a_unit(LINES), float("inf")
    for _ in range(3):
        _simulated.cache_clear()
        _table.cache_clear()
        start = process_time()
        found = decision(of_unit, Shop())
        best = min(best, process_time() - start)
        assert found.cash.distribution.draws == DRAWS
        assert found.cash.distribution.agrees
    return best


def main() -> int:
    """Print both figures."""
    ours, bare = ours_seconds(), numpy_seconds()
    print(f"decision of {LINES:,} lines with {DRAWS:,} draws: {ours:.2f} s; numpy, each line by itself: {bare:.2f} s")
    return int(ours > 1 and ours > 10 * bare)


if __name__ == "__main__":
    sys.exit(main())
