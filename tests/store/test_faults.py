"""Every effect on the disk fails once: nothing acknowledged is lost, memory never runs ahead, and retrying works."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from logbook.errors import StoreError
from tests.store.building import put, with_radio
from tests.store.faults import DEATHS, ERRORS, Death, Faults
from tests.store.script import Model, book_for, observed, script

if TYPE_CHECKING:
    from collections.abc import Iterator

    from logbook.store import BookFolder

EDITS = 50


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder in memory where there is one: the script runs thousands of times."""
    where = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    path = Path(tempfile.mkdtemp(dir=where))
    yield path / "book"
    shutil.rmtree(path, ignore_errors=True)


def run(path: Path, steps: list, done: list[Model]) -> BookFolder:
    """Work through the script as a program does: a refused change is looked at and tried once more."""
    book = book_for(path)
    for do, after in steps:
        try:
            do(book)
        except StoreError as error:
            assert str(error).endswith("."), error
            assert observed(book) == done[-1], "a refused change is not in memory"
            do(book)
        done.append(after)
    book.close()
    return book


def reopened(path: Path) -> Model:
    book = book_for(path)
    try:
        return observed(book)
    finally:
        book.close()


def effects(folder: Path, steps: list) -> int:
    with Faults().on() as faults:
        run(folder, steps, [{}])
    shutil.rmtree(folder)
    return faults.count


@pytest.mark.parametrize("what", DEATHS)
def test_death_at_every_effect(folder: Path, what: str) -> None:
    steps = list(script(EDITS))
    empty: Model = {"shop": {}, "removed": 0}
    for at in range(1, effects(folder, steps) + 1):
        done = [empty]
        with Faults(at, what).on() as faults, pytest.raises(Death):
            run(folder, steps, done)
        release(folder)
        after = [after for _, after in steps][len(done) - 1 : len(done)]
        found = reopened(folder)
        assert found in [done[-1], *after], (what, at, faults.names[-5:])
        assert reopened(folder) == found, (what, at)
        shutil.rmtree(folder, ignore_errors=True)


def release(folder: Path) -> None:
    """The lock ends with the process; here the process lives on, so its lock file is taken away."""
    (folder / ".lock").unlink(missing_ok=True)


@pytest.mark.parametrize("what", ERRORS, ids=lambda what: errno.errorcode.get(what, what))
def test_an_error_at_every_effect(folder: Path, what: object) -> None:
    steps = list(script(EDITS))
    for at in range(1, effects(folder, steps) + 1):
        done: list[Model] = [{"shop": {}, "removed": 0}]
        with Faults(at, what).on() as faults:
            try:
                run(folder, steps, done)
            except StoreError:
                assert done == done[:1], (what, at, faults.names[-5:])  # only opening may fail as a whole
        release(folder)
        if len(done) > 1:
            assert reopened(folder) == done[-1], (what, at, faults.names[-5:])
        shutil.rmtree(folder, ignore_errors=True)
