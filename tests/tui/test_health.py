"""The screen that says whether everything is kept and whole."""

from __future__ import annotations

import errno
import os
import shutil
from functools import partial
from pathlib import Path

import pytest

from logbook import disk
from logbook.model.edits import keep_step
from logbook.session import RecordNews, Session
from logbook.tui.app import LogbookApp
from logbook.tui.screens.teardown_screen import TeardownScreen
from tests.builders import operation, step, unit
from tests.tui.conftest import NOW, lines_on, opened, said, text_on


async def test_a_whole_book_says_so(book: Session) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        await pilot.press("exclamation_mark")
        assert "Everything is kept, and nothing strange was found." in text_on(pilot)


async def test_a_conflict_copy_is_compared_taken_in_and_taken_back(tmp_path: Path) -> None:
    with Session.open(tmp_path, by="AB", now=lambda: NOW) as first:
        first.add_unit(unit(step("T01", "plug")))
    folder = tmp_path / "units" / "R1"
    shutil.copy(folder / "unit.json", folder / "other.json")
    session = Session.open(tmp_path, by="AB", now=lambda: NOW)
    session.apply("R1", "kept T02", partial(keep_step, step=step("T02", "back panel")))
    async with opened(session) as pilot:
        await pilot.press("exclamation_mark")
        assert "other.json is another copy of the record" in text_on(pilot)
        await pilot.press("enter")
        assert "back panel" in text_on(pilot)
        await pilot.press("escape", "t")
        assert "is taken in" in said(pilot)
        assert [s.code for s in session.unit("R1").steps] == ["T01"]
        await pilot.press("z")
        assert [s.code for s in session.unit("R1").steps] == ["T01", "T02"]


async def test_a_unit_taken_out_is_put_back_with_enter(book: Session) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        book.remove_unit("R1")
        await pilot.press("exclamation_mark")
        assert "R1, taken out" in text_on(pilot)
        await pilot.press("enter")
        assert book.codes() == ("R1",)


async def test_a_reader_takes_over_when_the_writer_is_gone(tmp_path: Path) -> None:
    writer = Session.open(tmp_path, by="AB", now=lambda: NOW)
    writer.add_unit(unit(step("T01", "plug")))
    reader = Session.open(tmp_path, by="CD", now=lambda: NOW)
    async with opened(reader) as pilot:
        assert "reading only" in lines_on(pilot)[0]
        await pilot.press("exclamation_mark", "T")
        assert str(os.getpid()) in said(pilot)
        writer.close()
        await pilot.press("T")
        assert said(pilot) == "This program writes the book now."
        assert not reader.read_only


async def test_what_the_disk_refuses_stays_on_screen_and_is_kept_when_there_is_room(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        await pilot.app.push_screen(TeardownScreen(book, "R1"))
        await pilot.pause()
        with monkeypatch.context() as patch:
            patch.setattr(disk, "write", refuse)
            await pilot.press("a", *"lid", "enter")
            await pilot.pause()
            assert "NOT KEPT: 1 change" in lines_on(pilot)[0]
            assert "the disk is full" in said(pilot)
            assert "lid" in text_on(pilot)
            await pilot.press("escape", "escape")
            await pilot.press("exclamation_mark")
            assert "1 change is only in memory" in text_on(pilot)
            await pilot.press("y")
            assert "lid" in pilot.app.clipboard
            assert "NOT KEPT, only in memory" in pilot.app.clipboard
            await pilot.press("K")
            assert "the disk is full" in said(pilot)
        await pilot.press("K")
        assert said(pilot) == "Everything is kept."
        assert book.unkept == ()
    with Session.open(book.path, now=lambda: NOW) as again:
        assert [s.what for s in again.unit("R1").steps] == ["plug", "lid"]


async def test_a_second_program_says_at_once_that_it_only_reads_and_where_to_see_why(tmp_path: Path) -> None:
    with Session.open(tmp_path, by="AB", now=lambda: NOW) as writer:
        writer.add_unit(unit(step("T01", "plug")))
        async with opened(Session.open(tmp_path, by="CD", now=lambda: NOW)) as pilot:
            await pilot.pause()
            assert said(pilot) == "Reading only: ! says who writes, and takes over when it is gone."
            await pilot.press("exclamation_mark")
            assert str(os.getpid()) in text_on(pilot)


async def test_a_unit_that_cannot_be_worked_out_is_a_row_and_its_last_change_is_taken_back(book: Session) -> None:
    """As an older program, or a hand, left it: a wait that no calendar holds."""
    from logbook.store.patches import patches

    async with opened(book, None, unit(step("T01", "plug")), unit(step("T01", "lid"), code="B1", name="box")) as pilot:
        before = book.unit("B1")
        waits = operation("B01", "glue", wait={"earliest": 9_999_999})
        document = book._folder.units["B1"]
        document.change("a wait", *patches(before, before.model_copy(update={"operations": (waits,)})))
        book._forget("B1")
        assert isinstance(pilot.app, LogbookApp)
        pilot.app._record_changed(RecordNews("B1", "a wait"))
        await pilot.pause()
        shown = text_on(pilot)
        assert "R1 table radio" in shown
        assert "B1 LEFT OUT " in shown
        await pilot.press("exclamation_mark")
        assert "Left out of every view over all units" in text_on(pilot)
        assert "is more than 527040 minutes" in text_on(pilot)
        await pilot.press("x")
        await pilot.pause()
        assert said(pilot) == "Taken back in B1: a wait"
        assert book.left_out() == {}
        await pilot.press("escape")
        await pilot.pause()
        assert "LEFT OUT" not in text_on(pilot)


@pytest.mark.survives_faults
async def test_a_screen_that_fails_is_said_and_ends_no_other(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:

        def fail(self: TeardownScreen) -> None:
            raise ZeroDivisionError("half of nothing")

        monkeypatch.setattr(TeardownScreen, "show_record", fail)
        await pilot.app.push_screen(TeardownScreen(book, "R1"))
        await pilot.pause()
        assert "This is a fault of the program, not of yours: ZeroDivisionError" in said(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert "table radio" in text_on(pilot)
