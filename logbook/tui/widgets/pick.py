"""One of a few words, chosen by a digit, a letter or the arrows, in a line or two above the message line.

It asks, the screen decides: a choice posts `Pick.Picked`, Escape posts `Pick.Left`. While it stands open
every other key waits, so nothing else happens by a slip.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual import events
from textual.content import Content
from textual.message import Message
from textual.style import Style
from textual.widgets import Static

from logbook.render.plain import clean

DIGITS = "1234567890"


class Pick(Static, can_focus=True):
    """Hidden until `pick` is called; then it takes the focus."""

    DEFAULT_CSS = """
    Pick { height: auto; max-height: 4; display: none; padding: 0 1; background: $surface; }
    Pick.-open { display: block; }
    """

    @dataclass
    class Picked(Message):
        """A choice was made."""

        key: str
        """What was asked, as given to `pick`."""
        value: str

    @dataclass
    class Left(Message):
        """Escape was pressed."""

        key: str

    KEYS = (("digit", "choose", ""), ("Enter", "take the one in brackets", ""), ("Esc", "leave it", ""))
    """What the key line shows meanwhile."""
    key = ""
    _label = ""
    _options: tuple[str, ...] = ()
    _here = 0

    @property
    def is_open(self) -> bool:
        """Whether a question stands."""
        return self.has_class("-open")

    def pick(self, key: str, label: str, options: Sequence[str], here: str = "") -> None:
        """Ask for one of at most ten options; `here` is the one that holds now."""
        self.key, self._label, self._options = key, clean(label, limit=60), tuple(options[: len(DIGITS)])
        self._here = self._options.index(here) if here in self._options else 0
        self.add_class("-open")
        self._draw()
        self.focus()

    def close(self) -> None:
        """Put the question away."""
        self.remove_class("-open")

    def _draw(self) -> None:
        """The label and the options, broken between options and never inside one."""
        content, used = Content.styled(f"{self._label}  ", "bold"), len(self._label) + 2
        room = max(20, (self.size.width or self.app.size.width) - 2)
        for i, option in enumerate(self._options):
            words = f"[{DIGITS[i]} {option}]" if i == self._here else f" {DIGITS[i]} {option} "
            if used + len(words) > room:
                content, used = content + Content("\n"), 0
            style = "bold $text-accent" if i == self._here else ""
            click = Style.from_meta({"@click": f"choose({i})"})
            content = content + Content.styled(words, style).stylize(click)
            used += len(words)
        self.update(content)

    def on_resize(self) -> None:
        """Other breaks for another width."""
        if self.is_open:
            self._draw()

    def action_choose(self, at: int) -> None:
        """Take the option at this place."""
        if 0 <= at < len(self._options):
            self.close()
            self.post_message(self.Picked(self.key, self._options[at]))

    def on_key(self, event: events.Key) -> None:
        """Digits and unmistakable first letters choose, arrows move, Enter takes, Escape leaves."""
        if not self.is_open:
            return
        event.stop()
        event.prevent_default()
        if event.key == "escape":
            self.close()
            self.post_message(self.Left(self.key))
        elif event.key in ("right", "down", "left", "up"):
            self._here = (self._here + (1 if event.key in ("right", "down") else -1)) % len(self._options)
            self._draw()
        elif event.key == "enter":
            self.action_choose(self._here)
        elif event.character:
            self._by_character(event.character)

    def _by_character(self, character: str) -> None:
        if character in DIGITS:
            self.action_choose(DIGITS.index(character))
            return
        found = [i for i, option in enumerate(self._options) if option.lower().startswith(character.lower())]
        if len(found) == 1:
            self.action_choose(found[0])
        elif found:
            self._here = next((i for i in found if i > self._here), found[0])
            self._draw()
