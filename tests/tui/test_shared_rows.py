"""What must be seen is seen on every screen, however small; words wrap into rows that are free."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.body import ScreenPart, ScreenPartKind, shared_rows
from logbook.tui.screen_frame import BookScreen, KeyLine, MessageLine, TitleLine
from logbook.tui.screen_names import screen_named
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.find_screen import FindScreen
from logbook.tui.screens.guide_screen import GuideScreen
from logbook.tui.screens.history_screen import HistoryScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.sections import PLACES
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.letter_menu import Letters
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.rows import Row, Rows
from tests.tui.conftest import bad_cells, lines_on, opened, text_on
from tests.tui.every_screen import SCREENS
from tests.tui.quick_loop import run_quickly, settled

LONG = "The disk refused the change, because no space is left on it; what was typed stays here and is tried again " * 4
BARE: dict[str, Callable[[Session], BookScreen]] = {
    **{name: lambda s, name=name: screen_named(name, s, "U1") for name in PLACES},
    **{name: SCREENS[name] for name in ("plan", "what now", "to buy", "store", "scrap pile", "find", "bench")},
}
"""Places of a unit of which nothing is written yet, and of a book with nothing else in it."""


def seen(pilot: Pilot[Any]) -> list[str]:
    """What of the frame and of an open question is not wholly on the screen."""
    screen = pilot.app.screen
    wanted: list[Any] = [screen.query_one(kind) for kind in (TitleLine, MessageLine, KeyLine)]
    wanted += [x for kind in (Ask, Pick, Letters) for x in screen.query(kind) if x.is_open]
    wanted += [x for x in screen.query(Input) if x.has_focus]
    missing = [repr(x) for x in wanted if not (x.region.height and screen.region.contains_region(x.region))]
    if not lines_on(pilot)[-1].strip():
        missing.append("the last line is empty")
    return missing


async def pressed(pilot: Pilot[Any], key: str) -> None:
    """A key with its effect."""
    pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
    await settled(pilot.app)


async def every_question(pilot: Pilot[Any], screen: BookScreen) -> None:
    """Press each key of the place that asks something, and look while the question stands."""
    for act in screen.acts():
        if act.id in ("leave", "back", "palette") or isinstance(screen.focused, Input):
            continue
        await pressed(pilot, act.keys.split(",")[0])
        if pilot.app.screen is screen:
            screen.say(LONG, "error")
            await settled(pilot.app)
        assert not seen(pilot), (act.id, seen(pilot), "\n".join(lines_on(pilot)))
        assert not bad_cells(pilot), act.id
        for _ in range(6):
            questions = [x for kind in (Ask, Pick, Letters) for x in pilot.app.screen.query(kind) if x.is_open]
            if pilot.app.screen is screen and not questions:
                break
            await pressed(pilot, "escape")
        if not screen.is_attached or pilot.app.screen is not screen:
            return


async def look_everywhere(pilot: Pilot[Any], screen: BookScreen) -> None:
    """The place as it opens, with a long message, and with each of its questions."""
    pilot.app.push_screen(screen)
    await settled(pilot.app)
    assert not seen(pilot), "\n".join(lines_on(pilot))
    screen.say(LONG, "error")
    await settled(pilot.app)
    assert not seen(pilot), "\n".join(lines_on(pilot))
    await every_question(pilot, screen)


@pytest.mark.parametrize("name", SCREENS)
def test_a_small_terminal_shows_message_and_keys_of_the_demo(demo: Session, name: str) -> None:
    async def look() -> None:
        async with LogbookApp(demo).run_test(size=(60, 20)) as pilot:
            await settled(pilot.app)
            await look_everywhere(pilot, SCREENS[name](demo))

    run_quickly(look())


@pytest.mark.parametrize("name", BARE)
def test_a_small_terminal_shows_message_and_keys_of_nothing_yet(book: Session, name: str) -> None:
    book.add_unit(Unit(code="U1", name="crate"))

    async def look() -> None:
        async with LogbookApp(book).run_test(size=(60, 20)) as pilot:
            await settled(pilot.app)
            await look_everywhere(pilot, BARE[name](book))

    run_quickly(look())


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_no_words_are_cut_while_rows_are_empty(demo: Session, size: tuple[int, int]) -> None:
    async def look() -> None:
        async with LogbookApp(demo).run_test(size=size) as pilot:
            for name, make in SCREENS.items():
                pilot.app.push_screen(make(demo))
                await settled(pilot.app)
                assert not cut(pilot), (name, "\n".join(lines_on(pilot)))

    run_quickly(look())


def cut(pilot: Pilot[Any]) -> list[str]:
    """Words above or below a list that are not shown whole although the list leaves rows empty."""
    screen = pilot.app.screen
    free = [x for x in screen.query(Rows) if x.size.height > x.virtual_size.height]
    found = []
    for words in screen.query("Body > Static"):
        height = words.styles.height
        if free and height is not None and height.is_auto and words.display and not words.can_focus:
            needed = words.get_content_height(screen.size, screen.size, words.content_size.width)
            if needed > words.content_size.height:
                found.append(f"{words.id}: {needed} rows, {words.content_size.height} shown")
    return found


async def test_the_first_question_of_an_empty_book_is_seen_on_a_small_terminal(book: Session) -> None:
    async with opened(book, size=(60, 20)) as pilot:
        await pilot.press("n")
        await pilot.pause()
        assert not seen(pilot), "\n".join(lines_on(pilot))
        assert "What is it?" in text_on(pilot)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_a_long_question_wraps_into_rows_that_the_list_leaves_free(book: Session, size: tuple[int, int]) -> None:
    book.add_unit(Unit(code="U1", name="crate"))
    async with opened(book, HistoryScreen(book, "U1"), size=size) as pilot:
        question = pilot.app.screen.query_one("#question")
        words = " ".join(f"warning{i}" for i in range(60))
        question.update(words)  # type: ignore[attr-defined]
        await pilot.pause()
        assert "warning59" in text_on(pilot)
        assert not seen(pilot)


async def test_a_long_message_wraps_where_rows_are_free(book: Session) -> None:
    async with opened(book, ArrivalScreen(book, "U1"), Unit(code="U1", name="crate"), size=(120, 60)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, BookScreen)
        screen.say(f"{'word ' * 40}the end", "error")
        await pilot.pause()
        assert "the end" in text_on(pilot)
        screen.say("short")
        await pilot.pause()
        assert screen.query_one(MessageLine).size.height == 1


async def test_the_rest_of_a_long_message_is_read_above_the_guide_where_no_row_is_free(demo: Session) -> None:
    async with opened(demo, TeardownScreen(demo, "R1"), size=(80, 24)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, BookScreen)
        rows = screen.query_one(Rows)
        assert rows.virtual_size.height >= rows.size.height, "this list leaves no row free"
        screen.say(f"{'word ' * 40}the end", "error")
        await pilot.pause()
        assert "the end" not in text_on(pilot)
        assert "F1: all" in text_on(pilot)
        await pilot.press("f1")
        await pilot.pause()
        assert isinstance(pilot.app.screen, GuideScreen)
        assert "the end" in text_on(pilot)


async def test_the_cursor_stays_in_sight_when_a_list_becomes_lower(demo: Session) -> None:
    async with opened(demo, TeardownScreen(demo, "R1"), size=(80, 40)) as pilot:
        await pilot.press("end")
        row = pilot.app.screen.query_one(Rows).current
        assert row is not None
        await pilot.resize_terminal(80, 20)
        await pilot.pause()
        assert row.key in text_on(pilot)


WORDS, LIST, FIXED = ScreenPartKind.WORDS, ScreenPartKind.LIST, ScreenPartKind.FIXED


@pytest.mark.parametrize(
    ("parts", "room", "rows"),
    [
        pytest.param([(WORDS, 1, 1), (LIST, 19, 30)], 20, [1, 19], id="a full list gives nothing"),
        pytest.param([(WORDS, 3, 5), (LIST, 17, 9)], 20, [5, 15], id="a question takes what it needs"),
        pytest.param([(WORDS, 3, 9), (LIST, 7, 5)], 10, [5, 5], id="it takes no row with an entry"),
        pytest.param([(WORDS, 3, 3), (WORDS, 3, 3), (LIST, 3, 9), (FIXED, 4, 4)], 10, [1, 1, 4, 4], id="words give"),
        pytest.param([(WORDS, 3, 3), (LIST, 9, 9), (FIXED, 4, 4)], 8, [1, 3, 4], id="then the list gives"),
        pytest.param([(WORDS, 3, 3), (LIST, 9, 9), (FIXED, 4, 4)], 4, [0, 0, 4], id="what is typed in never does"),
        pytest.param([(WORDS, 0, 0), (LIST, 20, 0)], 20, [0, 20], id="no words need no row"),
        pytest.param([(LIST, 5, 2), (WORDS, 1, 3), (LIST, 9, 9)], 15, [3, 3, 9], id="from whichever list has some"),
    ],
)
def test_rows_are_shared(parts: list[tuple[ScreenPartKind, int, int]], room: int, rows: list[int]) -> None:
    assert shared_rows([ScreenPart(*part) for part in parts], room) == rows


async def test_news_of_a_screen_that_does_not_stand_concern_nobody(demo: Session) -> None:
    from logbook.tui.screens.reassembly_screen import ReassemblyScreen

    async with opened(demo) as pilot:
        screen = ReassemblyScreen(demo, "R1")
        pilot.app.push_screen(screen)
        rows = Rows()
        screen.post_message(Rows.Moved(rows, Row("1", ("",))))  # before it is built
        await pilot.pause()
        assert screen.query("#question")
        pilot.app.pop_screen()
        screen.post_message(Rows.Moved(rows, Row("1", ("",))))
        screen.say("heard by nobody")
        await pilot.pause()


@pytest.mark.parametrize("words", ["bolt", "G1", "T11", "panel", "oil"])
async def test_what_the_finder_opens_stands_before_anything_else_happens(demo: Session, words: str) -> None:
    async with opened(demo, FindScreen(demo)) as pilot:
        for key in [*words, "down", "down", "enter", "escape", "slash", *words, "down", "enter", "5", "down", "escape"]:
            pilot.app.post_message(events.Key(key, key if len(key) == 1 else None))
        for _ in range(30):
            await pilot.pause()
        assert isinstance(pilot.app.screen, BenchScreen)
