"""A change over several documents that was cut short is completed or undone as one at the next opening."""

from __future__ import annotations

import errno
import shutil
from typing import TYPE_CHECKING

import pytest

from logbook.errors import InputError, StoreError
from tests.store.building import count_up, opened, put, radio, with_radio
from tests.store.faults import Death, Faults

if TYPE_CHECKING:
    from pathlib import Path

    from logbook.store import BookFolder


def begun(path: Path) -> BookFolder:
    """A book with R1, G1 and the shop."""
    book = with_radio(path)
    book.add_unit("G1", radio(), "G1 arrived")
    book.shop.begin({"v": 0}, "shop begun")
    return book


def all_three(book: BookFolder) -> None:
    book.change_together("board cut", [(document, *put(7, 0)) for document in (*book.units.values(), book.shop)])


def values(book: BookFolder) -> list[int]:
    return [document.state["v"] for document in (*book.units.values(), book.shop)]


def cut_short(path: Path, appended: int) -> None:
    """Die when so many of the three documents have taken in their part."""
    book = begun(path)
    with Faults().on() as faults:
        shutil.copytree(path, path.with_name("trial"))
        trial = opened(path.with_name("trial"))
        values(trial)
        faults.names.clear()
        all_three(trial)
        trial.close()
    shutil.rmtree(path.with_name("trial"))
    flushes = [number for number, name in enumerate(faults.names, 1) if name in ("fsync", "fdatasync")]
    with Faults(flushes[1 + appended], "after").on(), pytest.raises(Death):
        all_three(book)
    (path / ".lock").unlink()


@pytest.mark.parametrize("appended", [0, 1, 2, 3])
def test_it_is_completed_at_the_next_opening(tmp_path: Path, appended: int) -> None:
    path = tmp_path / "book"
    cut_short(path, appended)
    assert (path / ".together.json").exists()
    book = opened(path)
    assert values(book) == [7, 7, 7]
    assert not (path / ".together.json").exists()
    assert book.problems == []
    assert book.shop.undo().what == "board cut"
    assert values(book) == [0, 0, 0]
    book.close()
    assert opened(path).problems == []


@pytest.mark.parametrize("appended", [0, 1, 2])
def test_with_one_document_gone_nobody_knows_so_it_is_named_and_kept(tmp_path: Path, appended: int) -> None:
    path = tmp_path / "book"
    cut_short(path, appended)
    shutil.rmtree(path / "units/G1")
    book = opened(path)
    (said,) = [said for said in book.problems if "cut short" in said]
    (kept,) = (path / "aside").iterdir()
    assert str(kept) in said
    assert b"board cut" in kept.read_bytes()
    book.close()
    assert not any("cut short" in said for said in opened(path).problems)


def test_with_one_document_gone_after_all_took_their_part_there_is_nothing_to_say(tmp_path: Path) -> None:
    path = tmp_path / "book"
    cut_short(path, 3)
    shutil.rmtree(path / "units/G1")
    book = opened(path)
    assert values(book) == [7, 7]
    assert book.problems == []


def test_a_damaged_plan_of_the_change_is_named_and_kept(tmp_path: Path) -> None:
    path = tmp_path / "book"
    cut_short(path, 1)
    raw = (path / ".together.json").read_bytes()[:-30]
    (path / ".together.json").write_bytes(raw)
    book = opened(path)
    assert any("could not be completed" in said for said in book.problems)
    assert [kept.read_bytes() for kept in (path / "aside").iterdir()] == [raw]
    count_up(book.units["G1"], 1, start=book.units["G1"].state["v"])


def test_a_disk_that_refuses_at_the_opening_is_asked_again_before_the_next_change(tmp_path: Path) -> None:
    path = tmp_path / "book"
    cut_short(path, 1)
    reading = opened(path, read_only=True)
    with Faults().on() as faults:
        values(reading)
        before = faults.count
    refused = 0
    for at in range(1, before + 40):
        copy = tmp_path / f"copy{at}"
        shutil.copytree(path, copy)
        try:
            with Faults(at, errno.ENOSPC, stays=True).on():
                book = opened(copy)
        except StoreError:
            continue
        if book.read_only:
            continue
        refused += any("could not be" in said or "was not kept" in said for said in book.problems)
        book.units["G1"].change("later", *put(8, book.units["G1"].state["v"] or 7))
        assert values(book) == [8, 7, 7]
        book.close()
    assert refused > 3


def test_the_same_document_twice_is_refused(tmp_path: Path) -> None:
    book = begun(tmp_path / "book")
    unit = book.units["R1"]
    with pytest.raises(InputError, match="twice"):
        book.change_together("no", [(unit, *put(1, 0)), (unit, *put(2, 1))])


def test_a_part_that_does_not_fit_stops_all(tmp_path: Path) -> None:
    book = begun(tmp_path / "book")
    with pytest.raises(InputError, match="does not fit"):
        book.change_together("no", [(book.units["R1"], *put(1, 0)), (book.shop, *put(1, 0, "/nothing"))])
    assert values(book) == [0, 0, 0]
    assert [len(document.entries()) for document in (book.units["R1"], book.shop)] == [1, 1]


def test_undo_when_a_partner_was_removed_is_refused(tmp_path: Path) -> None:
    book = begun(tmp_path / "book")
    all_three(book)
    removed = book.remove_unit("G1")
    with pytest.raises(InputError, match="also changed G1"):
        book.units["R1"].undo()
    book.put_back(removed)
    book.units["R1"].undo()
    assert values(book) == [0, 0, 0]
