"""The teardown record at the desk: every step a line, what is still to complete, and the way into all of it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from logbook.errors import InputError
from logbook.model.edits import drop_step
from logbook.model.holds import hold_before
from logbook.model.paths import Path
from logbook.model.photo_edits import at_step
from logbook.model.proofs import live_warning
from logbook.model.step import Step
from logbook.reassembly import ledger
from logbook.render.plain import clean, wrapped
from logbook.serve.incoming import Bench
from logbook.session import Session
from logbook.teardown.bench_line import LineReading, read_line
from logbook.teardown.beside_the_step import proof_refused
from logbook.teardown.complete import to_complete
from logbook.teardown.complete_line import completions
from logbook.teardown.hold_answers import hold_is_open, how_to_answer, open_hold_name, with_hold_answered
from logbook.teardown.offered_word import with_offered_word
from logbook.teardown.step_keeping import kept_from_line, last_kept, line_of
from logbook.teardown.write import write_line
from logbook.tui.actions import Act
from logbook.tui.asking import AskingScreen
from logbook.tui.desk_words import count_paragraphs, record_sentence
from logbook.tui.leaving import LeftAsNote
from logbook.tui.look.inks import BLANK
from logbook.tui.look.inks import Line as InkedLine
from logbook.tui.plain_content import plain
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.teardown_rows import step_entries, step_in_full
from logbook.tui.sections import DANGERS, TO_THE_BENCH, UNIT_ACTS
from logbook.tui.step_words import reading_in_words
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.input_line import Completing, Line
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.rows import Rows

EMPTY = (
    "Nothing is written down yet. Every step of taking it apart is kept here in its order, and the way back is made "
    "from it. Press b to begin at the bench, or a to write a step as one line."
)


class TeardownScreen(AskingScreen):
    """Section 2 of a unit."""

    TOPIC = "bench-line"
    SECTION = "teardown"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("desk.open", "enter", "open", "all fields", "All fields of the step under the cursor", True),
        TO_THE_BENCH._replace(foot=True),
        Act("desk.add", "a", "add", "add", "Add a step as one line, after the last one", True),
        Act("desk.edit", "E", "edit", "edit line", "Put the step right in its one line of plain words", True),
        DANGERS._replace(foot=True),
        Act("desk.missing", "m", "missing", "missing", "What is still to complete, the newest first", True),
        Act("desk.order", "o", "order", "order", "What comes off before the step, and what waits for it", True),
        Act("desk.out", "x", "drop", "take out", "Take the step out of the record (undo brings it back)"),
        Act("desk.connections", "c", "connections", "connections", "The wires, plugs and hoses of the step"),
        Act("desk.graph", "g", "whole_order", "whole order", "The order of all steps, in groups free of each other"),
        Act("desk.sets", "s", "things('sets')", "sets", "Repeated sets and handed pairs, recorded once"),
        Act("desk.lumps", "S", "things('sub_assemblies')", "sub-assemblies", "What came out as one lump"),
        Act("desk.why", "w", "why", "counts", "Where the numbers at the top come from, step by step"),
        *(a for a in UNIT_ACTS if a not in (TO_THE_BENCH, DANGERS)),
    )
    DEFAULT_CSS = """
    TeardownScreen #detail { height: 3; padding: 0 1; color: $text-muted; }
    """

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self._wanted = ""

    def compose_section(self) -> ComposeResult:
        """The sentence, the steps, the line of the step under the cursor, and the line to type in."""
        yield Static("", id="question", classes="question")
        yield LeftAsNote("", id="left")
        yield ListBeside("steps", "What came off", self._in_full)
        yield Static("", id="detail")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The steps."""
        return "#steps"

    def focus_list(self) -> None:
        """Back to the steps."""
        self.query_one("#steps", Rows).focus()
        self._show_detail()

    def show_record(self) -> None:
        """One line for each step, in the order in which they happened."""
        unit, first = self.unit, not self.query_one("#steps", Rows).rows
        question = record_sentence(unit, ledger(unit).total, len(to_complete(unit))) if unit.steps else EMPTY
        self.query_one("#question", Static).update(plain(question, limit=400))
        self.query_one(LeftAsNote).show_for(unit)
        rows = self.query_one("#steps", Rows)
        beside = self.columns >= WIDE
        self.query_one(ListBeside).show(step_entries(unit, list_columns(self.columns), beside=beside))
        if first and unit.steps:
            last = last_kept(unit) or unit.steps[0]
            rows.go_to(self._wanted or last.code)
        elif self._wanted:
            rows.go_to(self._wanted)
        self._wanted = ""
        self._show_detail()

    @on(Rows.Moved)
    def _moved(self) -> None:
        self._show_detail()

    def _in_full(self, columns: int, _rows: int) -> list[InkedLine]:
        """The step under the cursor."""
        step = self.step()
        return [BLANK] if step is None else step_in_full(self.unit, step, self.session.shop_now, columns)

    def _show_detail(self) -> None:
        """The step under the cursor as its line, unless it stands in full beside; how a line is read that is typed."""
        if self.query_one(Ask).is_open:
            self.query_one("#detail").display = True
            return
        self.query_one("#detail").display = self.columns < WIDE
        if self.columns >= WIDE:
            return
        step = self.step()
        text = line_of(self.unit, step) if step is not None else ""
        self._say_below(clean(text, limit=600))

    def _say_below(self, text: str) -> None:
        lines = wrapped(text, self.columns - 2)
        lines = lines if len(lines) <= 3 else [*lines[:2], lines[2][: self.columns - 4] + " …"]
        self.query_one("#detail", Static).update(plain("\n".join(lines), lines=True))

    def photo_bench(self) -> Bench:
        """The step under the cursor."""
        step = self.step()
        if step is None:
            return super().photo_bench()
        return Bench(self.CODE, at_step(step.code), f"{self.CODE} {step.code} {clean(step.what, limit=40)}")

    def step(self) -> Step | None:
        """The step under the cursor."""
        row = self.query_one("#steps", Rows).current
        return self.unit.step(row.key) if row is not None else None

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on a step, or on the step that has that connection or bag."""
        rows = self.query_one("#steps", Rows)
        if kind == "connection":
            code = next((s.code for s in self.unit.steps if any(c.code == code for c in s.connections)), code)
        elif kind == "bag":
            code = next((s.code for s in self.unit.steps if code in (s.bag, *(f.bag for f in s.fasteners))), code)
        rows.go_to(code)

    def text_to_copy(self) -> str:
        """The step under the cursor as its line."""
        step = self.step()
        return line_of(self.unit, step) if step is not None else ""

    # The line

    def action_add(self) -> None:
        """A step as one line, at the end."""
        self._ask_line("line", "New step", "", partial(self._keep_line, ""))

    def action_edit(self) -> None:
        """The step under the cursor as its line."""
        if (step := self._needed()) is not None:
            text = line_of(self.unit, step)
            self._ask_line(f"line {step.code}", step.code, text, partial(self._keep_line, step.code))

    def _ask_line(self, key: str, label: str, text: str, then: partial[None]) -> None:
        how = "What came off, then in any order: how, 4 screw M4x10, bag 1, after T03, photo, note …"
        self.ask(key, label, text, how, then)
        line = self.query_one("#ask-line", Line)
        code = key.removeprefix("line").strip()
        line.suggester = Completing(
            lambda typed: next(iter(completions(typed, self.unit, limit=1)), None),
            lambda typed: with_offered_word(typed, self._read(code, typed)),
        )

    def _read(self, code: str, text: str) -> LineReading:
        return read_line(text, self.unit, base=self.unit.step(code) if code else None)

    @on(Input.Changed, "#ask-line")
    def _typing(self, event: Input.Changed) -> None:
        ask = self.query_one(Ask)
        if ask.is_open and ask.key.startswith("line"):
            reading = self._read(ask.key.removeprefix("line").strip(), event.value)
            _, doubt = reading_in_words(reading)
            read = write_line(
                reading.step,
                reading.after,
                reading.better_after,
                unit=self.unit,
                back_before=reading.back_before,
                things=reading.things,
                threaded=reading.threaded,
            )
            self._say_below(clean(f"reads: {read}", limit=600) + (f"\n{doubt}" if doubt else ""))

    def _keep_line(self, code: str, text: str) -> None:
        reading = self._read(code, text)
        if not reading.complete:
            raise InputError("What came off? The first phrase says it; it is all that a step must say.")
        step = reading.step
        now, by = self.session.now, self.session.by
        if why := proof_refused(reading, by):
            raise InputError(why)
        waiting = hold_before(self.unit, step)
        if waiting is not None:
            self._ask_hold(waiting, partial(self._keep_line, code, text))
            return
        self._wanted = step.code
        what = f"{step.code} {'put right' if code else 'kept'}: {clean(step.what, limit=60)}"
        self.kept(what, partial(kept_from_line, reading=reading, at=now, by="" if code else by))
        if warning := live_warning(step.proofs):
            self.say(f"{step.code} kept. {warning}", "error")

    def _ask_hold(self, step: Step, then: Callable[[], None]) -> None:
        """Before more comes off: what was read at the open hold point, or why work goes on without; then go on."""

        def answered(text: str) -> None:
            edit = partial(with_hold_answered, code=step.code, text=text, at=self.session.now)
            self.kept(f"hold point of {step.code} answered", edit)
            then()

        label = f"HOLD {open_hold_name(step)} at {step.code}"
        wanted = f"{clean(hold_is_open(step), limit=200)}. {how_to_answer(step)}"
        self.ask(f"hold {step.code}", label, "", wanted, answered)

    # Other places

    def _needed(self) -> Step | None:
        step = self.step()
        if step is None:
            self.say("There is no step yet: a writes one, b goes to the bench.", "error")
        return step

    @on(Rows.Chosen, "#steps")
    def action_open(self) -> None:
        """All fields of the step."""
        if (step := self._needed()) is not None:
            self.app.push_screen(FormScreen(self.session, self.CODE, ("steps", step.code)))

    def action_connections(self) -> None:
        """The connections of the step."""
        if (step := self._needed()) is not None:
            self._list(("steps", step.code, "connections"))

    def action_things(self, name: str) -> None:
        """Sets, or sub-assemblies."""
        self._list((name,))

    def _list(self, path: Path) -> None:
        self.app.push_screen(ListScreen(self.session, self.CODE, path))

    def action_drop(self) -> None:
        """The step goes, with the relations that name it."""
        if (step := self._needed()) is not None:
            what = f"{step.code} taken out: {clean(step.what, limit=60)}"
            self.tried(what, partial(self.session.apply, self.CODE, what, lambda u: drop_step(u, step.code)))

    def action_order(self) -> None:
        """The order seen from the step."""
        if (step := self._needed()) is not None:
            self._order_of(step.code)

    def action_whole_order(self) -> None:
        """The order of everything."""
        self._order_of("")

    def _order_of(self, code: str) -> None:
        self.logbook.open("order", self.CODE, code)

    def action_missing(self) -> None:
        """What is still to complete."""
        self.logbook.open("missing", self.CODE)

    def action_why(self) -> None:
        """The counts, step by step."""
        said = partial(count_paragraphs, self.session, self.CODE)
        question = "Holes are places for fasteners; found is what was there. Each number is the sum of its steps."
        self.app.push_screen(PageScreen(self.session, self.CODE, "teardown / counts", question, said))
