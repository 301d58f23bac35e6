"""Choosing one of many: a list with a line above it that keeps only what has the typed words, the likeliest first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from logbook.model.best_match import how_far_off
from logbook.render.plain import clean, under
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.input_line import Line
from logbook.tui.widgets.rows import Row, Rows


def _in(columns: int, lines: Sequence[str]) -> tuple[str, ...]:
    """Lines in so many columns; what is longer goes on below, as far in as it begins."""
    ins = [len(line) - len(line.lstrip()) for line in lines]
    return tuple(row for line, at in zip(lines, ins, strict=True) for row in under(line[:at], line[at:], columns))


NOTHING_FITS = "Nothing has these words. Clear the line to see everything."


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
        self._doubted = ""
        """Key of the row of which it was said that others fit just as well; Enter once more takes it."""

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
        """The rows that have every typed word, the likeliest first."""
        shown = self.query_one(Rows)
        shown.show([replace(row, lines=_in(self.room, row.lines)) for row in self._fitting()])
        if self._here and not self._words():
            shown.go_to(self._here)

    def _words(self) -> list[str]:
        return self.query_one("#words", Line).value.split()

    def _fitting(self) -> list[Row]:
        words = self._words()
        if not words:
            return list(self._all)
        off = {row.key: how_far_off(words, row.lines) for row in self._all if row.selectable}
        return sorted((row for row in self._all if off.get(row.key) is not None), key=lambda row: off[row.key] or ())

    @on(Input.Changed, "#words")
    def _typed(self) -> None:
        self._doubted = ""
        self.show_record()
        fitting = self._fitting()
        self.say("" if fitting else NOTHING_FITS)
        if fitting:
            self.query_one(Rows).go_to(fitting[0].key)

    def _in_doubt(self, row: Row) -> bool:
        """Whether the typed words fit another row just as well, and nobody moved to this one."""
        words, fitting = self._words(), self._fitting()
        if not words or self._doubted == row.key or row.key != fitting[0].key:
            return False
        off = how_far_off(words, row.lines)
        return any(how_far_off(words, other.lines) == off for other in fitting[1:])

    @on(Input.Submitted, "#words")
    @on(Rows.Chosen)
    def action_take(self) -> None:
        """Take the row under the cursor and go back."""
        current = self.query_one(Rows).current
        row = next((row for row in self._all if current is not None and row.key == current.key), None)
        if row is None:
            self.say(NOTHING_FITS, "error")
            return
        if self._in_doubt(row):
            self._doubted = row.key
            name = clean(row.lines[0], limit=60)
            self.say(f"More than one has these words. Enter again takes {name}; Up and Down go to another.", "error")
            return
        self.app.pop_screen()
        self._take(row.key)

    def action_step(self, by: int) -> None:
        """Move in the list while the words keep the focus."""
        self.query_one(Rows).action_move(by)
