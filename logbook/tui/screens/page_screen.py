"""A page to read: where a figure comes from, what a change was, how a record once read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.entries import ListEntry, titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.worded_entries import worded_entries


class PageScreen(BookScreen):
    """Paragraphs that can be read and copied, with what they are about at the top; changes nothing."""

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (Act("back", "escape,enter", "back", "back", "Go back", True),)

    def __init__(
        self, session: Session, code: str, of: str, question: str, paragraphs: Callable[[], Sequence[str]]
    ) -> None:
        """Make the page.

        Args:
            session: the open book.
            code: the unit it is about, or empty.
            of: what the page is, for the title line.
            question: the sentence at the top.
            paragraphs: gives what stands below, anew whenever the record changed; a line that begins with
                `# ` is a heading.
        """
        super().__init__(session)
        self.CODE = code
        self._of = of
        self._question = question
        self._paragraphs = paragraphs

    def place(self) -> str:
        """The unit and what the page is."""
        name = f"{self.CODE} {self.session.unit(self.CODE).name} / " if self.CODE else ""
        return f"{name}{self._of}"

    def compose_body(self) -> ComposeResult:
        """What it is about, and the paragraphs."""
        yield Static(plain(self._question, limit=400), classes="question")
        yield titled_entries("page", self._of.rpartition(" / ")[2].capitalize())

    def first_focus(self) -> str:
        """The text, so that arrows scroll it."""
        return "#page"

    def show_record(self) -> None:
        """What stands on the page now."""
        self.query_one(Rows).show(self.entries_in(columns_alone(self.columns)))

    def entries_in(self, columns: int) -> list[ListEntry]:
        """One entry for each paragraph, wrapped to so many columns."""
        rows = []
        for i, text in enumerate(self._paragraphs()):
            words = clean(text, limit=4000, lines=True)
            is_head = words.startswith("# ")
            lines = tuple(words.removeprefix("# ").split("\n"))
            rows.append(Row(f"{i}", lines, "head" if is_head else "text", selectable=not is_head))
        return worded_entries(rows, columns)

    def on_rows_chosen(self) -> None:
        """Enter goes back."""
        self.action_back()
