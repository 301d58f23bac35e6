"""Keys that come faster than the screen: each one acts where the one before has led."""

from __future__ import annotations

import time
from collections.abc import Iterable
from typing import Any

import pytest
from textual import events
from textual.app import ComposeResult
from textual.pilot import Pilot

from logbook.session import Session
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.widgets.input_line import Line
from tests.builders import steps, unit
from tests.tui.conftest import opened, until


def at_once(pilot: Pilot[Any], keys: Iterable[str]) -> None:
    """Send keys as a terminal does that was read late: all in one go."""
    for key in keys:
        pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))


async def test_letters_after_a_key_that_opens_a_place_are_text_there(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), unit(*steps(3))) as pilot:
        at_once(pilot, ["b", *"xzq"])
        await until(pilot, lambda: isinstance(pilot.app.screen, BenchModeScreen))
        await until(pilot, lambda: "xzq" in [line.value for line in pilot.app.screen.query(Line)])
        assert len(book.unit("R1").steps) == 3


async def test_a_machine_that_takes_a_second_to_open_a_place_loses_no_letter(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    def composed_slowly(screen: BenchModeScreen) -> ComposeResult:
        time.sleep(1.0)
        return as_ever(screen)

    as_ever = BenchModeScreen.compose
    monkeypatch.setattr(BenchModeScreen, "compose", composed_slowly)
    async with opened(book, TeardownScreen(book, "R1"), unit(*steps(3))) as pilot:
        at_once(pilot, ["b", *"xzq"])
        await until(pilot, lambda: isinstance(pilot.app.screen, BenchModeScreen))
        await until(pilot, lambda: "xzq" in [line.value for line in pilot.app.screen.query(Line)])
        assert len(book.unit("R1").steps) == 3


async def test_letters_after_a_key_that_asks_are_text_in_the_question(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), unit(*steps(3))) as pilot:
        at_once(pilot, ["a", *"xbo", "enter", "a", *"knob", "enter"])
        await until(pilot, lambda: len(book.unit("R1").steps) == 5)
        assert [s.what for s in book.unit("R1").steps[3:]] == ["xbo", "knob"]


async def test_whole_steps_typed_ahead_are_all_kept(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "R1"), unit()) as pilot:
        for what in ("knob", "lid", "foot"):
            at_once(pilot, [*what, "f3", "s", "tab", "p", "b", "enter"])
        await until(pilot, lambda: len(book.unit("R1").steps) == 3)
        kept = [(s.what, str(s.action), s.photo_taken, s.bag) for s in book.unit("R1").steps]
        assert kept == [("knob", "slid", True, "1"), ("lid", "slid", True, "2"), ("foot", "slid", True, "3")]


async def test_pasted_text_waits_for_the_question_too(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), unit(*steps(1))) as pilot:
        at_once(pilot, ["a"])
        pilot.app.post_message(events.Paste("four screws"))
        await until(pilot, lambda: "four screws" in [line.value for line in pilot.app.screen.query(Line)])


@pytest.mark.parametrize(
    "keys", [["escape", "escape", "escape"], ["b", "escape", "b", "escape"], ["f2", "escape", "j"]]
)
async def test_a_place_that_goes_away_under_the_keys_stops_nothing(book: Session, keys: list[str]) -> None:
    async with opened(book, TeardownScreen(book, "R1"), unit(*steps(3))) as pilot:
        at_once(pilot, keys)
        for _ in range(40):
            await pilot.pause()
        await pilot.press("question_mark")
        assert "Keys at:" in pilot.app.screen.query_one("#title").render().plain  # type: ignore[union-attr]
