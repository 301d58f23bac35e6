"""F1 from every place: the page about it, the pages beside it, the list of all, and the page on paper."""

from __future__ import annotations

import pytest

from logbook.model.guide_pages import TOPICS, guide_page
from logbook.model.paths import Path
from logbook.session import Session
from logbook.tui.look.inks import Span
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.form_screen import ListScreen
from logbook.tui.screens.guide_screen import GuideScreen
from logbook.tui.screens.help_screen import HelpScreen
from logbook.tui.widgets.entries import Entries, ListEntry
from tests.builders import unit
from tests.tui.conftest import lines_on, opened, text_on, until
from tests.tui.every_screen import SCREENS

PLACES = [name for name in SCREENS if name not in ("guide", "list of the guide", "leaving")]
"""All but the guide itself, and the question on leaving, where any other key leaves."""


@pytest.mark.parametrize("name", PLACES)
async def test_f1_shows_the_page_about_the_place_and_esc_goes_back(demo: Session, name: str) -> None:
    async with opened(demo, SCREENS[name](demo)) as pilot:
        below = pilot.app.screen
        assert isinstance(below, BookScreen)
        await pilot.press("f1")
        await until(pilot, lambda: isinstance(pilot.app.screen, GuideScreen))
        assert guide_page(below.topic()).title in lines_on(pilot)[0]
        await pilot.press("escape")
        assert pilot.app.screen is below


@pytest.mark.parametrize(
    ("path", "topic"),
    [(("steps",), "bench-line"), (("operations",), "work-and-plan"), (("sets",), "pairs"), (("comparators",), "costs")],
)
async def test_a_list_has_the_page_about_what_is_in_it(demo: Session, path: Path, topic: str) -> None:
    async with opened(demo, ListScreen(demo, "R1", path)) as pilot:
        await pilot.press("f1")
        assert guide_page(topic).title in lines_on(pilot)[0]


async def test_pages_are_turned_and_chosen_from_the_list(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("f1")
        assert "Guide / Start here" in lines_on(pilot)[0]
        await pilot.press("right")
        assert guide_page(TOPICS[1]).title in lines_on(pilot)[0]
        await pilot.press("left", "left")
        assert guide_page(TOPICS[-1]).title in lines_on(pilot)[0]
        await pilot.press("f1")
        assert "Which page?" in text_on(pilot)
        await pilot.press("home", "down", "down", "enter")
        assert guide_page(TOPICS[2]).title in lines_on(pilot)[0]
        await pilot.press("enter")
        assert "Which page?" in text_on(pilot)
        await pilot.press("right")
        assert guide_page(TOPICS[0]).title in lines_on(pilot)[0]


async def test_a_page_can_be_read_to_its_end_on_a_small_terminal(demo: Session) -> None:
    async with opened(demo, GuideScreen(demo, "bench-line"), size=(60, 20)) as pilot:
        await pilot.press("end")
        assert "into the list" in text_on(pilot)
        assert all(len(line) <= 60 for line in lines_on(pilot))


async def test_the_keys_of_the_place_are_one_key_away_also_while_a_line_is_typed(book: Session) -> None:
    async with opened(book, None, unit()) as pilot:
        await pilot.press("b", *"knob")
        assert "F1 help" in lines_on(pilot)[-1]
        await pilot.press("f1", "question_mark")
        assert isinstance(pilot.app.screen, HelpScreen)
        assert "Everything typed goes into the line" in text_on(pilot)
        await pilot.press("f1")
        assert "Guide / The bench line" in lines_on(pilot)[0]
        await pilot.press("escape", "escape", "escape")
        assert "knob" in text_on(pilot)


async def test_a_message_that_was_cut_is_read_whole(demo: Session) -> None:
    async with opened(demo) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, BookScreen)
        screen.say("one word after another " * 15 + "and the last one")
        await pilot.press("f1")
        assert "and the last one" in text_on(pilot)


@pytest.mark.parametrize(("turns", "ending"), [(0, "pdf"), (1, "md"), (2, "txt"), (3, "html")])
async def test_a_page_goes_onto_paper(demo: Session, turns: int, ending: str) -> None:
    async with opened(demo, GuideScreen(demo, "pile-and-saw")) as pilot:
        await pilot.press("e")
        assert "Guide / on paper" in lines_on(pilot)[0]
        assert "label" not in text_on(pilot)
        await pilot.press(*"1" * turns, "enter")
        made = demo.path / "paper" / f"guide-pile-and-saw.{ending}"
        await until(pilot, made.exists)
        assert made.stat().st_size > 1000
        if ending != "pdf":
            assert "The layout" in made.read_text() or "THE LAYOUT" in made.read_text()


async def test_the_whole_guide_goes_onto_paper_and_a_table_is_refused_with_a_sentence(demo: Session) -> None:
    async with opened(demo, GuideScreen(demo, "keys")) as pilot:
        await pilot.press("e", "1", "1", "down", "enter")
        made = demo.path / "paper" / "guide-whole.txt"
        await until(pilot, made.exists)
        text = made.read_text()
        assert all(guide_page(topic).title in text for topic in TOPICS)
        await pilot.press("1", "1", "enter")
        await until(pilot, lambda: "The guide is no table" in text_on(pilot))


async def test_examples_are_set_off_and_keys_have_the_ink_of_keys(demo: Session) -> None:
    async with opened(demo, GuideScreen(demo, "bench-line"), size=(60, 20)) as pilot:
        rows = pilot.app.screen.query_one("#page", Entries).rows
        example = next(row for row in rows if row.lines and "back panel" in row.lines[0])
        assert example.lines[0].startswith("  │ back panel")
        key = next(row for row in rows if row.lines and row.lines[0].startswith("Tab  "))
        assert isinstance(key, ListEntry)
        assert key.spans[0][0] == Span("Tab", "bold accent")
        assert not any(line.endswith("…") for line in lines_on(pilot)[1:-1]), "nothing is cut"
