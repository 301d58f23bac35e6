"""Which screw is this: a few measures at the top, the threads it can be below, and where such a one belongs."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Input, Static

from logbook.errors import InputError
from logbook.model.unit import Unit
from logbook.render.plain import clean
from logbook.render.screw import EMPTY, candidate_lines, how_sure, thread_page
from logbook.session import Session
from logbook.teardown.same_screw import ScrewPlace, same_kind
from logbook.teardown.threads import Answer, Candidate, Screw, identify, measured, wood_or_machine
from logbook.tui.actions import Act
from logbook.tui.look.inks import Line as DrawnLine
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.input_line import Line
from logbook.tui.widgets.list_beside import ListBeside, list_columns, paragraphs_in_full
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.worded_entries import worded_entries

FIELDS = (
    ("diameter", "diameter", "4.9 or 3/16"),
    ("pitch", "pitch", "0.8 or 32 tpi"),
    ("length", "length", "if known: 35"),
    ("count", "how many", "lie loose, if known: 2"),
    ("kind", "kind", "wood or machine"),
)
"""Name, label and example of each measure."""
NAME_AND_MEASURE = 2
"""Lines of a thread where the rest stands beside it."""


class LooseScrewScreen(BookScreen):
    """Measures of a screw that lies on the bench; nothing here changes the record."""

    TOPIC = "bench-line"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("screw.open", "enter", "open", "all places", "Everything about the thread under the cursor", True),
        Act("screw.measure", "E", "measure", "measure", "Back to the measures", True),
        Act("screw.why", "w", "why", "why", "Which tolerances and tables the answer rests on", True),
        Act("screw.down", "down", "to_list", "list", "Go down into the list"),
    )
    DEFAULT_CSS = """
    LooseScrewScreen .measures { height: 1; padding: 0 1; }
    LooseScrewScreen .measures Static { width: auto; padding: 0 1 0 0; }
    LooseScrewScreen .measures Line { width: 1fr; margin: 0 1 0 0; }
    LooseScrewScreen #answer { height: auto; max-height: 4; padding: 0 1; text-style: bold; }
    """

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code
        self._screw: Screw | None = None
        self._answer = Answer((), "")

    @property
    def unit(self) -> Unit:
        """The unit that is on the bench."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit, and what is asked."""
        return f"{self.CODE} {self.unit.name} / which screw is this"

    def compose_body(self) -> ComposeResult:
        """The measures, the answer, and what it can be."""
        for pair in (FIELDS[:2], FIELDS[2:4], FIELDS[4:]):
            with Horizontal(classes="measures"):
                for name, label, example in pair:
                    yield Static(plain(f"{label:>8}"))
                    yield Line(placeholder=example, id=name)
        yield Static("", id="answer")
        yield ListBeside("threads", "What it can be", self._in_full, pane_title="The thread")

    def first_focus(self) -> str:
        """The diameter."""
        return "#diameter"

    def keys_now(self) -> list[tuple[str, str, str]]:
        """In the measures nothing is kept: Enter goes to the next one."""
        if isinstance(self.focused, Line):
            return [("Enter", "next", ""), ("Down", "list", "screen.to_list"), ("Esc", "back", "screen.back")]
        return super().keys_now()

    def show_record(self) -> None:
        """What the measures say now."""
        words = {name: self.query_one(f"#{name}", Line).value for name, _, _ in FIELDS}
        self._screw, self._answer, said = None, Answer((), ""), EMPTY
        if words["diameter"].strip():
            try:
                wood = wood_or_machine(words["kind"])
                self._screw = measured(words["diameter"], words["pitch"], words["length"], words["count"], wood=wood)
                self._answer = identify(self._screw)
                said = self._answer.sentence
            except InputError as error:
                said = str(error)
        self.query_one("#answer", Static).update(plain(clean(said, limit=600)))
        columns = list_columns(self.columns)
        rows_each = NAME_AND_MEASURE if self.columns >= WIDE else None
        rows = [
            Row(str(i), candidate_lines(c, self._places(c), columns)[:rows_each], "" if c.fits else "done")
            for i, c in enumerate(self._answer.candidates)
        ]
        self.query_one(ListBeside).show(worded_entries(rows, columns))

    def _in_full(self, columns: int, _rows: int) -> list[DrawnLine]:
        """Everything about the thread under the cursor; before one is measured, how it is told."""
        row = self.query_one("#threads", Rows).current
        if row is None:
            return paragraphs_in_full("How it is told which thread it is", how_sure(), columns)
        candidate = self._answer.candidates[int(row.key)]
        return paragraphs_in_full(candidate.thread.words, thread_page(candidate, self._places(candidate)), columns)

    def _places(self, candidate: Candidate) -> tuple[ScrewPlace, ...]:
        if self._screw is None:
            return ()
        return same_kind(self._screw, candidate.thread, self.unit, self.session.shop)

    @on(Input.Changed)
    def _typed(self) -> None:
        self.show_record()

    @on(Input.Submitted)
    def _entered(self) -> None:
        self.focus_next(Line) if self.query(Line).last() is not self.focused else self.query_one(Rows).focus()

    def action_measure(self) -> None:
        """Back to the measures."""
        self.query_one("#diameter", Line).focus()

    def action_to_list(self) -> None:
        """From the measures to the list."""
        rows = self.query_one("#threads", Rows)
        if isinstance(self.focused, Line):
            rows.focus()
        else:
            rows.action_move(1)

    @on(Rows.Chosen)
    def action_open(self) -> None:
        """Everything about the thread under the cursor."""
        row = self.query_one("#threads", Rows).current
        if row is not None:
            candidate = self._answer.candidates[int(row.key)]
            text = thread_page(candidate, self._places(candidate))
            page = PageScreen(self.session, self.CODE, "which screw / thread", candidate.thread.words, lambda: text)
            self.app.push_screen(page)

    def action_why(self) -> None:
        """Which tolerances and tables the answer rests on."""
        question = "How it is told which thread it is"
        self.app.push_screen(PageScreen(self.session, self.CODE, "which screw / why", question, how_sure))
