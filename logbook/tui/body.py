"""How the rows of a screen are shared: what must be seen is seen, and words wrap into rows that a list leaves free.

A list usually has more room than entries, or too little. In the first case a question or a warning that was cut
gets rows from it; in the second the words above it give up theirs, and then the list, but never the line that is
typed in, the message or the keys.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import NamedTuple

from textual.containers import Horizontal, Vertical
from textual.geometry import Region, Size
from textual.layout import ArrangeResult, Layout, WidgetPlacement
from textual.layouts.vertical import VerticalLayout
from textual.widget import Widget
from textual.widgets import Static

from logbook.tui.surviving import Surviving
from logbook.tui.widgets.frame_lines import MessageLine
from logbook.tui.widgets.pane import Pane
from logbook.tui.widgets.rows import Rows

LIST_ROWS = 4
"""Rows that a list keeps while words can still give up some."""


class ScreenPartKind(Enum):
    """What a part of a screen may give or take."""

    WORDS = "words"
    LIST = "list"
    MESSAGE = "message"
    FIXED = "fixed"


class ScreenPart(NamedTuple):
    """One part of a screen, from top to bottom."""

    kind: ScreenPartKind
    rows: int
    """As many as it usually gets."""
    needed: int
    """As many as show all of it."""
    least: int = LIST_ROWS
    """Of a list: as many as it keeps while words can still give up some."""


def shared_rows(parts: Iterable[ScreenPart], room: int) -> list[int]:
    """How many rows each part gets, at most `room` together while anything can still give way."""
    parts = list(parts)
    rows = [max(part.rows, _least(part)) for part in parts]
    _give_way(parts, rows, sum(rows) - room)
    _wrap_into_free_rows(parts, rows)
    return rows


def _least(part: ScreenPart) -> int:
    """Rows that a part keeps while others can give way."""
    if part.kind is ScreenPartKind.LIST:
        return min(part.least, part.needed)
    if part.kind is ScreenPartKind.WORDS:
        return min(1, part.needed)
    return 1 if part.kind is ScreenPartKind.MESSAGE else part.rows


def _give_way(parts: list[ScreenPart], rows: list[int], over: int) -> None:
    """Take rows away: first what a list does not need most, then words from the lowest up, then the lists."""
    lists = [i for i, part in enumerate(parts) if part.kind is ScreenPartKind.LIST]
    words = [i for i, part in enumerate(parts) if part.kind is ScreenPartKind.WORDS]
    for i, least in (
        *((i, _least(parts[i])) for i in reversed(lists)),
        *((i, _least(parts[i])) for i in reversed(words)),
        *((i, 1) for i in reversed(lists)),
        *((i, 0) for i in reversed(words)),
        *((i, 0) for i in reversed(lists)),
    ):
        taken = max(0, min(over, rows[i] - least))
        rows[i] -= taken
        over -= taken


def _wrap_into_free_rows(parts: list[ScreenPart], rows: list[int]) -> None:
    """Give words that are cut the rows in which a list shows nothing."""
    for i, part in enumerate(parts):
        if part.kind not in (ScreenPartKind.WORDS, ScreenPartKind.MESSAGE):
            continue
        for k, giver in enumerate(parts):
            if giver.kind is ScreenPartKind.LIST:
                given = max(0, min(part.needed - rows[i], rows[k] - giver.needed))
                rows[i] += given
                rows[k] -= given


class SharedRows(VerticalLayout):
    """Widgets from top to bottom, with their rows shared as above."""

    name = "shared rows"

    def arrange(self, parent: Widget, children: list[Widget], size: Size, greedy: bool = True) -> ArrangeResult:
        """Where each widget stands."""
        placed = list(super().arrange(parent, children, size, greedy))
        rows = shared_rows((_part(place, size) for place in placed), size.height)
        y = 0
        moved: list[WidgetPlacement] = []
        for place, height in zip(placed, rows, strict=True):
            region = Region(place.region.x, y, place.region.width, height)
            moved.append(place._replace(region=region))
            y += height
        return moved


def _part(place: WidgetPlacement, size: Size) -> ScreenPart:
    widget, rows = place.widget, place.region.height
    height = widget.styles.height
    if isinstance(widget, MessageLine):
        return ScreenPart(ScreenPartKind.MESSAGE, 1, widget.rows_wanted(size.width))
    if isinstance(widget, Rows):
        return ScreenPart(ScreenPartKind.LIST, rows, widget.virtual_size.height)
    if height is not None and height.is_fraction:  # a picture or a pair of lists fills what it is given
        asked = widget.styles.min_height
        least = int(asked.value) if asked is not None and asked.cells is not None else LIST_ROWS
        return ScreenPart(ScreenPartKind.LIST, rows, max(min(rows, _rows_inside(widget)), least), least)
    if isinstance(widget, Static) and not widget.can_focus:
        needed = rows
        if height is not None and height.is_auto:
            inside = place.region.width - widget.gutter.width
            needed = widget.get_content_height(size, size, inside) + widget.gutter.height
        return ScreenPart(ScreenPartKind.WORDS, rows, needed)
    return ScreenPart(ScreenPartKind.FIXED, rows, rows)


def _rows_inside(widget: Widget) -> int:
    """Rows that lists and panes beside or below each other need to show all of it; of anything else, those it has."""
    if isinstance(widget, Rows):
        return widget.virtual_size.height + widget.gutter.height
    if isinstance(widget, Pane):
        return len(widget.lines) + widget.gutter.height
    inside = [_rows_inside(child) for child in widget.children if child.display]
    if isinstance(widget, Horizontal):
        return max(inside, default=0)
    if isinstance(widget, Vertical):
        return sum(inside) + widget.gutter.height
    return widget.outer_size.height


class Body(Surviving, Vertical):
    """Everything between the title and the keys of a screen."""

    _shared = SharedRows()

    @property
    def layout(self) -> Layout:
        """Its own way of sharing rows."""
        return self._shared
