"""Another copy of the book that went its own way: what joining would do, then its questions, then the joining."""

from __future__ import annotations

from functools import cached_property, partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.joining import chosen
from logbook.joining.report import Report
from logbook.model.apart import ToLookAt
from logbook.render.joining_document import joining_answer, other_copy
from logbook.session import Session
from logbook.session.joining import JoiningProposal, Planned, keep, with_answer
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screen_names import screen_named
from logbook.tui.screens.join_rows import joining_entries
from logbook.tui.widgets.entries import titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows


class JoinScreen(BookScreen):
    """Nothing is changed before every question was seen, and Escape leaves everything as it was."""

    TOPIC = "two-copies"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("join.keep", "enter", "keep", "join", "Join; what both sides changed is asked first", True),
    )

    def __init__(self, session: Session, proposal: JoiningProposal) -> None:
        super().__init__(session)
        self._first = proposal
        self._proposal = proposal
        self._later: set[ToLookAt] = set()

    def place(self) -> str:
        """The place."""
        return f"Bench / joining {self.session.path.name} here with {self._first.of}"

    def compose_body(self) -> ComposeResult:
        """What would happen, in a sentence and in full."""
        yield Static("", id="question", classes="question")
        yield titled_entries("report", "What joining would do")

    def first_focus(self) -> str:
        """The report."""
        return "#report"

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002 - as Textual asks
        """Joining only where something is joined."""
        return self._report.changes if action == "keep" else True

    def action_undo(self) -> None:
        """Nothing is done yet that could be taken back here."""
        self.say("Nothing is joined yet. Esc leaves this; there z takes back what was changed before.")

    action_redo = action_undo

    def action_health(self) -> None:
        """It is the place behind."""
        self.say("Join first, or leave this with Esc.")

    @cached_property
    def _report(self) -> Report:
        return self._first.report(self.session.on_shop_clock)

    def show_record(self) -> None:
        """What would happen."""
        self.query_one("#question", Static).update(plain(joining_answer(self._report, done=False), limit=300))
        self.query_one(Rows).show(joining_entries(self._report, columns_alone(self.columns)))

    @on(Rows.Chosen)
    def action_keep(self) -> None:
        """Ask what is open, then join."""
        if not self._report.changes:
            self.say("There is nothing to join.")
            return
        self._proposal, self._later = self._first, set()
        self._ask_next()

    def _open(self, proposal: JoiningProposal) -> list[tuple[Planned, ToLookAt]]:
        """The questions that nobody saw yet."""
        return [
            (planned, look)
            for planned in proposal.planned
            for look in planned.joined.record.to_look_at
            if look.asks and look not in planned.before.to_look_at and look not in self._later
        ]

    def _ask_next(self) -> None:
        left = self._open(self._proposal)
        if not left:
            self._join()
            return
        planned, look = left[0]
        every = len(self._open(self._first)) + len(self._later)
        count = f"{every - len(left) + 1} of {every}"
        answer = partial(self._answered, planned, look)
        record = planned.joined.record
        sides = planned.sides(look)
        self.app.push_screen(
            screen_named("two_values", self.session, record, look, answer=answer, sides=sides, count=count)
        )

    def _answered(self, planned: Planned, look: ToLookAt, first: bool | None) -> None:
        if first is None:
            self._later.add(look)
        else:
            record = chosen(planned.joined.record, look, first=first)
            self._proposal = with_answer(self._proposal, planned.code, record)
        self._ask_next()

    def _join(self) -> None:
        report = self._proposal.report(self.session.on_shop_clock)
        head = joining_answer(report, done=True)
        if self.tried("", partial(keep, self.session, self._proposal)):
            self.app.pop_screen()
            below = self.app.screen
            if isinstance(below, BookScreen):
                below.came_back_with((), f"{head} z takes it back. {other_copy(report)}", "good")
