"""Text that is typed on behind the answer to a question of one key: it is no row of commands.

Who takes such a question for a line of text types a word or a sentence into it. Its first letter answers; without
the rule here the others would be commands at the place behind, and one of them may take back what was kept. A form
needs no such rule, because no letter is a command there.
"""

from __future__ import annotations

from enum import Enum, auto
from typing import ClassVar

from textual import events


class OneKeyQuestion:
    """What stands first among the bases of a widget that asks for one key, and is answered by it."""

    def takes(self, event: events.Key) -> bool:
        """Whether this key is an answer here, or has another meaning that the question itself gives it."""
        raise NotImplementedError


class GoesTo(Enum):
    """Where a key goes that comes now."""

    ANSWER = auto()
    """To a question of one key, which takes it."""
    NO_ANSWER = auto()
    """To a question of one key, which has no such answer."""
    TEXT = auto()
    """Into a line, as text."""
    COMMAND = auto()


class TypedOn:
    """Follows the keys and holds back those of a text that began at a question of one key."""

    TOGETHER_SECONDS: ClassVar[float] = 0.1
    """Keys that are nearer to one another than this are one text: nobody chooses that fast."""

    def __init__(self) -> None:
        self.text = ""
        """What was held back of the text that is being typed."""
        self._last: float | None = None
        self._found_no_answer = False

    def together(self, earlier: float, later: float) -> bool:
        """Whether two keys came so fast behind one another that they are one text."""
        return later - earlier < self.TOGETHER_SECONDS

    def holds_back(self, event: events.Key, goes_to: GoesTo) -> bool:
        """Whether nothing is done with this key. Asked once for every key, in the order in which they came.

        Enter behind text that was held back ends it, as it would end a line, and does nothing either. Any other key
        without a letter, such as Tab, is pressed on purpose and ends the text.
        """
        goes_on = self._last is not None and self.together(self._last, event.time)
        if not event.is_printable:
            ends_the_text = goes_on and event.key == "enter" and bool(self.text)
            self._forget()
            return ends_the_text
        if not goes_on:
            self._forget()
        if goes_to in (GoesTo.ANSWER, GoesTo.NO_ANSWER) and not self._found_no_answer:
            self._last = event.time
            self._found_no_answer = goes_to is GoesTo.NO_ANSWER
            return False
        if not goes_on or goes_to is GoesTo.TEXT:
            self._forget()
            return False
        self._last = event.time
        self.text += event.character or ""
        return True

    def _forget(self) -> None:
        self.text, self._last, self._found_no_answer = "", None, False
