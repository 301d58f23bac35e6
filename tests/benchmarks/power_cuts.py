"""A power cut at every effect of every command that writes, and of the changes by the keys of the real screens.

python -m tests.benchmarks.power_cuts [HOW_MANY [FIRST [MINUTES]]]

A number is one state that a cut may leave; each is laid out, opened, read through and compared with what was said.
"""

from __future__ import annotations

import asyncio
import shutil
from collections.abc import Callable, Iterable
from pathlib import Path

from tests.benchmarks.long_run import LongRun, place_in_memory
from tests.cli import power_cuts as of_commands
from tests.cli import writing
from tests.store.power import Cut
from tests.tui import disk_faults
from tests.tui import power_cuts as of_screens


def main() -> None:
    folder = place_in_memory()
    every: list[tuple[Callable[[str, Path, Iterable[Cut]], Iterable[str]], str, Path, Cut]] = []
    try:
        for name in of_commands.COMMANDS:
            where = _prepared(folder, name, writing.prepare)
            cuts = of_commands.cuts_of(name, where / "made", where / "used")
            every += [(of_commands.untrue, name, where, cut) for cut in cuts]
        for name in disk_faults.CHANGES:
            where = _prepared(folder, name, disk_faults.prepare)
            cuts = asyncio.run(of_screens.cuts_of(name, where / "made", where / "used"))
            every += [(of_screens.untrue, name, where, cut) for cut in cuts]
        run = LongRun("power cuts", len(every))
        for number in run.numbers():
            untrue, name, where, cut = every[number % len(every)]
            for told in untrue(name, where, [cut]):
                run.went_wrong(told)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    run.end()


def _prepared(folder: Path, name: str, prepare: Callable[[Path], object]) -> Path:
    """A folder of its own for one command or change."""
    (folder / name / "made").mkdir(parents=True)
    prepare(folder / name / "made")
    return folder / name


if __name__ == "__main__":
    main()
