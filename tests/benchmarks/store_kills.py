"""Ten thousand kills at random moments. Run by hand: `python -m tests.benchmarks.store_kills [KILLS [SEED [MINUTES]]]`.

Ends after so many minutes with the kills made by then; another seed goes on at other moments.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from pathlib import Path

from tests.store.test_processes import kill

AT_ONCE = 40
"""Kills between two looks at the clock; the books are begun anew then in any case."""


def main() -> None:
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    folder = Path(tempfile.mkdtemp())
    minutes = float(sys.argv[3]) if sys.argv[3:] else 1e9
    start, done, kept = time.perf_counter(), 0, 0
    try:
        while done < kills and time.perf_counter() - start < 60 * minutes:
            kept += kill(folder, min(AT_ONCE, kills - done), seed * 1_000_000 + done)
            done += min(AT_ONCE, kills - done)
    finally:
        shutil.rmtree(folder)
    print(f"{done} kills, {kept} edits kept, none lost, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
