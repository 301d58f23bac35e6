"""One of a few words from a numbered menu: a digit, an unmistakable first letter, or the arrows and Enter.

It asks, the screen decides: a choice posts `Pick.Picked`, Escape posts `Pick.Left`. While it stands open
every other key waits, so nothing else happens by a slip. More than ten stand on several pages, with 0 for the next.
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
from logbook.tui.surviving import Surviving
from logbook.tui.typed_on import OneKeyQuestion

DIGITS = "1234567890"
PAGE = 9
"""Options on a page when there are more than ten; the tenth digit turns it."""
_FURTHER = "further ones"


class Pick(Surviving, OneKeyQuestion, Static, can_focus=True):
    """Hidden until `pick` is called; then it takes the focus."""

    DEFAULT_CSS = """
    Pick { height: auto; max-height: 8; display: none; padding: 0 1; background: $surface; }
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

    KEYS = (("digit", "choose", ""), ("Enter", "take the one in brackets", ""), ("Esc", "cancel", ""))
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
        """Ask for one of the options; `here` is the one that holds now."""
        self.key, self._label, self._options = key, clean(label, limit=60), tuple(options)
        self._here = self._options.index(here) if here in self._options else 0
        self.add_class("-open")
        self._draw()
        self.focus()

    def close(self) -> None:
        """Put the question away."""
        self.remove_class("-open")

    @property
    def _is_paged(self) -> bool:
        return len(self._options) > len(DIGITS)

    def _on_page(self) -> list[int]:
        """The places of the options that are shown now."""
        if not self._is_paged:
            return list(range(len(self._options)))
        first = self._here // PAGE * PAGE
        return list(range(first, min(first + PAGE, len(self._options))))

    def _draw(self) -> None:
        """The label and the options, broken between options and never inside one."""
        content, used = Content.styled(f"{self._label}  ", "bold"), len(self._label) + 2
        room = max(20, (self.size.width or self.app.size.width) - 2)
        shown = [(DIGITS[digit], i, self._options[i]) for digit, i in enumerate(self._on_page())]
        if self._is_paged:
            shown.append((DIGITS[-1], -1, _FURTHER))
        for digit, i, option in shown:
            words = f"[{digit} {option}]" if i == self._here else f" {digit} {option} "
            if used + len(words) > room:
                content, used = content + Content("\n"), 0
            style = "bold $text-accent" if i == self._here else ""
            click = Style.from_meta({"@click": f"choose({i})" if i >= 0 else "turn"})
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

    def action_turn(self) -> None:
        """The next page, after the last one the first."""
        following = self._on_page()[-1] + 1
        self._here = following if following < len(self._options) else 0
        self._draw()

    def takes(self, event: events.Key) -> bool:
        """Whether it is a digit that stands there, or the first letter of an option."""
        if event.character is None:
            return False
        if event.character in DIGITS:
            return DIGITS.index(event.character) < (PAGE + 1 if self._is_paged else len(self._options))
        return bool(self._beginning_with(event.character))

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
            self._by_digit(DIGITS.index(character))
            return
        found = self._beginning_with(character)
        if len(found) == 1:
            self.action_choose(found[0])
        elif found:
            self._here = next((i for i in found if i > self._here), found[0])
            self._draw()

    def _beginning_with(self, character: str) -> list[int]:
        """The places of the options with this first letter."""
        return [i for i, option in enumerate(self._options) if option.lower().startswith(character.lower())]

    def _by_digit(self, digit: int) -> None:
        if self._is_paged and digit == PAGE:
            self.action_turn()
            return
        shown = self._on_page()
        if digit < len(shown):
            self.action_choose(shown[digit])
