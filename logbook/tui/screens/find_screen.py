"""Find anything in the book by words, or jump to a unit by its code."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from logbook.render.plain import clean, fitted
from logbook.session import Session
from logbook.teardown.book_search import Finder, Hit
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.input_line import Line
from logbook.tui.widgets.rows import Row, Rows

MOST_SHOWN = 200


class FindScreen(BookScreen):
    """Words at the top, what they find below; Enter goes there."""

    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("find.go", "enter", "go", "go there", "Go to what is under the cursor", True),
        Act("find.down", "down", "to_list", "list", "Go down into the list"),
    )

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._found: tuple[Hit, ...] = ()
        self._finder = Finder()

    def place(self) -> str:
        """The place."""
        return "Find"

    def compose_body(self) -> ComposeResult:
        """The words, and what they find."""
        yield Line(placeholder="words, a code like T11, or a unit like R1", id="words")
        yield Static("", id="count", classes="facts")
        yield Rows(id="found")

    def keys_now(self) -> list[tuple[str, str, str]]:
        """Enter goes to what is found, from the words as from the list."""
        return [("Enter", "go there", ""), ("Esc", "cancel", "screen.back")]

    def first_focus(self) -> str:
        """The words."""
        return "#words"

    def show_record(self) -> None:
        """What the words find now."""
        words = self.query_one("#words", Line).value.strip()
        self._found = self._finder.find(self.session.book(), words, MOST_SHOWN) if words else ()
        rows = [Row(str(i), (_words(f),)) for i, f in enumerate(self._found)]
        self.query_one(Rows).show(rows)
        count = len(self._found)
        said = "" if not words else "Nothing has all these words." if not count else f"{count} found"
        self.query_one("#count", Static).update(plain(said + (" (the first ones)" if count == MOST_SHOWN else "")))

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
        if isinstance(self.focused, Line):
            self.query_one(Rows).focus()
        else:
            self.query_one(Rows).action_move(1)

    def action_go(self) -> None:
        """Go to what is under the cursor, or to the unit whose code was typed."""
        code = self.query_one("#words", Line).value.strip().upper()
        if code in self.session.codes():
            self.logbook.go_to(code)
            return
        rows = self.query_one(Rows)
        if self._found and rows.current is not None:
            found = self._found[int(rows.current.key)]
            self.logbook.go_to(found.unit, found.kind, found.code)
        elif code:
            self.say(f"There is no unit {code}, and nothing has these words.", "error")


def _words(found: Hit) -> str:
    """Unit, what kind of thing with its code, and the words that were found."""
    thing = clean(f"{found.kind} {found.code}".strip(), limit=40)
    return f"{fitted(found.unit, 8)} {fitted(thing, 18)} {clean(found.text, limit=200)}"
