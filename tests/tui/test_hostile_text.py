"""No text that a person types can break a screen: in the record, or typed and pasted into a field."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events
from textual.app import App, ComposeResult
from textual.widgets import Input, TextArea

from logbook.model.document import ShopDocument, UnitDocument
from logbook.model.templates import demo_documents
from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.widgets.pane import Pane
from tests.hostile import HOSTILE, filled, texts
from tests.tui.conftest import NOW, bad_cells
from tests.tui.every_screen import SCREENS

ALWAYS, IN_TURN = (60, 80, 120), (61, 79, 100, 200)
"""Every screen is seen at the usual widths, and at one of those between and beyond."""


def hostile_book(path: Path, start: int = 0) -> Session:
    """The demo book with every free word of its records replaced by something hostile."""
    said = texts(start)
    session = Session.open(path, by="A[/]B", now=lambda: NOW)
    for document in demo_documents():
        if isinstance(document, UnitDocument):
            session.add_unit(filled(document.unit, said), next(said))
        else:
            assert isinstance(document, ShopDocument)
            shop = filled(document.shop, said)
            session.apply_shop(next(said), lambda _, new=shop: new)
    return session


@pytest.mark.parametrize("name", SCREENS)
async def test_a_book_full_of_hostile_text_shows_at_every_width(name: str, tmp_path: Path) -> None:
    session = hostile_book(tmp_path, start=len(name) * 7 % len(HOSTILE))
    app = LogbookApp(session)
    async with app.run_test(size=(80, 24), notifications=True, tooltips=True) as pilot:
        await pilot.pause()
        await app.push_screen(SCREENS[name](session))
        await pilot.pause()
        for width in (*ALWAYS, IN_TURN[len(name) % len(IN_TURN)]):
            await pilot.resize_terminal(width, 24)
            await pilot.press("end", "pagedown")
            assert not bad_cells(pilot), (name, width, bad_cells(pilot)[:5])
            await pilot.press("home", "down")
            assert not bad_cells(pilot), (name, width, bad_cells(pilot)[:5])
    assert app.return_code in (0, None)


PASTED = ("close tag", "click", "escape writes", "override", "long word", "many lines", "Chinese", "NUL")


@pytest.mark.parametrize("name", ["find", "bench mode", "new wire", "form of a step", "teardown"])
async def test_hostile_text_pasted_into_a_field_breaks_nothing(name: str, tmp_path: Path) -> None:
    session = hostile_book(tmp_path)
    app = LogbookApp(session)
    async with app.run_test(size=(80, 24), notifications=True, tooltips=True) as pilot:
        await pilot.pause()
        await app.push_screen(SCREENS[name](session))
        await pilot.pause()
        for what in PASTED:
            screen = app.screen
            if name in ("form of a step", "teardown"):
                await pilot.press("enter" if name == "form of a step" else "E")
            fields = [f for f in app.screen.query("Input, TextArea") if f.display and f.is_attached and f.focusable]
            assert fields or name == "form of a step"
            for field in fields:
                assert isinstance(field, Input | TextArea)
                field.focus()
                await pilot.pause()
                app.screen.post_message(events.Paste(HOSTILE[what]))
                await pilot.pause()
                assert not bad_cells(pilot), (name, what, bad_cells(pilot)[:5])
            await pilot.press("enter")
            await pilot.pause()
            assert not bad_cells(pilot), (name, what, bad_cells(pilot)[:5])
            while app.screen is not screen and len(app.screen_stack) > 2:
                app.pop_screen()
                await pilot.pause()
            await pilot.press("escape")
            if app.screen is not screen:
                await app.push_screen(SCREENS[name](session))
                await pilot.pause()


class OnePane(App[None]):
    """One pane, to be given a title."""

    def compose(self) -> ComposeResult:
        """The pane."""
        yield Pane(lambda _columns, _rows: [])


@pytest.mark.parametrize("text", HOSTILE)
async def test_a_title_over_a_pane_is_never_markup(text: str) -> None:
    """What a step is called stands over its card as it was typed."""
    app = OnePane()
    async with app.run_test(size=(60, 6)) as pilot:
        app.query_one(Pane).entitle(text, text)
        await pilot.pause()
        title = app.query_one(Pane)._border_title
        assert title is not None
        assert title.plain.strip() == clean(text, limit=300).strip()
