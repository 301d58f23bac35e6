"""Undo and redo over a whole book: in the order of time, over units that came and went, over two documents at once."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from logbook.errors import InputError
from logbook.model.unit import Unit
from logbook.session import RecordNews, Session
from tests.builders import offcut, unit

START = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Session]:
    """An empty book whose clock goes on by a minute whenever it is read."""
    minutes = count()
    session = Session.open(tmp_path / "book", now=lambda: START + timedelta(minutes=next(minutes)))
    yield session
    session.close()


def note(session: Session, code: str, text: str) -> None:
    """Write a note into a unit."""
    session.apply(code, text, lambda u: u.model_copy(update={"notes": text}))


def test_changes_and_units_go_back_in_the_order_of_time_and_come_again(book: Session) -> None:
    book.add_unit(unit(code="R1"))
    note(book, "R1", "first note")
    book.add_unit(unit(code="G1", name="bench grinder"))
    note(book, "R1", "second note")
    note(book, "G1", "grinder note")
    done = [book.undo() for _ in range(5)]
    assert done == ["grinder note", "second note", "G1 bench grinder arrived", "first note", "R1 table radio arrived"]
    assert book.codes() == ()
    assert [book.redo() for _ in range(6)] == [*reversed(done), None]
    assert book.codes() == ("G1", "R1")
    assert (book.unit("R1").notes, book.unit("G1").notes) == ("second note", "grinder note")


def test_two_units_in_turn_go_back_in_turn(book: Session) -> None:
    """Undoing in one unit makes it the newest on disk; the next undo still goes to the other one."""
    book.add_unit(unit(code="R1"))
    book.add_unit(unit(code="G1", name="bench grinder"))
    for i in range(3):
        note(book, "R1", f"radio {i}")
        note(book, "G1", f"grinder {i}")
    done = [book.undo() for _ in range(6)]
    assert done == ["grinder 2", "radio 2", "grinder 1", "radio 1", "grinder 0", "radio 0"]
    assert [book.redo() for _ in range(6)] == [*reversed(done)]


def test_a_unit_taken_out_comes_back_as_it_was_with_its_story(book: Session) -> None:
    book.add_unit(unit(code="R1"))
    note(book, "R1", "kept")
    before = book.unit("R1")
    news: list[RecordNews] = []
    book.subscribe(news.append)
    book.remove_unit("R1")
    assert book.codes() == ()
    assert book.undo() == "R1 table radio taken out of the book"
    assert book.unit("R1") == before
    assert [e.what for e in book.entries("R1")] == ["R1 table radio arrived", "kept"]
    assert [c.code for c in news] == ["R1", "R1"]
    assert book.undo("R1") == "kept", "its own changes can still be taken back"


def test_a_new_change_ends_what_could_be_done_again(book: Session) -> None:
    book.add_unit(unit(code="R1"))
    book.add_unit(unit(code="G1"))
    assert book.undo() == "G1 table radio arrived"
    note(book, "R1", "something else")
    assert book.redo() is None
    assert book.codes() == ("R1",)


def test_a_unit_is_not_put_back_over_another_of_its_code(book: Session) -> None:
    book.add_unit(unit(code="R1", name="old radio"))
    book.remove_unit("R1")
    book.add_unit(unit(code="R1", name="new radio"))
    assert book.undo() == "R1 new radio arrived"
    assert book.undo() == "R1 old radio taken out of the book"
    assert book.unit("R1").name == "old radio"


def test_a_refused_move_can_be_tried_again(book: Session) -> None:
    book.add_unit(unit(code="R1"))
    book.remove_unit("R1")
    (book.path / "units" / "R1").mkdir()
    with pytest.raises(InputError, match="another unit R1"):
        book.undo()
    (book.path / "units" / "R1").rmdir()
    assert book.undo() == "R1 table radio taken out of the book"
    assert book.codes() == ("R1",)


def test_a_change_of_unit_and_shop_goes_back_in_both(book: Session) -> None:
    book.add_unit(unit(code="R1"))

    def take(of: Unit, shop: object) -> tuple[Unit, object]:
        more = shop.model_copy(update={"offcuts": (offcut(),)})  # type: ignore[attr-defined]
        return of.model_copy(update={"notes": "leftover kept"}), more

    book.apply_together("R1", "leftover to the pile", take)  # type: ignore[arg-type]
    assert (book.unit("R1").notes, len(book.shop.offcuts)) == ("leftover kept", 1)
    news: list[str] = []
    book.subscribe(lambda change: news.append(change.code))
    assert book.undo() == "leftover to the pile"
    assert (book.unit("R1").notes, len(book.shop.offcuts)) == ("", 0)
    assert sorted(news) == ["", "R1"]
    assert book.redo() == "leftover to the pile"
    assert (book.unit("R1").notes, len(book.shop.offcuts)) == ("leftover kept", 1)


def test_putting_a_unit_back_is_taken_back_and_made_again(book: Session) -> None:
    book.add_unit(unit(code="R1"))
    note(book, "R1", "first note")
    book.remove_unit("R1")
    book.put_back(book.removed()[0])
    note(book, "R1", "second note")
    done = [book.undo() for _ in range(6)]
    assert done == [
        "second note",
        "R1 put back into the book",
        "R1 table radio taken out of the book",
        "first note",
        "R1 table radio arrived",
        None,
    ]
    assert book.codes() == ()
    again = [book.redo() for _ in range(6)]
    assert again == [*reversed(done[:-1]), None]
    assert book.unit("R1").notes == "second note"
    book.remove_unit("R1")
    assert book.undo() == "R1 table radio taken out of the book"
    assert book.unit("R1").notes == "second note"


def test_a_clock_that_was_set_back_does_not_change_what_is_taken_back(tmp_path: Path) -> None:
    """Also over a restart, and with units that come and go: the order is that of the changes, not that of the clock."""
    clock = [START]
    path = tmp_path / "book"
    with Session.open(path, now=lambda: clock[0]) as session:
        session.add_unit(unit(code="R1"))
        session.add_unit(unit(code="G1", name="bench grinder"))
        note(session, "R1", "before")
        clock[0] = START - timedelta(hours=1)
        note(session, "G1", "after the clock was set back")
    clock[0] = START - timedelta(hours=2)
    with Session.open(path, now=lambda: clock[0]) as session:
        session.apply_shop("a board", lambda s: s.model_copy(update={"offcuts": (offcut(),)}))
        session.add_unit(unit(code="C1", name="clock"))
        done = [session.undo() for _ in range(4)]
        assert done == ["C1 clock arrived", "a board", "after the clock was set back", "before"]
        assert [session.redo() for _ in range(4)] == [*reversed(done)]
