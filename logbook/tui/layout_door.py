"""The way to the layout: of the unit at hand, else of one that is chosen."""

from __future__ import annotations

from functools import partial

from logbook.layout.asked import PartKind, layout_for, parts_of
from logbook.model.unit import Unit
from logbook.render.layout_document import parts_words
from logbook.render.plain import clean, fitted
from logbook.tui.actions import Act
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.widgets.rows import Row

TO_THE_LAYOUT = Act("layout.open", "L", "layout", "layout", "Lay the parts of a unit out on the scrap pile", True)
"""From the case, the store and the pile to the layout."""


def open_layout(screen: BookScreen, code: str = "") -> None:
    """Open the layout of a unit; without a code ask which, or go there when only one has parts to cut."""
    if code:
        screen.app.push_screen(LayoutScreen(screen.session, code))
        return
    units = screen.session.book().units.values()
    rows = [Row(unit.code, (words,)) for unit in units if (words := _words(unit))]
    if not rows:
        screen.say("No unit has parts to cut yet: they stand in its case, section 6.")
    elif len(rows) == 1:
        open_layout(screen, rows[0].key)
    else:
        take = partial(open_layout, screen)
        screen.app.push_screen(ChooseScreen(screen.session, "", "Whose parts are to be laid out?", rows, take=take))


def _words(unit: Unit) -> str:
    """A unit and what it has to cut; empty when that is nothing."""
    counts = {kind: sum(p.quantity for p in parts_of(unit, kind)) for kind in PartKind}
    if not any(counts.values()):
        return ""
    parts = ", ".join(parts_words(n, kind) for kind, n in counts.items() if n)
    kept = [str(kind) for kind in PartKind if layout_for(unit, kind) is not None]
    laid = f"; laid out: {', '.join(kept)}" if kept else ""
    return f"{fitted(unit.code, 9)}{fitted(clean(unit.name, limit=60), 20)} {parts}{laid}"
