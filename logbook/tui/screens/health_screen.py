"""Is everything kept and whole: what the disk refused, what was found damaged, copies beside records."""

from __future__ import annotations

import os
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import LogbookError
from logbook.joining import chosen
from logbook.model.apart import ToLookAt
from logbook.model.dates_in_words import day_year_time
from logbook.model.left_by_joining import in_another_bag
from logbook.model.paths import Path as RecordPath
from logbook.model.plural import counted
from logbook.model.shop_clock import on_clock_of
from logbook.session import Removed, Session, Stranger
from logbook.session.joining import propose
from logbook.session.opened import SHOP
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screen_names import screen_named
from logbook.tui.screens.health_rows import RECORD, KeptRecord, part_entries, record_entries, thing_and_way_out
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import ListEntry
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows

SETTLED = "settled after joining"
"""What was done, for the history."""
OTHER = "join/other"
"""Under which draft the other book named last is kept."""


class HealthScreen(BookScreen):
    """The state of the book on disk, in sentences, with what can be done about each."""

    TOPIC = "several-computers"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("health.open", "enter", "open", "open", "Compare a copy, settle what joining left, put a unit back", True),
        Act(
            "health.take",
            "t",
            "take_in",
            "take in",
            "Bring the record to what the copy says (undo takes it back)",
            True,
        ),
        Act("health.join", "J", "join", "join", "Join with this copy, or with another book or folder", True),
        Act("health.over", "T", "take_over", "take over", "Become the writer, when the other program is gone", True),
        Act("health.retry", "K", "retry", "try again", "Try again to keep what the disk refused", True),
        Act("health.back", "x", "take_back", "take back", "Take back the last change of a unit that is left out", True),
        Act("health.again", "R", "read_again", "read again", "Read again what others changed; yours goes on top", True),
    )

    def __init__(self, session: Session, *, about: str = "", joining: bool = False) -> None:
        """Make the place.

        Args:
            session: the open book.
            about: code of the unit whose things the cursor goes to first; empty for the first of all.
            joining: whether the other copy is asked for at once.
        """
        super().__init__(session)
        self._about = about
        self._joining = joining
        self._strangers: dict[str, Stranger] = {}
        self._removed: dict[str, Removed] = {}
        self._looks: dict[str, tuple[str, ToLookAt]] = {}

    def place(self) -> str:
        """The place."""
        return "Bench / is everything kept"

    def compose_body(self) -> ComposeResult:
        """The answer in a sentence, and the things it rests on."""
        yield Static("", id="question", classes="question")
        yield ListBeside("health", "The book", self._in_full, pane_title="What can be done")
        yield Ask()

    def first_focus(self) -> str:
        """The list."""
        return "#health"

    def on_screen_resume(self) -> None:
        """What was asked for on the way here comes first, once."""
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        if not self.query(Rows):
            return  # a key that came at once has led on before the list stood
        about, self._about = self._about, ""
        rows = self.query_one(Rows)
        own = (row.key for row in rows.rows if row.key.startswith(f"look {about} "))
        if about and (key := next(own, "")):
            rows.go_to(key)
        if self._joining:
            self._joining = False
            self.action_join()

    def show_new(self, path: RecordPath) -> None:  # noqa: ARG002 - what joining left is no path of a record
        """After joining: the cursor goes to the first thing that it left to look at."""
        if first := next((row.key for row in self.query_one(Rows).rows if row.key.startswith("look ")), ""):
            self.query_one(Rows).go_to(first)

    def action_health(self) -> None:
        """This is the place."""
        self.say("This is the place. Esc goes back.")

    def show_record(self) -> None:
        """Everything that is not as it should be, the worst first."""
        session = self.session
        self._strangers = {f"stranger {s.path}": s for s in session.strangers()}
        self._removed = {f"removed {r.folder}": r for r in session.removed()}
        entries: list[ListEntry] = []
        columns = list_columns(self.columns)

        def part(title: str, things: dict[str, str], ink: str) -> None:
            entries.extend(part_entries(title, things, ink, columns))

        unkept = [f"{u.code or 'shop'}: {u.what} ({u.why})" for u in session.unkept]
        part("NOT KEPT, only in memory", {f"unkept {i}": words for i, words in enumerate(unkept)}, "bad")
        left = set(session.left_out().values())
        found = (*self.logbook.settings.problems, *(p for p in session.problems if p not in left))
        part("Found", {f"found {p}": p for p in found}, "wait")
        left_out = {f"left-out {c}": f"{why} x takes back its last change." for c, why in session.left_out().items()}
        part("Left out of every view over all units", left_out, "bad")
        again = {f"again {c}": f"{c or 'the shop'}: R reads it again" for c in session.to_read_again()}
        part("Changed outside while the book was open", again, "bad")
        self._looks = {f"look {code} {look.what}": (code, look) for code, look in session.to_look_at()}
        words = {key: f"{code or 'the shop'}: {look.what}" for key, (code, look) in self._looks.items()}
        part("To look at after joining", words, "wait")
        if session.read_only:
            part("Reading only", {"holder": session.why_read_only}, "wait")
        part("Beside the records", {k: s.sentence for k, s in self._strangers.items()}, "")
        now = session.shop_now
        gone = {k: f"{r.code}, taken out {day_year_time(on_clock_of(r.when, now))}" for k, r in self._removed.items()}
        part("Taken out of the book; Enter puts back", gone, "")
        entries.extend(record_entries(self._records(), now, columns))
        self.query_one(ListBeside).show(entries)
        self.query_one("#question", Static).update(plain(self._answer(len(unkept)), limit=300))

    def _records(self) -> list[KeptRecord]:
        """Every record that can be read, as it stands on the disk."""
        named = {line.code: line.name for line in self.session.lines()}
        codes = [code for code in self.session.codes() if code in named]
        names = {**{code: named[code] for code in codes}, "": "what all units share"}
        kept = {code: self.session.kept(code or SHOP) for code in names}
        return [KeptRecord(code, names[code], state.version, state.at) for code, state in kept.items()]

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What is under the cursor, and what can be done about it."""
        row = self.query_one(Rows).current
        if row is None:
            return [BLANK]
        words = " ".join(" ".join(row.lines).split())
        code = row.key.removeprefix(RECORD)
        if row.key.startswith(RECORD):
            words = f"{code} {self.session.unit(code).name}" if code else "What all units share"
        return thing_and_way_out(row.key, words, columns)

    def _answer(self, unkept: int) -> str:
        if unkept:
            things = "1 change is" if unkept == 1 else f"{unkept} changes are"
            return f"{things} only in memory: K tries again, y copies all of this, q offers to write them to a file."
        if self._looks:
            return f"Everything is kept. Joining left {counted(len(self._looks), 'thing')} to look at; Enter opens one."
        if self.session.problems or self._strangers:
            return "Everything you wrote is kept. This was found, and nothing of it was changed."
        return "Everything is kept, and nothing strange was found."

    def text_to_copy(self) -> str:
        """Everything that is listed, so that it can be written down elsewhere when the disk refuses it."""
        told = (row for row in self.query_one(Rows).rows if not row.key.startswith((RECORD, "head records", "air ")))
        return "\n".join(line for row in told for line in row.lines)

    @on(Rows.Chosen)
    def action_open(self) -> None:
        """Compare what is under the cursor, or put it back."""
        key = row.key if (row := self.query_one(Rows).current) is not None else ""
        if stranger := self._strangers.get(key):
            try:
                said = self.session.compared(stranger) or ("It says the same as the record.",)
            except LogbookError as error:
                said = (str(error),)
            title = f"What {stranger.path.name} says otherwise. Back and t take it in."
            self.app.push_screen(PageScreen(self.session, "", "copy compared", title, lambda: said))
        elif key in self._looks:
            self._settle(*self._looks[key])
        elif removed := self._removed.get(key):
            self.tried(f"{removed.code} is back in the book.", partial(self.session.put_back, removed))
            self.show_record()
        elif key.startswith(RECORD):
            self.logbook.open("history", key.removeprefix(RECORD))

    def _settle(self, code: str, look: ToLookAt) -> None:
        """Show what joining left, and settle it by the answer."""
        answer, apart = partial(self._settled, code, look), partial(self._told_apart, code, look)
        record = self.session.record(code)
        self.app.push_screen(screen_named("two_values", self.session, record, look, answer=answer, apart=apart))

    def _told_apart(self, code: str, look: ToLookAt, first: bool, bag: str) -> None:
        """The pieces of one side lie in a bag of their own. Raises as the edit does."""
        edit = partial(in_another_bag, look=look, first=first, bag=bag)
        self.session.apply(code, f"bag {look.bag} told apart: bag {bag}", edit)
        self.say(f"Two bags: {look.bag} and {bag}. Write {bag} on it. z takes it back.", "good")

    def _settled(self, code: str, look: ToLookAt, first: bool | None) -> None:
        def edit() -> None:
            if code:
                self.session.apply(code, SETTLED, lambda unit: chosen(unit, look, first=first))
            else:
                self.session.apply_shop(SETTLED, lambda shop: chosen(shop, look, first=first))

        self.tried("Settled; z takes it back.", edit)

    def action_join(self) -> None:
        """Join with the copy under the cursor; where there is none, ask for the other book."""
        row = self.query_one(Rows).current
        if row is not None and (stranger := self._strangers.get(row.key)):
            self._show_joining(stranger.to_join)
            return
        hint = "The folder of the other book, of a unit that was handed back, or a copy of a record's file."
        self.query_one(Ask).ask("join", "Join with", self.session.draft(OTHER), hint)

    @on(Ask.Answered)
    def _other_named(self, event: Ask.Answered) -> None:
        words = event.text.strip()
        if not words:
            self.query_one(Ask).refuse("Name a folder, or press Esc.")
        elif said := self._why_not_shown(Path(os.path.abspath(os.path.expanduser(words)))):
            self.query_one(Ask).refuse(said)
        else:
            self.query_one(Ask).close()
            self.query_one(Rows).focus()
            self.tried("", partial(self.session.keep_draft, OTHER, words))

    @on(Ask.Left)
    def _no_other(self) -> None:
        self.query_one(Rows).focus()

    def _show_joining(self, path: Path) -> None:
        """Show what joining with a copy would do, or say why not."""
        if said := self._why_not_shown(path):
            self.say(said, "error")

    def _why_not_shown(self, path: Path) -> str:
        """Show what joining would do; why that cannot be said, empty when it can."""
        try:
            proposal = propose(self.session, path)
        except (LogbookError, ValueError) as error:
            return str(error)
        self.app.push_screen(screen_named("join", self.session, proposal))
        return ""

    def action_take_in(self) -> None:
        """Bring the record to what the copy says."""
        row = self.query_one(Rows).current
        if row is not None and (stranger := self._strangers.get(row.key)):
            self.tried(f"{stranger.path.name} is taken in; z takes it back.", partial(self.session.take_in, stranger))
        else:
            self.say("Put the cursor on a copy beside a record first.")

    def action_take_over(self) -> None:
        """Become the writer."""
        if not self.session.read_only:
            self.say("This program writes the book already.")
        elif self.session.take_over():
            self.say("This program writes the book now.", "good")
            self._catch_up()
        else:
            self.say(self.session.why_read_only or "The book cannot be written.", "error")

    def action_take_back(self) -> None:
        """Take back the last change of the unit under the cursor."""
        row = self.query_one(Rows).current
        part, _, code = row.key.partition(" ") if row is not None else ("", "", "")
        if part != "left-out":
            self.say("Put the cursor on a unit that is left out first.")
            return
        try:
            what = self.session.undo(code)
        except LogbookError as error:
            self.say(str(error), "error")
            return
        self._catch_up()
        self.say(f"Taken back in {code}: {what}" if what else f"Nothing of {code} is left to take back.")

    def action_read_again(self) -> None:
        """Read the records that others changed again."""
        try:
            said = self.session.read_again()
        except LogbookError as error:
            self.say(str(error), "error")
            return
        self._catch_up()
        self.say(said, "error" if self.session.unkept else "good")

    def action_retry(self) -> None:
        """Try again to keep what the disk refused."""
        if self.session.retry():
            self.say("Everything is kept.", "good")
        else:
            self.say(self.session.unkept[0].why, "error")
        self.show_record()
        self.refresh_frame()
