"""Leaving while something is in memory only: it is said, and can be tried again or written to a file elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import LogbookError
from logbook.session.file_out import put_file
from logbook.session.unkept_file import written_down
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.worded_entries import worded_entries


class UnkeptScreen(BookScreen):
    """Asks before changes are lost that the disk refused."""

    TOPIC = "several-computers"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "unkept.write", "e", "write", "write to a file", "Write these changes to a file elsewhere, then leave", True
        ),
        Act("unkept.retry", "K", "retry", "try again", "Try again to keep them, then leave", True),
        Act("unkept.lose", "X", "lose", "leave without", "Leave; these changes are lost", True),
        Act("leave", "q", "ask_again", "leave", "Say what can be done"),
    )

    def place(self) -> str:
        """The place."""
        return "Leaving / not everything is kept"

    def compose_body(self) -> ComposeResult:
        """The question, the changes, a line for the name of the file."""
        yield Static("", id="question", classes="question")
        yield titled_entries("unkept", "Not kept yet")
        yield Ask()

    def first_focus(self) -> str:
        """The list."""
        return "#unkept"

    def show_record(self) -> None:
        """Each change in words, and why it is not kept."""
        unkept = self.session.unkept
        rows: list[Row] = []
        for number, change in enumerate(unkept):
            rows.append(Row(f"change {number}", (f"{change.code or 'shop'}: {change.what}",)))
            for words in (*change.words(), change.why):
                rows.append(Row(f"words {len(rows)}", (f"  {words}",), "text", selectable=False))
        self.query_one(Rows).show(worded_entries(rows, columns_alone(self.columns)))
        things = "1 change is" if len(unkept) == 1 else f"{len(unkept)} changes are"
        asked = f"{things} only in memory. e writes to a file, K tries again, X leaves without, Esc stays."
        self.query_one("#question", Static).update(plain(asked, limit=300))

    def action_ask_again(self) -> None:
        """Nothing is lost by pressing the same key twice."""
        self.say("Choose: e writes them to a file, K tries again, X leaves without them, Esc stays.", "error")

    def action_write(self) -> None:
        """Ask where to."""
        name = f"logbook-not-kept-{self.session.shop_now:%Y%m%d-%H%M%S}.txt"
        usual = str(Path.home() / name)
        self.query_one(Ask).ask("file", "Write them to", usual, help="A file on another disk, or in another folder.")

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        words = event.text.strip()
        if not words:
            self.query_one(Ask).refuse("Name a file, or press Esc.")
            return
        text = written_down(self.session.unkept, self.session.shop_now)
        instead = "Name another one."
        try:
            written = put_file(Path(words).expanduser(), text.encode("utf-8"), name="not-kept.txt", instead=instead)
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        self.logbook.leave_at_once(
            f"What could not be kept is written down in {written}. When the disk has room again, "
            "“logbook import” with that file takes it in, as F on the bench does."
        )

    @on(Ask.Left)
    def _question_left(self) -> None:
        self.query_one("#unkept", Rows).focus()

    def action_retry(self) -> None:
        """Try again; leave when all is kept."""
        if self.session.retry():
            self.logbook.leave_at_once()
        else:
            self.show_record()
            self.say(self.session.unkept[0].why, "error")

    def action_lose(self) -> None:
        """Leave all the same."""
        self.logbook.leave_at_once()
