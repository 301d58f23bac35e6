"""A list, and beside it in full what its cursor stands on, where the terminal has columns for both."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal

from logbook.render.plain import clean
from logbook.tui.look.inks import BLANK, Line, Span, flow, hanging, line
from logbook.tui.surviving import Surviving
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries, ListEntry
from logbook.tui.widgets.pane import BROAD, WIDE, Draw, Pane

PANE_COLUMNS, BROAD_PANE_COLUMNS = 44, 60
"""Columns of what stands beside the list, from `WIDE` and from `BROAD` columns of the terminal."""
BELOW_THE_FRAME = 3
"""Columns of a list alone for the cursor's bar and the scroll bar."""


def list_columns(columns: int) -> int:
    """Columns for an entry of the list, on a terminal of so many."""
    if columns < WIDE:
        return columns - BELOW_THE_FRAME
    beside = BROAD_PANE_COLUMNS if columns >= BROAD else PANE_COLUMNS
    return columns - beside - BESIDE_THE_TEXT


def columns_alone(columns: int) -> int:
    """Columns for an entry of a list that has the whole width, on a terminal of so many."""
    return columns - (BESIDE_THE_TEXT if columns >= WIDE else BELOW_THE_FRAME)


class ListBeside(Surviving, Horizontal):
    """The pair. The list has the id given, the pane `in-full`, which follows when the cursor rests."""

    SCOPED_CSS = False
    """Its rules ask for classes of the screen around it."""
    DEFAULT_CSS = f"""
    ListBeside {{ height: 1fr; min-height: 4; }}
    ListBeside > #in-full {{ display: none; width: {PANE_COLUMNS}; scrollbar-gutter: stable; }}
    .-wide ListBeside > #in-full {{ display: block; }}
    .-broad ListBeside > #in-full {{ display: block; width: {BROAD_PANE_COLUMNS}; }}
    """

    def __init__(self, list_id: str, title: str, in_full: Draw, *, pane_title: str = "In full") -> None:
        """Make the pair.

        Args:
            list_id: of the list.
            title: over the list.
            in_full: gives what stands in the pane, for so many columns and rows.
            pane_title: over the pane.
        """
        super().__init__()
        self._list_id, self._title = list_id, title
        self._in_full, self._pane_title = in_full, pane_title

    def compose(self) -> ComposeResult:
        """List and pane."""
        entries = Entries(id=self._list_id)
        entries.border_title = self._title
        yield entries
        yield Pane(self._in_full, id="in-full", title=self._pane_title)

    def show(self, entries: Sequence[ListEntry]) -> None:
        """Show these entries, and in full the one under the cursor."""
        self.query_one(Entries).show(entries)
        self._follow()

    @on(Entries.Rested)
    def _follow(self) -> None:
        self.query_one(Pane).update()


def paragraphs_in_full(name: str, paragraphs: Iterable[str], columns: int) -> list[Line]:
    """What a thing is called, and paragraphs about it, a blank row before each; `# ` begins a head."""
    rows = flow((Span(clean(name, limit=200), "bold"),), columns)
    for words in paragraphs:
        said = clean(words, limit=4000)
        if said.startswith("# "):
            rows += [BLANK, *hanging(line(Span("▎", "head")), said.removeprefix("# "), columns, "bold head")]
        else:
            rows += [BLANK, *flow((Span(said),), columns)]
    return rows
