"""A question in one line above the message line: label, what is typed, and why it was refused.

It asks, the screen decides: Enter posts `Ask.Answered`, Escape posts `Ask.Left`. A refused value stays.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.suggester import Suggester
from textual.widgets import Input, Static

from logbook.render.plain import clean
from logbook.tui.plain_content import plain
from logbook.tui.surviving import Surviving
from logbook.tui.widgets.input_line import Line

FROM_BEFORE = "Your line from before: typing replaces it, Delete clears it, End goes on with it."
"""What is said of a half-typed line that stands there again; the whole of it is selected."""


class Ask(Surviving, Vertical):
    """Hidden until `ask` is called; then it takes the focus."""

    DEFAULT_CSS = """
    Ask { height: auto; max-height: 6; display: none; background: $surface; }
    Ask.-open { display: block; }
    Ask Horizontal { height: 1; }
    Ask #ask-label { width: auto; max-width: 40; padding: 0 1; text-style: bold; }
    Ask #ask-help { height: auto; max-height: 5; padding: 0 1; color: $text-muted; }
    Ask.-refused #ask-help { color: $text-error; }
    """

    @dataclass
    class Answered(Message):
        """Enter was pressed."""

        key: str
        """What was asked, as given to `ask`."""
        text: str

    @dataclass
    class Left(Message):
        """Escape was pressed; `text` is what stood there."""

        key: str
        text: str

    key = ""
    _back_to: str = ""

    def compose(self) -> ComposeResult:
        """Label, line, and a line of help below."""
        with Horizontal():
            yield Static("", id="ask-label")
            yield Line(id="ask-line")
        yield Static("", id="ask-help")

    @property
    def is_open(self) -> bool:
        """Whether a question stands."""
        return self.has_class("-open")

    @property
    def text(self) -> str:
        """What stands in the line now."""
        return self.query_one(Line).value

    def ask(
        self,
        key: str,
        label: str,
        value: str = "",
        help: str = "",  # noqa: A002 - plain English
        suggester: Suggester | None = None,
        *,
        begun: str = "",
        replace: bool = False,
        example: str = "",
    ) -> None:
        """Ask for one line of text.

        Args:
            key: what is asked, for the messages.
            label: what stands before the line.
            value: what stands in it at first.
            help: what stands below it.
            suggester: offers how it could go on.
            begun: what was half typed when the question was left the last time. It stands there instead of `value`
                and is named as such; typing takes its place.
            replace: typing takes the place of `value`.
            example: what stands in grey while the line is empty.
        """
        self.key = key
        self.add_class("-open")
        self.query_one("#ask-label", Static).update(plain(label, limit=38))
        self.explain(f"{FROM_BEFORE} {help}" if begun else help)
        line = self.query_one(Line)
        line.suggester = suggester
        line.placeholder = clean(example, limit=100)
        line.value = begun or value
        line.cursor_position = len(line.value)
        line.focus()
        if replace or begun:
            line.select_all()

    def explain(self, words: str) -> None:
        """Say something below the line that is no refusal."""
        self.remove_class("-refused")
        self.query_one("#ask-help", Static).update(plain(words, limit=300))

    def refuse(self, why: str) -> None:
        """Say why the value was not taken; it stays to be corrected."""
        self.add_class("-refused")
        self.query_one("#ask-help", Static).update(plain(why, limit=300))
        self.query_one(Line).focus()

    def close(self) -> None:
        """Put the question away."""
        self.remove_class("-open", "-refused")
        self.query_one(Line).value = ""

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.post_message(self.Answered(self.key, event.value))

    def on_key(self, event: events.Key) -> None:
        """Escape leaves the question."""
        if event.key == "escape" and self.is_open:
            event.stop()
            event.prevent_default()
            text = self.query_one(Line).value
            self.close()
            self.post_message(self.Left(self.key, text))
