"""Every kind of fault at every effect of the changes made by the keys of the real screens: what is said to be kept is.

python -m tests.benchmarks.interface_faults
"""

from __future__ import annotations

import asyncio
import os
import shutil
import tempfile
import time
from itertools import product
from pathlib import Path

from tests.store.faults import Faults
from tests.tui.disk_faults import CHANGES, KINDS, once, prepare


async def _all(folder: Path) -> tuple[int, int]:
    runs = untrue = 0
    for name in CHANGES:
        names = await once(folder / "made", folder / "used", name, Faults())
        for number, kind, stays in product(range(1, len(names) + 1), KINDS, (False, True)):
            runs += 1
            try:
                await once(folder / "made", folder / "used", name, Faults(number, kind, stays=stays))
            except Exception as fault:  # noqa: BLE001 - each is told, and the next is tried
                untrue += 1
                print(f"{name}, effect {number} {names[number - 1]}, {kind}, {stays}: {str(fault)[:300]}", flush=True)
        print(f"{name}: {len(names)} effects", flush=True)
    return runs, untrue


def main() -> None:
    folder, start = Path(tempfile.mkdtemp(dir="/dev/shm")), time.perf_counter()
    os.environ.update({f"XDG_{n}_HOME": str(folder / "home" / n) for n in ("STATE", "DATA", "CONFIG", "CACHE")})
    (folder / "made").mkdir()
    try:
        prepare(folder / "made")
        runs, untrue = asyncio.run(_all(folder))
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    print(f"{runs} runs, {untrue} that went wrong, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
