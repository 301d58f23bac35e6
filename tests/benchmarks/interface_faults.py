"""Every kind of fault at every effect of the changes made by the keys of the real screens: what is said to be kept is.

python -m tests.benchmarks.interface_faults [HOW_MANY [FIRST [MINUTES]]]
"""

from __future__ import annotations

import asyncio
import random
import shutil
from itertools import product
from pathlib import Path

from tests.benchmarks.long_run import LongRun, place_in_memory
from tests.store.faults import Faults
from tests.tui.disk_faults import CHANGES, KINDS, once, prepare


async def _all(folder: Path) -> LongRun:
    every: list[tuple[str, int, object, bool]] = []
    for name in CHANGES:
        names = await once(folder / "made", folder / "used", name, Faults())
        every += [(name, *fault) for fault in product(range(1, len(names) + 1), KINDS, (False, True))]
    random.Random(1).shuffle(every)
    run = LongRun("faults in screens", len(every))
    for number in run.numbers():
        name, at, kind, stays = every[number % len(every)]
        try:
            await once(folder / "made", folder / "used", name, Faults(at, kind, stays=stays))
        except Exception as fault:  # noqa: BLE001 - each is told, and the next is tried
            run.went_wrong(f"{name}, effect {at}, {kind}, {stays}: {type(fault).__name__}: {str(fault)[:300]}")
    return run


def main() -> None:
    folder = place_in_memory()
    (folder / "made").mkdir()
    try:
        prepare(folder / "made")
        run = asyncio.run(_all(folder))
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    run.end()


if __name__ == "__main__":
    main()
