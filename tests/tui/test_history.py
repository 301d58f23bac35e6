"""The story of a record: newest first, each change in words, and the record as it stood on any day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from logbook.model.edits import keep_step
from logbook.model.words import Stage
from logbook.session import Session
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.history_screen import HistoryScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import screws, step, unit
from tests.tui.conftest import HOSTILE, bad_cells, lines_on, opened, said, text_on, typed, until

WINTER = datetime(2026, 1, 10, 19, 0, tzinfo=UTC)


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Session]:
    """A unit with one step in January, one in March and one in June."""
    clock = [WINTER]
    session = Session.open(tmp_path / "book", by="AB", now=lambda: clock[0])
    session.add_unit(unit())
    for days, code, what in ((0, "T01", "back panel"), (60, "T02", "knobs"), (150, "T03", "speaker")):
        clock[0] = WINTER + timedelta(days=days, minutes=1)
        new = step(code, what, fasteners=[screws(6, found=5)], bag="1")
        session.apply("R1", f"{what} off", lambda u, new=new: keep_step(u, new))
    clock[0] = datetime(2026, 11, 25, 19, 0, tzinfo=UTC)
    yield session
    session.close()


async def test_the_newest_change_stands_on_top_with_who_and_when(told: Session) -> None:
    async with opened(told, ArrivalScreen(told, "R1")) as pilot:
        await pilot.press("H")
        await until(pilot, lambda: isinstance(pilot.app.screen, HistoryScreen))
        rows = pilot.app.screen.query_one("#changes", Rows).rows
        assert [r.lines[0].split("AB")[1].strip() for r in rows if r.selectable] == [
            "speaker off", "knobs off", "back panel off", "R1 table radio arrived",
        ]  # fmt: skip
        assert "Tue 9 Jun 2026" in rows[0].lines[0]
        assert "4 changes from 10 Jan 2026" in text_on(pilot)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, ArrivalScreen)


async def test_enter_shows_the_change_in_words(told: Session) -> None:
    async with opened(told, HistoryScreen(told, "R1")) as pilot:
        told.apply("R1", "stage", lambda u: u.model_copy(update={"stage": Stage.TEARDOWN}))
        await pilot.pause()
        await pilot.press("home", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "by AB: stage" in text_on(pilot)
        assert "stage: arrival → teardown" in text_on(pilot)
        assert "touched" not in text_on(pilot)


async def test_what_did_this_say_in_spring(told: Session) -> None:
    async with opened(told, HistoryScreen(told, "R1")) as pilot:
        await pilot.press("t")
        await typed(pilot, "April 2026")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        text = text_on(pilot)
        assert "As it stood on 30 Apr 2026 23:59: arrival, 2 steps." in text
        assert "T01 back panel: unscrewed; 6/5 rh wood screw" in text
        assert "T02 knobs" in text
        assert "T03" not in text


async def test_the_record_as_it_stood_after_a_change(told: Session) -> None:
    async with opened(told, HistoryScreen(told, "R1")) as pilot:
        await pilot.press("down", "down", "v")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "arrival, 1 step." in text_on(pilot)
        assert "T01" in text_on(pilot)
        assert "T02" not in text_on(pilot)


@pytest.mark.parametrize(
    ("day", "sentence"), [("one day", "was not understood as a day"), ("2025-12-31", "The story begins only on")]
)
async def test_a_day_that_cannot_be_shown_is_a_sentence(told: Session, day: str, sentence: str) -> None:
    async with opened(told, HistoryScreen(told, "R1")) as pilot:
        await pilot.press("t")
        await typed(pilot, day)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HistoryScreen)
        assert sentence in text_on(pilot)


async def test_what_was_taken_back_stands_in_the_story_too(told: Session) -> None:
    async with opened(told, HistoryScreen(told, "R1")) as pilot:
        await pilot.press("z")
        await pilot.pause()
        assert "taken back: speaker off" in text_on(pilot)
        assert len(told.unit("R1").steps) == 2
        await pilot.press("Z")
        await pilot.pause()
        assert "done again: speaker off" in text_on(pilot)


async def test_the_store_has_a_story_of_its_own(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("s", "H")
        await until(pilot, lambda: isinstance(pilot.app.screen, HistoryScreen))
        assert "Store / story" in lines_on(pilot)[0]
        assert "the shop" in text_on(pilot)
        await pilot.press("v")
        assert "Only a unit can be shown as it stood" in said(pilot)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "offcuts" in text_on(pilot)


async def test_hostile_words_break_no_line(book: Session) -> None:
    book.add_unit(unit())
    for text in HOSTILE:
        book.apply("R1", text, lambda u, text=text: u.model_copy(update={"notes": text}))
    async with opened(book, HistoryScreen(book, "R1")) as pilot:
        assert not bad_cells(pilot)
        for _ in HOSTILE:
            await pilot.press("enter")
            await pilot.pause()
            assert not bad_cells(pilot)
            await pilot.press("escape", "down")
        await pilot.press("home", "v")
        await pilot.pause()
        assert not bad_cells(pilot)
