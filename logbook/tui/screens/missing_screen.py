"""What is still to complete, the newest step first: Enter opens the very field."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.model.paths import Path
from logbook.model.plural import counted
from logbook.model.unit import Unit
from logbook.render.overview_made import ChangedLine, ticked_and_changed
from logbook.session import Session
from logbook.teardown.complete import LEFT, Missing, completeness, to_complete
from logbook.teardown.field_reasons import WEIGHTS
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.opening import open_path
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.missing_rows import (
    again_in_full,
    again_key,
    missing_entries,
    missing_question,
    want_in_full,
    want_key,
)
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows


class MissingScreen(BookScreen):
    """The list of what the bench left open."""

    TOPIC = "bench-line"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("missing.open", "enter", "open", "fill in", "Open the field that is missing", True),
        Act("missing.sort", "o", "order", "heaviest first", "The newest step first, or what matters most first", True),
        Act(
            "missing.why",
            "w",
            "why",
            "why",
            "What goes wrong when it stays missing, and how the figure is worked out",
            True,
        ),
        Act("missing.step", "v", "record", "record", "All fields of the step", True),
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code
        self._heaviest_first = False
        self._missing: dict[str, Missing] = {}
        self._again: dict[str, ChangedLine] = {}
        """Entries of ticked lines that say something else since, with each line."""

    @property
    def unit(self) -> Unit:
        """The record."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit."""
        return f"{self.CODE} {self.unit.name} / teardown / to complete"

    def compose_body(self) -> ComposeResult:
        """How complete it is, and what is missing."""
        yield Static("", id="question", classes="question")
        yield ListBeside("missing", "To complete", self._in_full, pane_title="Why, and where it belongs")

    def first_focus(self) -> str:
        """The list."""
        return "#missing"

    def show_record(self) -> None:
        """One line for each want."""
        missing = to_complete(self.unit)
        if self._heaviest_first:
            missing = tuple(sorted(missing, key=lambda m: -m.weight))
        self.query_one("#question", Static).update(plain(missing_question(self.unit, missing), limit=600))
        self._missing = {want_key(m): m for m in missing}
        again = ticked_and_changed(self.unit, self.session.shop_now)
        self._again = {again_key(each): each for each in again}
        self.query_one(ListBeside).show(missing_entries(again, missing, list_columns(self.columns)))

    def _current(self) -> Missing | None:
        return self.query_one(Rows).current_of(self._missing)

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """Why it is wanted, and the record in which it is missing."""
        again, missing = self.query_one(Rows).current_of(self._again), self._current()
        if again is not None:
            return again_in_full(again, columns)
        if missing is None:
            return [BLANK]
        return want_in_full(self.unit, missing, self.session.shop_now, columns)

    @on(Rows.Chosen)
    def action_open(self) -> None:
        """The field that is missing: a list is opened, anything else has the cursor in its form."""
        again = self.query_one(Rows).current_of(self._again)
        if again is not None:
            self.logbook.open("reassembly", self.CODE, select=("line", again.line.key))
        elif (missing := self._current()) is not None and missing.field == LEFT:
            self.action_health()
        elif missing is not None:
            path: Path = ("steps", missing.step) if missing.step else ()
            value = getattr(self.unit.step(missing.step) if missing.step else self.unit, missing.field, None)
            if isinstance(value, tuple):
                open_path(self, self.CODE, (*path, missing.field))
            else:
                open_path(self, self.CODE, path, missing.field)

    def action_why(self) -> None:
        """A page that says what goes wrong without it, and how the figure comes about."""
        missing, whole = self._current(), completeness(self.unit)
        if missing is not None and whole is not None:
            weight = f"Weight {missing.weight} of 10. {WEIGHTS}"
            written = f"{counted(whole.wanted, 'thing')} wanted {'is' if whole.done == 1 else 'are'} written"
            figure = f"{whole.done} of {written}: {whole.percent} % of their weight."
            said = (missing.why, weight, figure)
            page = PageScreen(self.session, self.CODE, "to complete / why", missing.sentence, lambda: said)
            self.app.push_screen(page)

    def action_record(self) -> None:
        """All fields of the step."""
        if (missing := self._current()) is not None:
            open_path(self, self.CODE, ("steps", missing.step) if missing.step else ())

    def action_order(self) -> None:
        """Newest first, or heaviest first."""
        self._heaviest_first = not self._heaviest_first
        self._catch_up()
        self.say("What matters most stands first." if self._heaviest_first else "The newest step stands first.")
