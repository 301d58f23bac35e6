"""A power cut at every moment loses nothing that was acknowledged; and the model finds missing flushes."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from logbook import disk, files
from logbook.errors import StoreError
from logbook.store import history_file, storage
from tests.store.power import Files, Machine, lay_out, watched
from tests.store.script import Model, book_for, observed, script

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture
def scratch() -> Iterator[Path]:
    where = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    path = Path(tempfile.mkdtemp(dir=where))
    yield path
    shutil.rmtree(path, ignore_errors=True)


def possible(scratch: Path, edits: int) -> tuple[dict[tuple[int, Files], None], list[Model]]:
    """Every outcome of a cut during the script with the number of acknowledged steps, and the model after each."""
    steps = list(script(edits))
    models: list[Model] = [{"shop": {}, "removed": 0}, *(after for _, after in steps)]
    machine, found, done = Machine(scratch / "book"), {}, 0

    def moment() -> None:
        for outcome in machine.outcomes():
            found[done, outcome] = None

    with watched(machine, moment):
        book = book_for(scratch / "book")
        for do, _ in steps:
            do(book)
            done += 1
            moment()
        book.close()
    return found, models


def lost(scratch: Path, edits: int) -> Iterator[str]:
    """Outcomes after which the book does not say what was acknowledged."""
    found, models = possible(scratch, edits)
    assert len(found) > edits * 50, "the model must see something"
    for number, (done, outcome) in enumerate(found):
        place = scratch / f"cut{number}"
        lay_out(outcome, place)
        try:
            book = book_for(place / "book")
            says = observed(book)
            book.close()
        except StoreError as error:
            says = {"error": str(error)}
        if says not in models[done : done + 2]:
            yield f"after {done} steps: {says}"
        shutil.rmtree(place)


def test_nothing_acknowledged_is_lost(scratch: Path) -> None:
    assert list(lost(scratch, 22)) == []


def test_the_cut_after_a_cut_loses_nothing_either(scratch: Path) -> None:
    """Opening after a cut repairs files; a cut during that repair must not lose more."""
    found, models = possible(scratch, 12)
    for number, (done, outcome) in enumerate(list(found)[::61]):
        place = scratch / f"cut{number}"
        lay_out(outcome, place)
        machine, second = Machine(place / "book"), {}
        machine.lay(outcome)

        def moment(machine: Machine = machine, second: dict[Files, None] = second) -> None:
            second.update(dict.fromkeys(machine.outcomes()))

        with watched(machine, moment):
            book = book_for(place / "book")
            observed(book)
            book.close()
        for again, left in enumerate(second):
            third = scratch / f"cut{number}-{again}"
            lay_out(left, third)
            book = book_for(third / "book")
            assert observed(book) in models[done : done + 2]
            book.close()
            shutil.rmtree(third)
        shutil.rmtree(place)


def test_a_new_history_whose_name_could_not_be_flushed_is_flushed_before_the_next_change(
    scratch: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, refused = files.replace_durably, []

    def renamed_only(path: str, raw: bytes) -> None:
        if refused or not os.path.exists(path):
            real(path, raw)
            return
        refused.append(path)
        disk.rename(files.write_beside(path, raw), path)
        raise OSError(errno.EIO, "injected")

    def no_document(path: str, raw: bytes) -> None:
        if refused:  # renewing the document would flush the folder too
            raise OSError(errno.EIO, "injected")
        real(path, raw)

    monkeypatch.setattr(history_file, "replace_durably", renamed_only)
    monkeypatch.setattr(storage, "replace_durably", no_document)
    assert list(lost(scratch, 13)) == []
    assert len(refused) == 1, "older history was packed"


def no_file_flush(monkeypatch: pytest.MonkeyPatch) -> None:
    """A new file takes its place before its bytes are on the disk."""
    monkeypatch.setattr(files, "flush_file", lambda descriptor: None)


def no_history_flush(monkeypatch: pytest.MonkeyPatch) -> None:
    """A change is acknowledged before it is on the disk."""
    monkeypatch.setattr(history_file, "flush_data", lambda descriptor: None)


def no_folder_flush(monkeypatch: pytest.MonkeyPatch) -> None:
    """A renamed file may go back to the old one after later changes were acknowledged."""
    real = files.flush_folder
    monkeypatch.setattr(files, "flush_folder", lambda path: None if path.endswith("R1") else real(path))


def no_new_name_flush(monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder of a new unit may vanish."""
    real = files.flush_folder
    monkeypatch.setattr(files, "flush_folder", lambda path: None if path.endswith("units") else real(path))


def rewritten_in_place(monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is overwritten instead of replaced."""

    def in_place(path: str, raw: bytes) -> None:
        with files.opened(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC) as descriptor:
            files.write_all(descriptor, raw)
            files.flush_file(descriptor)
        files.flush_folder(os.path.dirname(path))

    monkeypatch.setattr(history_file, "replace_durably", in_place)


MUTATIONS = [no_file_flush, no_history_flush, no_folder_flush, no_new_name_flush, rewritten_in_place]


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.__name__)
def test_the_model_finds_what_is_left_out(scratch: Path, monkeypatch: pytest.MonkeyPatch, mutation: object) -> None:
    mutation(monkeypatch)
    assert next(lost(scratch, 20), None) is not None
