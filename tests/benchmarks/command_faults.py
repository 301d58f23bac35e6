"""Every kind of fault at every effect of every command that writes: what is said to be done is kept.

python -m tests.benchmarks.command_faults
"""

from __future__ import annotations

import contextlib
import io
import itertools
import shutil
import tempfile
import time
from pathlib import Path

from tests.cli.writing import WRITING, again, called, is_done, prepare
from tests.store.faults import DEATHS, Death, Faults
from tests.store.test_faults import ERRORS


def main() -> None:
    folder, start = Path(tempfile.mkdtemp(dir="/dev/shm")), time.perf_counter()
    (folder / "made").mkdir()
    prepare(folder / "made")
    runs = untrue = 0
    try:
        for name in WRITING:
            effects = ended(folder, name, Faults())[2]
            faults = [(what, stays) for what in ["short", *ERRORS] for stays in (False, True)]
            faults += [(what, False) for what in DEATHS]
            for at, (what, stays) in itertools.product(range(1, effects + 1), faults):
                code, out, _ = ended(folder, name, Faults(at, what, stays=stays))
                said = code != 2 and "There was nothing to link" not in out
                runs += 1
                if said and not is_done(folder / "used/book", WRITING[name]):
                    untrue += 1
                    print(f"{name}, effect {at}, {what}: said to be done and not kept")
            print(f"{name}: {effects} effects", flush=True)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    print(f"{runs} runs, {untrue} “done” that was not kept, {time.perf_counter() - start:.0f} s")


def ended(folder: Path, name: str, faults: Faults) -> tuple[int, str, int]:
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
