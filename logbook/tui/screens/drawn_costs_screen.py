"""What drives cash and hours, how often which sum came out, and cash over time: the drawings of a decision, whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from logbook.costing import Decision, timeline
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.cost_plots import MOST_DRIVERS, as_money, spread_sentences
from logbook.render.glyphs import Glyphs
from logbook.render.weighing import outlooks_of
from logbook.session import Session
from logbook.tui.look.inks import BLANK, Line, Span, flow, group
from logbook.tui.screens.cost_drawings import cash_lines, driver_lines, often_lines
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.signs import glyphs_now

MOST_PAYMENTS = 60
"""Rows of cash over time; what is more becomes one row."""


class DrawnCostsScreen(PageScreen):
    """Each drawing under its head, as wide as the terminal; arrows scroll."""

    TOPIC = "costs"

    def __init__(
        self, session: Session, code: str, of: str, question: str, decided: Callable[[], tuple[Unit, Decision]]
    ) -> None:
        """Make the page.

        Args:
            session: the open book.
            code: the unit.
            of: what the page is, for the title line.
            question: the sentence at the top.
            decided: gives the unit, as recorded or as tried, and what is decided on.
        """
        super().__init__(session, code, of, question, tuple)
        self._decided = decided

    def entries_in(self, columns: int) -> list[ListEntry]:
        """A head and rows for each drawing."""
        unit, decided = self._decided()
        shop = self.session.shop_for(self.CODE)
        entries: list[ListEntry] = []
        for title, said, rows in drawings(unit, shop, decided, columns, glyphs_now()):
            air = [BLANK] if entries else []
            entries.append(heading(f"head {title}", *air, group(title, said)))
            entries += [entry(f"{title} {number}", [row]) for number, row in enumerate(rows)]
        return entries


def drawings(
    unit: Unit, shop: Shop, decided: Decision, columns: int, g: Glyphs
) -> Iterator[tuple[str, str, Sequence[Line]]]:
    """Each drawing: its title, how it is read, its rows.

    Args:
        unit: as recorded or as tried.
        shop: as the unit sees it.
        decided: what is drawn.
        columns: of the page.
        g: signs.
    """
    for name, outlook, say in outlooks_of(decided):
        rows = driver_lines(outlook, columns, MOST_DRIVERS, g, say)
        for words in spread_sentences(outlook, say):
            rows += flow((Span(words, "muted"),), columns)
        yield f"What drives the {name}", "less left, more right", rows
    if often := often_lines(decided.cash, columns, g, as_money):
        yield "How often the cash came to what", "", often
    if over_time := cash_lines(timeline(unit, shop, decided.compared.cash), columns, MOST_PAYMENTS, g):
        yield "Cash over time", "", over_time
