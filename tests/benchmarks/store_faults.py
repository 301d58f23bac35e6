"""Every kind of fault at every effect, not only one of them. By hand: `python -m tests.benchmarks.store_faults`."""

from __future__ import annotations

import itertools
import shutil
import tempfile
import time
from pathlib import Path

from tests.store.script import script
from tests.store.test_faults import EDITS, ERRORS, effects, fails


def main() -> None:
    folder = Path(tempfile.mkdtemp()) / "book"
    steps, start, runs = list(script(EDITS)), time.perf_counter(), 0
    try:
        names = effects(folder, steps)
        for at, what, stays in itertools.product(range(1, len(names) + 1), ["short", *ERRORS], [False, True]):
            fails(folder, steps, at, what, stays=stays)
            runs += 1
    finally:
        shutil.rmtree(folder.parent, ignore_errors=True)
    print(f"{len(names)} effects, {runs} runs, nothing lost, {time.perf_counter() - start:.0f} s")


if __name__ == "__main__":
    main()
