"""Every kind of fault at every effect of every command that writes: what is said to be done is kept.

python -m tests.benchmarks.command_faults [HOW_MANY [FIRST [MINUTES]]]
"""

from __future__ import annotations

import contextlib
import io
import random
import shutil
from itertools import product
from pathlib import Path

from tests.benchmarks.long_run import LongRun, place_in_memory
from tests.cli.writing import WRITING, again, called, is_done, prepare
from tests.store.faults import DEATHS, Death, Faults
from tests.store.test_faults import ERRORS

KINDS = [*product(["short", *ERRORS], (False, True)), *((death, False) for death in DEATHS)]
"""What a disk can answer, once or from then on; and how the process can end."""


def main() -> None:
    folder = place_in_memory()
    (folder / "made").mkdir()
    prepare(folder / "made")
    try:
        every = [
            (name, *fault)
            for name in WRITING
            for fault in product(range(1, _ended(folder, name, Faults())[2] + 1), KINDS)
        ]
        random.Random(1).shuffle(every)
        run = LongRun("faults in commands", len(every))
        for number in run.numbers():
            name, at, (what, stays) = every[number % len(every)]
            code, out, _ = _ended(folder, name, Faults(at, what, stays=stays))
            said = code != 2 and "There was nothing to link" not in out
            try:
                assert is_done(folder / "used/book", WRITING[name]) or not said, "said to be done and not kept"
            except Exception as fault:  # noqa: BLE001 - each is told, and the next is tried
                run.went_wrong(f"{name}, effect {at}, {what}, {stays}: {type(fault).__name__}: {str(fault)[:300]}")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    run.end()


def _ended(folder: Path, name: str, faults: Faults) -> tuple[int, str, int]:
    """The exit code, what was said and the number of effects; a command that died said nothing."""
    again(folder / "made", folder / "used")
    out, wrong = io.TextIOWrapper(io.BytesIO()), io.TextIOWrapper(io.BytesIO())
    code = 2
    with faults.on(), contextlib.redirect_stdout(out), contextlib.redirect_stderr(wrong), contextlib.suppress(Death):
        code = called(folder / "used", WRITING[name])
    out.seek(0)
    return code, out.read(), faults.count


if __name__ == "__main__":
    main()
