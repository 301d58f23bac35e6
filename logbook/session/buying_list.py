"""What is to buy over the units of an open book, as the list at the bench and the page in the shop show it."""

from __future__ import annotations

from decimal import Decimal

from logbook.costing import ToBuy, to_buy
from logbook.model.unit import Unit
from logbook.model.words import AT_REST
from logbook.render.money import number_words
from logbook.session.session import Session


def at_work(session: Session) -> list[Unit]:
    """The units that still need something: not those that are closed or stopped."""
    return [u for u in every_unit(session) if u.stage not in AT_REST]


def every_unit(session: Session) -> list[Unit]:
    """Every unit of the book that can be worked out; what is wrong with the others is said on the bench."""
    return list(session.book().units.values())


def list_of(session: Session, code: str = "") -> ToBuy:
    """What is to buy for one unit, or for all."""
    every = every_unit(session)
    return to_buy([session.unit(code)] if code else every, session.shop, session.now, every)


def here_words(paid: Decimal | None) -> str:
    """What the history says of a thing that has come: that it is here, and what was paid where that is known."""
    if paid is None:
        return "here, paid: not known"
    return f"here, paid {number_words(paid)}" if paid else "here"
