"""Choosing one of many: a list with a line above it that keeps only what has the typed words, the likeliest first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from logbook.model.best_match import how_far_off
from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK
from logbook.tui.look.inks import Line as DrawnLine
from logbook.tui.look.told import Told, told_lines
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.entries import titled_entries
from logbook.tui.widgets.input_line import Line
from logbook.tui.widgets.list_beside import ListBeside, columns_alone, list_columns, paragraphs_in_full
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.worded_entries import worded_entries

CHOICES = "To choose from"
NOTHING_FITS = "Nothing has these words. Clear the line to see everything."


class ChooseScreen(BookScreen):
    """Type to narrow the list, arrows to move, Enter to take; Escape leaves everything as it was.

    Where there are columns for it, what is said of the one under the cursor stands beside the names.
    """

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
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
        told: Callable[[str], Iterable[Told]] | None = None,
    ) -> None:
        """Make the screen.

        Args:
            session: the open book.
            code: the unit it is about, or empty.
            question: the sentence at the top.
            rows: what can be chosen.
            take: called with the key of the row that was taken, after this screen has gone.
            here: key of the row that holds now.
            told: what else stands beside the list of the row with a key, in groups.
        """
        super().__init__(session)
        self.CODE = code
        self._question = question
        self._all = tuple(rows)
        self._take = take
        self._here = here
        self._told = told
        self._doubted = ""
        """Key of the row of which it was said that others fit just as well; Enter once more takes it."""

    def place(self) -> str:
        """The unit, and that something is chosen."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / choose" if self.CODE else "Choose"

    def compose_body(self) -> ComposeResult:
        """The question, the words, the list."""
        yield Static(plain(self._question, limit=300), classes="question")
        yield Line(placeholder="type a few letters to narrow the list", id="words")
        if self._says_more:
            yield ListBeside("choices", CHOICES, self._in_full, pane_title="What it is")
            return
        yield titled_entries("choices", CHOICES)

    def first_focus(self) -> str:
        """The words; the arrows move in the list all the same."""
        return "#words"

    def keys_now(self) -> list[tuple[str, str, str]]:
        """What the keys do while typing here."""
        return [("Enter", "take it", "screen.take"), ("Up Down", "move", ""), ("Esc", "cancel", "screen.back")]

    @property
    def _says_more(self) -> bool:
        """Whether any of them says more than its name."""
        return any(len(row.lines) > 1 for row in self._all)

    @property
    def _is_beside(self) -> bool:
        return self._says_more and self.columns >= WIDE

    def show_record(self) -> None:
        """The rows that have every typed word, the likeliest first."""
        shown = self.query_one(Rows)
        columns = list_columns(self.columns) if self._is_beside else columns_alone(self.columns)
        rows = self._fitting()
        if self._is_beside:
            rows = [replace(row, lines=row.lines[:1]) for row in rows]
        shown.show(worded_entries(rows, columns, self._words()))
        if self._here and not self._words():
            shown.go_to(self._here)

    def _in_full(self, columns: int, _rows: int) -> list[DrawnLine]:
        """What is said of the one under the cursor."""
        row = self._current()
        if row is None:
            return [BLANK]
        rows = paragraphs_in_full(row.lines[0], (words.strip() for words in row.lines[1:]), columns)
        return rows if self._told is None else rows + told_lines(self._told(row.key), columns)

    def _current(self) -> Row | None:
        return self.query_one(Rows).current_of({row.key: row for row in self._all})

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
        row = self._current()
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
