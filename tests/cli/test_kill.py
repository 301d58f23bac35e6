"""The real command, killed at random moments: a unit it said it took in is there, whole, and the book opens.

Together with the kills of the interface (tests/tui/test_pty_kill.py) and of writing processes
(tests/store/test_processes.py) these are more than 500 kills in each run.
"""

from __future__ import annotations

import contextlib
import os
import random
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from logbook.model.document import UnitDocument, write_document
from logbook.session import Session
from tests.builders import screws, step, unit

KILLS = int(os.environ.get("LOGBOOK_COMMAND_KILLS", "60"))
WORKERS = 2
EARLIEST, LATEST = 0.35, 1.15
"""When a command is killed, as a share of the time that a whole one takes."""


def document(number: int) -> bytes:
    taken_apart = unit(step("T01", "lid", fasteners=[screws(6, found=5)], bag="1"), code=f"U{number}", name="box")
    return write_document(UnitDocument(logbook="unit", version=1, unit=taken_apart))


def started(book: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "logbook", "--book", str(book), "import", "-"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )


def taken_in(book: Path, number: int, seconds: float) -> bool:
    """Import a unit and kill the command after so many seconds; whether it had said that it took the unit in."""
    with started(book) as command:
        assert command.stdin is not None
        assert command.stdout is not None
        with contextlib.suppress(BrokenPipeError):
            command.stdin.write(document(number))
            command.stdin.close()
        time.sleep(seconds)
        command.kill()
        return f"U{number} ".encode() in command.stdout.read()


def whole_time(book: Path) -> float:
    """Seconds that a command takes that nobody kills."""
    start = time.monotonic()
    with started(book) as command:
        said, wrong = command.communicate(document(0), timeout=60)
    assert b"U0 " in said, wrong
    return time.monotonic() - start


def killed_again_and_again(book: Path, seed: int, kills: int) -> int:
    """Kill imports into one book; how many units had been acknowledged, all of which are there."""
    chance, acknowledged = random.Random(seed), ["U0"]
    whole = whole_time(book)
    for number in range(1, kills + 1):
        if taken_in(book, number, whole * chance.uniform(EARLIEST, LATEST)):
            acknowledged.append(f"U{number}")
        if number % 20 == 0 or number == kills:
            with Session.open(book, create=False) as session:
                assert session.problems == ()
                assert set(acknowledged) <= set(session.codes())
                assert all(len(session.unit(code).steps) == 1 for code in session.codes())
    return len(acknowledged)


def test_a_command_killed_at_random_moments_loses_no_unit_it_took_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with ThreadPoolExecutor(WORKERS) as pool:
        each = KILLS // WORKERS
        runs = [pool.submit(killed_again_and_again, tmp_path / f"book{n}", n, each) for n in range(WORKERS)]
        acknowledged = sum(run.result() for run in runs)
    with capsys.disabled():
        print(f"\n{KILLS} commands killed, {acknowledged} units acknowledged before, none lost, no book unreadable")
    assert WORKERS < acknowledged < KILLS + WORKERS, "the kills must meet commands before and after their word"
