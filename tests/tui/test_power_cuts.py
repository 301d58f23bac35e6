"""A power cut at the effects of changes by the keys of the real screens: what was shown as kept is there."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from logbook.store import history_file
from tests.tui.disk_faults import CHANGES, prepare
from tests.tui.power_cuts import cuts_of, untrue

SAMPLE = 5
"""One cut in so many is looked at here, and the last ones; by hand every one of them."""


@pytest.fixture
def folder() -> Iterator[Path]:
    """A prepared folder, in memory where there is such a place."""
    path = Path(tempfile.mkdtemp(dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None))
    (path / "made").mkdir()
    prepare(path / "made")
    yield path
    shutil.rmtree(path, ignore_errors=True)


@pytest.mark.parametrize("name", CHANGES)
async def test_what_is_shown_as_kept_outlasts_a_power_cut(folder: Path, name: str) -> None:
    cuts = await cuts_of(name, folder / "made", folder / "used")
    assert {said for said, _ in cuts} == {True, False}
    assert list(untrue(name, folder, [*cuts[::SAMPLE], *cuts[-4:]])) == []


async def test_a_flush_that_is_left_out_is_found(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(history_file, "flush_data", lambda descriptor: None)
        cuts = await cuts_of("a new step", folder / "made", folder / "used")
    assert any("shown as kept" in told for told in untrue("a new step", folder, cuts))
