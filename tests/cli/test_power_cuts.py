"""A power cut at the effects of every command that writes: what was said to be done is there. The cuts can fail."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from logbook.photos import originals
from logbook.session import file_out
from logbook.store import history_file
from tests.cli.power_cuts import COMMANDS, cuts_of, untrue
from tests.cli.writing import prepare

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


@pytest.mark.parametrize("name", COMMANDS)
def test_what_is_said_to_be_done_outlasts_a_power_cut(folder: Path, name: str) -> None:
    cuts = cuts_of(name, folder / "made", folder / "used")
    assert {said for said, _ in cuts} == {True, False}
    assert list(untrue(name, folder, [*cuts[::SAMPLE], *cuts[-4:]])) == []


def _no_flush(*_: object) -> None:
    """What a program does that does not wait for the disk."""


def _made_only(folder: str) -> None:
    os.makedirs(folder, exist_ok=True)


@pytest.mark.parametrize(
    ("name", "where", "what", "instead"),
    [
        ("ticks", history_file, "flush_data", _no_flush),
        ("a print", file_out, "flush_folder", _no_flush),
        ("link photos", originals, "make_folder", _made_only),
    ],
)
def test_a_flush_that_is_left_out_is_found(
    folder: Path, monkeypatch: pytest.MonkeyPatch, name: str, where: object, what: str, instead: Callable[..., None]
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(where, what, instead)
        cuts = cuts_of(name, folder / "made", folder / "used")
    assert any("said to be done" in told for told in untrue(name, folder, cuts))
