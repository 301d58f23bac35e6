"""One line of the reassembly list in full: what to do, what is needed, why here, and the step as it came apart."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from logbook.model.fields import fields_of, shown
from logbook.model.proofs import DangerStanding
from logbook.model.step import Step
from logbook.reassembly import RefitLine, changed_words
from logbook.render.page import Page
from logbook.render.plain import clean, wrapped
from logbook.render.reassembly_line_document import kept_back_by, set_line, ticked
from logbook.session import Session
from logbook.session.refit_view import RefitView, view_of
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screens.reassembly_acts import LINE_ACTS, LineActions
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.worded_entries import worded_entries

_NOT_SHOWN = frozenset({"code", "refit", "differences", "each_of", "photos", "inside", "order", "planned"})
"""Fields of a step that the line itself says, or that say nothing at the bench."""


class ReassemblyLineScreen(LineActions):
    """A line, with each member of its set to tick."""

    TOPIC = "back-together"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = LINE_ACTS

    def __init__(self, session: Session, code: str, line: str) -> None:
        super().__init__(session, code)
        self._key = line

    def place(self) -> str:
        """The unit, the section and the line."""
        line = self.current_line()
        return f"{super().place()} / {line.number if line is not None else self._key}"

    def compose_body(self) -> ComposeResult:
        """The line in a sentence, then all of it."""
        yield Static("", id="question", classes="question")
        yield titled_entries("line", "The line in full")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The text."""
        return "#line"

    def focus_list(self) -> None:
        """Back to the text."""
        self.query_one("#line", Rows).focus()

    def show_record(self) -> None:
        """All of the line as it is now."""
        self.view = view = view_of(self.session, self.CODE, self.view)
        line = view.listed.by_key.get(self._key)
        if line is None:
            self.query_one("#question", Static).update("This line is no longer on the list. Esc goes back to it.")
            self.query_one("#line", Rows).show(())
            return
        self.query_one("#question", Static).update(plain(_question(view, line), limit=300))
        columns = columns_alone(self.columns)
        self.query_one("#line", Rows).show(worded_entries(_rows(view, line, columns), columns))

    def current_key(self) -> str:
        """Key of the member under the cursor, or of the line."""
        row = self.query_one("#line", Rows).current
        return row.key if row is not None and "/" in row.key else self._key


def _question(view: RefitView, line: RefitLine) -> str:
    ready = view.ready[line.key]
    state = "done" if ready.done else "ready now" if ready.ready else "not ready yet"
    if line.members and not ready.done:
        count = sum(ticked(line, key, view.states) for key in line.tick_keys)
        state = f"{count} of {len(line.members)} done, {state}"
    return f"{line.number} {line.title}: {state}."


def _rows(view: RefitView, line: RefitLine, columns: int) -> list[Row]:
    notes = {n.member: n.text for n in line.member_notes}
    rows = []
    for member, key in zip(line.members, line.tick_keys if line.members else (), strict=True):
        words = f"{member}  {notes.get(member, '')}".rstrip()
        rows.append(Row(key, tuple(_member(words, columns, done=ticked(line, key, view.states)))))
    page = Page(max(40, columns - 4))
    look_again = changed_words(view.progress, line)
    kept = kept_back_by(view.listed, line, view.progress.open_holds)
    proved = DangerStanding(view.unit, view.progress.now)
    set_line(page, line, view.ready[line.key], view.states, look_again=look_again, kept_back=kept, proved=proved)
    rows += [Row(f"text {i}", (f" {text}",)) for i, text in enumerate(page.text().rstrip("\n").split("\n"))]
    for code in line.steps:
        step = view.unit.step(code)
        if step is not None:
            rows.append(Row(f"head {code}", (f"{code} as it came apart",), "head", selectable=False))
            rows += [Row(f"{code} {i}", tuple(lines)) for i, lines in enumerate(_step_facts(step, columns))]
    return rows


def _member(words: str, columns: int, *, done: bool) -> list[str]:
    first, *rest = wrapped(clean(words, limit=600), max(20, columns - 8))
    return [f" [{'x' if done else ' '}] {first}", *(f"     {more}" for more in rest)]


def _step_facts(step: Step, columns: int) -> list[list[str]]:
    """Everything that was written down of a step, a field at a time."""
    facts = []
    for field in fields_of(type(step)):
        value = shown(step, field)
        if field.name in _NOT_SHOWN or value in ("", "no"):
            continue
        first, *rest = wrapped(clean(value, limit=2000), max(20, columns - 24))
        facts.append([f" {field.label[:20]:<20} {first}", *(f"{'':<22}{words}" for words in rest)])
    return facts
