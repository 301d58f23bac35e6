"""The line that becomes a step: whatever is typed in it is text, from the first letter on."""

from __future__ import annotations

from textual import events

from logbook.tui.widgets.input_line import Line

PASSED = frozenset("?/")
"""Signs that no name of a part begins with: in an empty line they are keys (help, find)."""


class StepLine(Line):
    """A line of plain words. Only `?` and `/` in an empty line are keys; no letter or digit is ever swallowed."""

    def _passes(self, character: str | None) -> bool:
        return not self.value and character is not None and character in PASSED

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Whether a key is text here."""
        return not self._passes(character) and super().check_consume_key(key, character)

    def on_key(self, event: events.Key) -> None:
        """Leave the two signs to the screen."""
        if self._passes(event.character):
            event.prevent_default()
