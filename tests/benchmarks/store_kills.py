"""Ten thousand kills of programs that edit, at random moments: what was acknowledged is there, and nothing half.

python -m tests.benchmarks.store_kills [KILLS [FIRST [MINUTES]]]
"""

from __future__ import annotations

import shutil

from tests.benchmarks.long_run import LongRun, place_in_memory
from tests.store.test_processes import kill

AT_ONCE = 40
"""Kills of one number; the books are begun anew then in any case."""


def main() -> None:
    run, kept = LongRun("kills", 10_000), 0
    folder = place_in_memory()
    try:
        for number in run.numbers(AT_ONCE):
            try:
                kept += kill(folder, AT_ONCE, number)
            except Exception as fault:  # noqa: BLE001 - each is told, and the next is tried
                run.went_wrong(f"from {number}: {type(fault).__name__}: {str(fault)[:300]}")
            run.more = f"{kept} edits kept"
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    run.end()


if __name__ == "__main__":
    main()
