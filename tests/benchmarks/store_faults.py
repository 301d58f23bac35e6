"""Every kind of fault at every effect of the store, not only one of them.

python -m tests.benchmarks.store_faults [HOW_MANY [FIRST [MINUTES]]]
"""

from __future__ import annotations

import random
import shutil
from itertools import product

from tests.benchmarks.long_run import LongRun, place_in_memory
from tests.store.script import script
from tests.store.test_faults import ERRORS, effects, fails

EDITS = 50


def main() -> None:
    folder = place_in_memory()
    book, steps = folder / "book", list(script(EDITS))
    try:
        every = list(product(range(1, len(effects(book, steps)) + 1), ["short", *ERRORS], [False, True]))
        random.Random(1).shuffle(every)
        run = LongRun("faults in the store", len(every))
        for number in run.numbers():
            at, what, stays = every[number % len(every)]
            try:
                fails(book, steps, at, what, stays=stays)
            except Exception as fault:  # noqa: BLE001 - each is told, and the next is tried
                run.went_wrong(f"effect {at}, {what}, {stays}: {type(fault).__name__}: {str(fault)[:300]}")
                shutil.rmtree(book, ignore_errors=True)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    run.end()


if __name__ == "__main__":
    main()
