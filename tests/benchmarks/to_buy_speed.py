"""How long the list of what is to buy takes over 200 units: `python -m tests.benchmarks.to_buy_speed`.

The units are those of the demo book, 67 times under other codes, with one shelf and one pile. Measured is processor
time: the list alone, the list with what each purchase would free when no unit was looked at before, and the same after
an edit of one unit, which is what the screen does. Fails when the list, or the list after an edit, takes 0.3 s or more.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from statistics import median

from logbook.costing import to_buy
from logbook.model.unit import Unit
from tests.example_records import C1, G1, R1, SHOP

NOW = datetime(2026, 3, 17, 12, tzinfo=UTC)
LIMIT = 0.3


def made() -> list[Unit]:
    """200 units that nothing has looked at yet."""
    return [u.model_copy(update={"code": f"{u.code}{i}"}) for i in range(67) for u in (R1, G1, C1)][:200]


def spent(action: Callable[[], object]) -> float:
    """Processor seconds of one call."""
    start = time.process_time()
    action()
    return time.process_time() - start


def after_an_edit(units: list[Unit]) -> float:
    """The list when one unit of a list seen before is new."""
    units[0] = units[0].model_copy(update={"notes": "seen"})
    return spent(lambda: to_buy(units, SHOP, NOW))


def main() -> int:
    """Print the figures; 1 when a limit is passed."""
    alone = median(spent(lambda: to_buy(made(), SHOP)) for _ in range(5))
    first = median(spent(lambda: to_buy(made(), SHOP, NOW)) for _ in range(3))
    units = made()
    to_buy(units, SHOP, NOW)
    edited = median(after_an_edit(units) for _ in range(5))
    print(f"the list of 200 units                          {alone:.3f} s")
    print(f"with what each purchase frees, the first time  {first:.3f} s")
    print(f"with what each purchase frees, after an edit   {edited:.3f} s")
    return 1 if max(alone, edited) >= LIMIT else 0


if __name__ == "__main__":
    sys.exit(main())
