"""What if: lines ticked out and other figures tried, and what the decision becomes. Nothing of it is written."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.costing import (
    HOW,
    NOT_TRIED,
    Decision,
    Trial,
    TrialKind,
    TrialLine,
    decision,
    trial_lines,
    tried,
    with_typed,
)
from logbook.model.unit import Unit
from logbook.render.costs_document import answer
from logbook.render.weighing import remark_lines, weighed
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.asking import AskingScreen
from logbook.tui.plain_content import plain
from logbook.tui.screens.drawn_costs_screen import DrawnCostsScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.what_if_rows import compared_facts, trial_rows, tried_words
from logbook.tui.sections import UNIT_ACTS
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.worded_entries import worded_entries


class WhatIfScreen(AskingScreen):
    """A trial on one unit. It lives as long as the screen does."""

    TOPIC = "costs"
    SECTION = "costs"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("what_if.tick", "space", "tick", "in / out", "Tick the line out, or in again", True),
        Act("what_if.type", "enter", "type", "try", "Try another price, quantity, chance, time or rate", True),
        Act("undo", "z", "undo", "undo", "Take back what was tried last; the record is not touched", True),
        Act("redo", "Z", "redo", "redo", "Try again what was taken back"),
        Act("what_if.clear", "x", "clear", "as recorded", "The line as it stands in the record", True),
        Act("what_if.all", "X", "clear_all", "all as recorded", "Every line as it stands in the record"),
        Act("what_if.drawn", "v", "drawn", "drawn", "What would drive the range, and cash over time, drawn", True),
        Act("what_if.why", "w", "why", "why", "What the decision would say in full", True),
        *UNIT_ACTS,
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self._trial = Trial()
        self._before: list[Trial] = []
        self._after: list[Trial] = []
        self._lines: dict[str, TrialLine] = {}

    def place(self) -> str:
        """The unit and the trial."""
        return f"{self.CODE} {self.unit.name} / costs / what if"

    def compose_section(self) -> ComposeResult:
        """The answer, record and trial side by side, the lines, the line to type in."""
        yield Static("", id="question", classes="question")
        yield Static("", id="facts", classes="facts")
        yield titled_entries("lines", "What can be tried")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The lines."""
        return "#lines"

    def focus_list(self) -> None:
        """Back to the lines."""
        self.query_one("#lines", Rows).focus()

    def decided(self) -> tuple[Decision, Decision]:
        """The decision as recorded, and as tried."""
        unit, shop, today = self.unit, self.session.shop_for(self.CODE), self.session.today
        return decision(unit, shop, today), decision(*tried(unit, shop, self._trial), today)

    def show_record(self) -> None:
        """Everything reckoned anew, with and without the trial."""
        lines = trial_lines(self.unit, self.session.shop_for(self.CODE))
        self._lines = {x.key: x for x in lines}
        before, after = self.decided()
        changed = len(self._trial.changed & self._lines.keys())
        head = f"{changed} tried otherwise. {answer(after.compared, after)}" if changed else _START
        self.query_one("#question", Static).update(plain(f"{head} Nothing is written.", limit=300))
        facts = "\n".join(compared_facts(before, after, self.room))
        self.query_one("#facts", Static).update(plain(facts, lines=True))
        columns = columns_alone(self.columns)
        self.query_one("#lines", Rows).show(worded_entries(trial_rows(lines, self._trial, columns), columns))

    def current_line(self) -> TrialLine | None:
        """The line under the cursor."""
        return self.query_one("#lines", Rows).current_of(self._lines)

    def action_tick(self) -> None:
        """Tick the line out or in."""
        line = self.current_line()
        if line is None:
            return
        if not line.can_leave_out:
            a_rate = "A rate is always there; Enter tries another, such as 0."
            self.say(a_rate if line.kind is TrialKind.RATE else NOT_TRIED.format(name=line.name))
            return
        self._try(self._trial.toggled(line.key))

    @on(Rows.Chosen, "#lines")
    def action_type(self) -> None:
        """Ask for another figure."""
        line = self.current_line()
        if line is not None:
            self.ask(f"try {line.key}", line.name, "", f"Now {line.words}. {HOW[line.kind]}", self._typed)

    def _typed(self, text: str) -> None:
        line = self.current_line()
        if line is not None:
            self._try(with_typed(self._trial, line, text))

    def action_clear(self) -> None:
        """The line as recorded."""
        line = self.current_line()
        if line is not None:
            self._try(self._trial.cleared(line.key))

    def action_clear_all(self) -> None:
        """Every line as recorded."""
        self._try(Trial())

    def action_undo(self) -> None:
        """Take back what was tried last; the record is not touched from here."""
        self._back_in(self._before, self._after, "Nothing was tried before this. The record is changed elsewhere.")

    def action_redo(self) -> None:
        """Try again what was taken back."""
        self._back_in(self._after, self._before, "Nothing left to try again.")

    def _back_in(self, there: list[Trial], here: list[Trial], nothing: str) -> None:
        if not there:
            self.say(nothing)
            return
        here.append(self._trial)
        self._trial = there.pop()
        self.show_record()
        self.say(f"{len(self._trial.changed)} tried otherwise. The record is as it was.")

    def _try(self, trial: Trial) -> None:
        if trial == self._trial:
            return
        self._before.append(self._trial)
        self._after.clear()
        self._trial = trial
        self.show_record()
        line = self.current_line()
        words = tried_words(line.key, trial) if line is not None else ""
        self.say(f"Tried: {line.name} {words}. The record is as it was." if line is not None and words else "")

    def action_drawn(self) -> None:
        """The drawings of the trial."""

        def decided() -> tuple[Unit, Decision]:
            return tried(self.unit, self.session.shop_for(self.CODE), self._trial)[0], self.decided()[1]

        self.app.push_screen(
            DrawnCostsScreen(self.session, self.CODE, "costs / what if / drawn", self._untouched(), decided)
        )

    def action_why(self) -> None:
        """The trial in full."""
        after = self.decided()[1]
        self._page("in full", lambda: (*weighed(after), *remark_lines(after.rows)))

    def _page(self, of: str, paragraphs: object) -> None:
        assert callable(paragraphs)  # noqa: S101 - only the two above call it
        page = PageScreen(self.session, self.CODE, f"costs / what if / {of}", self._untouched(), paragraphs)
        self.app.push_screen(page)

    def _untouched(self) -> str:
        return f"{len(self._trial.changed)} tried otherwise; nothing is written."


_START = "What if? Space ticks a line out, Enter tries another figure."
