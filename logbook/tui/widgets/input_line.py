"""A line to type in: pasted or typed, nothing hostile gets further than here."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from textual.geometry import Size
from textual.reactive import Reactive
from textual.suggester import Suggester
from textual.widgets import Input

from logbook.render.plain import clean
from logbook.tui.surviving import Surviving

MOST = 10_000
"""Characters a line takes; what a person types at a bench is far shorter."""


class Line(Surviving, Input):
    """One line of user text. Cleaned as it comes in, so that its cells can be trusted."""

    DEFAULT_CSS = "Line { width: 1fr; }"
    virtual_size = Reactive(Size(0, 0))
    """How far it scrolls. What stands around a line does not move when a letter comes into it."""

    def __init__(self, value: str = "", *, placeholder: str = "", id: str | None = None) -> None:  # noqa: A002
        super().__init__(value, placeholder=placeholder, select_on_focus=False, id=id)

    def validate_value(self, value: str) -> str:
        """What may stand in the line."""
        return clean(value, limit=MOST)

    def action_cursor_right(self, select: bool = False) -> None:
        """One place to the right; at the end, the completion of what stands there, or the word for a mistyped one.

        Completed here and now, because the grey text comes a moment after the key and a quick hand does not wait.
        """
        at_end = self.cursor_at_end and self.selection.is_empty and not select
        completed = self.suggester.taken(self.value) if at_end and isinstance(self.suggester, Completing) else None
        if completed is None:
            super().action_cursor_right(select)
        else:
            self.value = completed
            self.cursor_position = len(completed)


class Completing(Suggester):
    """Offers the rest of a line in grey; the right arrow takes it."""

    def __init__(
        self, complete: Callable[[str], str | None], put_right: Callable[[str], str | None] | None = None
    ) -> None:
        """Make it.

        Args:
            complete: gives the whole line for what was typed so far, or None.
            put_right: gives the whole line with a mistyped word put right, or None; it is taken by the same key
                where nothing goes on, and is never shown in grey.
        """
        super().__init__(use_cache=False, case_sensitive=True)
        self._complete, self._put_right = complete, put_right

    def completed(self, text: str) -> str | None:
        """The line as it could go on; None when nothing fits."""
        return self._that_fits(self._complete(text) if text else None)

    def taken(self, text: str) -> str | None:
        """The line as the key makes it: gone on, or put right; None when neither is known."""
        put_right = self._put_right(text) if self._put_right is not None and text else None
        return self.completed(text) or self._that_fits(put_right)

    @staticmethod
    def _that_fits(found: str | None) -> str | None:
        return None if found is None or clean(found, limit=MOST) != found else found

    async def get_suggestion(self, value: str) -> str | None:
        """What is shown in grey."""
        return self.completed(value)


def last_word_of(words: Iterable[str]) -> Completing:
    """Completes the last word from a short list, whatever the capitals."""
    known = tuple(words)

    def complete(text: str) -> str | None:
        last = text.rpartition(" ")[2]
        found = next((w for w in known if last and len(w) > len(last) and w.casefold().startswith(last.casefold())), "")
        return text + found[len(last) :] if found else None

    return Completing(complete)
