"""The store: the scrap pile, the shelf, what is to buy for all units, the limits of the shop and its settings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from functools import partial
from typing import ClassVar, NamedTuple

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.costing import plain_number
from logbook.costing.stock import with_opened
from logbook.layout.pile_view import Look
from logbook.layout.reservations import claims_on, conflicts
from logbook.model.dates import is_past, use_by
from logbook.model.dates_in_words import WEEKDAYS, day_and_year
from logbook.model.fields import fields_of, shown
from logbook.model.measures import hours_and_minutes
from logbook.model.paths import Path
from logbook.model.shop import Consumable, FreeTime, Shop, ShopSettings
from logbook.reassembly.wording import many
from logbook.render.plain import clean
from logbook.render.to_buy_document import question_words
from logbook.session.buying_list import list_of
from logbook.tui.actions import Act
from logbook.tui.layout_door import TO_THE_LAYOUT, open_layout
from logbook.tui.look.inks import Line, fit, flow, group, hanging, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.opening import add_to, open_path
from logbook.tui.pile_rows import pile_entries
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.widgets.entries import Entries, ListEntry, entry, heading
from logbook.tui.widgets.list_beside import BELOW_THE_FRAME
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows


class Shelved(NamedTuple):
    """One entry of the store and where it stands."""

    entry: ListEntry
    path: Path | None = None
    """Where Enter leads; None for the list of what is to buy."""


ADDED_TO = {
    "offcuts": "a piece to the scrap pile",
    "shelf": "something to the shelf",
    "tools": "clamps, a press or a tool",
    "sellers": "a seller",
    "free_time": "free hours",
    "usual_work": "usual work",
    "order_rules": "a rule of order",
}
"""The lists of the store, and what is added to each."""
LABEL_COLUMNS = 14
SHELF_COLUMNS = (
    Column("", least=16),
    Column("in stock", right=True),
    Column("pack", right=True),
    Column("place", least=8, below=True, lead="place"),
    Column("use by", least=12, below=True, lead="use by"),
)


class ShopScreen(BookScreen):
    """What all units share."""

    TOPIC = "settings"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("shop.open", "enter", "open", "open", "Open what is under the cursor", True),
        Act("shop.add", "a", "add", "add", "Add to the list under the cursor: a piece, a consumable, a tool", True),
        Act("shop.pile", "P", "pile", "scrap pile", "The scrap pile: write pieces down, draw, reserve, narrow", True),
        TO_THE_LAYOUT,
        Act("shop.buy", "m", "to_buy", "to buy", "What is still to get, over all units", True),
        Act("shop.paper", "e", "on_paper", "on paper", "Print labels for offcuts and jars"),
        Act("shop.opened", "O", "opened", "opened", "It is opened today: its shelf life runs from now on"),
        Act("shop.why", "w", "why", "why", "What the line under the cursor says and why"),
    )

    def place(self) -> str:
        """The place."""
        return "Store"

    def story_of(self) -> str:
        """The shop's own story."""
        return ""

    def compose_body(self) -> ComposeResult:
        """The sentence and the lines."""
        yield Static("", id="question", classes="question")
        yield Entries(id="store")

    def first_focus(self) -> str:
        """The lines."""
        return "#store"

    def action_on_paper(self) -> None:
        """Labels for what all units share."""
        self.logbook.open("paper", "")

    def show_record(self) -> None:
        """The store as it is now."""
        shop, today = self.session.shop, self.session.today
        self._to_buy = question_words(list_of(self.session), shop.settings.currency)
        book = self.session.book()
        look = Look(shop, claims_on(shop, book.units.values()), today)
        shelved = tuple(store_lines(look, self._to_buy, self.columns - BELOW_THE_FRAME))
        self._lines = {x.entry.key: x for x in shelved}
        self._twice = [c.piece for c in conflicts(shop, book.units.values())]
        self.query_one("#store", Entries).show([x.entry for x in shelved])
        self._show_head()

    @on(Rows.Moved, "#store")
    def _show_head(self) -> None:
        """What is in the store, and what is added where the cursor stands."""
        words = store_question(self.session.shop, self.session.today, self._twice)
        said = f"{words} Press a to add {ADDED_TO[self._list_here()]}."
        self.query_one("#question", Static).update(plain(said, limit=300))

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on a piece of the pile or a consumable."""
        self.query_one("#store", Rows).go_to(f"{'offcuts' if kind == 'offcut' else 'shelf'} {code}")

    def show_new(self, path: Path) -> None:
        """The cursor goes to what was just written down, or to the line that sums up its list."""
        keys = {line.path: line.entry.key for line in self._lines.values()}
        key = keys.get(path) or keys.get(path[:1])
        if key is not None:
            self.query_one("#store", Rows).go_to(key)

    def current_line(self) -> Shelved | None:
        """The line under the cursor."""
        return self.query_one("#store", Rows).current_of(self._lines)

    @on(Rows.Chosen, "#store")
    def action_open(self) -> None:
        """Open the form or the list."""
        line = self.current_line()
        if line is not None and line.path is None:
            self.action_to_buy()
        elif line is not None and line.path is not None:
            open_path(self, "", line.path)

    def action_add(self) -> None:
        """Add to the list that the cursor is in."""
        add_to(self, "", (self._list_here(),))

    def _list_here(self) -> str:
        """The list that the cursor is in; the scrap pile where it is in none."""
        line = self.current_line()
        where = str(line.path[0]) if line is not None and line.path else ""
        return where if where in ADDED_TO else "offcuts"

    def action_layout(self) -> None:
        """The parts of a unit on the pile."""
        open_layout(self)

    def action_opened(self) -> None:
        """A pack on the shelf is opened today."""
        line = self.current_line()
        at = (
            line.path[1] if line is not None and line.path and len(line.path) == 2 and line.path[0] == "shelf" else None
        )
        if not isinstance(at, int):
            self.say("Put the cursor on something on the shelf.")
            return
        name = self.session.shop.shelf[at].name
        edit = partial(with_opened, at=at, on=self.session.today)
        self.tried(f"{name}: opened today", partial(self.session.apply_shop, f"{name} opened", edit))

    def action_pile(self) -> None:
        """The pieces to cut from."""
        line = self.current_line()
        key = "" if line is None else line.entry.key
        piece = key.removeprefix("offcuts ") if key.startswith("offcuts ") else ""
        self.logbook.open("pile", select=("offcut", piece) if piece else None)

    def action_to_buy(self) -> None:
        """What is to get over all units."""
        self.app.push_screen(ToBuyScreen(self.session))

    def action_why(self) -> None:
        """The line in full."""
        if (line := self.current_line()) is not None:
            self.say(" ".join(" ".join(line.entry.lines).split()))


LETTERS = "F1 opens the guide; its page “letters” says what each letter does everywhere."
"""Where the one meaning of each letter stands; the settings of the keys are a file of their own."""


def store_question(shop: Shop, today: date, twice: Sequence[str] = ()) -> str:
    """What is in the store, in a sentence; `twice` names the pieces that two units want."""
    reserved = sum(bool(o.reserved_for) for o in shop.offcuts)
    old = sum(is_past(c, today) for c in shop.shelf)
    pile, shelf = many(len(shop.offcuts), "piece"), many(len(shop.shelf), "thing")
    words = f"{pile} on the scrap pile, {reserved} reserved. {shelf} on the shelf"
    words += f", {old} past shelf life." if old else "."
    words += f" WANTED TWICE: {', '.join(twice)} (P)." if twice else ""
    if not shop.offcuts and not shop.shelf:
        return "The store is empty: offcuts to cut from and consumables stand here."
    return words


def store_lines(look: Look, to_buy: str, columns: int) -> Iterator[Shelved]:
    """The store in the order in which it is looked at: to buy, pile, shelf, limits, settings."""
    shop = look.shop
    yield Shelved(_labelled("to buy", "to buy", to_buy, columns))
    if shop.offcuts:
        for each in pile_entries(shop.offcuts, look, columns, keyed="offcuts ", title="Scrap pile"):
            yield Shelved(each, ("offcuts", each.key.removeprefix("offcuts ")))
    else:
        none = "None yet. A piece has a number, its measured thickness and what is usable."
        yield Shelved(heading("head pile", group("Scrap pile")))
        yield Shelved(entry("offcuts", flow(typed(none), columns)), ("offcuts",))
    yield from _shelf(shop, look.today, columns)
    yield Shelved(heading("head shop", group("Shop")))
    own = "none of your own beside those of the trade"
    rules = "; ".join(f"{r.code}: {r.why}" for r in shop.order_rules)
    for key, name, where, words in (
        ("tools", "limits", "tools", _limits(shop) or "clamps, press and tools: none written down"),
        ("sellers", "sellers", "sellers", _sellers(shop) or "none written down"),
        ("free time", "free hours", "free_time", _free(shop) or "none written down"),
        ("usual work", "usual work", "usual_work", "; ".join(w.name for w in shop.usual_work) or own),
        ("order rules", "order rules", "order_rules", rules or own),
        ("settings", "settings", "settings", _settings(shop)),
    ):
        yield Shelved(_labelled(key, name, words, columns), (where,))
    yield Shelved(heading("letters", *hanging(fit(typed("keys", "muted"), LABEL_COLUMNS), LETTERS, columns)))


def _shelf(shop: Shop, today: date, columns: int) -> Iterator[Shelved]:
    """What is used up: glue, finish, abrasive, jars."""
    cells = [consumable_cells(c, today) for c in shop.shelf]
    table = WrappingTable(SHELF_COLUMNS, cells, columns)
    yield Shelved(heading("head shelf", group("Shelf"), *((table.head,) if cells else ())))
    for i, c in enumerate(shop.shelf):
        again = f" {i}" if any(o.name == c.name for o in shop.shelf[:i]) else ""  # two packs of one thing, two ages
        yield Shelved(entry(f"shelf {c.name}{again}", table.lines(cells[i])), ("shelf", i))
    if not cells:
        none = "Nothing yet. Glue, finish, abrasive, jars: what is used up stands here."
        yield Shelved(entry("shelf", flow(typed(none), columns)), ("shelf",))


def _labelled(key: str, label: str, words: str, columns: int) -> ListEntry:
    """A label, and words behind it that wrap."""
    return entry(key, hanging(fit(typed(label, "muted"), LABEL_COLUMNS), clean(words, limit=400), columns))


def _limits(shop: Shop) -> str:
    """Clamps, press and tools by number: `10 clamps; 1 press`."""
    return "; ".join(f"{t.number} {t.name}{f' of {t.length.in_mm()} mm' if t.length else ''}" for t in shop.tools)


def _sellers(shop: Shop) -> str:
    """Sellers with what a parcel costs: `spares by post 7.95; counter 0.00`."""
    return "; ".join(f"{s.name} {s.shipping.likely if s.shipping is not None else '?'}" for s in shop.sellers)


def _free(shop: Shop) -> str:
    """Free hours: `Mon 19:00 30 min; Sat 09:00 3:30 h`."""
    return "; ".join(f"{_day(f)} {f.start} {hours_and_minutes(f.minutes)}" for f in shop.free_time)


def _day(free: FreeTime) -> str:
    if free.on is not None:
        return day_and_year(free.on)
    return WEEKDAYS[free.weekday - 1][:3].capitalize() if free.weekday and free.weekday <= 7 else "?"


def _settings(shop: Shop) -> str:
    """Every setting that has a value, with its name, and how many have none."""
    values = [(f.label, shown(shop.settings, f)) for f in fields_of(ShopSettings)]
    unset = sum(not value for _, value in values)
    said = "; ".join(f"{label} {value}" for label, value in values if value)
    return f"{said}; {unset} not set" if unset else said


def consumable_cells(c: Consumable, today: date) -> list[Line]:
    """Something used up: what is in stock, its pack, where it stands, until when it is good."""
    stock = f"{plain_number(c.stock)} {c.unit}".rstrip()
    pack = f"{plain_number(c.pack.size)} {c.unit}".rstrip() + f" {c.pack.price}" if c.pack else "?"
    past, last = is_past(c, today), use_by(c)
    until = "" if last is None else f"PAST since {day_and_year(last)}" if past else day_and_year(last)
    return [
        typed(c.name),
        typed(stock),
        typed(pack, "muted"),
        typed(c.place or "?", "muted"),
        typed(until, "wait" if past else "muted"),
    ]
