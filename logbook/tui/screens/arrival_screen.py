"""How a unit came, what can hurt, what it waits for and where its limit is: the facts first, each one key away."""

from __future__ import annotations

from functools import partial
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal

from logbook.errors import LogbookError
from logbook.model.edits import UnitEdit
from logbook.model.paths import removed_at
from logbook.model.starters import Starters, objects_of_class, starters
from logbook.model.templates import HazardClass, hazard_classes, usual_hazards
from logbook.model.unit_edits import (
    hazards_beside_class,
    waiting_of_line,
    with_object_class,
    with_stage,
    with_test_result,
    with_waiting,
    with_waiting_done,
)
from logbook.model.words import Stage
from logbook.reassembly import left_over
from logbook.render.plain import clean
from logbook.session.papers import own_folder
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.opening import open_path
from logbook.tui.screens.arrival_rows import Fact, answer_lines, arrival_facts, fact_in_full, fact_lines
from logbook.tui.sections import DANGERS, UNIT_ACTS, SectionScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries, ListEntry, entry, heading
from logbook.tui.widgets.pane import BREAKPOINTS, BROAD, WIDE, Pane
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.signs import glyphs_now

FULL_COLUMNS, BROAD_FULL_COLUMNS = 48, 66
"""Columns of the fact in full beside the list."""
NOTES = {"as found": "as found", "arrival": "arrived"}
"""On which line a note stands, by what it is a note of."""
RESULTS = {"passed": True, "failed": False, "open": None}


class ArrivalScreen(SectionScreen):
    """Section 1 of a unit."""

    TOPIC = "arrival"
    SECTION = "arrival"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("arrival.open", "enter", "open", "open", "Open what is under the cursor, to type or to add", True),
        Act("arrival.stage", "G", "stage", "stage", "Say at which stage the unit is", True),
        Act(
            "arrival.class", "c", "object_class", "hazard class", "Choose the class of object: brings its hazards", True
        ),
        DANGERS._replace(foot=True),
        Act("arrival.waits", "W", "waits", "waits for", "Write down what the unit waits for, in one line", True),
        Act("arrival.done", "space", "done", "done", "A wait is over, or a test has a result"),
        Act("arrival.out", "x", "take_out", "take out", "Take the hazard, test or wait out (undo brings it back)"),
        Act("arrival.why", "w", "why", "why", "Where the line under the cursor comes from"),
        *(a for a in UNIT_ACTS if a is not DANGERS),
    )

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    DEFAULT_CSS = """
    ArrivalScreen #question { max-height: 5; padding: 0 1; }
    ArrivalScreen #body { height: 1fr; min-height: 4; }
    ArrivalScreen #full { display: none; width: 48; }
    ArrivalScreen.-wide #full { display: block; }
    ArrivalScreen.-broad #full { display: block; width: 66; }
    """

    def compose_section(self) -> ComposeResult:
        """What stands before the next step, the facts, the one under the cursor in full, and the lines to type in."""
        yield Pane(self._answer, id="question", classes="-bare")
        with Horizontal(id="body"):
            yield Entries(id="facts")
            yield Pane(self._full, id="full", title="In full")
        yield Pick(id="pick")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The facts."""
        return "#facts"

    def show_record(self) -> None:
        """The facts as they are now."""
        self._facts = arrival_facts(self.unit, self.session.shop_now, glyphs_now())
        facts = self.query_one("#facts", Entries)
        facts.border_title = "As it came"
        facts.show([self._row(fact) for fact in self._facts])
        for pane in self.query(Pane):
            pane.update()

    def _row(self, fact: Fact) -> ListEntry:
        lines = fact_lines(fact, self._list_columns)
        if fact.path is not None:
            return entry(fact.key, lines)
        air = (BLANK,) if self.columns >= WIDE else ()
        return heading(fact.key, *air, *lines)

    @property
    def _list_columns(self) -> int:
        """Columns for a fact: beside the fact in full, the frame, the cursor's bar and the scroll bar."""
        if self.columns < WIDE:
            return self.columns - 3
        beside = BROAD_FULL_COLUMNS if self.columns >= BROAD else FULL_COLUMNS
        return self.columns - beside - BESIDE_THE_TEXT

    def _answer(self, columns: int, _rows: int) -> list[Line]:
        """The stage, and what stands before the next step."""
        return answer_lines(self.unit, columns)

    def _full(self, columns: int, _rows: int) -> list[Line]:
        """The fact under the cursor, with all that is known about it."""
        fact = self.current_fact()
        return [BLANK] if fact is None else fact_in_full(fact, columns)

    @on(Entries.Rested, "#facts")
    def _follow(self) -> None:
        self.query_one("#full", Pane).update()

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on the list or the note in which a thing was found."""
        key = {"operation": "operations", "held dimension": "held_dimensions", "note": NOTES.get(code, "notes")}.get(
            kind
        )
        if key is not None:
            self.query_one("#facts", Rows).go_to(key)

    def current_fact(self) -> Fact | None:
        """The fact under the cursor."""
        row = self.query_one("#facts", Rows).current
        return next((f for f in self._facts if row is not None and f.key == row.key), None)

    @on(Rows.Chosen, "#facts")
    def action_open(self) -> None:
        """Open the form or list behind the fact."""
        fact = self.current_fact()
        if fact is not None and fact.path is not None:
            open_path(self, self.CODE, fact.path, fact.field)

    def danger_here(self) -> dict[str, Any]:
        """The hazard under the cursor."""
        fact = self.current_fact()
        path = fact.path if fact is not None else None
        if path and path[0] == "hazards" and len(path) == 2:
            return {"here": self.unit.hazards[int(path[1])].what}
        return {}

    def action_stage(self) -> None:
        """Pick the stage without leaving."""
        self.query_one(Pick).pick("stage", "Stage", tuple(Stage), self.unit.stage)

    @on(Pick.Picked)
    def _picked(self, event: Pick.Picked) -> None:
        self._back_to_facts()
        if event.key == "stage" and event.value == Stage.STOPPED:
            begun, why = self.session.draft(f"{self.CODE}/stopped"), self.unit.why_stopped
            self.query_one(Ask).ask("stopped", "Why is it stopped?", why, "Stopping is an ending, too.", begun=begun)
        elif event.key == "stage":
            self._put_stage(Stage(event.value))
        else:
            at, passed = int(event.key.partition(" ")[2]), RESULTS[event.value]
            self._apply(f"make-or-break test {event.value}", lambda u: with_test_result(u, at, passed=passed))

    @on(Pick.Left)
    def _back_to_facts(self) -> None:
        self.query_one("#facts", Rows).focus()

    def _put_stage(self, stage: Stage, why: str = "") -> None:
        try:
            open_ends = left_over(self.unit) if stage is Stage.CLOSED else ()
        except LogbookError as error:
            self.say(str(error), "error")
            return
        if open_ends:
            more = f" ({len(open_ends)} open; m in 5 lists them)" if open_ends[1:] else ""
            self.say(f"It cannot be closed yet{more}: {open_ends[0].sentence}", "error")
            return
        self._apply(f"stage: {stage}", lambda u: with_stage(u, stage, why))

    def _apply(self, what: str, edit: UnitEdit) -> bool:
        return self.tried(what, partial(self.session.apply, self.CODE, what, edit))

    def action_object_class(self) -> None:
        """Choose the class of object from the list of usual hazards."""
        known = starters(own_folder())
        rows = [
            Row(each.name, (each.name, *_objects(known, each), f"    {_hazards(each)}")) for each in hazard_classes()
        ]
        question = "Of which class is it? Its usual hazards are written into the unit and can be edited there."
        here = self.unit.arrival.object_class
        self.logbook.open("choose", self.CODE, question, rows, take=self._put_class, here=here)

    def _put_class(self, name: str) -> None:
        """Take over the class; what stood before and stays is said, because another class may not have it."""
        usual = usual_hazards(name)
        stay = ", ".join(hazards_beside_class(self.unit, usual))
        what = f"hazard class: {name}"
        said = f"{what}. Still here from before: {stay}; x takes one out." if stay else what
        edit = partial(with_object_class, name=name, hazards=usual)
        self.tried(said, partial(self.session.apply, self.CODE, what, edit))

    def action_waits(self) -> None:
        """Ask what it waits for."""
        begun = self.session.draft(f"{self.CODE}/waits")
        self.query_one(Ask).ask("waits", "Waits for", "", "Like: 2 bearings, due fri, chase in 5 days", begun=begun)

    @on(Ask.Left)
    def _left(self, event: Ask.Left) -> None:
        self.session.keep_draft(f"{self.CODE}/{event.key}", event.text)
        self._back_to_facts()

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        if event.key == "stopped":
            self.session.keep_draft(f"{self.CODE}/stopped", "")
            self._close_ask()
            self._put_stage(Stage.STOPPED, event.text)
            return
        try:
            waiting = waiting_of_line(event.text, self.session.today)
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        if self._apply(f"waits for {waiting.what}", lambda u: with_waiting(u, waiting)):
            self.session.keep_draft(f"{self.CODE}/waits", "")
            self._close_ask()

    def _close_ask(self) -> None:
        self.query_one(Ask).close()
        self._back_to_facts()

    def action_done(self) -> None:
        """A wait is over (or holds again), or a make-or-break test has a result."""
        fact = self.current_fact()
        path = fact.path if fact is not None else None
        if path is not None and path[:1] == ("waiting",) and len(path) == 2:
            at = int(path[1])
            done = not self.unit.waiting[at].done
            what = f"{self.unit.waiting[at].what}: {'no longer waited for' if done else 'waited for again'}"
            self._apply(what, lambda u: with_waiting_done(u, at, done=done))
        elif path is not None and path[:2] == ("arrival", "make_or_break") and len(path) == 3:
            self.query_one(Pick).pick(f"test {path[2]}", "The test", tuple(RESULTS))
        else:
            self.say("Space marks a wait as over, or a make-or-break test as passed or failed.")

    def action_take_out(self) -> None:
        """Take the hazard, test or wait out of the record."""
        fact = self.current_fact()
        if fact is None or not fact.path or not isinstance(fact.path[-1], int):
            self.say("Only a hazard, a test or a wait can be taken out here. Enter opens everything else.")
            return
        path = fact.path
        self._apply(f"taken out: {clean(fact.text, limit=60)}", lambda u: removed_at(u, path))

    def action_why(self) -> None:
        """Where the line under the cursor comes from."""
        fact = self.current_fact()
        self.say(fact.why if fact is not None else "Move the cursor to a line first.")


def _objects(known: Starters, each: HazardClass) -> tuple[str, ...]:
    """What people call an object of that class, as a line; none when its name says all there is."""
    called = ", ".join(objects_of_class(known, each))
    return (f"    for example: {clean(called, limit=200)}",) if called else ()


def _hazards(each: HazardClass) -> str:
    return clean("; ".join(f"{hazard.signal} {hazard.what}" for hazard in each.hazards), limit=200)
