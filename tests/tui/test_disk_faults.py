"""The real screens on a disk that refuses: nothing is said to be kept that was not, and the screen stays."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.faults import Faults
from tests.tui.disk_faults import CHANGES, KINDS, once, prepare


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder in memory where there is one: every change is made many times."""
    path = Path(tempfile.mkdtemp(dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None))
    (path / "made").mkdir()
    prepare(path / "made")
    yield path
    shutil.rmtree(path, ignore_errors=True)


@pytest.mark.parametrize("name", CHANGES)
async def test_what_is_said_to_be_kept_is(folder: Path, name: str) -> None:
    """One effect in three meets a fault here, each another kind of it; by hand every one meets every kind."""
    names = await once(folder / "made", folder / "used", name, Faults())
    assert len(names) > 3
    for number in range(1, len(names) + 1, 3):
        faults = Faults(number, KINDS[number % len(KINDS)], stays=number % 2 == 0)
        await once(folder / "made", folder / "used", name, faults)
