"""A line to type in: pasted or typed, nothing hostile gets further than here."""

from __future__ import annotations

from textual.widgets import Input

from logbook.render.plain import clean

MOST = 10_000
"""Characters a line takes; what a person types at a bench is far shorter."""


class Line(Input):
    """One line of user text. Cleaned as it comes in, so that its cells can be trusted."""

    DEFAULT_CSS = "Line { width: 1fr; }"

    def __init__(self, value: str = "", *, placeholder: str = "", id: str | None = None) -> None:  # noqa: A002
        super().__init__(value, placeholder=placeholder, select_on_focus=False, id=id)

    def validate_value(self, value: str) -> str:
        """What may stand in the line."""
        return clean(value, limit=MOST)
