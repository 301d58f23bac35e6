"""Find anything in the book by words, or jump to a unit by its code."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from logbook.render.overview import Overview
from logbook.session import Session
from logbook.teardown.book_search import Finder, Hit
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.find_rows import EMPTY, hit_entries, hit_in_full, shared_in_full, unit_in_full, units_as_hits
from logbook.tui.widgets.input_line import Line as WordsLine
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows

MOST_SHOWN = 200


class FindScreen(BookScreen):
    """Words at the top, what they find below; Enter goes there."""

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("find.go", "enter", "go", "go there", "Go to what is under the cursor", True),
        Act("find.down", "down", "to_list", "list", "Go down into the list"),
    )

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._found: tuple[Hit, ...] = ()
        self._overviews: dict[str, Overview] = {}
        """Of every unit, by its code, for what stands beside the list."""
        self._finder = Finder()

    def place(self) -> str:
        """The place."""
        return "Find"

    def compose_body(self) -> ComposeResult:
        """The words, and what they find."""
        yield WordsLine(placeholder="words, a code like T11, or a unit like R1", id="words")
        yield Static("", id="count", classes="facts")
        yield ListBeside("found", "Found", self._in_full)

    def keys_now(self) -> list[tuple[str, str, str]]:
        """Enter goes to what is found, from the words as from the list."""
        return [("Enter", "go there", ""), ("Esc", "cancel", "screen.back")]

    def first_focus(self) -> str:
        """The words."""
        return "#words"

    def show_record(self) -> None:
        """What the words find now."""
        words = self.query_one("#words", WordsLine).value.strip()
        if words:
            self._found = self._finder.find(self.session.book(), words, MOST_SHOWN)
        else:
            self._overviews = {overview.code: overview for overview in self.session.lines()}
            self._found = units_as_hits(tuple(self._overviews.values()))
        self.query_one(ListBeside).show(hit_entries(self._found, words, list_columns(self.columns)))
        self.query_one("#count", Static).update(plain(self._sentence(words), limit=300))

    def _sentence(self, words: str) -> str:
        count = len(self._found)
        if not words:
            return EMPTY
        if not count:
            return "Nothing has all these words."
        return f"{count} found" + (" (the first ones)" if count == MOST_SHOWN else "")

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What is under the cursor."""
        hit = self.current()
        if hit is None:
            return [BLANK]
        now = self.session.shop_now
        if not hit.unit:
            return shared_in_full(hit, self.session.shop, now, columns)
        overview = self._overviews.get(hit.unit)
        if hit.kind == "unit" and overview is not None:
            return unit_in_full(overview, columns)
        return hit_in_full(hit, self.session.unit(hit.unit), now, columns)

    def current(self) -> Hit | None:
        """What is under the cursor."""
        row = self.query_one(Rows).current
        number = int(row.key) if row is not None else len(self._found)
        return self._found[number] if number < len(self._found) else None

    @on(Input.Changed, "#words")
    def _typed(self) -> None:
        self.show_record()

    @on(Input.Submitted, "#words")
    def _entered(self) -> None:
        self.action_go()

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_go()

    def action_to_list(self) -> None:
        """From the words to the list."""
        if isinstance(self.focused, WordsLine):
            self.query_one(Rows).focus()
        else:
            self.query_one(Rows).action_move(1)

    def action_go(self) -> None:
        """Go to what is under the cursor, or to the unit whose code was typed."""
        code = self.query_one("#words", WordsLine).value.strip().upper()
        if code in self.session.codes():
            self.logbook.go_to(code)
            return
        found = self.current()
        if found is not None:
            self.logbook.go_to(found.unit, found.kind, found.code)
        elif code:
            self.say(f"There is no unit {code}, and nothing has these words.", "error")
