"""A record of an older version, and ticks that come back from a list printed from it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from logbook.errors import InputError
from logbook.model.edits import keep_step
from logbook.model.paths import put_at
from logbook.session import Session
from logbook.session.ticks_from_paper import changes_since, take_ticks
from tests.builders import step, steps, unit

NOW = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Session]:
    with Session.open(tmp_path / "book", by="AB", now=lambda: NOW) as session:
        session.add_unit(unit(*steps(3)))
        yield session


def test_every_version_can_be_read_back(book: Session) -> None:
    read = {book.kept("R1").version: book.unit("R1")}
    for i in range(5):
        book.apply("R1", f"note {i}", lambda u, i=i: put_at(u, ("notes",), f"{i}"))
        read[book.kept("R1").version] = book.unit("R1")
    book.undo("R1")
    read[book.kept("R1").version] = book.unit("R1")
    assert len(read) == 7
    for version, record in read.items():
        assert book.unit_of_version("R1", version) == record


@pytest.mark.parametrize("version", [0, -1, 99])
def test_a_version_that_never_was_is_refused(book: Session, version: int) -> None:
    with pytest.raises(InputError, match=rf"versions 1 to 1; {version} is none"):
        book.unit_of_version("R1", version)


def test_ticks_of_the_latest_version_are_one_change_that_undo_takes_back(book: Session) -> None:
    taken = take_ticks(book, "R1", "A01-A03", initials="CD")
    assert taken.sentences == ("Ticked: A01, A02, A03.",)
    assert [s.done for s in book.unit("R1").refit.lines] == [True, True, True]
    assert book.undo("R1") == "A01-A03 ticked from paper of version 1"
    assert book.unit("R1").refit.lines == ()


def test_an_older_paper_says_what_changed_since(book: Session) -> None:
    book.apply("R1", "one more step", lambda u: keep_step(u, step("T04", "part 4")))
    book.apply("R1", "T03: note", lambda u: put_at(u, ("steps", "T03", "note"), "left first"))
    taken = take_ticks(book, "R1", "A01-A02 v1", override="as on the paper")
    assert taken.what == "Ticked: A01, A03."
    assert any("A02 on the paper is A03 now" in s for s in taken.since)
    assert any("Look at it again" in s for s in taken.since)
    assert "Since version 1: 2 changes besides ticks." in taken.since
    assert [s.rpartition("18:00 ")[2] for s in taken.since[-2:]] == ["one more step", "T03: note"]


def test_ticks_are_no_change_that_is_told(book: Session) -> None:
    take_ticks(book, "R1", "A01")
    assert changes_since(book, "R1", 1) == ()
    assert take_ticks(book, "R1", "A02 v1").since == ()


def test_many_changes_are_counted(book: Session) -> None:
    for i in range(20):
        book.apply("R1", f"note {i}", lambda u, i=i: put_at(u, ("notes",), f"{i}"))
    said = changes_since(book, "R1", 1)
    assert said[0] == "Since version 1: 20 changes besides ticks."
    assert said[-1] == "and 8 before these"


def test_what_is_refused_changes_nothing(book: Session) -> None:
    before = book.kept("R1").version
    for typed in ("A99", "A01 v77", ""):
        with pytest.raises(InputError):
            take_ticks(book, "R1", typed)
    assert book.kept("R1").version == before
