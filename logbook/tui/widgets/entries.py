"""A list of entries whose lines have inks, in a frame: the cursor's bar beside them, its ground below the first line.

Keys, clicks and messages are those of `Rows`. What stands beside the list follows when the cursor rests.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.timer import Timer

from logbook.tui.look.inks import Line, Span, line, text_of
from logbook.tui.plain_content import plain
from logbook.tui.widgets.pane import bare_frame, strip_of
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.signs import glyphs_now

REST = 0.04
"""Seconds for which the cursor rests before what stands beside it follows."""

BESIDE_THE_TEXT = 5
"""Columns of a list for its frame, the cursor's bar and the scroll bar."""


@dataclass(frozen=True, slots=True)
class ListEntry(Row):
    """One entry of such a list; `lines` are its words alone, to copy and to find."""

    spans: tuple[Line, ...] = ()


def entry(key: str, lines: Sequence[Line], *, selectable: bool = True) -> ListEntry:
    """An entry of lines, the first of which carries the cursor's ground."""
    words = tuple(text_of(spans).rstrip() for spans in lines)
    return ListEntry(key, words, selectable=selectable, spans=tuple(lines))


def heading(key: str, *lines: Line) -> ListEntry:
    """Lines on which the cursor cannot stand."""
    return entry(key, lines, selectable=False)


class Entries(Rows):
    """The list. The first column is the cursor's bar, so lines are two columns narrower than the list."""

    SCOPED_CSS = False
    """Its rules ask for classes of the screen around it."""
    DEFAULT_CSS = """
    Entries { width: 1fr; border: round $foreground-muted 60%; border-title-color: $primary; border-title-style: bold;
              border-subtitle-color: $foreground-muted; }
    Entries:focus { border: round $accent; border-title-color: $accent; }
    .-narrow Entries, .-normal Entries { border: none; border-top: solid $foreground-muted 60%; }
    .-narrow Entries:focus, .-normal Entries:focus { border: none; border-top: solid $accent; }
    Entries:ansi:nocolor:focus { border-title-style: bold reverse; }
    .-bare-signs Entries, .-bare-signs Entries:focus { border: ascii $accent; }
    .-bare-signs.-narrow Entries, .-bare-signs.-normal Entries { border: none; border-top: ascii $accent; }
    .-bare-signs.-narrow Entries:focus, .-bare-signs.-normal Entries:focus { border: none; border-top: ascii $accent; }
    """

    @dataclass
    class Rested(Message):
        """The cursor came to rest on an entry."""

        entries: Entries

        @property
        def control(self) -> Entries:
            """The list it happened in."""
            return self.entries

    _rest: Timer | None = None

    def on_mount(self) -> None:
        """Frame and scroll bar as this terminal can show them."""
        bare_frame(self)

    @property
    def columns(self) -> int:
        """Columns for the text of an entry, beside the cursor's bar."""
        return max(8, self.scrollable_content_region.width - 1)

    def watch_cursor(self, old: int, new: int) -> None:
        """Paint what the cursor changes of two entries: of each the first line, and the bar beside the others."""
        self._mark(old)
        self._mark(new)
        if 0 <= new < len(self._rows):
            self._keep_in_sight(new)
            self.post_message(self.Moved(self, self._rows[new]))
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.set_timer(REST, lambda: self.post_message(self.Rested(self)))

    def _mark(self, number: int) -> None:
        if not 0 <= number < len(self._rows):
            return
        whole = self._region(number).translate(-self.scroll_offset)
        self.refresh(Region(0, whole.y, whole.width, 1))
        if whole.height > 1:
            self.refresh(Region(0, whole.y + 1, 1, whole.height - 1))

    def on_resize(self, event: events.Resize) -> None:  # noqa: ARG002 - as in the list it is made of
        """The entry under the cursor is seen, however low the list is."""
        self.keep_in_sight()

    def on_focus(self) -> None:
        """The cursor is brighter where keys go."""
        self._mark(self.cursor)

    def on_blur(self) -> None:
        """And calmer where they do not."""
        self._mark(self.cursor)

    def render_line(self, y: int) -> Strip:
        """One line of an entry, the cursor's bar before it."""
        width = self.scrollable_content_region.width
        at = y + self.scroll_offset.y
        number = bisect_right(self._tops, at) - 1
        if not 0 <= number < len(self._rows):
            return strip_of(self, (), width)
        row, part = self._rows[number], at - self._tops[number]
        here = number == self.cursor and row.selectable and (self.has_focus or not self._quiet)
        spans = row.spans[part] if isinstance(row, ListEntry) else (Span(row.lines[part]),)
        if not here:
            return strip_of(self, line(" ", spans), width)
        bar = Span(glyphs_now().cursor, "bold accent" if self.has_focus else "rule")
        ground = "cursor" if self.has_focus else "here"
        return strip_of(self, line(bar, spans), width, ground if part == 0 else "paper")


def titled_entries(list_id: str, title: str) -> Entries:
    """A list with its title in the frame."""
    entries = Entries(id=list_id)
    entries.border_title = plain(title, limit=120)
    return entries
