"""The work of a unit: its operations, what is being worked on, the waits that run, and what follows from the record."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import InputError, LogbookError
from logbook.model.edits import UnitEdit
from logbook.model.paths import Path
from logbook.model.shop import Shop
from logbook.model.step import HoldPoint
from logbook.model.unit import Unit
from logbook.model.work import Operation
from logbook.planning.at_work import running
from logbook.planning.making import MadePlan
from logbook.planning.operations import Alike, as_another, as_this_one, operations_of, proposed, taken_in, to_be_asked
from logbook.planning.running import finished, hold_open, started, stopped, with_hold_read
from logbook.planning.usual_waits import with_usual_waits
from logbook.planning.usual_work_lists import usual_work
from logbook.render.plain import clean
from logbook.session import Session
from logbook.teardown.operations_ready import readiness
from logbook.tui.actions import Act
from logbook.tui.leaving import LeftAsNote, leave_with_questions
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.opening import add_to, open_path
from logbook.tui.plain_content import plain
from logbook.tui.planner import Planner
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.work_rows import why_of, work_entries, work_question
from logbook.tui.sections import UNIT_ACTS, SectionScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.list_beside import ListBeside, list_columns, paragraphs_in_full
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows

READING, INITIALS = "hold reading", "hold initials"
"""What is asked at a hold point, one after the other."""
NOTHING_TO_READ = "what was read; blank when there is nothing to read"


@dataclass(frozen=True, slots=True)
class Check:
    """The hold point that is being written down."""

    code: str
    """Of the operation."""
    finish: bool = False
    """The operation is finished by it."""
    reading: str = ""

    def draft(self, unit: str) -> str:
        """Where the half-typed reading is kept."""
        return f"{unit}/work/reading/{self.code}"


class WorkScreen(SectionScreen):
    """Section 7 of a unit."""

    TOPIC = "work-and-plan"
    SECTION = "work"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("work.open", "enter", "open", "open", "All fields; of a line with ~ why it follows, nothing written", True),
        Act("work.run", "space", "run", "start, stop", "Start the work under the cursor, or lay it down", True),
        Act("work.done", "f", "done", "finished", "It is finished, or one of its times is", True),
        Act("work.add", "a", "add", "add", "Write down an operation", True),
        Act("work.reading", "r", "reading", "reading", "Write what was read at its hold point, and initials"),
        Act(
            "work.why",
            "w",
            "why",
            "why",
            "What it waits for, what it frees, which order materials ask for",
            True,
        ),
        Act("work.take", "t", "take_over", "take over", "Write a line with ~ down as an operation of the unit"),
        Act(
            "work.this_one",
            "equals_sign",
            "this_one",
            "this one",
            "It is the work of the line with ?",
        ),
        Act("work.another", "n", "another", "another", "It is not: the line with ? is work of its own"),
        Act("work.plan", "p", "plan", "plan", "The plan over all units", True),
        Act("work.out", "x", "take_out", "take out", "Take the operation out of the record (undo puts it back)"),
        *UNIT_ACTS,
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self._planner = Planner(self, self._told)
        self._made: MadePlan | None = None
        self._worked_here = False
        self._check = Check("")

    def compose_section(self) -> ComposeResult:
        """How much there is, how it was left, the operations."""
        yield Static("", id="question", classes="question")
        yield LeftAsNote("", id="left")
        yield ListBeside("operations", "Work", self._in_full, pane_title="Why")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The operations."""
        return "#operations"

    def show_record(self) -> None:
        """The operations as they are; the plan follows when it is made."""
        unit = self.unit
        self.query_one(LeftAsNote).show_for(unit)
        self._show(unit)
        self._planner.start(improve=False)

    def on_unmount(self) -> None:
        """Nobody looks any more."""
        self._planner.stop()

    def _show(self, unit: Unit) -> None:
        found = proposed(unit, usual_work(self.session.shop))
        now = self.session.shop_now
        question = work_question(unit, found, self._made)
        self.query_one("#question", Static).update(plain(question, limit=400))
        asked = to_be_asked(unit, usual_work(self.session.shop))
        entries = work_entries(unit, found, self._made, now, list_columns(self.columns), asked=asked)
        self.query_one(ListBeside).show(entries)

    def _told(self, made: MadePlan, going: str) -> None:  # noqa: ARG002 - it is not improved from here
        self._made = made
        self._show(self.unit)

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What the operation under the cursor waits for and frees, and where its numbers come from."""
        code = self.current()
        if not code:
            return [BLANK]
        try:
            operations = operations_of(self.unit, usual_work(self.session.shop))
            name = next((o.name for o in operations if o.code == code), "")
            return paragraphs_in_full(f"{code} {name}".rstrip(), self._why_of(code), columns)
        except LogbookError as error:  # the shop's own list of usual work may be wrong
            return paragraphs_in_full(code, [str(error)], columns)

    def select(self, kind: str, code: str) -> None:  # noqa: ARG002 - a code is enough here
        """Put the cursor on an operation."""
        self.query_one("#operations", Rows).go_to(code)

    def show_new(self, path: Path) -> None:
        """The cursor goes to what was just written down; what may be the same is asked."""
        self.query_one("#operations", Rows).go_to(str(path[-1]))
        if (alike := self._asked()) is not None:
            proposal, written = alike
            name = f"{proposal.operation.code} {proposal.operation.name}"
            self.say(f"Is {written.code} the {name} that follows from the record? = it is, n it is another.")

    def _asked(self) -> Alike | None:
        """The question about the line under the cursor: whether it is the work that follows from the record."""
        code, asked = self.current(), to_be_asked(self.unit, usual_work(self.session.shop))
        return next((a for a in asked if code in (a.proposal.operation.code, a.operation.code)), None)

    def action_this_one(self) -> None:
        """The operation is the work that follows from the record."""
        self._say_of("is", as_this_one)

    def action_another(self) -> None:
        """It is another, and the work that follows is counted beside it."""
        self._say_of("is not", as_another)

    def _say_of(self, verb: str, said: Callable[[Unit, str, str], Unit]) -> None:
        alike = self._asked()
        if alike is None:
            self.say("= and n answer a line with ?: whether what is written down is the work that follows.")
            return
        code, proposal = alike.operation.code, alike.proposal.operation.code
        what = f"{code} {verb} {proposal} {alike.proposal.operation.name}"

        def edit(unit: Unit) -> Unit:
            return said(unit, code, proposal)

        self.tried(f"{what}; z undo", partial(self.session.apply, self.CODE, what, edit))
        self.query_one("#operations", Rows).go_to(code)

    def current(self) -> str:
        """Code of the operation under the cursor; empty for none."""
        row = self.query_one("#operations", Rows).current
        return row.key if row is not None else ""

    # What can be done

    @on(Rows.Chosen, "#operations")
    def action_open(self) -> None:
        """All fields of the operation; of a proposed one why it follows, and nothing is written."""
        code = self.current()
        if any(o.code == code for o in self.unit.operations):
            open_path(self, self.CODE, ("operations", code))
        elif code:
            self._show_why(code, f"{code} follows from the record and is not written down. Esc, then t takes it over.")

    def action_take_over(self) -> None:
        """A proposed operation becomes one of the unit."""
        code, unit = self.current(), self.unit
        proposal = next((p for p in proposed(unit, usual_work(self.session.shop)) if p.operation.code == code), None)
        if proposal is None or any(o.code == code for o in unit.operations):
            self.say("This is written down already. t takes over a line with ~." if code else "There is nothing here.")
            return
        what = f"{code} {proposal.operation.name}: written down"
        edit = partial(taken_in, proposal=proposal)
        self.tried(f"{what}. Enter all fields, z undo.", partial(self.session.apply, self.CODE, what, edit))

    def action_run(self) -> None:
        """Start or lay down; one person works on one thing, so that whatever else runs is laid down."""
        code, at = self.current(), self.session.now
        if not code:
            return
        mine = next((o for o in self.unit.operations if o.code == code), None)
        if mine is not None and mine.started_at is not None:
            self._apply(f"{code} laid down", partial(stopped, code=code, at=at))
            return
        here = with_usual_waits(self.unit, self.session.shop)
        ready = readiness(here, mine, self.session.shop_now) if mine is not None else None
        said = f"{code} started" + (f", although {ready.blocked}" if ready is not None and ready.blocked else "")
        others = [(unit.code, other.code) for unit, other in running(self.session.whole().book)]
        self._start(code, said, others)

    def _start(self, code: str, said: str, others: Sequence[tuple[str, str]]) -> None:
        """Start work and lay down what else runs, by unit and operation, as one change."""
        at = self.session.now

        def in_units(units: Mapping[str, Unit], shop: Shop) -> tuple[Mapping[str, Unit], Shop]:
            after = dict(units)
            for unit, other in others:
                after[unit] = stopped(after[unit], other, at)
            after[self.CODE] = started(after[self.CODE], code, at, shop)
            return after, shop

        what = ", ".join((said, *(f"{other} laid down" for _, other in others)))
        if all(unit == self.CODE for unit, _ in others):
            shop = self.session.shop
            self._apply(what, lambda unit: in_units({self.CODE: unit}, shop)[0][self.CODE])
            return
        codes = dict.fromkeys((self.CODE, *(unit for unit, _ in others)))
        if self.tried(what, partial(self.session.apply_over, codes, what, in_units)):
            self._worked_here = True

    def action_done(self) -> None:
        """Finished."""
        code, at, shop = self.current(), self.session.now, self.session.shop
        if not code:
            return
        known = any(o.code == code for o in self.unit.operations)

        def edit(unit: Unit) -> Unit:
            unit = unit if known else stopped(started(unit, code, at, shop), code, at)
            return finished(unit, code, at)

        mine = next((o for o in self.unit.operations if o.code == code), None)
        if mine is not None and hold_open(mine):
            self._ask_check(mine, finish=True)
            return
        coat = f"{code} {mine.times_done + 1} of {mine.times}" if mine is not None and mine.times > 1 else code
        self._apply(f"{coat} finished", edit)

    def _apply(self, what: str, edit: UnitEdit) -> None:
        if self.tried(what, lambda: self.session.apply(self.CODE, what, edit)):
            self._worked_here = True

    # Hold points

    def action_reading(self) -> None:
        """What was read at the hold point of the operation under the cursor."""
        code = self.current()
        mine = next((o for o in self.unit.operations if o.code == code), None)
        if mine is None or mine.hold is None:
            self.say(f"{code or 'This'} has no hold point. Enter opens all fields, where one can be written down.")
            return
        self._ask_check(mine, finish=False)

    def _ask_check(self, operation: Operation, *, finish: bool) -> None:
        hold = operation.hold
        assert hold is not None  # noqa: S101 - asked only of work with a hold point
        self._check = Check(operation.code, finish)
        limit = f"; limit {hold.limit}" if hold.limit else ""
        wanted = f"{hold.reading_of or NOTHING_TO_READ}{limit}"
        begun = self.session.draft(self._check.draft(self.CODE))
        words = clean(f"{hold.code} {hold.what}: {wanted}", limit=400)
        self.query_one(Ask).ask(READING, f"{operation.code} reading", hold.reading, words, begun=begun)

    def _ask_initials(self, hold: HoldPoint) -> None:
        who = "Of whoever did the check." + (" A competent person." if hold.competent else "")
        given = hold.initials or self.session.by
        self.query_one(Ask).ask(INITIALS, "Initials", given, f"{hold.code} {hold.what}. {who}", replace=True)

    def _checked(self, key: str, text: str) -> None:
        """An answer to the question of a hold point; raises InputError when it does not do."""
        operation = next((o for o in self.unit.operations if o.code == self._check.code), None)
        if operation is None or operation.hold is None:
            raise InputError(f"{self._check.code} or its hold point is no longer in the record.")
        if key == READING:
            if operation.hold.reading_of and not text.strip():
                raise InputError(f"Type what was read: {operation.hold.reading_of}.")
            self._check = replace(self._check, reading=text)
            self.session.keep_draft(self._check.draft(self.CODE), text)
            self._ask_initials(operation.hold)
            return
        check, at = self._check, self.session.now

        def edit(unit: Unit) -> Unit:
            unit = with_hold_read(unit, check.code, check.reading, text, at)
            return finished(unit, check.code, at) if check.finish else unit

        hold = operation.hold
        what = f"{check.code} {hold.code}: reading {check.reading.strip() or '-'}, {text.strip() or '-'}"
        edit(self.unit)  # what does not do is said at the line, before anything is written
        self._apply(f"{what}, finished" if check.finish else what, edit)
        self.session.keep_draft(check.draft(self.CODE), "")
        self.query_one(Ask).close()
        self.query_one("#operations", Rows).focus()

    def action_add(self) -> None:
        """A new operation."""
        add_to(self, self.CODE, ("operations",))

    def action_take_out(self) -> None:
        """Out of the record."""
        code = self.current()
        if not any(o.code == code for o in self.unit.operations):
            self.say("This follows from the record; change what it follows from, or leave it.")
            return
        what = f"{code} taken out"

        def edit(unit: Unit) -> Unit:
            return unit.model_copy(update={"operations": tuple(o for o in unit.operations if o.code != code)})

        self.tried(f"{what}; z puts it back", partial(self.session.apply, self.CODE, what, edit))

    def action_why(self) -> None:
        """What stands behind the operation under the cursor."""
        if code := self.current():
            self._show_why(code, code)

    def _show_why(self, code: str, question: str) -> None:
        try:
            said = self._why_of(code)
        except LogbookError as error:
            self.say(str(error), "error")
            return
        self.app.push_screen(PageScreen(self.session, self.CODE, "work / why", question, lambda: said))

    def _why_of(self, code: str) -> list[str]:
        return why_of(self.unit, code, self.session.shop, self.session.shop_now, self._made)

    def action_plan(self) -> None:
        """The plan over all units."""
        self.logbook.open("week")

    # Leaving in the middle

    def action_back(self) -> None:
        """Back, once how it was left is offered to be written down."""
        begun = any(o.state == "doing" for o in self.unit.operations)
        if not self._worked_here or not begun or self.session.read_only:
            super().action_back()
            return
        self._worked_here = False
        leave_with_questions(self, self.CODE)

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        try:
            self._checked(event.key, event.text)
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error).replace("\n", " "))

    @on(Ask.Left)
    def _left(self, event: Ask.Left) -> None:
        if event.key == READING:
            self.session.keep_draft(self._check.draft(self.CODE), event.text)
        self.query_one("#operations", Rows).focus()
