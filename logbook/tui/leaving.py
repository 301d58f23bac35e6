"""Leaving a place where work is half done: how it is left is asked in a place of its own, never forced."""

from __future__ import annotations

from collections.abc import Callable

from textual.widgets import Static

from logbook.model.unit import Unit
from logbook.teardown.left_as import left_words, still_as_left
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.left_as_screen import LeftAsScreen
from logbook.tui.surviving import Surviving


class LeftAsNote(Surviving, Static):
    """How a unit was left, above what is done with it; nothing once a step was taken since."""

    DEFAULT_CSS = "LeftAsNote { height: auto; max-height: 3; padding: 0 1; color: $text-warning; }"

    def show_for(self, unit: Unit) -> None:
        """Show how this unit was left, with the key that puts it right."""
        words = left_words(unit) if still_as_left(unit) else ""
        self.display = bool(words)
        self.update(plain(f"{words} M: put it right." if words else "", limit=600))


def leave_with_questions(screen: BookScreen, code: str, go: Callable[[], object] | None = None) -> None:
    """Put the questions in the place of `screen`; what is behind it comes back when they are done or left.

    Args:
        screen: the place that is left.
        code: the unit.
        go: what happens then instead, such as leaving the program.
    """
    screen.app.switch_screen(LeftAsScreen(screen.session, code, leaving=True, go=go))
