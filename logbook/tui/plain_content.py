"""The one door for user text to the screen: as content that holds no markup.

Lists and tables want `rich.text.Text`; everything else takes `Content`.
"""

from __future__ import annotations

from rich.text import Text
from textual.content import Content

from logbook.render.plain import clean


def plain(text: str, *, limit: int = 2000, lines: bool = False) -> Content:
    """User text for a `Static`, a label, a title, a notice."""
    return Content(clean(text, limit=limit, lines=lines))


def cell(text: str, style: str = "", *, limit: int = 400) -> Text:
    """User text for a cell of a table."""
    return Text(clean(text, limit=limit), style=style, no_wrap=True, overflow="ellipsis")
