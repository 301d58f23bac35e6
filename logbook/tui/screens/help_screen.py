"""Every key that works at a place, made from the same table as the keys themselves."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult

from logbook.render.plain import wrapped
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.rows import Row, Rows

KEY_COLUMNS = 12


class HelpScreen(BookScreen):
    """The keys of the place below; any of Esc, ? or Enter goes back."""

    EXPLAINS = True
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("back", "escape,enter", "back", "back", "Go back", True),
        Act("keys", "question_mark", "back", "back", "Go back"),
    )

    def __init__(self, session: Session, of: str, lines: list[tuple[str, str]]) -> None:
        super().__init__(session)
        self._of = of
        self._lines = lines

    def place(self) -> str:
        """Of which place these are the keys."""
        return f"Keys at: {self._of}"

    def topic(self) -> str:
        """The page of the guide about the place below."""
        below = self.place_explained()
        return below.topic() if below is not None else self.TOPIC

    def compose_body(self) -> ComposeResult:
        """The list of keys."""
        yield Rows(id="help")

    def first_focus(self) -> str:
        """The list, so that arrows scroll it."""
        return "#help"

    def show_record(self) -> None:
        """One entry for each key; long explanations wrap."""
        room = max(20, (self.size.width or 80) - KEY_COLUMNS - 3)
        rows = []
        for i, (keys, words) in enumerate(self._lines):
            first, *rest = wrapped(words, room)
            lines = (f"{keys:<{KEY_COLUMNS}}{first}", *(" " * KEY_COLUMNS + r for r in rest))
            rows.append(Row(f"{i}", lines))
        self.query_one(Rows).show(rows)

    def on_rows_chosen(self) -> None:
        """Enter goes back."""
        self.action_back()
