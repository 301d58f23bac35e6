"""From what a unit begins: every part that a starter brings stands beside its name, and Enter brings just that."""

from __future__ import annotations

import pytest

from logbook.model.starters import starters
from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.look.inks import text_of
from logbook.tui.look.told import told_lines
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.begin_screen import begin_from, starter_told
from logbook.tui.widgets.pane import Pane

ALL = starters().all
NAMES = [starter.name for starter in ALL]


@pytest.mark.parametrize("starter", ALL, ids=NAMES)
def test_every_part_of_a_starter_is_named(starter) -> None:  # type: ignore[no-untyped-def]
    said = " ".join(" ".join(text_of(row) for row in told_lines(starter_told(starter), 400)).split())
    for words in (
        *(f"{hazard.signal} {hazard.what}" for hazard in starter.all_hazards),
        *starter.questions,
        *starter.tests,
        *(test.what for test in starter.make_or_break),
        *(f"{step.code} {step.what}" for step in starter.steps),
        *(hold.what for hold in starter.holds),
        *(part.name for part in starter.components),
        starter.note,
    ):
        assert " ".join(words.split()) in said, words


async def test_the_pane_follows_the_cursor_and_an_empty_record_has_no_parts(book: Session) -> None:
    app = LogbookApp(book)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, BookScreen)
        taken: list[object] = []
        begin_from(app.screen, "valve radio", taken.append)
        await pilot.pause(0.1)
        pane = app.screen.query_one("#in-full", Pane)
        assert "Hazards" in " ".join(map(text_of, pane.lines)), "the starter of that name stands first"
        await pilot.press("down")
        await pilot.pause(0.1)
        assert "Hazards" not in " ".join(map(text_of, pane.lines))
        await pilot.press("up")
        await pilot.pause(0.1)
        shown = " ".join(" ".join(map(text_of, pane.lines)).split())
        assert shown.startswith("valve radio A mains set with valves")
        assert "▎Hazards WARNING mains voltage" in shown
        await pilot.press("enter")
        await pilot.pause()
        assert taken == [starters().named("valve radio")]
