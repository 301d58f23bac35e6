"""Shopping with the phone: what is to buy by seller, ticked in the shop, also where no network reaches."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from typing import Any, NamedTuple

from logbook.costing import Parcel, Purchase, ToBuy
from logbook.costing.amounts import ZERO
from logbook.costing.buying import arrived, why_not_here
from logbook.costing.what_was_paid import costs_nothing, is_known_only_paid, paid_as_typed
from logbook.errors import InputError
from logbook.render.to_buy_document import facts, parcel_name, price_words, quantity_words, question_words
from logbook.serve.phone_answer import ASKS, PhoneAnswer, taken_back
from logbook.serve.phone_form import PhoneForm
from logbook.session import Session
from logbook.session.buying_list import at_work, here_words, list_of
from logbook.session.opened import SHOP
from logbook.session.sent_changes import SentChange, sent_change

MOST_FACTS = 4
SAY_A_PRICE = "write under Paid what a thing costs, or its likely price at the desk, in the list of what is to buy"


class ToBuyHere(NamedTuple):
    """One thing to buy as the page shows it."""

    key: str
    name: str
    quantity: str
    price: str
    facts: str
    offers: tuple[str, ...]
    """What is here already and may do instead."""
    is_ordered: bool
    asks_price: bool
    """It costs something, so that what was paid may be written down."""
    must_say_price: bool
    """It is known to be done by being paid alone."""
    not_here: str
    """Why it cannot be ticked, and what to do instead; empty when it can."""


class SellerHere(NamedTuple):
    """Everything from one seller."""

    name: str
    things: tuple[ToBuyHere, ...]
    shipping: str


class BuyingPages:
    """The page of everything that is to buy, over all units."""

    def __init__(self, session: Session, told: Callable[[str], None]) -> None:
        """Make it.

        Args:
            session: the open book.
            told: told in a sentence what the phone kept.
        """
        self._session, self._told = session, told

    def show(self, code: str, query: Mapping[str, str]) -> PhoneAnswer:  # noqa: ARG002 - what pages are given
        """The whole list."""
        return self._answer()

    def _answer(self, sent: SentChange | None = None, **more: Any) -> PhoneAnswer:
        found = list_of(self._session)
        values = {
            "question": question_words(found, self._session.shop.settings.currency, SAY_A_PRICE),
            "sellers": tuple(_sellers(found)),
            "clashes": tuple(clash.sentence for clash in found.clashes),
            "currency": self._session.shop.settings.currency,
            "version": version_of_all(self._session),
            "sent": sent,
        }
        return PhoneAnswer("buy", values, **more)

    def keep(self, code: str, form: PhoneForm) -> PhoneAnswer:  # noqa: ARG002 - what pages are given
        """A thing has come, or the last that came is taken back."""
        if form.text("do") == "back":
            of = form.text("code")
            if of != SHOP and of not in self._session.codes():
                raise InputError("There is no such unit in this book.")
            said = taken_back(self._session, of, form, self._told)
            return self._answer(said=said, kept=form.name)
        if (sent := self._sent(form.name)) is not None:
            return self._answer(sent, said=f"Kept already: {sent.what}.", kept=form.name)
        try:
            return self._here(form)
        except InputError as error:
            return self._answer(said=str(error), bad=True, status=ASKS)

    def _here(self, form: PhoneForm) -> PhoneAnswer:
        key = form.text("line")
        purchase = next((p for p in list_of(self._session).purchases if p.key == key), None)
        if purchase is None:
            return self._not_on_the_list(form)
        if refused := why_not_here(purchase, at_the_keys=False):
            raise InputError(refused)
        paid = self._paid(purchase, form.text("paid"))
        words = f"{purchase.name}: {here_words(paid)}"
        today = self._session.today
        codes = [unit.code for unit in at_work(self._session)]
        self._session.apply_over(
            codes, words, lambda units, shop: arrived(purchase, paid, units, shop, today), sent_as=form.name
        )
        self._told(f"From the phone: {words}.")
        return self._answer(self._sent(form.name), said=f"{words}.", kept=form.name)

    def _paid(self, purchase: Purchase, typed: str) -> Decimal | None:
        """What was paid as typed; nothing for what costs nothing, and unknown where nobody says it."""
        if costs_nothing(purchase) and not typed.strip():
            return ZERO
        return paid_as_typed(typed, self._session.shop.settings.currency) if typed.strip() else None

    def _not_on_the_list(self, form: PhoneForm) -> PhoneAnswer:
        """It was ticked before, here or at the bench; a unit that is at rest since may hold that it was."""
        for code in self._session.codes():
            if (sent := sent_change(self._session, code, form.name)) is not None:
                return self._answer(sent, said=f"Kept already: {sent.what}.", kept=form.name)
        raise InputError("That is not on the list any more: it is here already, or nobody needs it now.")

    def _sent(self, name: str) -> SentChange | None:
        """What was sent under a name, wherever it was kept."""
        codes = (SHOP, *(unit.code for unit in at_work(self._session)))
        found = (sent_change(self._session, code, name) for code in codes)
        return next(filter(None, found), None)


def version_of_all(session: Session) -> int:
    """A number that is another one after every change of the shop or of a unit at work."""
    return sum(session.kept(code).version for code in (SHOP, *session.codes()))


def _sellers(found: ToBuy) -> Iterator[SellerHere]:
    for parcel in found.parcels:
        yield SellerHere(parcel_name(parcel), tuple(map(_thing, parcel.purchases)), _shipping(parcel))


def _shipping(parcel: Parcel) -> str:
    known = parcel.seller or (parcel.shipping is not None and parcel.shipping.high)
    return f"Shipping, one parcel: {price_words(parcel.shipping)}" if known else ""


def _thing(purchase: Purchase) -> ToBuyHere:
    return ToBuyHere(
        purchase.key,
        purchase.called,
        quantity_words(purchase),
        price_words(purchase.price),
        "; ".join(list(facts(purchase))[:MOST_FACTS]),
        tuple(offer.words for offer in purchase.offers),
        purchase.supply == "ordered",
        not costs_nothing(purchase),
        is_known_only_paid(purchase),
        why_not_here(purchase, at_the_keys=False),
    )
