"""A block of lines in a frame with a title, drawn a line at a time; what does not fit scrolls.

No widget stands for a row. A change paints only the lines that differ.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.app import App
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.scrollbar import ScrollBarRender
from textual.strip import Strip
from textual.widget import Widget

from logbook.render.glyphs import bare
from logbook.render.plain import clean, width
from logbook.tui.look.inks import BLANK, Line, Span, fit, width_of
from logbook.tui.look.palette import Inks, colours_of, sixteen_colours
from logbook.tui.plain_content import plain
from logbook.tui.surviving import Surviving
from logbook.tui.widgets.signs import glyphs_now

BREAKPOINTS = [(0, "-narrow"), (80, "-normal"), (110, "-wide"), (160, "-broad")]
"""Columns from which panes stand beside each other: two of them from 110, a third from 160."""
WIDE, BROAD = 110, 160

Draw = Callable[[int, int], Sequence[Line]]
"""Gives the lines for so many columns and rows."""

_INKS: dict[tuple[str, bool], Inks] = {}


def inks_of(app: App[object]) -> Inks:
    """The inks of the theme as it is."""
    plain = app.native_ansi_color and app.no_color
    key = (app.theme, plain)
    if key not in _INKS:
        theme = app.current_theme
        colours = sixteen_colours() if app.native_ansi_color else colours_of(app.theme_variables, dark=theme.dark)
        _INKS[key] = Inks(colours, plain=plain)
    return _INKS[key]


def strip_of(widget: Widget, spans: Line, columns: int, ground: str = "paper") -> Strip:
    """A line as it goes to the terminal: exactly so wide, and nothing in it that a terminal would obey."""
    safe = tuple(Span(_safe(span.text), span.ink) for span in spans)
    spans = fit(safe, columns)
    if not glyphs_now().fine:
        spans = tuple(Span(bare(span.text), span.ink) for span in spans)
    return Strip(list(_segments(spans, inks_of(widget.app), ground)), columns)


def _safe(text: str) -> str:
    return text if text.isascii() and text.isprintable() else clean(text)


def _segments(spans: Line, inks: Inks, ground: str) -> Iterator[Segment]:
    """As few segments as can be: each change of style costs some forty bytes, and blanks may have any ink."""
    text, style = "", inks("", ground)
    for span in spans:
        following = inks(span.ink, ground)
        if following == style or (text and span.text.isspace() and _alike(style, following)):
            text += span.text
            continue
        if text:
            yield Segment(text, style)
        text, style = span.text, following
    if text:
        yield Segment(text, style)


def _alike(one: Style, other: Style) -> bool:
    """Whether blanks of the two look the same."""
    marked = one.underline or one.reverse or other.underline or other.reverse
    return not marked and one.bgcolor == other.bgcolor


class BareBar(ScrollBarRender):
    """A scroll bar of whole cells."""

    VERTICAL_BARS: ClassVar[list[str]] = [" "] * 8
    HORIZONTAL_BARS: ClassVar[list[str]] = [" "] * 8


def bare_frame(widget: Widget) -> None:
    """Frame and scroll bar of a widget, and of the screen around it, without fine signs where there are none."""
    fine = glyphs_now().fine
    widget.screen.set_class(not fine, "-bare-signs")
    if not fine:
        widget.vertical_scrollbar.renderer = BareBar  # type: ignore[misc]


class Pane(Surviving, ScrollView, can_focus=False):
    """Lines in a frame. `draw` is asked for them again when the size changes, and by `update`."""

    SCOPED_CSS = False
    """Its rules ask for classes of the screen around it."""
    DEFAULT_CSS = """
    Pane { background: $background; color: $foreground; overflow-x: hidden; scrollbar-size: 0 1;
           width: 1fr; height: 1fr; border: round $foreground-muted 60%; border-title-color: $primary;
           border-title-style: bold; border-subtitle-color: $foreground-muted; padding: 0 1; }
    .-narrow Pane, .-normal Pane { border: none; border-top: solid $foreground-muted 60%; }
    Pane.-bare, .-narrow Pane.-bare, .-normal Pane.-bare { border: none; height: auto; }
    .-bare-signs Pane { border: ascii $foreground-muted 60%; }
    .-bare-signs.-narrow Pane, .-bare-signs.-normal Pane { border: none; border-top: ascii $foreground-muted 60%; }
    .-bare-signs Pane.-bare { border: none; }
    """

    def __init__(self, draw: Draw, *, title: str = "", id: str | None = None, classes: str | None = None) -> None:  # noqa: A002
        super().__init__(id=id, classes=classes)
        self._draw = draw
        self._titled = ("", "")
        self.entitle(title)
        self.lines: tuple[Line, ...] = ()
        self._drawn_for = (0, 0)
        """Columns and rows for which it was asked for its lines last."""
        self._rows_laid_out = 0
        """Rows that its lines asked for when places were shared out last; a rule may have given it more or fewer."""

    def on_mount(self) -> None:
        """Where the terminal has no fine signs, frames and scroll bars have none either."""
        bare_frame(self)

    def entitle(self, title: str, said: str = "") -> None:
        """Give it a title and a word below; a title that is the same paints nothing."""
        if self._titled != (title, said):
            self._titled = (title, said)
            self.border_title, self.border_subtitle = plain(title, limit=300), plain(said, limit=300)

    @property
    def columns(self) -> int:
        """Columns for text."""
        return max(8, self.scrollable_content_region.width)

    def update(self) -> None:
        """Draw again; only lines that differ are painted."""
        if self.size.width:
            self._drawn_for = self._room
            self.show(self._draw(*self._room))

    @property
    def _room(self) -> tuple[int, int]:
        return self.columns, max(1, self.size.height)

    def show(self, lines: Sequence[Line]) -> None:
        """Show these lines."""
        before, self.lines = self.lines, tuple(lines)
        if self.styles.is_auto_height and _rows(self.lines) != self._rows_laid_out:
            self.refresh(layout=True)
        high = max(self.size.height, len(self.lines))
        if high != self.virtual_size.height:  # a new virtual size paints the whole screen anew
            self.virtual_size = Size(self.size.width, high)
        top = self.scroll_offset.y
        for y in range(top, top + self.size.height):
            first, last = _changed(_line_at(before, y), _line_at(self.lines, y), self.size.width)
            if first < last:
                self.refresh(Region(first, y - top, last - first, 1))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002 - Textual's
        """For a pane that is as high as its lines."""
        self._rows_laid_out = _rows(self._draw(max(8, width), viewport.height))
        return self._rows_laid_out

    def on_resize(self, event: events.Resize) -> None:
        """Lines are as wide as the pane."""
        self.virtual_size = Size(event.size.width, max(event.size.height, len(self.lines)))
        self.update()

    def render_line(self, y: int) -> Strip:
        """One line. A pane that has another size than it was drawn for, told or not, is drawn again."""
        if self._drawn_for != self._room:
            self._drawn_for = self._room
            self.call_later(self.update)
        return strip_of(self, _line_at(self.lines, y + self.scroll_offset.y), self.scrollable_content_region.width)


def _changed(before: Line, after: Line, columns: int) -> tuple[int, int]:
    """From which column to which two lines differ; the same twice when they do not."""
    if before == after:
        return 0, 0
    first = 0
    for one, other in zip(before, after, strict=False):
        if one != other:
            break
        first += width(one.text)
    last = max(width_of(before), width_of(after))
    if width_of(before) == width_of(after):
        for one, other in zip(reversed(before), reversed(after), strict=False):
            if one != other:
                break
            last -= width(one.text)
    return min(first, columns), min(max(last, first + 1), columns)


def _rows(lines: Sequence[Line]) -> int:
    """Rows that lines ask for; none at all still has its place."""
    return max(1, len(lines))


def _line_at(lines: Sequence[Line], y: int) -> Line:
    return lines[y] if 0 <= y < len(lines) else BLANK
