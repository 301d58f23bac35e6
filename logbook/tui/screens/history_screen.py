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
from logbook.render.change_words import change_words
from logbook.render.page import moment_words
from logbook.render.plain import clean, fitted
from logbook.session import HistoryEntry, Session, as_json
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Row, Rows

KINDS = {"undo": "taken back: ", "redo": "done again: ", "recovered": "RECOVERED: ", "migrated": "brought up to date: "}
"""What stands before a change that is no plain one."""


class HistoryScreen(BookScreen):
    """Every change of a unit or of the shop, the newest first."""

    TOPIC = "several-computers"
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

    def place(self) -> str:
        """Whose story it is."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / story" if self.CODE else "Store / story"

    def story_of(self) -> str | None:
        """It is told already."""
        return None

    def compose_body(self) -> ComposeResult:
        """The sentence, the changes, the line to type in."""
        yield Static("", id="question", classes="question")
        yield Rows(id="changes")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The changes."""
        return "#changes"

    def show_record(self) -> None:
        """One row for each change."""
        self._entries = {str(e.n): e for e in reversed(self.session.entries(self.CODE))}
        now = self.session.shop_now
        self.query_one("#question", Static).update(plain(story_question(tuple(self._entries.values()), now), limit=300))
        self.query_one("#changes", Rows).show(
            [Row(n, (entry_words(e, now),), _tone(e)) for n, e in self._entries.items()]
        )

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

    def _words(self, entry: HistoryEntry) -> tuple[str, ...]:
        """What the change did; numbers are named by the record as it stood then, where it can still be read."""
        after, before = None, None
        moments = entry.at - timedelta(microseconds=1), entry.at
        if self.CODE:
            try:
                after = as_json(self.session.unit_at(self.CODE, entry.at))
                before = as_json(self.session.unit_at(self.CODE, moments[0]))
            except LogbookError:
                before = None  # the first change: before it there was nothing
        words = change_words(entry.do, entry.undo, after, before, self.session.shop_now)
        if entry.joined and self.CODE and before is not None:
            was, now = (self.session.unit_at(self.CODE, at) for at in moments)
            words = differences(was, now, self.session.on_shop_clock)
        return (*(words or ("Nothing that is shown was changed.",)), *self._of_the_other_side(entry))

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


def story_question(entries: tuple[HistoryEntry, ...], now: datetime) -> str:
    """How long the story is, in a sentence; the newest entry comes first."""
    if not entries:
        return "Nothing was changed yet: the story begins with the first change."
    first, last = moment_words(entries[-1].at, now), moment_words(entries[0].at, now)
    who = ", ".join(dict.fromkeys(e.by for e in entries if e.by)) or "nobody named"
    when = f"on {last}" if first == last else f"from {first} to {last}"
    return f"{len(entries)} change{'s' if len(entries) > 1 else ''} {when}, by {who}."


def entry_what(entry: HistoryEntry) -> str:
    """What a change was, with what kind of change it is."""
    return KINDS.get(entry.kind, "") + entry.what


def entry_words(entry: HistoryEntry, now: datetime) -> str:
    """A change in a line: when, who, what."""
    who = fitted(clean(entry.by or "?", limit=20), 8)
    return f"{moment_words(entry.at, now)}  {who} {clean(entry_what(entry), limit=300)}"


def _tone(entry: HistoryEntry) -> str:
    return "done" if entry.kind == "undo" else "warning" if entry.kind == "recovered" else ""


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
