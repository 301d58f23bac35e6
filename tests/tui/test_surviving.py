"""A fault of the program, wherever it happens, ends neither the program nor what is open, unkept or half typed."""

from __future__ import annotations

import asyncio
import errno
import os
from functools import partial
from pathlib import Path
from typing import Any, NoReturn

import pytest
from textual.pilot import Pilot

from logbook import disk
from logbook.model.edits import keep_step
from logbook.session import Session
from logbook.session.faults import fault_file
from logbook.tui import planner
from logbook.tui.app import LogbookApp
from logbook.tui.screens import bench_screen, paper_screen
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.paper_screen import PaperScreen
from logbook.tui.screens.week_screen import WeekScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import Entries
from logbook.tui.widgets.rows import Rows
from tests.builders import step, unit
from tests.tui.conftest import lines_on, opened, said, text_on, until

pytestmark = pytest.mark.survives_faults

WORDS = "half of the secret lamp"
FAULT = f"This is a fault of the program, not of yours: ZeroDivisionError: {WORDS}"


def fail(*_: object, **__: object) -> NoReturn:
    raise ZeroDivisionError(WORDS)


@pytest.fixture(autouse=True)
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


async def told(pilot: Pilot[Any]) -> None:
    """The fault is said on the screen in front, written down short and without a record, and the program runs."""
    await until(pilot, lambda: FAULT in said(pilot), "it was not said")
    assert pilot.app.is_running
    text = fault_file().read_text()
    assert "ZeroDivisionError" in text
    assert WORDS not in text
    assert len(text) < 25_000


async def test_in_a_timer_it_is_said_once_and_what_is_half_typed_and_unkept_stays(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:

        def full_disk(*_: object) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        monkeypatch.setattr(disk, "fdatasync", full_disk)
        book.apply("R1", "kept T02", partial(keep_step, step=step("T02", "lid")))
        await pilot.press("n", *"brass la")
        monkeypatch.setattr(Session, "poll", fail)
        assert isinstance(pilot.app, LogbookApp)
        timer = pilot.app.set_interval(0.001, pilot.app._look_around)
        await told(pilot)
        for _ in range(20):
            await pilot.pause(0.002)
        assert fault_file().read_text().count("Traceback of") == 1
        timer.stop()
        await pilot.press(*"mp")
        assert pilot.app.screen.query_one(Ask).text == "brass lamp"
        assert [u.what for u in book.unkept] == ["kept T02"]
        assert "NOT KEPT: 1 change" in lines_on(pilot)[0]


async def test_in_what_follows_an_answer_the_answer_stays_and_is_taken_when_it_can_be(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(BenchScreen, "_take_name", fail)
            await pilot.press("n", *"brass lamp", "enter")
            await told(pilot)
        assert pilot.app.screen.query_one(Ask).text == "brass lamp"
        await pilot.press("enter")
        await pilot.pause()
        assert "Its code" in text_on(pilot)


async def test_in_what_follows_the_cursor_the_list_goes_on(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    async with opened(book, None, unit(step("T01", "plug")), unit(code="R2"), size=(120, 40)) as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(bench_screen, "unit_lines", fail)
            await pilot.press("down")
            await told(pilot)
        await pilot.press("up", "down", "enter")
        await pilot.pause()
        assert "R2" in lines_on(pilot)[0]


async def test_in_a_widget_its_next_message_finds_it_alive(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        rows = pilot.app.screen.query_one("#units", Rows)
        rows.call_later(fail)
        await told(pilot)
        heard: list[int] = []
        rows.call_later(heard.append, 1)
        await until(pilot, lambda: heard == [1], "its loop had ended")


async def test_in_drawing_the_rest_of_the_screen_stays(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(Entries, "render_line", fail)
            pilot.app.screen.query_one("#units", Rows).refresh()
            while not fault_file().exists():  # the pilot would draw by itself, outside the program
                await asyncio.sleep(0.001)
            assert pilot.app.is_running
        await pilot.press("s")
        await pilot.pause()
        assert "Store" in lines_on(pilot)[0]


async def test_beside_the_screen_the_plan_or_the_paper_is_said_not_to_come(
    book: Session, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        monkeypatch.setattr(planner, "made_plan", fail)
        await pilot.press("p")
        await told(pilot)
        await pilot.press("escape")
        screen = PaperScreen(book, "R1")
        await pilot.app.push_screen(screen)
        monkeypatch.setattr(paper_screen, "put_paper", fail)
        screen._work(screen._document(), tmp_path)
        await told(pilot)


async def test_a_place_that_cannot_be_built_is_left_for_the_one_before(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        for method in ("compose_body", "on_mount"):
            with monkeypatch.context() as patch:
                patch.setattr(WeekScreen, method, fail)
                await pilot.press("p")
                await told(pilot)
                assert isinstance(pilot.app.screen, BenchScreen)
        await pilot.press("s")
        await pilot.pause()
        assert "Store" in lines_on(pilot)[0]


async def test_what_is_said_while_the_program_ends_meets_no_screen_and_no_fault(demo: Session) -> None:
    async with opened(demo) as pilot:
        app = pilot.app
        assert isinstance(app, LogbookApp)
        app.tell("still heard")
        assert "still heard" in said(pilot)
    app.tell("nobody is there to read it")


async def test_news_while_a_place_is_taken_down_are_no_fault(demo: Session) -> None:
    async with opened(demo) as pilot:
        app, place = pilot.app, pilot.app.screen
        assert isinstance(app, LogbookApp)
        place._pruning = True
        await place.query_one("#title").remove()
        app.tell("its title is gone already")
        place._pruning = False
