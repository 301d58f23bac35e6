"""Ten thousand kills at random moments. Run by hand: `python -m tests.benchmarks.store_kills [KILLS] [SEED]`."""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from pathlib import Path

from tests.store.test_processes import kill


def main() -> None:
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    folder = Path(tempfile.mkdtemp())
    start = time.perf_counter()
    try:
        kept = kill(folder, kills, seed)
    finally:
        shutil.rmtree(folder)
    print(f"{kills} kills, {kept} edits kept, none lost, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
