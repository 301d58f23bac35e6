"""A list of entries of one or more lines, drawn a line at a time: 5,000 entries feel like 50.

Only what is on screen is ever built, and a change paints only the entries that differ. The cursor stays on
its entry when others come or go.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate, islice, takewhile
from typing import TypeVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from logbook.render.plain import clean, fitted
from logbook.tui.surviving import Surviving
from logbook.tui.widgets.signs import glyphs_now

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Row:
    """One entry: a key that stays the same while the entry does, and its lines."""

    key: str
    lines: tuple[str, ...]
    tone: str = ""
    """One of `warning`, `error`, `done`, `head`, `new`, `text` (no line of it is a side note) or empty.

    Never the only sign of anything."""
    selectable: bool = True
    main: int = 0
    """Which of its lines is the one that counts: it carries the cursor's sign and is not drawn as a note."""


def _keys_beside(rows: Sequence[Row], at: int) -> Iterator[str]:
    """The key of an entry, then those of the entries of the same group: below it, above it, and the heading's."""
    if not 0 <= at < len(rows):
        return
    yield rows[at].key
    for row in takewhile(lambda row: row.selectable, rows[at + 1 :]):
        yield row.key
    for row in reversed(rows[:at]):
        yield row.key
        if not row.selectable:
            return


class Rows(Surviving, ScrollView, can_focus=True):
    """A list with a cursor. Posts `Rows.Moved` and `Rows.Chosen` with the row under the cursor.

    A `quiet` one, beside another list, shows its cursor only while it has the focus.
    """

    COMPONENT_CLASSES = {
        "rows--cursor",
        "rows--note",
        "rows--warning",
        "rows--error",
        "rows--done",
        "rows--head",
        "rows--new",
        "rows--text",
        "rows--here",
        "rows--bar",
    }
    DEFAULT_CSS = """
    Rows { background: $background; height: 1fr; overflow-x: hidden; scrollbar-gutter: stable; scrollbar-size: 0 1; }
    Rows:focus { background-tint: transparent; }
    Rows > .rows--cursor { background: $block-cursor-background; color: $block-cursor-foreground; text-style: bold; }
    Rows > .rows--here { background: $surface; color: $foreground; }
    Rows > .rows--bar { color: $text-accent; }
    Rows > .rows--note { color: $text-muted; }
    Rows > .rows--warning { color: $text-warning; }
    Rows > .rows--error { color: $text-error; text-style: bold; }
    Rows > .rows--done { color: $text-muted; }
    Rows > .rows--head { color: $text-primary; text-style: bold; }
    Rows > .rows--new { color: $text-success; }
    Rows > .rows--text { color: $foreground; }
    Rows:ansi:nocolor > .rows--cursor { text-style: reverse; }
    """
    BINDINGS = [
        Binding("down,j", "move(1)", show=False),
        Binding("up,k", "move(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("home", "far(-1)", show=False),
        Binding("end", "far(1)", show=False),
        Binding("enter", "choose", show=False),
    ]
    cursor: reactive[int] = reactive(0, repaint=False, init=False)

    @dataclass
    class Moved(Message):
        """The cursor came to another row."""

        rows: Rows
        row: Row

        @property
        def control(self) -> Rows:
            """The list it happened in."""
            return self.rows

    @dataclass
    class Chosen(Message):
        """Enter or a click on a row."""

        rows: Rows
        row: Row

        @property
        def control(self) -> Rows:
            """The list it happened in."""
            return self.rows

    def __init__(
        self,
        *,
        id: str | None = None,  # noqa: A002 - Textual's name
        classes: str | None = None,
        quiet: bool = False,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._quiet = quiet
        self._rows: tuple[Row, ...] = ()
        self._tops: list[int] = [0]

    @property
    def rows(self) -> tuple[Row, ...]:
        """The entries as shown."""
        return self._rows

    @property
    def current(self) -> Row | None:
        """The entry under the cursor; None in an empty list or on a heading."""
        if not 0 <= self.cursor < len(self._rows):
            return None
        row = self._rows[self.cursor]
        return row if row.selectable else None

    def current_of(self, things: Mapping[str, T]) -> T | None:
        """Which of some things, by the keys of their rows, stands behind the entry under the cursor."""
        row = self.current
        return things.get(row.key) if row is not None else None

    def show(self, rows: Sequence[Row], *, beside: bool = False) -> None:
        """Show these entries; the cursor stays on the entry it was on, or else at its place.

        Args:
            rows: the entries.
            beside: when its entry is gone, the cursor goes to one beside it in the same group. For a list that shows
                the same record before and after, from which something was taken out.
        """
        old, new = self._rows, tuple(rows)
        self._rows = new
        if [len(r.lines) for r in old] == [len(r.lines) for r in new] and new:
            for i, (a, b) in enumerate(zip(old, new, strict=True)):
                if a is not b and a != b:
                    self._paint(i)
        else:
            self._tops = [0, *accumulate(len(r.lines) for r in new)]
            self.virtual_size = Size(self.size.width, self._tops[-1])
            self.refresh()
        keys = islice(_keys_beside(old, self.cursor), None if beside else 1)
        still_there = (i for key in keys if key for i, row in enumerate(new) if row.key == key)
        self._place(next(still_there, self.cursor))

    def go_to(self, key: str) -> bool:
        """Put the cursor on the entry with that key; False when there is none."""
        for i, row in enumerate(self._rows):
            if row.key == key:
                self._place(i)
                return True
        return False

    def _place(self, at: int, way: int = 1) -> None:
        """Put the cursor at the nearest entry that can hold it, looking first in the direction `way`."""
        if not self._rows:
            self.set_reactive(Rows.cursor, 0)
            return
        at = max(0, min(at, len(self._rows) - 1))
        for step in (way, -way):
            i = at
            while 0 <= i < len(self._rows):
                if self._rows[i].selectable:
                    self.cursor = i
                    return
                i += step

    def _region(self, i: int) -> Region:
        return Region(0, self._tops[i], self.size.width, len(self._rows[i].lines))

    def _paint(self, i: int) -> None:
        if 0 <= i < len(self._rows):
            self.refresh(self._region(i).translate(-self.scroll_offset))

    def watch_cursor(self, old: int, new: int) -> None:
        """Paint the two entries concerned and keep the cursor in sight."""
        self._paint(old)
        self._paint(new)
        if 0 <= new < len(self._rows):
            self._keep_in_sight(new)
            self.post_message(self.Moved(self, self._rows[new]))

    def keep_in_sight(self) -> None:
        """Scroll so far that the entry under the cursor is seen, when it has grown."""
        if 0 <= self.cursor < len(self._rows):
            self._keep_in_sight(self.cursor)

    def _keep_in_sight(self, i: int) -> None:
        region = self._region(i)
        above = i
        while above > 0 and not self._rows[above - 1].selectable:
            above -= 1
        if above == 0 and region.bottom <= self.size.height:  # headings above the first entry belong to it
            region = Region(0, 0, region.width, region.bottom)
        self.scroll_to_region(region, animate=False, force=True)

    def on_resize(self, event: events.Resize) -> None:
        """Entries are as wide as the list; in a lower one the cursor stays in sight."""
        self.virtual_size = Size(event.size.width, self._tops[-1])
        self.keep_in_sight()

    def action_move(self, by: int) -> None:
        """One entry up or down."""
        self._place_from(self.cursor + by, by)

    def _place_from(self, at: int, way: int) -> None:
        i = at
        while 0 <= i < len(self._rows):
            if self._rows[i].selectable:
                self.cursor = i
                return
            i += way
        if way < 0:
            self.scroll_home(animate=False)

    def action_page(self, way: int) -> None:
        """A screenful up or down."""
        if self._rows:
            line = self._tops[self.cursor] + way * max(1, self.size.height - 1)
            line = max(0, min(line, self._tops[-1] - 1))
            self._place(bisect_right(self._tops, line) - 1, way)

    def action_far(self, way: int) -> None:
        """To the first or last entry."""
        self._place(0 if way < 0 else len(self._rows) - 1, -way)

    def action_choose(self) -> None:
        """Open the entry under the cursor."""
        if (row := self.current) is not None:
            self.post_message(self.Chosen(self, row))

    def on_click(self, event: events.Click) -> None:
        """A click moves the cursor; a click on the cursor's entry opens it."""
        line = event.y + self.scroll_offset.y
        i = bisect_right(self._tops, line) - 1
        if 0 <= i < len(self._rows) and self._rows[i].selectable:
            if i == self.cursor:
                self.action_choose()
            else:
                self.cursor = i

    def render_line(self, y: int) -> Strip:
        """One line of the list."""
        width = self.scrollable_content_region.width
        line = y + self.scroll_offset.y
        i = bisect_right(self._tops, line) - 1
        if not 0 <= i < len(self._rows):
            return Strip.blank(width, self.rich_style)
        row, part = self._rows[i], line - self._tops[i]
        here = i == self.cursor and row.selectable
        style = self._style_of(row, part, here=here)
        marked = part == row.main and here and (self.has_focus or not self._quiet)
        text = clean(row.lines[part])  # the last door: whatever a screen forgot ends here
        if width <= 2:
            return Strip([Segment(fitted(text, width), style)]).adjust_cell_length(width, style)
        if not marked:
            return Strip([Segment(fitted(f" {text}", width), style)]).adjust_cell_length(width, style)
        bar = Segment(glyphs_now().cursor, style + self.get_component_rich_style("rows--bar", partial=True))
        return Strip([bar, Segment(fitted(text, width - 1), style)]).adjust_cell_length(width, style)

    def _style_of(self, row: Row, part: int, *, here: bool) -> Style:
        """How a line looks: the entry's own line under the cursor stands out, its other lines are only lifted."""
        if here and self.has_focus:
            return self.get_component_rich_style("rows--cursor" if part == row.main else "rows--here")
        tone = row.tone or ("note" if part != row.main else "")
        return self.get_component_rich_style(f"rows--{tone}") if tone else self.rich_style
