"""Changes by the keys of the real screens, and a power cut at every effect: what the screen showed as kept is there.

A sample is looked at by `test_power_cuts.py`; `python -m tests.benchmarks.power_cuts` looks at every one.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

from logbook.session import Session
from logbook.tui.screen_frame import MessageLine
from logbook.tui.screens.bench_screen import BenchScreen
from tests.cli.power_cuts import is_whole_after, versions
from tests.store.power import Cut, Cuts, lay_out
from tests.tui.conftest import NOW, opened
from tests.tui.disk_faults import CHANGES


async def cuts_of(name: str, made: Path, used: Path) -> list[Cut]:
    """Make a change in a copy of the book; what a cut at each moment may leave, the last ones last.

    It is said to be kept as soon as the session has it and names nothing that is not kept: every screen then shows it.
    """
    shutil.rmtree(used, ignore_errors=True)
    shutil.copytree(made, used)
    change = CHANGES[name]
    session = Session.open(used / "book", by="RB", now=lambda: NOW)
    place = change.place(session)
    async with opened(session, None if isinstance(place, BenchScreen) else place) as pilot:
        if change.before is not None:
            await change.before(pilot, used)
        cuts = Cuts(used, lambda: change.is_done(session) and not session.unkept)
        with cuts.on():
            await change.keys(pilot, used)
            await pilot.pause()
        assert not pilot.app.screen.query_one("#message", MessageLine).has_class("-error"), name
    return cuts.in_turn()


def untrue(name: str, folder: Path, cuts: Iterable[Cut]) -> Iterator[str]:
    """What was shown as kept and is not after these cuts, one sentence each.

    Args:
        name: the change.
        folder: holds the prepared folder `made`.
        cuts: those to look at.
    """
    place, before = folder / "place", versions(folder / "made/book")
    if name == "a unit taken out":
        del before["R1"]
    for said, files in cuts:
        shutil.rmtree(place, ignore_errors=True)
        lay_out(files, place)
        try:
            is_whole_after(place / "used/book", before, CHANGES[name].is_done if said else None)
        except Exception as fault:  # noqa: BLE001 - each is told
            yield f"{name}{', shown as kept' if said else ''}: {type(fault).__name__}: {str(fault)[:200]}"
    shutil.rmtree(place, ignore_errors=True)
