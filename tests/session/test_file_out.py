"""Files outside the records are written whole, and over nothing unless that was said; never over a book."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from logbook import disk
from logbook.errors import InputError
from logbook.session import Session
from logbook.session.file_out import put_file
from tests.builders import unit


@pytest.fixture
def book(tmp_path: Path) -> Path:
    with Session.open(tmp_path / "book") as session:
        session.add_unit(unit())
    return tmp_path / "book"


def test_a_file_is_written_whole_and_replaced_only_when_that_is_said(tmp_path: Path) -> None:
    target = tmp_path / "week.ics"
    assert put_file(target, b"one") == target
    with pytest.raises(InputError, match=r"already a file .*left alone"):
        put_file(target, b"two")
    assert target.read_bytes() == b"one"
    put_file(target, b"three", replace=True)
    assert target.read_bytes() == b"three"
    assert put_file(tmp_path, b"four", name="list.txt") == tmp_path / "list.txt"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["list.txt", "week.ics"]


@pytest.mark.parametrize("replace", [False, True])
@pytest.mark.parametrize(
    "name", ["units/R1/unit.history.jsonl", "units/R1/unit.json", "shop/shop.json", "book.json", ".lock", "units/new"]
)
def test_nothing_of_a_book_is_ever_written_over(book: Path, name: str, *, replace: bool) -> None:
    before = (book / name).read_bytes() if (book / name).exists() else None
    with pytest.raises(InputError, match="belongs to the records of the book"):
        put_file(book / name, b"", replace=replace)
    assert ((book / name).read_bytes() if (book / name).exists() else None) == before


def test_a_second_name_of_a_history_is_known_as_what_it_is(book: Path, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(book / "units/R1/unit.history.jsonl")
    with pytest.raises(InputError, match="belongs to the records"):
        put_file(tmp_path / "link", b"", replace=True)
    assert put_file(book / "paper.txt", b"beside the records") == book / "paper.txt"


def test_what_is_no_ordinary_file_is_left_alone(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="no ordinary file"):
        put_file(tmp_path / "pipe", b"", replace=True)
    (tmp_path / "folder").mkdir()
    with pytest.raises(InputError, match="is a folder"):
        put_file(tmp_path / "folder", b"", replace=True)
    with pytest.raises(InputError, match="not the name of a file"):
        put_file(tmp_path / "a\0b", b"")


@pytest.mark.parametrize("replace", [False, True])
def test_a_full_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, replace: bool) -> None:
    target = tmp_path / "week.ics"
    if replace:
        target.write_bytes(b"before")

    def refuse(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(disk, "fsync", refuse)
    with pytest.raises(InputError, match="the disk is full"):
        put_file(target, b"after", replace=replace)
    assert [p.name for p in tmp_path.iterdir()] == (["week.ics"] if replace else [])
    assert not replace or target.read_bytes() == b"before"


def test_a_file_that_comes_meanwhile_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target, real = tmp_path / "week.ics", os.fsync

    def another_comes(descriptor: int) -> None:
        target.write_bytes(b"another's")
        real(descriptor)

    monkeypatch.setattr(disk, "fsync", another_comes)
    with pytest.raises(InputError, match="left alone"):
        put_file(target, b"ours")
    assert target.read_bytes() == b"another's"


def test_a_disk_without_second_names_is_served_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(source: Path, target: Path) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(disk, "link", refuse)
    put_file(tmp_path / "week.ics", b"one")
    with pytest.raises(InputError, match="left alone"):
        put_file(tmp_path / "week.ics", b"two")
    assert (tmp_path / "week.ics").read_bytes() == b"one"
