"""The real program, killed at random moments while somebody types: nothing that it showed as kept is lost."""

from __future__ import annotations

import random
import re
import sys
import time
from pathlib import Path

from logbook.session import Session
from tests.builders import unit
from tests.terminal import Terminal

KILLS = 12
TYPED_AT_MOST = 12
"""Steps typed before each kill; most of them are not reached."""


def started(book: Path) -> Terminal:
    return Terminal(
        [sys.executable, "-m", "logbook", "--book", str(book), "--by", "AB"], LOGBOOK_SETTINGS=str(book / "none.toml")
    )


def to_bench_mode(terminal: Terminal) -> None:
    terminal.wait_for("R1")
    terminal.press("b")
    terminal.wait_for("line >")


def typed_until_killed(terminal: Terminal, first: int, seen: int, seconds: float) -> int:
    """Type steps one after another and kill the program `seconds` after it showed `seen` of them as kept.

    Returns the last one it showed as kept.
    """
    kept, sent, end = first, first, None
    while end is None or time.monotonic() < end:
        if sent < first + TYPED_AT_MOST and sent - kept < 2:
            sent += 1
            terminal.press(f"part {sent}, 2 screw M4x10", "enter")
        terminal.read(0.01)
        said = re.search(r"kept: part (\d+)", terminal.text())
        kept = max(kept, int(said[1])) if said else kept
        if end is None and kept - first >= seen:
            end = time.monotonic() + seconds
    terminal.kill()
    return kept


def test_the_program_killed_at_random_moments_loses_nothing_it_showed_as_kept(tmp_path: Path) -> None:
    book, chance = tmp_path / "book", random.Random(7)
    with Session.open(book, by="AB") as session:
        session.add_unit(unit(name="table radio"))
    there, shown = 0, 0
    for _ in range(KILLS):
        with started(book) as terminal:
            to_bench_mode(terminal)
            acknowledged = typed_until_killed(terminal, there, chance.randrange(4), chance.uniform(0.0, 0.4))
        shown += acknowledged - there
        with Session.open(book, by="AB") as session:
            steps = session.unit("R1").steps
            assert session.problems == ()
            # A half-typed line comes back as a draft; it is cleared so that the next round begins anew.
            session.keep_draft("R1/line", "")
        assert [s.what for s in steps] == [f"part {n}" for n in range(1, len(steps) + 1)]
        assert acknowledged <= len(steps) <= there + TYPED_AT_MOST
        there = len(steps)
    assert shown > KILLS, "too little was kept for the kills to have met anything"
