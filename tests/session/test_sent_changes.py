"""What a phone sends is done once: its name is on the disk exactly when the change is."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from pathlib import Path

import pytest

from logbook import disk
from logbook.errors import InputError, StoreError
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.session.opened import SHOP
from logbook.session.sent_changes import is_name, last_sent, sent_change, take_back
from tests.builders import step, unit
from tests.store.power import Cuts, lay_out

NAME, OTHER = "phone0001", "phone0002"


def named(name: str, unit_: Unit) -> Unit:
    return unit_.model_copy(update={"name": name})


def send(session: Session, name: str, called: str) -> None:
    """As the door does it: what was done already is not done again."""
    if sent_change(session, "R1", name) is None:
        session.apply("R1", f"called {called}", partial(named, called), sent_as=name)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Session]:
    with Session.open(tmp_path / "book") as session:
        session.add_unit(unit(step("T01", "plug")))
        yield session


def test_sent_twice_it_is_done_once_also_after_the_bench_undid_it(book: Session) -> None:
    send(book, NAME, "radio")
    send(book, NAME, "radio")
    assert [e.sent_as for e in book.entries("R1")] == ["", NAME]
    book.undo("R1")
    send(book, NAME, "radio")
    assert book.unit("R1").name != "radio"
    found = sent_change(book, "R1", NAME)
    assert found is not None
    assert (found.what, found.is_taken_back) == ("called radio", True)


def test_the_name_is_known_after_the_book_was_closed_and_its_history_packed(tmp_path: Path) -> None:
    with Session.open(tmp_path / "book") as session:
        session.add_unit(unit(step("T01", "plug")))
        send(session, NAME, "radio")
    with Session.open(tmp_path / "book") as session:
        assert sent_change(session, "R1", NAME) is not None
        assert sent_change(session, "R1", OTHER) is None
        assert sent_change(session, "Q9", NAME) is None


def test_a_power_cut_leaves_the_change_and_its_name_or_neither(tmp_path: Path) -> None:
    folder, told = tmp_path / "book", list[bool]()
    with Session.open(folder) as session:
        session.add_unit(unit(step("T01", "plug")))
    cuts = Cuts(folder, lambda: bool(told))
    with cuts.on(), Session.open(folder) as session:
        send(session, NAME, "radio")
        told.append(True)
    for number, (said, left) in enumerate(cuts.in_turn()):
        place = tmp_path / f"cut{number}"
        lay_out(left, place)
        with Session.open(place / "book") as session:
            known = sent_change(session, "R1", NAME) is not None
            assert known == (session.unit("R1").name == "radio")
            assert known or not said


def test_what_the_disk_refuses_is_not_made_and_is_sent_again(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(disk, "fdatasync", full)
        with pytest.raises(StoreError, match="the disk is full"):
            send(book, NAME, "radio")
        assert book.unkept == ()
        assert book.unit("R1").name != "radio"
    send(book, NAME, "radio")
    assert book.unit("R1").name == "radio"


def test_it_is_taken_back_by_its_name_once(book: Session) -> None:
    before = book.unit("R1").name
    send(book, NAME, "radio")
    assert last_sent(book, "R1") == NAME
    for _ in range(2):
        assert take_back(book, "R1", NAME).what == "called radio"
        assert book.unit("R1").name == before
    assert last_sent(book, "R1") == ""


def test_what_the_bench_wrote_since_is_not_taken_back_for_it(book: Session) -> None:
    send(book, NAME, "radio")
    book.apply("R1", "called set", partial(named, "set"))
    with pytest.raises(InputError, match="“called radio” stays: R1 was changed since"):
        take_back(book, "R1", NAME)
    assert book.unit("R1").name == "set"
    with pytest.raises(InputError, match="nothing of that"):
        take_back(book, "R1", OTHER)


def test_a_change_over_a_unit_and_the_shop_has_its_name_in_both(book: Session) -> None:
    def edit(of: Unit, shop: Shop) -> tuple[Unit, Shop]:
        settings = shop.settings.model_copy(update={"rate": Decimal(12)})
        return named("radio", of), shop.model_copy(update={"settings": settings})

    book.apply_together("R1", "called radio", edit, sent_as=NAME)
    assert sent_change(book, "R1", NAME) is not None
    assert sent_change(book, SHOP, NAME) is not None


@pytest.mark.parametrize(
    ("name", "good"),
    [("", False), ("short", False), ("a" * 65, False), ("../../etc", False), ("٣" * 10, False), ("a1" * 8, True)],
)
def test_a_name_is_letters_and_digits(name: str, good: bool) -> None:
    assert is_name(name) is good
