"""Every effect goes through one module, so that the faults of the other tests reach all of them."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from logbook import disk, files
from logbook.errors import StoreError

ROOT = Path(__file__).parents[2]

WATCH = """
import os, sys
from pathlib import Path
from logbook import disk
from tests.store.script import book_for, observed, script

folder, inside, seen, bypassed = sys.argv[1], [0], [0], []

def wrap(real):
    def effect(*arguments):
        inside[0] += 1
        try:
            return real(*arguments)
        finally:
            inside[0] -= 1
    return effect

for name in disk.EFFECTS:
    setattr(disk, name, wrap(getattr(disk, name)))

CHANGES = {"os.rename", "os.remove", "os.link", "os.mkdir", "os.rmdir", "os.truncate", "os.symlink", "os.chmod"}

def hook(event, arguments):
    writes = event == "open" and (arguments[2] or 0) & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC)
    if not writes and event not in CHANGES:
        return
    path = os.fsdecode(arguments[0]) if isinstance(arguments[0], (str, bytes)) else ""
    if path.startswith(folder + "/") and not path.endswith("/.lock"):
        seen[0] += 1
        if not inside[0]:
            bypassed.append((event, path))

sys.addaudithook(hook)
book = book_for(folder)
for do, _ in script():
    do(book)
observed(book)
book.close()
print(seen[0], bypassed)
"""


def test_nothing_bypasses_the_module(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", WATCH, str(tmp_path / "book")], cwd=ROOT, capture_output=True, text=True, check=True
    )
    seen, _, bypassed = done.stdout.strip().partition(" ")
    assert bypassed == "[]"
    assert int(seen) > 150, "the watch sees what is done"


def test_short_writes_are_continued(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk, "write", lambda descriptor, raw: os.write(descriptor, bytes(raw)[:3]))
    files.replace_durably(str(tmp_path / "file"), b"0123456789")
    assert (tmp_path / "file").read_bytes() == b"0123456789"


@pytest.mark.parametrize("code", [errno.EPERM, errno.ENOTSUP, errno.EMLINK])
def test_a_disk_without_second_names_gets_a_copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int) -> None:
    def refuse(source: str, target: str) -> None:
        raise OSError(code, "injected")

    monkeypatch.setattr(disk, "link", refuse)
    (tmp_path / "a").write_bytes(b"old")
    files.copy_by_link(str(tmp_path / "a"), str(tmp_path / "b"))
    (tmp_path / "a").write_bytes(b"new")
    assert (tmp_path / "b").read_bytes() == b"old"


@pytest.mark.parametrize(
    ("code", "says"),
    [
        (errno.ENOSPC, "R1 was not kept: the disk is full. Free some space and try again."),
        (errno.EROFS, "R1 was not kept: the disk can only be read. Move the book to a disk that can be written"),
        (errno.EACCES, "R1 was not kept: this account may not write there. Look at who owns the folder"),
        (errno.EMFILE, "R1 was not kept: too many files are open. Close other programs and try again."),
        (errno.EIO, "R1 was not kept: the disk reported a fault. Copy the book to another disk soon."),
        (errno.EXDEV, "R1 was not kept: invalid cross-device link. Try again."),
        (None, "R1 was not kept: the disk refused. Try again."),
    ],
)
def test_a_refusal_is_a_sentence(code: int | None, says: str) -> None:
    error = files.refusal("R1 was not kept", OSError(code, "x") if code else OSError("x"))
    assert isinstance(error, StoreError)
    assert str(error).startswith(says)


def test_a_failed_replacement_leaves_the_old_file_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_bytes(b"old")

    def refuse(*_: object) -> None:
        raise OSError(errno.EIO, "injected")

    for name in ("write", "fsync", "rename"):
        with monkeypatch.context() as patch:
            patch.setattr(disk, name, refuse)
            with pytest.raises(OSError, match="injected"):
                files.replace_durably(str(tmp_path / "file"), b"new")
        assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"file": b"old"}
