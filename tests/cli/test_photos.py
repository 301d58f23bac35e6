"""Photos from a folder to their steps, checked and copied out, by commands alone."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from logbook.model.photo_edits import photos_of
from logbook.model.unit import Unit
from logbook.session import Session
from tests.builders import at, step, unit
from tests.cli.conftest import Ask, BookOf
from tests.photos.pictures import photo

RADIO = unit(
    step("T01", "plug", at=at("2026-03-12 19:00"), photo_taken=True),
    step("T02", "back panel", at=at("2026-03-12 19:06")),
    step("T03", "pointer", at=at("2026-03-12 19:15"), photo_taken=True),
)


@pytest.fixture
def phone(tmp_path: Path) -> Path:
    """A folder with pictures whose camera is two minutes fast, and with things that are no pictures."""
    folder = tmp_path / "phone"
    (folder / "more").mkdir(parents=True)
    for name, moment, number in (("a", "19:05:00", 1), ("b", "19:10:00", 2), ("more/c", "21:00:00", 3)):
        raw = photo(number, time=f"2026:03:12 {moment}", offset="+00:00", place=True, camera="phone")
        (folder / f"{name}.jpg").write_bytes(raw)
    (folder / "again.jpg").write_bytes((folder / "a.jpg").read_bytes())
    (folder / "notes.jpg").write_bytes(b"no picture")
    (folder / "empty.heic").write_bytes(b"")
    clock = photo(9, time="2026:03:12 18:47:00", offset="+00:00", camera="phone")
    (folder / "clock.jpg").write_bytes(clock)
    return folder


def everything(folder: Path) -> dict[str, tuple[bytes, float]]:
    return {str(p): (p.read_bytes(), os.stat(p).st_mtime) for p in sorted(folder.rglob("*")) if p.is_file()}


def kept(book: Path) -> Unit:
    with Session.open(book, read_only=True) as session:
        return session.unit("R1")


def test_proposed_kept_checked_copied_and_undone(ask: Ask, book_of: BookOf, phone: Path, tmp_path: Path) -> None:
    book = book_of(RADIO)
    before = everything(phone)
    words = ("photos", "link", phone, "--clock-picture", phone / "clock.jpg", "--shows", "18:45:00", "--book", book)
    proposed = ask(*words, "--json").json
    assert [(Path(x["file"]).name, x["step"], x["certainty"]) for x in proposed["links"]] == [
        ("a.jpg", "T02", "certain"),
        ("b.jpg", "T03", "certain"),
    ]
    assert [Path(x["file"]).name for x in proposed["orphans"]] == ["c.jpg"]
    assert proposed["clocks"]["phone"]["ahead_seconds"] == 120
    assert sorted(s.split()[0] for s in proposed["refused"]) == ["again.jpg", "empty.heic", "notes.jpg"]
    assert list(photos_of(kept(book))) == []

    done = ask(*words, "--keep", "certain")
    assert done.code == 0
    assert "Linked: 2 in R1" in done.out
    unit_now = kept(book)
    assert [(p.spot.code, p.photo.linked.value) for p in photos_of(unit_now)] == [
        ("T02", "by time"),
        ("T03", "by time"),
    ]
    assert unit_now.steps[1].photos[0].taken_at == datetime(2026, 3, 12, 19, 3, tzinfo=UTC)
    file = book / "units" / "R1" / "photos" / unit_now.steps[1].photos[0].file
    assert file.read_bytes() == (phone / "a.jpg").read_bytes()
    assert everything(phone) == before

    again = ask(*words, "--json").json
    assert [x["at"] for x in again["known"]] == ["R1 T02", "R1 T03"]
    assert ask("photos", "check", "--book", book).code == 0
    out = tmp_path / "out"
    assert ask("photos", "export", "R1", out, "--book", book).code == 0
    assert sorted(p.name for p in out.iterdir()) == ["R1-T02-01.jpg", "R1-T03-01.jpg", "R1-captions.txt"]
    captions = (out / "R1-captions.txt").read_text("utf-8").splitlines()
    assert captions == ["R1-T02-01.jpg\tback panel\tclose\t", "R1-T03-01.jpg\tpointer\tclose\t"]
    assert b"phone" not in (out / "R1-T02-01.jpg").read_bytes()
    assert "left alone" in ask("photos", "export", "R1", out, "--book", book).err

    with Session.open(book) as session:
        assert session.undo() == "2 photos linked"
        assert list(photos_of(session.unit("R1"))) == []
    assert file.name in ask("photos", "orphans", "--book", book).out.replace("\n", "")


def test_a_changed_original_ends_with_one(ask: Ask, book_of: BookOf, phone: Path) -> None:
    book = book_of(RADIO)
    ask("photos", "link", phone, "--clock", "2:00", "--keep", "certain", "--book", book)
    file = next((book / "units" / "R1" / "photos").iterdir())
    file.write_bytes(b"changed")
    done = ask("photos", "check", "--book", book)
    assert done.code == 1
    assert "its bytes have changed" in " ".join(done.out.split())


WRONG = [
    (("photos",), "WHAT"),
    (("photos", "link", "/nowhere/at/all"), "is no folder"),
    (("photos", "link", ".", "--clock", "fast"), "is no clock error"),
    (("photos", "link", ".", "--shows", "21:04"), "needs both"),
    (("photos", "link", ".", "X9"), "There is no unit"),
    (("photos", "lnk", "."), "there is no “lnk”. Did you mean link?"),
]


@pytest.mark.parametrize(("words", "said"), WRONG)
def test_bad_use_is_a_sentence(
    ask: Ask, book_of: BookOf, words: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = ask(*words, "--book", book_of(RADIO))
    assert done.code == 2
    assert said in done.err
    assert done.err.count("\n") == 1


def test_while_another_program_writes_nothing_is_linked(ask: Ask, book_of: BookOf, phone: Path) -> None:
    book = book_of(RADIO)
    with Session.open(book):
        done = ask("photos", "link", phone, "--keep", "all", "--book", book)
    assert done.code == 2
    assert "Nothing was changed" in done.err
    assert not (book / "units" / "R1" / "photos").exists()


def test_a_folder_without_pictures(ask: Ask, book_of: BookOf, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    done = ask("photos", "link", empty, "--book", book_of(RADIO))
    assert done.code == 0
    assert done.out.startswith("0 pictures")
    assert "There is no picture in that folder." in done.out
    assert "--keep" not in done.out


def test_a_folder_that_is_linked_already_says_so(ask: Ask, book_of: BookOf, tmp_path: Path) -> None:
    folder = tmp_path / "phone"
    folder.mkdir()
    (folder / "a.jpg").write_bytes(photo(1, time="2026:03:12 19:03:00", offset="+00:00"))
    book = book_of(RADIO)
    ask("photos", "link", folder, "--keep", "all", "--book", book)
    again = ask("photos", "link", folder, "--book", book)
    assert "Every picture of that folder is in the record already." in again.out
    assert "--keep" not in again.out


def test_the_demo_has_pictures_at_its_steps_and_some_to_try_linking_with(ask: Ask, tmp_path: Path) -> None:
    book = tmp_path / "demo"
    assert ask("demo", "--book", book).code == 0
    with Session.open(book, read_only=True) as session:
        placed = {code: [p.spot.code for p in photos_of(session.unit(code))] for code in session.codes()}
    assert placed == {"R1": ["T01", "T02", "T05", "T06", "T11", "T12"], "C1": ["C04", "C05"], "G1": [], "L1": []}
    assert ask("photos", "check", "--book", book).code == 0
    before = everything(book / "phone")
    linked = ask("photos", "link", book / "phone", "--book", book, "--json").json
    assert {(Path(x["file"]).name, x["step"], x["certainty"]) for x in linked["links"]} == {
        ("phone-0001.jpg", "T13", "certain"),
        ("phone-0002.jpg", "T13", "unsure"),  # a minute or two before the next: the clock is not known so well
        ("phone-0003.jpg", "T15", "certain"),  # its card says so
        ("phone-0004.jpg", "T16", "certain"),
    }
    assert [Path(x["file"]).name for x in linked["orphans"]] == ["phone-0005.jpg"]
    assert everything(book / "phone") == before
