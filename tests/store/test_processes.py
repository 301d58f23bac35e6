"""Several programs on one book, and programs that are killed."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import warnings
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.store.building import opened, radio, with_radio
from tests.store.hand import LIMITS, edit

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[2]
KILLS = int(os.environ.get("LOGBOOK_KILLS", "300"))
"""Kills in all; ten thousand were tried by hand with `tests/benchmarks/store_kills.py`."""
EDITS = 2_000
"""Edits of each of two programs that take turns."""


@pytest.fixture
def folder() -> Iterator[Path]:
    where = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    path = Path(tempfile.mkdtemp(dir=where))
    yield path
    shutil.rmtree(path, ignore_errors=True)


def new_book(path: Path) -> None:
    book = with_radio(path)
    book.shop.begin({"v": 0}, "shop begun")
    book.close()


def started(path: Path) -> tuple[int, int]:
    """Fork a program that edits until it is killed; returns its number and where its reports can be read."""
    read, write = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # forking beside the threads of a test runner
        pid = os.fork()
    if pid == 0:
        try:
            os.close(read)
            edit(str(path), lambda v: os.write(write, b"%d\n" % v))
        finally:
            os._exit(1)
    os.close(write)
    return pid, read


def killed(pid: int, reports: int, rng: random.Random) -> int:
    """Kill the program at some moment of its work; the last number that it reported, 0 if none."""
    said = b""
    wanted = rng.randint(0, 25)
    while said.count(b"\n") < wanted and (part := os.read(reports, 1 if wanted < 3 else 64)):
        said += part
    time.sleep(rng.random() * 0.002)
    os.kill(pid, signal.SIGKILL)
    while part := os.read(reports, 4096):
        said += part
    os.close(reports)
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == -signal.SIGKILL
    return max(map(int, said.split()), default=0)


def check(path: Path, last: int, before: int) -> int:
    """What was acknowledged is there, and nothing half; returns what the unit says."""
    book = opened(path, limits=LIMITS)
    assert not book.read_only, "a dead writer does not block"
    v, w = book.units["R1"].state["v"], book.shop.state["v"]
    assert v in (last, last + 1) if last else v in (before, before + 1)
    assert w == v // 5, "a change over two documents is there whole or not at all"
    assert book.units["R1"].state == radio() | {"v": v}
    assert len(book.units["R1"].entries()) == v + 1
    assert book.problems == []
    book.close()
    return v


def kill(folder: Path, times: int, seed: int = 0) -> int:
    """Kill two programs, each on a book of its own, again and again; returns how many edits they kept in all.

    Every twenty kills the books are begun anew, because checking reads the whole story.
    """
    rng, total = random.Random(seed), 0
    for start in range(0, times // 2, 20):
        books, kept = [folder / f"book{start}-{n}" for n in range(2)], [0, 0]
        for path in books:
            new_book(path)
        for _ in range(start, min(start + 20, times // 2)):
            running = [started(path) for path in books]
            last = [killed(pid, reports, rng) for pid, reports in running]
            kept = [check(path, *numbers) for path, *numbers in zip(books, last, kept, strict=True)]
        total += sum(kept)
        for path in books:
            shutil.rmtree(path)
    return total


def test_nothing_is_lost_when_the_program_is_killed(folder: Path) -> None:
    assert kill(folder, KILLS) > KILLS * 5


def test_two_programs_in_turn_lose_none_of_their_edits(folder: Path) -> None:
    new_book(folder / "book")
    command = [sys.executable, "-m", "tests.store.hand", str(folder / "book"), str(EDITS)]
    hands = [subprocess.Popen([*command, name, "50"], cwd=ROOT, stderr=subprocess.PIPE) for name in "ab"]
    for process in hands:
        _, said = process.communicate(timeout=120)
        assert process.returncode == 0, said.decode()
    book = opened(folder / "book", limits=LIMITS)
    found = [bag["id"] for bag in book.units["R1"].state["bags"]]
    assert len(found) == 2 * EDITS
    for name in "ab":
        assert [bag for bag in found if bag[0] == name] == [f"{name}{n}" for n in range(EDITS)]
    assert [entry.what for entry in book.units["R1"].entries()[1:]] == found
    assert book.problems == []
    book.close()
