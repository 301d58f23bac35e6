"""Every effect on the disk fails once: nothing acknowledged is lost, memory never runs ahead, and retrying works."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from logbook import files
from logbook.errors import StoreError
from logbook.store import folders
from tests.store.building import put, radio, with_radio
from tests.store.faults import Death, Faults
from tests.store.script import Model, Step, book_for, observed, script

if TYPE_CHECKING:
    from collections.abc import Iterator

EDITS = 30
"""All that the script does stands in its first 24 edits; `tests.benchmarks.store_faults` goes through 50."""
NOTHING: Model = {"shop": {}, "removed": 0}


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder in memory where there is one: the script runs thousands of times."""
    where = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    path = Path(tempfile.mkdtemp(dir=where))
    yield path / "book"
    shutil.rmtree(path, ignore_errors=True)


def run(path: Path, steps: list[Step], done: list[Model], faults: Faults | None = None) -> None:
    """Work through the script as a program does: a refused change is looked at and tried once more."""
    book, said = book_for(path), []
    for do, after in steps:
        try:
            do(book)
        except StoreError as error:
            said.append(str(error))
            if faults and faults.stays:
                faults.heal()  # the person made room on the disk
            assert observed(book) == done[-1], "a refused change is not in memory"
            do(book)
        done.append(after)
    book.close()
    assert all(sentence.endswith(".") for sentence in said)


def reopened(path: Path) -> Model:
    """What the book says when it is opened anew; its stories must be whole too."""
    book = book_for(path)
    try:
        for document in (book.shop, *book.units.values()):
            assert document.look_through() == ()
            assert [entry.n for entry in document.entries()] == list(range(1, document.version + 1))
        return observed(book)
    finally:
        book.close()


def effects(folder: Path, steps: list[Step]) -> list[str]:
    """The effects of the script, in order."""
    with Faults().on() as faults:
        run(folder, steps, [NOTHING])
    shutil.rmtree(folder)
    assert len(faults.names) > 400
    return faults.names


def release(folder: Path) -> None:
    """The lock ends with the process; here the process lives on, so its lock file is taken away."""
    (folder / ".lock").unlink(missing_ok=True)


@pytest.mark.parametrize("what", ["half", "after"])
def test_death_at_every_effect(folder: Path, what: str) -> None:
    """Death before an effect is death after the one before it."""
    steps = list(script(EDITS))
    for at in range(1, len(effects(folder, steps)) + 1):
        done = [NOTHING]
        with Faults(at, what).on() as faults, pytest.raises(Death):
            run(folder, steps, done)
        release(folder)
        after = [after for _, after in steps][len(done) - 1 : len(done)]
        found = reopened(folder)
        assert found in [done[-1], *after], (what, at, faults.names[-5:])
        assert reopened(folder) == found, (what, at)
        shutil.rmtree(folder, ignore_errors=True)


ERRORS = [errno.EIO, errno.ENOSPC, errno.EACCES, errno.EROFS, errno.EMFILE, errno.EINTR]
"""Every effect meets one of these, the next effect the next; a write also meets a disk that is full half-way."""


@pytest.mark.parametrize("stays", [False, True], ids=["once", "until the change is refused"])
def test_an_error_at_every_effect(folder: Path, *, stays: bool) -> None:
    steps = list(script(EDITS))
    for at, name in enumerate(effects(folder, steps), 1):
        fails(folder, steps, at, ERRORS[at % len(ERRORS)], stays=stays)
        if name == "write":
            fails(folder, steps, at, "short", stays=stays)


def fails(folder: Path, steps: list[Step], at: int, what: object, *, stays: bool) -> None:
    """One run with one fault: nothing acknowledged is lost, and whatever was refused worked when tried again."""
    done = [NOTHING]
    with Faults(at, what, stays=stays).on() as faults:
        try:
            run(folder, steps, done, faults)
        except StoreError:
            assert done == [NOTHING], (what, at, faults.names[-5:])  # only opening may fail as a whole
    release(folder)
    if len(done) > 1:
        assert done[-1] == steps[-1][1]
        assert reopened(folder) == done[-1], (what, at, faults.names[-5:])
    shutil.rmtree(folder, ignore_errors=True)


def test_a_real_full_disk(tmp_path: Path) -> None:
    """A limit on the size of files refuses as a full disk does: the first part of a write is there."""
    import resource
    import signal

    path = tmp_path / "book"
    book = with_radio(path)
    unit = book.units["R1"]
    size = (path / "units/R1/unit.history.jsonl").stat().st_size
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    try:
        kept, said = 0, set()
        for room in range(0, 3000, 37):
            resource.setrlimit(resource.RLIMIT_FSIZE, (size + room, before[1]))
            try:
                unit.change("v", *put(kept + 1, kept))
                kept += 1
            except StoreError as error:
                said.add(str(error).split(": ")[1])
            assert unit.state["v"] == kept
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)
    assert 5 < kept < 80
    assert said == {"the file would become too large for this disk. Try again."}
    book.close()
    assert reopened(path)["R1"]["v"] == kept


def flush_refused(monkeypatch: pytest.MonkeyPatch, ending: str) -> None:
    """Flushing the names of a folder fails, so that what was just renamed there may not last."""
    real = files.flush_folder

    def refuse(folder: str) -> None:
        if folder.endswith(ending):
            raise OSError(errno.EIO, "injected")
        real(folder)

    for module in (files, folders):
        monkeypatch.setattr(module, "flush_folder", refuse)


def test_a_unit_whose_beginning_was_refused_is_not_there_later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = with_radio(tmp_path / "book")
    with monkeypatch.context() as patch:
        flush_refused(patch, "G1")
        with pytest.raises(StoreError, match="G1 was not begun"):
            book.add_unit("G1", radio(), "no")
    assert book.poll() == set()
    book.close()
    assert set(reopened(tmp_path / "book")) == {"R1", "shop", "removed"}


def test_a_unit_whose_removal_was_refused_is_where_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = with_radio(tmp_path / "book")
    with monkeypatch.context() as patch:
        flush_refused(patch, "removed")
        (tmp_path / "book/removed").mkdir()
        with pytest.raises(StoreError, match="R1 was not removed"):
            book.remove_unit("R1")
    assert (tmp_path / "book/units/R1/unit.json").exists()
    book.units["R1"].change("goes on", *put(1, 0))
    book.close()
    assert reopened(tmp_path / "book")["R1"]["v"] == 1
