"""A command says that something is kept exactly when it is: with a fault at every effect on the disk."""

from __future__ import annotations

import errno
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from logbook.photos import originals
from tests.cli.conftest import Ask
from tests.cli.writing import WRITING, again, called, is_done, prepare
from tests.store.faults import Faults

ERRORS = (errno.ENOSPC, errno.EIO, errno.EROFS, "short")
"""Each effect meets one of these, the next effect the next."""


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder in memory where there is one: every command runs a hundred times."""
    where = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    path = Path(tempfile.mkdtemp(dir=where))
    yield path
    shutil.rmtree(path, ignore_errors=True)


@dataclass(frozen=True)
class Tried:
    """What a command with a fault left behind."""

    code: int
    out: str
    err: str
    effects: list[str]


Try = Callable[..., Tried]


@pytest.fixture
def tried(folder: Path, capsys: pytest.CaptureFixture[str]) -> Try:
    """Run one command with one fault; fails when its word is not true."""
    (folder / "made").mkdir()
    prepare(folder / "made")

    def once(name: str, at: int = 0, what: object = None, *, stays: bool = False) -> Tried:
        again(folder / "made", folder / "used")
        with Faults(at, what, stays=stays).on() as faults:
            code = called(folder / "used", WRITING[name])
        said = capsys.readouterr()
        done = is_done(folder / "used/book", WRITING[name])
        where = (name, at, what, faults.names[-5:], said)
        assert "Traceback" not in said.out + said.err, where
        if code == 2:
            assert said.err.startswith("logbook: "), where
            assert not any(word in said.out for word in ("Taken in", "Ticked", "Linked:")), where
            # A disk that refuses on refuses also that what was half done is taken away again.
            assert stays or not done, where
        else:
            assert done or "There was nothing to link" in said.out, where  # what cannot be read takes no pictures
        return Tried(code, said.out, said.err, faults.names)

    return once


@pytest.mark.parametrize("name", WRITING)
def test_done_is_said_only_of_what_is_kept(name: str, tried: Try) -> None:
    whole = tried(name)
    assert whole.code in (0, 1)
    refused = 0
    for number in range(1, len(whole.effects) + 1):
        error = ERRORS[number % len(ERRORS)]
        refused += tried(name, number, error, stays=number % 2 == 0).code == 2
    assert refused > 5


def test_a_photo_that_the_disk_refuses_is_not_linked(tried: Try, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path, raw: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(originals, "write_durably", refuse)
    done = tried("link photos")
    assert done.code == 2
    assert "could not be kept" in done.err


def test_a_calendar_is_never_written_over_a_history_nor_over_another_file(ask: Ask, demo: Path, tmp_path: Path) -> None:
    history = demo / "units/R1/unit.history.jsonl"
    before = history.read_bytes()
    for words in (("--replace",), ()):
        refused = ask("--book", demo, "plan", "--ics", history, *words)
        assert refused.code == 2
        assert "belongs to the records" in refused.err
    assert history.read_bytes() == before
    letter = tmp_path / "letter.ics"
    letter.write_text("not ours")
    refused = ask("--book", demo, "plan", "--ics", letter)
    assert (refused.code, letter.read_text()) == (2, "not ours")
    assert "left alone" in refused.err
    assert ask("--book", demo, "plan", "--ics", letter, "--replace").code in (0, 1)
    assert letter.read_text().startswith("BEGIN:VCALENDAR")
