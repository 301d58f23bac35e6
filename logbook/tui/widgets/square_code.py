"""A square code in the terminal: dark on light whatever the theme, two rows of points in a line of cells."""

from __future__ import annotations

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from logbook.tui.surviving import Surviving

BORDER = 3
"""Points of white around it; readers want some."""

_INK = Style(color=Color.from_rgb(0, 0, 0), bgcolor=Color.from_rgb(255, 255, 255))


class SquareCode(Surviving, Widget):
    """Shows one text as a square code (ISO/IEC 18004); empty shows nothing."""

    DEFAULT_CSS = "SquareCode { width: auto; height: auto; }"

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self._lines: list[str] = []

    def show(self, text: str) -> None:
        """Show another text."""
        self._lines = code_lines(text) if text else []
        self.refresh(layout=True)

    def get_content_width(self, *_: object) -> int:
        """As wide as the code."""
        return len(self._lines[0]) if self._lines else 0

    def get_content_height(self, *_: object) -> int:
        """As high as the code."""
        return len(self._lines)

    def render_line(self, y: int) -> Strip:
        """One line of cells."""
        if y >= len(self._lines):
            return Strip.blank(self.size.width, self.rich_style)
        return Strip([Segment(self._lines[y], _INK)])


def code_lines(text: str) -> list[str]:
    """The code as lines of blocks, black where a block stands."""
    import segno

    made = segno.make(text, error="l", micro=False, boost_error=False)
    rows = [list(row) for row in made.matrix_iter(border=BORDER)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    return [
        "".join(" ▀▄█"[a + 2 * b] for a, b in zip(rows[y], rows[y + 1], strict=True)) for y in range(0, len(rows), 2)
    ]
