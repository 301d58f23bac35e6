"""Originals are kept byte for byte, never twice, never changed; what happens to them is found out."""

from __future__ import annotations

import errno
from hashlib import sha256
from pathlib import Path

import pytest

from logbook import disk
from logbook.errors import InputError, StoreError
from logbook.model.step import Photo
from logbook.photos.originals import NAME, keep, path_of, problems, sweep, unrecorded
from tests.photos.pictures import photo


def test_kept_byte_for_byte_under_a_name_by_content(tmp_path: Path) -> None:
    raw = photo(1)
    kept = keep(tmp_path / "photos", raw, ".jpg")
    assert (tmp_path / "photos" / kept.file).read_bytes() == raw
    assert NAME.fullmatch(kept.file)
    assert kept.sha256 == sha256(raw).hexdigest()
    assert not kept.was_there


def test_the_same_bytes_are_kept_once(tmp_path: Path) -> None:
    first = keep(tmp_path, photo(1), ".jpg")
    again = keep(tmp_path, photo(1), ".jpg")
    assert again == first._replace(was_there=True)
    assert len(list(tmp_path.iterdir())) == 1


def test_a_foreign_file_in_its_place_is_not_overwritten(tmp_path: Path) -> None:
    kept = keep(tmp_path, photo(1), ".jpg")
    (tmp_path / kept.file).write_bytes(b"something else")
    with pytest.raises(StoreError, match="holds something else"):
        keep(tmp_path, photo(1), ".jpg")
    assert (tmp_path / kept.file).read_bytes() == b"something else"


@pytest.mark.parametrize("call", ["fsync", "rename"])
def test_a_disk_that_refuses_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(disk, call, refuse)
    with pytest.raises(StoreError, match="No space left"):
        keep(tmp_path, photo(1), ".jpg")
    assert list(tmp_path.iterdir()) == []


def test_what_is_wrong_is_said_with_its_place(tmp_path: Path) -> None:
    good, changed, gone = (keep(tmp_path, photo(n), ".jpg") for n in range(3))
    (tmp_path / changed.file).write_bytes(photo(9))
    (tmp_path / gone.file).unlink()
    named = [("R1 T01", good), ("R1 T02", changed), ("R1 T03", gone)]
    said = problems(tmp_path, [(where, Photo(file=k.file, sha256=k.sha256)) for where, k in named])
    assert len(said) == 2
    assert "R1 T02" in said[0]
    assert "bytes have changed" in said[0]
    assert "R1 T03" in said[1]
    assert "is not in" in said[1]


@pytest.mark.parametrize("file", ["../unit.json", "/etc/passwd", "..", "a\\b", "a\0b"])
def test_no_name_leads_out_of_the_folder(tmp_path: Path, file: str) -> None:
    with pytest.raises(InputError, match="no name of a photo"):
        path_of(tmp_path, Photo(file=file))
    assert "no name of a photo" in problems(tmp_path, [("R1", Photo(file=file))])[0]


def test_files_that_no_record_names(tmp_path: Path) -> None:
    kept = keep(tmp_path, photo(1), ".jpg")
    (tmp_path / "other.jpg").write_bytes(b"x")
    assert unrecorded(tmp_path, [kept.file]) == ("other.jpg",)
    assert unrecorded(tmp_path / "nowhere", []) == ()


def test_half_copies_are_swept_and_originals_stay(tmp_path: Path) -> None:
    kept = keep(tmp_path, photo(1), ".jpg")
    (tmp_path / ".in-half").write_bytes(b"half")
    sweep(tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == [kept.file]
