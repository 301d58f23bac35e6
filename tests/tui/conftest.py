"""What tests of screens share: an open book with a clock that stands still, and a program driven by keys."""

from __future__ import annotations

import unicodedata
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.pilot import Pilot

from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.screen_frame import BookScreen, MessageLine
from logbook.tui.typed_on import TypedOn
from tests.demo_book import demo_copy

NOW = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)


_read_styles = Stylesheet._parse_rules
_styles_read: dict[object, list[RuleSet]] = {}


def _styles_read_once(sheet: Stylesheet, css: str, read_from: object, *more: Any, **named: Any) -> list[RuleSet]:
    """Every program of a test reads the same style sheets: once a process is enough."""
    said = (tuple(sheet._variables.items()), css, read_from, more, tuple(named.items()))
    if said not in _styles_read:
        _styles_read[said] = _read_styles(sheet, css, read_from, *more, **named)
    return _styles_read[said]


Stylesheet._parse_rules = _styles_read_once


@pytest.fixture(autouse=True)
def _terminal_with_all_signs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the tests are run in, screens are drawn as for a terminal that shows every sign."""
    monkeypatch.setenv("TERM", "xterm-256color")


@pytest.fixture(autouse=True)
def _each_key_is_pressed_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test presses keys faster than a hand does; only where it says so are they one text."""
    monkeypatch.setattr(TypedOn, "TOGETHER_SECONDS", 0)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Session]:
    """An empty book, opened for writing by AB on 20 March 2026 at 18:00 UTC."""
    session = Session.open(tmp_path / "book", by="AB", now=lambda: NOW)
    yield session
    session.close()


@asynccontextmanager
async def opened(
    session: Session, screen: BookScreen | None = None, *units: Unit, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Pilot[Any]]:
    """The program on a book, with these units taken in first, showing `screen` (the bench when None)."""
    for unit in units:
        session.add_unit(unit)
    app = LogbookApp(session)
    async with app.run_test(size=size, notifications=True, tooltips=True) as pilot:
        await pilot.pause()
        if screen is not None:
            await app.push_screen(screen)
            await pilot.pause()
        yield pilot


def lines_on(pilot: Pilot[Any]) -> list[str]:
    """What is on the screen, line by line."""
    return [strip.text for strip in pilot.app.screen._compositor.render_strips()]


def text_on(pilot: Pilot[Any]) -> str:
    """What is on the screen, with single blanks and without the cursor's bar, so that wrapping does not matter."""
    return " ".join(" ".join(lines_on(pilot)).replace("▌", " ").split())


def said(pilot: Pilot[Any]) -> str:
    """What stands in the message line."""
    return pilot.app.screen.query_one("#message", MessageLine).text


async def typed(pilot: Pilot[Any], text: str) -> None:
    """Put text where the cursor is, at once."""
    pilot.app.screen.post_message(events.Paste(text))
    await pilot.pause()


async def until(pilot: Pilot[Any], check: Callable[[], object], what: str = "it did not happen") -> None:
    """Wait for something without sleeping; fails after 200 turns."""
    for _ in range(200):
        if check():
            return
        await pilot.pause()
    raise AssertionError(f"{what}\n" + "\n".join(lines_on(pilot)))


def bad_cells(pilot: Pilot[Any]) -> list[tuple[int, str]]:
    """Lines that are not exactly as wide as the screen, and characters that a terminal could obey."""
    from rich.cells import cell_len

    bad = []
    for y, line in enumerate(lines_on(pilot)):
        if cell_len(line) != pilot.app.size.width:
            bad.append((y, f"{cell_len(line)} cells"))
        bad += [
            (y, f"U+{ord(char):04X}")
            for char in line
            if unicodedata.category(char) in ("Cc", "Cs") or char in "\u202e\u2066\u200b"
        ]
    return bad


HOSTILE = (
    "leg [/left] [oak=2] [@click=app.quit]x[/]",
    "\x1b]52;c;aGk=\x07\x1b[2J\x1b[31mred",
    "\u202eevil\u2066 \u200bzero",
    "日本語の部品 👍🏽 🇩🇪 e\u0301\u0301\u0301\u0301\u0301",
    "x" * 3000,
    "line\nbreak\tand tab",
    '=HYPERLINK("http://127.0.0.1")',
)
"""Texts that would break a screen that trusts them."""


@pytest.fixture
def demo(tmp_path: Path) -> Iterator[Session]:
    """The demo book, opened for writing by AB on 20 March 2026 at 18:00 UTC."""
    session = demo_copy(tmp_path / "book", "AB", lambda: NOW)
    yield session
    session.close()
