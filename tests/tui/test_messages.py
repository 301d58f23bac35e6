"""A message belongs to the screen and the moment: what was said elsewhere or before is not said again."""

from __future__ import annotations

from functools import partial

import pytest

from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui.screen_frame import BookScreen, MessageLine
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.screens.week_screen import WeekScreen
from tests.builders import steps, unit
from tests.tui.conftest import opened, said, text_on
from tests.tui.every_screen import SCREENS

UNIT = unit(*steps(3))


async def test_the_next_key_mutes_what_was_said(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), UNIT) as pilot:
        await pilot.press("z")
        line = pilot.app.screen.query_one(MessageLine)
        assert "Nothing left to undo." in line.text
        assert not line.has_class("-past")
        await pilot.press("down")
        assert line.has_class("-past")
        await pilot.press("z")
        assert not line.has_class("-past"), "it is said again, now"


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_the_same_message_again_says_that_it_is_another_time(book: Session, size: tuple[int, int]) -> None:
    """Also where the line is too narrow for the message."""
    async with opened(book, WeekScreen(book), UNIT, size=size) as pilot:
        await pilot.press("K")
        first = text_on(pilot)
        await pilot.press("K")
        assert "(2 times)" in text_on(pilot)
        assert "(2 times)" not in first
        await pilot.press("Z")
        await pilot.press("K")
        assert "times)" not in text_on(pilot), "something else was said in between"


def with_name(record: Unit, *, name: str) -> Unit:
    return record.model_copy(update={"name": name})


async def test_changes_taken_back_in_a_row_are_counted(book: Session) -> None:
    """Two of them may look alike, above all where the line is too narrow for what they say."""
    long = "a name that is far too long for the line, "
    async with opened(book, TeardownScreen(book, "R1"), UNIT, size=(60, 20)) as pilot:
        for name in (f"{long} first", f"{long} second", f"{long} third"):
            book.apply("R1", f"name {name}", partial(with_name, name=name))
        shown = []
        for _ in range(3):
            await pilot.press("z")
            shown.append(pilot.app.screen.query_one(MessageLine).text.partition(":")[0])
        assert shown == ["Undone", "2 undone, the last", "3 undone, the last"]
        await pilot.press("Z")
        assert said(pilot).startswith("Done again: ")
        await pilot.press("down", "z")
        assert said(pilot).startswith("Undone: ")


@pytest.mark.parametrize("keys", [["question_mark", "escape"], ["H", "escape"], ["b", "escape"], ["f2", "escape"]])
async def test_coming_back_does_not_say_it_again(book: Session, keys: list[str]) -> None:
    async with opened(book, TeardownScreen(book, "R1"), UNIT) as pilot:
        await pilot.press("z")
        assert said(pilot)
        await pilot.press(*keys)
        await pilot.pause()
        assert isinstance(pilot.app.screen, TeardownScreen)
        assert said(pilot) == ""
        assert "Nothing left to undo" not in text_on(pilot)


async def test_another_section_begins_with_an_empty_line(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), UNIT) as pilot:
        await pilot.press("z")
        await pilot.press("1")
        assert isinstance(pilot.app.screen, ArrivalScreen)
        assert said(pilot) == ""


@pytest.mark.parametrize("name", sorted(set(SCREENS) - {"plan", "layout", "work", "link a folder", "what now"}))
async def test_a_place_begins_with_an_empty_line(demo: Session, name: str) -> None:
    async with opened(demo, SCREENS[name](demo)) as pilot:
        assert said(pilot) == ""


async def test_what_is_said_by_what_was_chosen_elsewhere_is_seen_on_coming_back(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), UNIT) as pilot:
        below = pilot.app.screen
        assert isinstance(below, BookScreen)
        await pilot.press("question_mark")
        below.say("Changed meanwhile.")
        await pilot.press("escape")
        await pilot.pause()
        assert said(pilot) == "Changed meanwhile."


async def test_what_is_said_while_a_place_is_built_is_said_when_it_stands(book: Session) -> None:
    async with opened(book, None, UNIT) as pilot:
        screen = TeardownScreen(book, "R1")
        screen.say("Opened for you.", "good")
        await pilot.app.push_screen(screen)
        await pilot.pause()
        assert said(pilot) == "Opened for you."
