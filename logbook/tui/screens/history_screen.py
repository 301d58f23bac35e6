"""The story of a record: what was changed, when and by whom, and what it said on any day before."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import LogbookError
from logbook.joining.differences import differences
from logbook.model.days import parse_day
from logbook.model.plural import counted
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.render.change_words import MOST, Changed, names_by_number, what_changed
from logbook.render.page import moment_words
from logbook.session import HistoryEntry, Session, as_json
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.history_rows import change_entries, change_in_full, entry_what, entry_words, story_question
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows


class HistoryScreen(BookScreen):
    """Every change of a unit or of the shop, the newest first."""

    TOPIC = "several-computers"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("history.open", "enter", "open", "what changed", "Show the change in words", True),
        Act("history.then", "v", "then", "as it stood", "Show the record as it stood after that change", True),
        Act(
            "history.day",
            "t",
            "day",
            "on a day",
            "Show the record as it stood on a day: what did it say in spring?",
            True,
        ),
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code
        self._entries: dict[str, HistoryEntry] = {}
        self._told: dict[int, tuple[tuple[Changed, ...], tuple[str, ...]]] = {}
        """What each change did that the cursor stood on, by its number."""

    def place(self) -> str:
        """Whose story it is."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / story" if self.CODE else "Store / story"

    def story_of(self) -> str | None:
        """It is told already."""
        return None

    def compose_body(self) -> ComposeResult:
        """The sentence, the changes, the line to type in."""
        yield Static("", id="question", classes="question")
        yield ListBeside("changes", "Changes", self._in_full, pane_title="What changed")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The changes."""
        return "#changes"

    def show_record(self) -> None:
        """One row for each change."""
        self._entries = {str(e.n): e for e in reversed(self.session.entries(self.CODE))}
        self._told = {}
        now = self.session.shop_now
        self.query_one("#question", Static).update(plain(story_question(tuple(self._entries.values()), now), limit=300))
        self.query_one(ListBeside).show(change_entries(self._entries.values(), now, list_columns(self.columns)))

    def current(self) -> HistoryEntry | None:
        """The change under the cursor."""
        return self.query_one("#changes", Rows).current_of(self._entries)

    @on(Rows.Chosen, "#changes")
    def action_open(self) -> None:
        """The change in words."""
        if (entry := self.current()) is not None:
            lines = self._words(entry)
            by = f" by {entry.by}" if entry.by else ""
            question = f"{moment_words(entry.at, self.session.shop_now)}{by}: {entry_what(entry)}"
            self.app.push_screen(PageScreen(self.session, self.CODE, "story / change", question, lambda: lines))

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What the change under the cursor did."""
        entry = self.current()
        if entry is None:
            return [BLANK]
        if entry.n not in self._told:  # it is read back out of the story, which takes long enough to do it once
            self._told[entry.n] = self._what_it_did(entry)
        did, sentences = self._told[entry.n]
        return change_in_full(entry, did, sentences, self.session.shop_now, columns)

    def _words(self, entry: HistoryEntry) -> tuple[str, ...]:
        """What the change did, in sentences."""
        did, sentences = self._what_it_did(entry)
        words = tuple(one.words for one in did[:MOST])
        more = (f"and {len(did) - MOST} more",) if len(did) > MOST else ()
        return (*words, *more, *sentences) or ("Nothing that is shown was changed.",)

    def _what_it_did(self, entry: HistoryEntry) -> tuple[tuple[Changed, ...], tuple[str, ...]]:
        """What the change did, and sentences about it.

        Numbers are named by the record as it stood then, where it can still be read.
        """
        other_side = self._of_the_other_side(entry)
        was, then = self._before_and_after(entry)
        if entry.joined and was is not None and then is not None:
            return (), (*differences(was, then, self.session.on_shop_clock), *other_side)
        after = as_json(then) if then is not None else None
        before = as_json(was) if was is not None else None
        return what_changed(entry.do, entry.undo, after, before, self.session.shop_now), other_side

    def _before_and_after(self, entry: HistoryEntry) -> tuple[Unit | None, Unit | None]:
        """The unit as it stood before a change and after it, each where it is needed to name what was changed."""
        if not self.CODE or not (entry.joined or names_by_number(entry.do)):
            return None, None
        takes_out = entry.joined or any(op.get("op") == "remove" for op in entry.do)
        try:
            then = self.session.unit_at(self.CODE, entry.at)
            return self.session.unit_at(self.CODE, entry.at - timedelta(microseconds=1)) if takes_out else None, then
        except LogbookError:
            return None, None  # the first change, or one that cannot be read back: its numbers stay numbers

    def _of_the_other_side(self, entry: HistoryEntry) -> tuple[str, ...]:
        """What the other copy wrote, where this change joined one."""
        try:
            lines = self.session.joined_lines(self.CODE, entry)
        except LogbookError as error:
            return (str(error),)
        now = self.session.shop_now
        return ("# What the other side wrote", *(entry_words(e, now) for e in lines)) if lines else ()

    def action_then(self) -> None:
        """The record as it stood after the change."""
        if (entry := self.current()) is not None:
            self._show_at(entry.at)

    def action_day(self) -> None:
        """Ask for a day."""
        hint = "2026-03-12, 12 Mar, March 2025, 3 weeks ago: the record as it stood at the end of that day."
        self.query_one(Ask).ask("day", "On which day?", "", hint)

    @on(Ask.Left)
    def _to_changes(self) -> None:
        self.query_one("#changes", Rows).focus()

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        now = self.session.shop_now
        try:
            day = parse_day(event.text, now.date(), past=True)
            next_day = datetime(day.year, day.month, day.day, tzinfo=self.session.zone) + timedelta(days=1)
            when = next_day.astimezone(UTC) - timedelta(microseconds=1)
            self._show_at(when)
        except (LogbookError, OverflowError) as error:
            self.query_one(Ask).refuse(str(error))
            return
        self.query_one(Ask).close()
        self._to_changes()

    def _show_at(self, when: datetime) -> None:
        """A page with the record as it stood; only units have one."""
        if not self.CODE:
            self.say("Only a unit can be shown as it stood; here each change is shown with Enter.")
            return
        entries = self.session.entries(self.CODE)
        if when < entries[0].at:
            self.say(f"The story begins only on {moment_words(entries[0].at, self.session.shop_now)}.", "error")
            return
        unit = self.session.unit_at(self.CODE, when)
        steps = counted(len(unit.steps), "step")
        question = f"As it stood on {moment_words(when, self.session.shop_now)}: {unit.stage}, {steps}."
        show = partial(record_paragraphs, unit)
        self.app.push_screen(PageScreen(self.session, self.CODE, "story / as it stood", question, show))


def record_paragraphs(unit: Unit) -> tuple[str, ...]:
    """A unit's record to read: steps, components, what it waits for."""
    lines = ["# Steps"]
    lines += [_step_words(s) for s in unit.steps] or ["none yet"]
    if unit.components:
        lines.append("# Components")
        lines += [
            f"{c.code}  {c.name}: {c.condition or '?'}; {c.disposition}; place {c.where_kept or '?'}"
            for c in unit.components
        ]
    if unit.waiting:
        lines.append("# Waiting for")
        lines += [f"{w.what}{' (over)' if w.done else ''}" for w in unit.waiting]
    if unit.notes:
        lines += ["# Notes", unit.notes]
    return tuple(lines)


def _step_words(step: Step) -> str:
    """A step in a paragraph: code, what, how, fasteners, where they are, note."""
    out = ", ".join(f"{f.found if f.found == f.holes else f'{f.holes}/{f.found}'} {f.kind}" for f in step.fasteners)
    parts = (str(step.action), out, f"bag {step.bag}" if step.bag else "", f"box {step.box}" if step.box else "")
    facts = [*parts, "ONE-WAY" if step.one_way else "", "guess" if step.certainty == "guess" else "", step.note]
    return f"{step.code}  {step.what}: " + "; ".join(f for f in facts if f)
