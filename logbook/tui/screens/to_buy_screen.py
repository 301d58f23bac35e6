"""What is still to get, over one unit or over all of them, by seller, so that one parcel serves all."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.costing import Offer, Parcel, Purchase, freed_by_parcel
from logbook.costing.amounts import ZERO, cents
from logbook.costing.buying import (
    Units,
    arrived,
    coming_with,
    kept_words,
    ordered,
    parcel_arrived,
    parcel_ordered,
    priced,
    taken,
    things_of,
    why_no_price,
    why_not_here,
)
from logbook.costing.what_was_paid import costs_nothing, likely_paid, likely_paid_for, paid_as_typed
from logbook.errors import InputError, LogbookError
from logbook.model.currency import refuse_foreign
from logbook.model.fields import FieldKind
from logbook.model.shop import Shop
from logbook.model.typed_values import parsed
from logbook.render.to_buy_document import freed_words, question_words
from logbook.session import Session
from logbook.session.buying_list import at_work, every_unit, here_words, list_of
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.opening import open_path
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.buy_rows import Bought, bought_in_full, buy_entries, price_as_typed, record_of, why_of
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Row, Rows

FEW = 8
"""So many entries above the first thing still fit on the smallest screen with it."""

SAY_A_PRICE = "$ to say one"

Edit = Callable[[Units, Shop], tuple[Units, Shop]]


class ToBuyScreen(BookScreen):
    """The list of what is not here; things that come disappear from it, and packs stand on the shelf."""

    TOPIC = "to-buy"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("buy.open", "enter", "open", "open", "Open the record behind the line", True),
        Act(
            "buy.here",
            "h,space",
            "here",
            "here",
            "It has come: what was paid is asked; on a seller: for the whole parcel",
            True,
        ),
        Act("buy.ordered", "O", "ordered", "ordered", "It is ordered today; on a seller: all of it", True),
        Act("buy.price", "dollar_sign", "price", "price", "What it costs now, with today's date", True),
        Act("buy.take", "t", "take", "take", "Take the spare or what stands in the jar instead of buying", True),
        Act("buy.why", "w", "why", "why", "How the quantity and the shares were computed", True),
    )

    def __init__(self, session: Session, code: str = "") -> None:
        super().__init__(session)
        self.CODE = code
        self._bought: dict[str, Bought] = {}
        self._fresh = True

    def place(self) -> str:
        """The unit, or the store for all units."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / to buy" if self.CODE else "Store / to buy"

    def compose_body(self) -> ComposeResult:
        """The sum, the list, and the line to type a price in."""
        yield Static("", id="question", classes="question")
        yield ListBeside("wanted", "Still to get", self._in_full)
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The list."""
        return "#wanted"

    def show_record(self) -> None:
        """Everything that is missing, seller by seller."""
        found = list_of(self.session, self.CODE)
        entries, self._bought = buy_entries(found, list_columns(self.columns))
        question = question_words(found, self.session.shop.settings.currency, SAY_A_PRICE)
        self.query_one("#question", Static).update(plain(question, limit=300))
        listed = self.query_one("#wanted", Rows)
        self.query_one(ListBeside).show(entries)
        if self._fresh and found.purchases:
            listed.go_to(found.purchases[0].key)
            self._fresh = False
            if listed.cursor < FEW:  # what stands above it is read first
                self.call_after_refresh(listed.scroll_home, animate=False)

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What is under the cursor, how it was computed, and what a parcel frees."""
        bought = self.current()
        if bought is None:
            return [BLANK]
        together = self._together(bought.parcel) if bought.parcel is not None else ""
        return bought_in_full(bought, columns, together)

    def current(self) -> Bought | None:
        """What is under the cursor."""
        return self.query_one("#wanted", Rows).current_of(self._bought)

    def purchase(self) -> Purchase | None:
        """The purchase under the cursor, or None with a word about it."""
        bought = self.current()
        if bought is None or bought.purchase is None:
            self.say("Put the cursor on a thing to buy.")
            return None
        return bought.purchase

    @on(Rows.Chosen, "#wanted")
    def action_open(self) -> None:
        """Open the record behind the line; of a purchase for several units one is chosen first."""
        bought = self.current()
        if bought is None or bought.purchase is None:
            self.action_why()
            return
        shares = {f"{s.unit} {s.code} {i}": s for i, s in enumerate(bought.purchase.shares)}
        if len(shares) == 1:
            self._open(bought.purchase, next(iter(shares)))
            return
        rows = [Row(key, (f"{s.unit} {self.session.unit(s.unit).name}",)) for key, s in shares.items()]
        question = f"{bought.purchase.name}: whose record?"
        take = partial(self._open, bought.purchase)
        self.app.push_screen(ChooseScreen(self.session, self.CODE, question, rows, take=take))

    def _open(self, purchase: Purchase, key: str) -> None:
        share = next(s for i, s in enumerate(purchase.shares) if f"{s.unit} {s.code} {i}" == key)
        code, path = record_of(purchase, share, self.session.unit(share.unit), self.session.shop)
        if path is None:
            self.action_why()
        else:
            open_path(self, code, path)

    def action_why(self) -> None:
        """How the line was computed."""
        if (bought := self.current()) is not None:
            why = why_of(bought, self._together(bought.parcel) if bought.parcel is not None else "")
            page = PageScreen(self.session, self.CODE, "to buy / why", bought.name, lambda: why)
            self.app.push_screen(page)

    def _together(self, parcel: Parcel) -> str:
        """What the whole parcel would free, in words."""
        units = {u.code: u for u in every_unit(self.session)}
        return freed_words(freed_by_parcel(parcel, units, self.session.shop, self.session.now))

    def action_here(self) -> None:
        """The thing, or the whole parcel, is here: what was paid is asked, unless it costs nothing."""
        bought = self.current()
        if bought is not None and bought.parcel is not None:
            self._parcel_here(bought.parcel)
        elif (purchase := self.purchase()) is not None:
            if refused := why_not_here(purchase):
                self.say(refused)
            elif costs_nothing(purchase):
                self._keep_here(ZERO)
            else:
                self._ask_paid(purchase.name, likely_paid(purchase))

    def _parcel_here(self, parcel: Parcel) -> None:
        try:
            things = coming_with(parcel)
        except InputError as error:
            self.say(str(error))
            return
        self._ask_paid("all of it, shipping included", likely_paid_for(things, parcel))

    def _ask_paid(self, what: str, likely: Decimal | None) -> None:
        if likely is None:
            hint = f"For {what}: what was paid. Enter on an empty line: not known."
            self.query_one(Ask).ask("paid", "Paid", help=hint)
            return
        hint = f"For {what}. Enter takes the likely price, or type what it was. Empty: not known."
        self.query_one(Ask).ask("paid", "Paid", f"{cents(likely)}", hint, replace=True)

    def _keep_here(self, paid: Decimal | None) -> bool:
        """Keep that what is under the cursor is here and what was paid for it; a refusal is said at the line."""
        bought = self.current()
        if bought is None:
            return True
        words = here_words(paid)
        if bought.parcel is not None:
            return self._over(
                f"{self._parcel_words(bought.parcel)}: {words}", self._edit(parcel_arrived, bought.parcel, paid)
            )
        if bought.purchase is None:
            return True
        return self._over(f"{bought.purchase.name}: {words}", self._edit(arrived, bought.purchase, paid))

    def action_ordered(self) -> None:
        """The thing, or everything from the seller, is ordered."""
        bought = self.current()
        if bought is not None and bought.parcel is not None:
            self._over(f"ordered: {self._parcel_words(bought.parcel)}", self._edit(parcel_ordered, bought.parcel))
        elif (purchase := self.purchase()) is not None:
            self._over(f"{purchase.name}: ordered", self._edit(ordered, purchase))

    def _parcel_words(self, parcel: Parcel) -> str:
        things = kept_words(things_of(parcel))
        return f"{parcel.seller}: {things}" if parcel.seller else things

    def action_take(self) -> None:
        """Take what is here already; of several things one is chosen."""
        purchase = self.purchase()
        if purchase is None:
            return
        offers = {f"{o.unit} {o.code}": o for o in purchase.offers}
        if not offers:
            self.say(f"Neither a spare nor a jar has {purchase.name}.")
        elif len(offers) == 1:
            self._take(purchase, next(iter(offers.values())))
        else:
            rows = [Row(key, (o.words,)) for key, o in offers.items()]
            screen = ChooseScreen(
                self.session,
                self.CODE,
                f"{purchase.name}: which one is taken?",
                rows,
                take=lambda key: self._take(purchase, offers[key]),
            )
            self.app.push_screen(screen)

    def _take(self, purchase: Purchase, offer: Offer) -> None:
        self._over(f"{purchase.name}: taken, {offer.words}", self._edit(taken, offer, purchase))

    def action_price(self) -> None:
        """Ask what it costs now."""
        purchase = self.purchase()
        if purchase is None:
            return
        if refused := why_no_price(purchase):
            self.say(refused)
        else:
            of = f"one pack of {purchase.pack}" if purchase.packs else "all of it"
            hint = f"For {of}: one amount, or three like 6 / 8.40 / 12 (low, likely, high)."
            label = f"Price of {purchase.name}"[:36]
            self.query_one(Ask).ask("price", label, price_as_typed(purchase), hint, replace=True)

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        try:
            kept = self._paid_typed(event.text) if event.key == "paid" else self._price_typed(event.text)
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        if kept:
            self._to_list()

    def _paid_typed(self, text: str) -> bool:
        paid = paid_as_typed(text, self.session.shop.settings.currency)
        return self._keep_here(paid)

    def _price_typed(self, text: str) -> bool:
        purchase = self.purchase()
        if purchase is None:
            return True
        refuse_foreign(text, self.session.shop.settings.currency)
        price = parsed(FieldKind.ESTIMATE, "price", text)
        return self._over(f"{purchase.name}: price {text.strip()}", self._edit(priced, purchase, price))

    @on(Ask.Left)
    def _to_list(self) -> None:
        self.query_one(Ask).close()
        self.query_one("#wanted", Rows).focus()

    def _edit(self, change: Callable[..., tuple[Units, Shop]], *of: object) -> Edit:
        """The edit that changes this, today."""
        today = self.session.today
        return lambda units, shop: change(*of, units, shop, today)

    def _over(self, what: str, edit: Edit) -> bool:
        """Keep an edit over the units concerned and the shop as one."""
        codes = [self.CODE] if self.CODE else [u.code for u in at_work(self.session)]
        return self.tried(what, partial(self.session.apply_over, codes, what, edit))
