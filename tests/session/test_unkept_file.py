"""Changes that the disk refused go to a file, and come in again from it: exactly, once, in the right thing."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from logbook import disk
from logbook.cli.run_command import run
from logbook.errors import InputError
from logbook.model.edits import change_step, drop_step, keep_step
from logbook.session import Session
from logbook.session.unkept_file import is_unkept_text, read_unkept, take_unkept_in, written_down
from tests.builders import offcut, screws, step, unit
from tests.tui.conftest import NOW, opened, said, until

NOTE = "the blue bag [/red] is the “small” one\u202e"


def full_disk(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def begun(path: Path) -> Session:
    return Session.open(path, by="AB", now=lambda: NOW)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Session]:
    session = begun(tmp_path / "book")
    session.add_unit(unit(step("T01", "plug"), step("T02", "back panel")))
    yield session
    session.close()


@pytest.fixture
def text(book: Session, monkeypatch: pytest.MonkeyPatch) -> bytes:
    """Three changes of the unit and one of the shop, refused and written down; the book has none of them."""
    with monkeypatch.context() as patch:
        patch.setattr(disk, "fdatasync", full_disk)
        new = step("T03", "clock spring", fasteners=[screws(3)], note=NOTE)
        book.apply("R1", "kept T03", partial(keep_step, step=new))
        book.apply("R1", "changed T02", partial(change_step, step=step("T02", "back panel", note="taped")))
        book.apply("R1", "changed T03", partial(change_step, step=step("T03", "clock spring", note="three coils")))
        book.apply_shop("O01 added", lambda s: s.model_copy(update={"offcuts": (offcut("O01"),)}))
        raw = written_down(book.unkept, book.now).encode()
        for change in reversed(book.unkept):
            book._unkept.drop(change)
    for code in ("R1", ""):
        book._forget(code)
    return raw


def test_they_are_taken_in_as_they_were_made_and_once(book: Session, text: bytes) -> None:
    assert is_unkept_text(text)
    assert take_unkept_in(book, read_unkept(text, "f")) == "Taken in: 4 changes that could not be kept."
    assert [(s.code, s.note) for s in book.unit("R1").steps] == [("T01", ""), ("T02", "taped"), ("T03", "three coils")]
    assert [o.code for o in book.shop.offcuts] == ["O01"]
    assert [e.what for e in book.entries("R1")][-3:] == ["kept T03", "changed T02", "changed T03"]
    assert take_unkept_in(book, read_unkept(text, "f")) == "Nothing was taken in: 4 were kept already."
    assert len(book.entries("R1")) == 4
    assert [book.undo("R1") for _ in range(3)] == ["changed T03", "changed T02", "kept T03"]


def test_what_was_taken_in_by_half_goes_on_where_it_ended(book: Session, text: bytes) -> None:
    changes = read_unkept(text, "f")
    take_unkept_in(book, changes[:2])
    assert take_unkept_in(book, changes) == "Taken in: 2 changes that could not be kept. 2 were kept already."
    assert [s.note for s in book.unit("R1").steps] == ["", "taped", "three coils"]


def test_a_change_never_lands_in_another_thing_nor_over_another_value(book: Session, text: bytes) -> None:
    changes = read_unkept(text, "f")
    book.apply("R1", "T01 taken out", partial(drop_step, code="T01"))  # T02 is now where T01 was
    before = book.unit("R1")
    with pytest.raises(InputError, match=r"“.*” of R1 does not fit the record as it stands now"):
        take_unkept_in(book, changes)
    assert book.unit("R1") is before
    assert book.shop.offcuts == ()
    book.undo("R1")
    book.apply("R1", "changed T02", partial(change_step, step=step("T02", "back panel", note="glued")))
    with pytest.raises(InputError, match="“changed T02” of R1 does not fit"):
        take_unkept_in(book, changes)
    assert [s.note for s in book.unit("R1").steps] == ["", "glued"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"do":[', '"do":[7,', "cannot be read: it was changed or cut"),
        ('{"change":', '{"changed":', "holds no change that could be taken in"),
        ('"record":"R1"', '"record":"R7"', "There is no unit R7"),
        ('"what":"clock spring"', '"what":7', "leaves no record that can be kept"),
        ('"code":"T03"', '"code":"T02"', "T02"),
        ('"path":"/steps/2"', '"path":"/steps/9"', "does not fit the record"),
        ('"op":"add"', '"op":"test"', "does not fit the record"),
    ],
)
def test_a_file_changed_by_hand_is_one_sentence_and_the_book_is_untouched(
    book: Session, text: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    assert old.encode() in text
    file = tmp_path / "changes.txt"
    file.write_bytes(text.replace(old.encode(), new.encode()))
    book.close()
    before = {p: p.read_bytes() for p in sorted(book.path.rglob("*.json*"))}
    assert run(["--book", str(book.path), "import", str(file)], now=lambda: NOW) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert "Traceback" not in told.err
    after = {p: p.read_bytes() for p in sorted(book.path.rglob("*.json*"))}
    passing = {".holder.json", ".index.json"}
    assert {p: b for p, b in after.items() if p.name not in passing} == {
        p: b for p, b in before.items() if p.name not in passing
    }


def test_the_command_takes_them_in(
    book: Session, text: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "changes.txt"
    file.write_bytes(text)
    book.close()
    assert run(["--book", str(book.path), "import", str(file)], now=lambda: NOW) == 0
    assert capsys.readouterr().out.startswith("Taken in: 4 changes that could not be kept. They are in ")
    with begun(book.path) as again:
        assert [s.code for s in again.unit("R1").steps] == ["T01", "T02", "T03"]


async def test_the_file_that_leaving_wrote_is_taken_in_on_the_bench(
    book: Session, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    file = tmp_path / "elsewhere.txt"
    with monkeypatch.context() as patch:
        patch.setattr(disk, "fdatasync", full_disk)
        async with opened(book) as pilot:
            book.apply("R1", "kept T03", partial(keep_step, step=step("T03", "clock spring", note=NOTE)))
            await pilot.press("q", "e", "ctrl+u", *str(file), "enter")
            await until(pilot, lambda: not pilot.app.is_running, "it left")
    with begun(tmp_path / "book") as again:
        assert len(again.unit("R1").steps) == 2
        async with opened(again) as pilot:
            await pilot.press("F", "ctrl+u", *str(file), "enter")
            await pilot.pause()
            assert said(pilot) == "Taken in: 1 change that could not be kept."
            assert again.unit("R1").steps[2].note == NOTE
