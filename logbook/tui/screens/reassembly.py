"""The reassembly list on the screen: what goes back, in which order, with every warning before its line."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import CircleError
from logbook.reassembly import ready_order
from logbook.render.plain import clean, wrapped
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.plain import plain
from logbook.tui.refit_view import View, view_of
from logbook.tui.screens.form import FormScreen
from logbook.tui.screens.reassembly_acts import LINE_ACTS, LineActions
from logbook.tui.screens.reassembly_rows import DrawnList, know_first
from logbook.tui.sections import DANGERS, UNIT_ACTS
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Row, Rows

EMPTY = (
    "Nothing has been taken off yet, so nothing goes back. This list is made from the teardown record, "
    "with every screw counted. Press 2 to go there and write down the first step."
)


class ReassemblyScreen(LineActions):
    """Section 5 of a unit."""

    TOPIC = "back-together"
    ACTS: ClassVar[tuple[Act, ...]] = (
        *LINE_ACTS[:4],
        Act("refit.order", "o", "order", "ready first", "What is ready first, or the list in its order", True),
        *LINE_ACTS[4:],
        Act("refit.open", "enter", "open", "in full", "The line in full, with every member of a set to tick"),
        Act("refit.range", "t", "range", "from paper", "Tick lines that were ticked on paper: A02-A09 done"),
        *(a for a in UNIT_ACTS if a is not DANGERS),
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self._order: tuple[str, ...] | None = None
        self._wanted = ""
        self._whole = ""
        self._drawn = DrawnList()

    def compose_section(self) -> ComposeResult:
        """The sentence, the list, and the line to type in."""
        yield Static("", id="question", classes="question")
        yield Rows(id="lines")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The list."""
        return "#lines"

    def focus_list(self) -> None:
        """Back to the list."""
        self.query_one("#lines", Rows).focus()

    def show_record(self) -> None:
        """The list as it stands now; at first the cursor is on the first line that is not done."""
        rows, first = self.query_one("#lines", Rows), self.view is None
        try:
            self.view = view = view_of(self.session, self.CODE, self.view)
        except CircleError as error:
            self.view = None
            self._show_circle(str(error))
            return
        empty = not self.unit.steps
        first_of_all = know_first(view) if not view.standing.done else ""
        order = " Ready ones stand first." if self._order is not None else ""
        question = f"{view.standing.sentence}{order}{first_of_all}"
        self.query_one("#question", Static).update(plain(EMPTY if empty else question, limit=400))
        if self._wanted or first:
            self._whole = self._wanted or _first_open(view)
            self._show_lines(view)
            rows.go_to(self._whole)
            self._wanted = ""
        else:
            self._whole = self.current_key()
            self._show_lines(view)

    def _show_lines(self, view: View) -> None:
        rows = self.query_one("#lines", Rows)
        rows.show(self._drawn.rows(view, self._order, self.columns, self._whole) if self.unit.steps else ())
        rows.keep_in_sight()

    @on(Rows.Moved, "#lines")
    def tell_whole(self) -> None:
        """The line that the cursor came to says all that is to be done; the one before is short again."""
        if self.view is not None and self._whole != self.current_key():
            self._whole = self.current_key()
            self._show_lines(self.view)

    def _show_circle(self, sentence: str) -> None:
        self.query_one("#question", Static).update(
            "There is no list: the relations go round in a circle. Press 2, then o, to correct them."
        )
        lines = tuple(wrapped(clean(sentence, limit=2000), max(20, self.columns - 3)))
        self.query_one("#lines", Rows).show([Row("circle", lines, "error")])

    def current_key(self) -> str:
        """Key of the line under the cursor."""
        row = self.query_one("#lines", Rows).current
        return row.key if row is not None and self.view is not None and row.key in self.view.listed.by_key else ""

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on the line of a step."""
        if kind == "step" and self.view is not None:
            line = next((x for x in self.view.listed.lines if code in x.steps), None)
            self.query_one("#lines", Rows).go_to(line.key if line is not None else f"out {code}")

    def action_order(self) -> None:
        """What is ready first, or the list in its order. The order then stays until this is pressed again."""
        if self.view is None:
            return
        if self._order is None:
            ready = [line.key for line in ready_order(self.unit, self.view.listed, self.session.now)]
            waiting = [x.key for x in self.view.listed.lines if x.key not in ready and not self.view.ready[x.key].done]
            self._order, self._wanted = (*ready, *waiting), next(iter(ready), "")
        else:
            self._order = None
        self.show_record()

    @on(Rows.Chosen, "#lines")
    def action_open(self) -> None:
        """The line in full; for a notice, the record of its step."""
        from logbook.tui.screens.reassembly_line import ReassemblyLineScreen

        row = self.query_one("#lines", Rows).current
        if key := self.current_key():
            self.app.push_screen(ReassemblyLineScreen(self.session, self.CODE, key))
        elif row is not None and self.unit.step(row.key.rpartition(" ")[2]) is not None:
            self.app.push_screen(FormScreen(self.session, self.CODE, ("steps", row.key.rpartition(" ")[2])))


def _first_open(view: View) -> str:
    """Key of the first line that can be done now, or else of the first that is not done."""
    undone = [line.key for line in view.listed.lines if not view.ready[line.key].done]
    return next((key for key in undone if view.ready[key].ready), next(iter(undone), ""))
