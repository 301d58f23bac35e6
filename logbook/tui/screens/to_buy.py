"""What is still to get, over one unit or over all of them, so that one order serves both."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from typing import ClassVar, NamedTuple

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.costing import BillLine, bill_of_materials
from logbook.costing.amounts import total
from logbook.model.paths import Path
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.unit_edits import with_supply
from logbook.model.words import Stage, Supply
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.frame import BookScreen
from logbook.tui.opening import open_path
from logbook.tui.plain import plain
from logbook.tui.screens.bill_rows import bill_why, bill_words, record_behind
from logbook.tui.screens.page import PageScreen
from logbook.tui.widgets.rows import Row, Rows


class Wanted(NamedTuple):
    """One thing to get for one unit."""

    unit: str
    line: BillLine
    path: Path | None


class ToBuyScreen(BookScreen):
    """The list of what is not here; things that come disappear from it."""

    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("buy.open", "enter", "open", "open", "Open the record behind the line", True),
        Act("buy.here", "h,space", "here", "here", "It has come: the part is here", True),
        Act("buy.ordered", "o", "ordered", "ordered", "It is ordered today", True),
        Act("buy.why", "w", "why", "why", "How the quantity was computed", True),
    )

    def __init__(self, session: Session, code: str = "") -> None:
        super().__init__(session)
        self.CODE = code
        self._wanted: dict[str, Wanted] = {}

    def place(self) -> str:
        """The unit, or the store for all units."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / to buy" if self.CODE else "Store / to buy"

    def compose_body(self) -> ComposeResult:
        """The sum, and the list."""
        yield Static("", id="question", classes="question")
        yield Rows(id="wanted")

    def first_focus(self) -> str:
        """The list."""
        return "#wanted"

    def show_record(self) -> None:
        """Everything of which something is not here, unit by unit."""
        today, shop = self.session.now.astimezone().date(), self.session.shop
        units = [self.session.unit(self.CODE)] if self.CODE else at_work(self.session)
        wanted = {u.code: wanted_of(u, shop, today) for u in units}
        self._wanted, rows = {}, []
        for code, things in wanted.items():
            if things and not self.CODE:
                rows.append(Row(f"head {code}", (f"{code} {self.session.unit(code).name}",), "head", selectable=False))
            for i, w in enumerate(things):
                key = f"{code} {w.line.group} {w.line.code or w.line.name} {i if not w.line.code else ''}"
                self._wanted[key] = w
                rows.append(Row(key, (bill_words(w.line, self.room),)))
        every = [w for things in wanted.values() for w in things]
        self.query_one("#question", Static).update(plain(to_buy_question(every, shop.settings.currency), limit=300))
        self.query_one("#wanted", Rows).show(rows)

    def current(self) -> Wanted | None:
        """What is under the cursor."""
        row = self.query_one("#wanted", Rows).current
        return self._wanted.get(row.key) if row is not None else None

    @on(Rows.Chosen, "#wanted")
    def action_open(self) -> None:
        """Open the record behind the line."""
        wanted = self.current()
        if wanted is not None and wanted.path is not None:
            open_path(self, wanted.unit, wanted.path)
        elif wanted is not None:
            self.action_why()

    def action_why(self) -> None:
        """How the quantity was computed."""
        if (wanted := self.current()) is not None:
            why = bill_why(wanted.line)
            self.app.push_screen(PageScreen(self.session, wanted.unit, "to buy / why", wanted.line.name, lambda: why))

    def action_here(self) -> None:
        """The part is here."""
        self._supply(Supply.HERE)

    def action_ordered(self) -> None:
        """The part is ordered."""
        self._supply(Supply.ORDERED)

    def _supply(self, supply: Supply) -> None:
        wanted = self.current()
        if wanted is None:
            return
        if wanted.path is None or wanted.path[0] != "parts":
            self.say(
                f"{wanted.line.name} is no part of the list: it is here when the shelf or the record says so (Enter)."
            )
            return
        code = str(wanted.path[1])
        what = f"{code} {wanted.line.name}: {supply}"
        edit = partial(with_supply, code=code, supply=supply, today=self.session.now.astimezone().date())
        self.tried(what, partial(self.session.apply, wanted.unit, what, edit))


def at_work(session: Session) -> list[Unit]:
    """The units that still need something: not those that are closed or stopped."""
    units = (session.unit(code) for code in session.codes())
    return [u for u in units if u.stage not in (Stage.CLOSED, Stage.STOPPED)]


def wanted_of(unit: Unit, shop: Shop, today: date) -> tuple[Wanted, ...]:
    """What a unit still needs that is not here."""
    bill = bill_of_materials(unit, shop, today)
    return tuple(Wanted(unit.code, line, record_behind(unit, line)) for line in bill.to_get)


def to_buy_question(wanted: Sequence[Wanted], currency: str) -> str:
    """How many things, and for how much, in a sentence."""
    if not wanted:
        return "Nothing is to be got: everything that the records need is here."
    prices = [w.line.price.likely for w in wanted if w.line.price is not None]
    unpriced = len(wanted) - len(prices)
    units = len({w.unit for w in wanted})
    words = f"{len(wanted)} thing{'s' if len(wanted) > 1 else ''} to get"
    words += f" for {units} units" if units > 1 else ""
    words += f", likely {currency}{total(prices)} together"
    return words + (f" and {unpriced} without a price (?)." if unpriced else ".")
