"""Pictures of the places at 80x24 and 120x40. A person looks at them before they are taken as right."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, TextArea

from logbook.session import Session
from logbook.tui.app import LogbookApp
from tests.demo_book import demo_copy
from tests.tui.conftest import NOW, text_on, until
from tests.tui.every_screen import SCREENS

SIZES = {"80": (80, 24), "120": (120, 40)}
SHOWN = (
    "bench",
    "arrival",
    "teardown",
    "components",
    "costs",
    "reassembly",
    "bench mode",
    "order of a step",
    "missing",
    "form of a step",
    "store",
    "to buy",
    "bill",
    "what if",
    "paid and taken",
    "case",
    "another thickness",
    "layout",
    "joining",
    "two values",
)


def demo_book(path: Path) -> Session:
    """The demo book with a clock that stands still."""
    return demo_copy(path / "demo", "AB", lambda: NOW, today=NOW.date())


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", SHOWN)
def test_picture(name: str, size: str, tmp_path: Path, snap_compare: Callable[..., bool]) -> None:
    session = demo_book(tmp_path)

    async def go(pilot: Pilot[None]) -> None:
        await pilot.pause()
        if name != "bench":
            await pilot.app.push_screen(SCREENS[name](session))
            await pilot.pause()
        if (name, size) == ("bench", "120"):  # what stands beside is drawn when the cursor rests
            await until(pilot, lambda: "Cash to come" in text_on(pilot))
        if name == "layout":
            await pilot.app.workers.wait_for_complete()
            await pilot.pause()
        for field in pilot.app.screen.query("Input, TextArea"):
            assert isinstance(field, Input | TextArea)
            field.cursor_blink = False
        await pilot.pause()

    assert snap_compare(LogbookApp(session), terminal_size=SIZES[size], run_before=go)


@pytest.mark.parametrize("size", SIZES)
def test_picture_of_an_empty_book(size: str, tmp_path: Path, snap_compare: Callable[..., bool]) -> None:
    session = Session.open(tmp_path / "book", by="AB", now=lambda: NOW)
    assert snap_compare(LogbookApp(session), terminal_size=SIZES[size])
