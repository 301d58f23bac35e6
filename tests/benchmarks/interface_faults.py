"""Every kind of fault at every effect of the changes made by the keys of the real screens: what is said to be kept is.

    python -m tests.benchmarks.interface_faults [MINUTES]

Ends after so many minutes with the runs made by then, drawn from all of them by chance.
"""

from __future__ import annotations

import asyncio
import os
import random
import shutil
import sys
import tempfile
import time
from itertools import product
from pathlib import Path

from tests.store.faults import Faults
from tests.tui.disk_faults import CHANGES, KINDS, once, prepare


async def _all(folder: Path, minutes: float) -> tuple[int, int, int]:
    """How many were made, how many of them went wrong, and how many there are."""
    end, runs, untrue = time.perf_counter() + 60 * minutes, 0, 0
    every: list[tuple[str, int, object, bool]] = []
    for name in CHANGES:
        names = await once(folder / "made", folder / "used", name, Faults())
        print(f"{name}: {len(names)} effects", flush=True)
        every += [(name, *fault) for fault in product(range(1, len(names) + 1), KINDS, (False, True))]
    random.Random(1).shuffle(every)
    for name, number, kind, stays in every:
        if time.perf_counter() > end:
            break
        runs += 1
        try:
            await once(folder / "made", folder / "used", name, Faults(number, kind, stays=stays))
        except Exception as fault:  # noqa: BLE001 - each is told, and the next is tried
            untrue += 1
            print(f"{name}, effect {number}, {kind}, {stays}: {str(fault)[:300]}", flush=True)
    return runs, untrue, len(every)


def main() -> None:
    folder, start = Path(tempfile.mkdtemp(dir="/dev/shm")), time.perf_counter()
    os.environ.update({f"XDG_{n}_HOME": str(folder / "home" / n) for n in ("STATE", "DATA", "CONFIG", "CACHE")})
    (folder / "made").mkdir()
    try:
        prepare(folder / "made")
        minutes = float(sys.argv[1]) if sys.argv[1:] else 1e9
        runs, untrue, every = asyncio.run(_all(folder, minutes))
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    print(f"{runs} of {every} runs, {untrue} that went wrong, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
