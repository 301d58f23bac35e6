"""Choosing one of many: a list with a line above it that keeps only what has the typed words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.frame import BookScreen
from logbook.tui.plain import plain
from logbook.tui.widgets.line import Line
from logbook.tui.widgets.rows import Row, Rows


class ChooseScreen(BookScreen):
    """Type to narrow the list, arrows to move, Enter to take; Escape leaves everything as it was."""

    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("choose.take", "enter", "take", "take it", "Take what is under the cursor", True),
        Act("choose.down", "down", "step(1)", "down", "Down in the list"),
        Act("choose.up", "up", "step(-1)", "up", "Up in the list"),
    )

    def __init__(
        self,
        session: Session,
        code: str,
        question: str,
        rows: Sequence[Row],
        *,
        take: Callable[[str], None],
        here: str = "",
    ) -> None:
        """Make the screen.

        Args:
            session: the open book.
            code: the unit it is about, or empty.
            question: the sentence at the top.
            rows: what can be chosen.
            take: called with the key of the row that was taken, after this screen has gone.
            here: key of the row that holds now.
        """
        super().__init__(session)
        self.CODE = code
        self._question = question
        self._all = tuple(rows)
        self._take = take
        self._here = here

    def place(self) -> str:
        """The unit, and that something is chosen."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / choose" if self.CODE else "Choose"

    def compose_body(self) -> ComposeResult:
        """The question, the words, the list."""
        yield Static(plain(self._question, limit=300), classes="question")
        yield Line(placeholder="type a few letters to narrow the list", id="words")
        yield Rows(id="choices")

    def first_focus(self) -> str:
        """The words; the arrows move in the list all the same."""
        return "#words"

    def keys_now(self) -> list[tuple[str, str, str]]:
        """What the keys do while typing here."""
        return [("Enter", "take it", "screen.take"), ("Up Down", "move", ""), ("Esc", "cancel", "screen.back")]

    def show_record(self) -> None:
        """The rows that have every typed word."""
        words = self.query_one("#words", Line).value.casefold().split()
        rows = [r for r in self._all if all(w in " ".join(r.lines).casefold() for w in words)]
        shown = self.query_one(Rows)
        shown.show(rows)
        if self._here and not words:
            shown.go_to(self._here)

    @on(Input.Changed, "#words")
    def _typed(self) -> None:
        self.show_record()

    @on(Input.Submitted, "#words")
    @on(Rows.Chosen)
    def action_take(self) -> None:
        """Take the row under the cursor and go back."""
        row = self.query_one(Rows).current
        if row is None:
            self.say("Nothing has these words. Clear the line to see everything.", "error")
            return
        self.app.pop_screen()
        self._take(row.key)

    def action_step(self, by: int) -> None:
        """Move in the list while the words keep the focus."""
        self.query_one(Rows).action_move(by)
