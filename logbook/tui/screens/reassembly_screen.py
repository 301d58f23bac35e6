"""The reassembly list on the screen: what goes back, in which order, with every warning before its line."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal

from logbook.errors import CircleError
from logbook.reassembly import ready_order
from logbook.render.plain import clean
from logbook.session import Session
from logbook.session.refit_view import RefitView, view_of
from logbook.tui.actions import Act
from logbook.tui.look.bars import progress
from logbook.tui.look.inks import BLANK, Line, Span, flow, line, width_of
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.reassembly_acts import LINE_ACTS, LineActions
from logbook.tui.screens.reassembly_rows import DrawnList, know_first
from logbook.tui.screens.refit_card import refit_card, with_air, within
from logbook.tui.sections import DANGERS, UNIT_ACTS
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries, entry
from logbook.tui.widgets.pane import BREAKPOINTS, BROAD, WIDE, Pane
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now

LIST_COLUMNS, BROAD_LIST_COLUMNS = 56, 72
"""Columns of the list where the line stands in groups beside it."""
LOW = 24
"""Below so many lines the groups below a line leave room for the lines around it."""
ROWS_BESIDE_THE_LINE = 15
"""Lines of everything else on such a terminal: the frame, how far it is in whole words, and the lines beside it."""

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
        self._opened = ""
        self._drawn = DrawnList()

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    DEFAULT_CSS = """
    ReassemblyScreen #question { max-height: 5; padding: 0 1; }
    ReassemblyScreen #body { height: 1fr; }
    ReassemblyScreen #card { display: none; }
    ReassemblyScreen.-wide #card, ReassemblyScreen.-broad #card { display: block; }
    ReassemblyScreen.-wide #lines { width: 56; }
    ReassemblyScreen.-broad #lines { width: 72; }
    """

    def compose_section(self) -> ComposeResult:
        """How far it is, the list, the line under the cursor in groups, and the line to type in."""
        yield Pane(self._how_far, id="question", classes="-bare")
        with Horizontal(id="body"):
            yield Entries(id="lines")
            yield Pane(self._card, id="card")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The list."""
        return "#lines"

    def focus_list(self) -> None:
        """Back to the list."""
        self.query_one("#lines", Rows).focus()

    def show_record(self) -> None:
        """The list as it stands now; at first the cursor is on the first line that is not done."""
        lines, first = self.query_one("#lines", Entries), self.view is None
        lines.border_title = "Lines"
        try:
            self.view = view = view_of(self.session, self.CODE, self.view)
        except CircleError as error:
            self.view = None
            self._show_circle(str(error))
            return
        if self._wanted or first:
            self._opened = self._wanted or _first_open(view)
            self._show_lines(view)
            lines.go_to(self._opened)
            self._wanted = ""
        else:
            self._opened = self.current_key()
            self._show_lines(view)
        for pane in self.query(Pane):
            pane.update()

    def _how_far(self, columns: int, _rows: int) -> list[Line]:
        """Done, ready and waiting as one bar, what would free most, and what is to be read first."""
        if self.view is None:
            said = "There is no list: the relations go round in a circle. Press 2, then o, to correct them."
            return flow((Span(said, "bold"),), columns)
        if not self.unit.steps:
            return flow((Span(EMPTY),), columns)
        standing = self.view.standing
        first_of_all = know_first(self.view) if not standing.done else ""
        order = " Ready ones stand first." if self._order is not None else ""
        said = f"{standing.hint}{order}{first_of_all}".strip()
        sentences = flow((Span(said, "bold"),), columns) if said else []
        waiting = standing.total - standing.done - standing.in_reach
        parts = ((standing.done, "good"), (standing.in_reach, "accent"), (waiting, "faint"))
        figures = line(
            Span(f"{standing.done} of {standing.total} done  ", "good"),
            Span(f"{standing.in_reach} in reach  ", "accent"),
            Span(f"{waiting} wait  ", "muted"),
        )
        bar = progress(parts, max(10, min(60, columns - width_of(figures))), glyphs_now())
        return [line(figures, bar), *sentences]

    def _card(self, columns: int, rows: int) -> list[Line]:
        """The line under the cursor in groups."""
        key = self.current_key()
        card = self.query_one("#card", Pane)
        if self.view is None or not key:
            card.entitle("")
            return [BLANK]
        here = self.view.listed.by_key[key]
        steps = " ".join(here.steps)
        card.entitle(clean(f"{here.number}  {here.title}", limit=columns), f"reverse of {steps}" if steps else "")
        drawn = refit_card(self.view, key, columns, g=glyphs_now())
        return within(with_air(drawn, rows), rows)

    @property
    def _is_beside(self) -> bool:
        """Whether the line under the cursor stands beside the list, or below its row."""
        return self.columns >= WIDE

    @property
    def _list_columns(self) -> int:
        if not self._is_beside:
            return self.columns - 3
        return (BROAD_LIST_COLUMNS if self.columns >= BROAD else LIST_COLUMNS) - BESIDE_THE_TEXT

    def _show_lines(self, view: RefitView) -> None:
        lines = self.query_one("#lines", Entries)
        opened = "" if self._is_beside else self._opened
        most = max(0, self.size.height - ROWS_BESIDE_THE_LINE) if self.size.height < LOW else 0
        entries = self._drawn.rows(
            view, self._order, self._list_columns, opened, glyphs_now(), most=most, beside=self._is_beside
        )
        lines.show(entries if self.unit.steps else ())
        lines.keep_in_sight()

    @on(Rows.Moved, "#lines")
    def tell_whole(self) -> None:
        """Where groups stand below their line: the one that the cursor came to is opened, the one before closed."""
        if self.view is not None and self._opened != self.current_key():
            self._opened = self.current_key()
            if not self._is_beside:
                self._show_lines(self.view)

    @on(Entries.Rested, "#lines")
    def _follow(self) -> None:
        card = self.query_one("#card", Pane)
        if card.display:
            card.update()

    def _show_circle(self, sentence: str) -> None:
        said = flow((Span(clean(sentence, limit=2000), "bad"),), max(20, self._list_columns))
        self.query_one("#lines", Entries).show([entry("circle", said)])
        for pane in self.query(Pane):
            pane.update()

    def current_key(self) -> str:
        """Key of the line under the cursor."""
        row = self.query_one("#lines", Rows).current
        return row.key if row is not None and self.view is not None and row.key in self.view.listed.by_key else ""

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on a line, or on that of a step."""
        if kind == "line":
            self.query_one("#lines", Rows).go_to(code)
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
        row = self.query_one("#lines", Rows).current
        if key := self.current_key():
            self.logbook.open("reassembly_line", self.CODE, key)
        elif row is not None and self.unit.step(row.key.rpartition(" ")[2]) is not None:
            self.app.push_screen(FormScreen(self.session, self.CODE, ("steps", row.key.rpartition(" ")[2])))


def _first_open(view: RefitView) -> str:
    """Key of the first line that can be done now, or else of the first that is not done."""
    undone = [line.key for line in view.listed.lines if not view.ready[line.key].done]
    return next((key for key in undone if view.ready[key].ready), next(iter(undone), ""))
