"""A few words with a letter or digit each; the key chooses. For lists too long for digits alone.

It asks, the screen decides: a key posts `Letters.Picked`, Enter `Letters.Entered`, Escape `Letters.Left`. While
it stands open every other key waits, so nothing else happens by a slip.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from textual import events
from textual.content import Content
from textual.message import Message
from textual.style import Style
from textual.widgets import Static

from logbook.render.plain import clean, width
from logbook.tui.surviving import Surviving
from logbook.tui.typed_on import OneKeyQuestion

GAP = 2


def _columns(widths: Sequence[int], room: int) -> list[int]:
    """Widths of the most columns that fit into the room, entries running from left to right."""
    for count in range(len(widths), 1, -1):
        columns = [max(widths[i::count]) for i in range(count)]
        if sum(columns) + GAP * (count - 1) <= room:
            return columns
    return [max(widths)]


class Letters(Surviving, OneKeyQuestion, Static, can_focus=True):
    """Hidden until `offer` is called; then it takes the focus."""

    DEFAULT_CSS = """
    Letters { height: auto; max-height: 12; display: none; padding: 0 1; background: $surface; }
    Letters { link-style: none; link-color: $foreground; link-background: $surface; }
    Letters.-open { display: block; }
    """

    @dataclass
    class Picked(Message):
        """A key of the list was pressed."""

        key: str
        """What was offered, as given to `offer`."""
        letter: str

    @dataclass
    class Entered(Message):
        """Enter was pressed; only a list that stays open says so."""

        key: str

    @dataclass
    class Left(Message):
        """Escape was pressed; the list is gone."""

        key: str

    @dataclass
    class Unknown(Message):
        """A letter or digit was pressed that is not in the list."""

        character: str

    key = ""
    _title = ""
    _words: Mapping[str, str] = {}
    _marked: Collection[str] = ()
    _stays = False

    @property
    def is_open(self) -> bool:
        """Whether the list stands."""
        return self.has_class("-open")

    def offer(
        self,
        key: str,
        title: str,
        words: Mapping[str, str],
        marked: Collection[str] = (),
        *,
        stays: bool = False,
    ) -> None:
        """Show the list.

        Args:
            key: comes back with the answer.
            title: what is asked, above the list.
            words: letter or digit to word.
            marked: letters that hold now; they stand with an `x` before them.
            stays: a key leaves the list open, for several answers.
        """
        self.key, self._title, self._words, self._marked, self._stays = key, title, words, marked, stays
        self.add_class("-open")
        self._draw()
        self.focus()

    def close(self) -> None:
        """Put the list away."""
        self.remove_class("-open")

    def on_resize(self) -> None:
        """More words may fit on a line, or fewer."""
        if self.is_open:
            self._draw()

    def _draw(self) -> None:
        entries = {k: f"{'*' if k in self._marked else ' '} {k} {clean(w, limit=60)}" for k, w in self._words.items()}
        room = max(20, (self.size.width or self.app.size.width or 80) - 2)
        columns = _columns([width(e) for e in entries.values()], room)
        content = Content.styled(clean(self._title, limit=300), "bold")
        for i, (letter, entry) in enumerate(entries.items()):
            style = Style.from_meta({"@click": f"press('{letter}')"})
            words = Content.styled(entry, "bold" if letter in self._marked else "").stylize(style)
            content = content + Content("" if i % len(columns) else "\n") + words
            if i % len(columns) < len(columns) - 1:
                content = content + Content(" " * (columns[i % len(columns)] - width(entry) + GAP))
        self.update(content)

    def action_press(self, letter: str) -> None:
        """A click on a word is its key."""
        if not self._stays:
            self.close()
        self.post_message(self.Picked(self.key, letter))

    def takes(self, event: events.Key) -> bool:
        """Whether it is a letter or digit of the list."""
        return event.character is not None and event.character.lower() in self._words

    def on_key(self, event: events.Key) -> None:
        """Letters choose, whatever the capitals; Enter and Escape end it."""
        if not self.is_open:
            return
        event.stop()
        event.prevent_default()
        if event.key == "escape":
            self.close()
            self.post_message(self.Left(self.key))
        elif event.key == "enter" and self._stays:
            self.post_message(self.Entered(self.key))
        elif event.character and self.takes(event):
            self.action_press(event.character.lower())
        elif event.character and event.character.isalnum():
            self.post_message(self.Unknown(event.character))
