"""What came, as a command: `logbook to-buy --here THING --paid AMOUNT`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.cli.books import CommandCall, code_in
from logbook.cli.output import write
from logbook.errors import InputError
from logbook.render.plain import clean

if TYPE_CHECKING:
    from decimal import Decimal

    from logbook.costing import Parcel, Purchase, ToBuy

_MOST_NAMED = 6


def arrival(call: CommandCall) -> int:
    """Write down that a thing to buy, or everything from a seller, is here, and what was paid for it.

    Raises:
        InputError: nothing on the list is called so, or several things are; or nobody said what was paid.
    """
    from functools import partial

    from logbook.cli.shared import today, whole_book
    from logbook.costing import Parcel, to_buy
    from logbook.costing.buying import arrived, parcel_arrived
    from logbook.model.words import Stage

    with call.write() as session:
        every = whole_book(session).units
        code = code_in(session, call.options.unit) if call.options.unit else ""
        found = to_buy([every[code]] if code else list(every.values()), session.shop, session.now, list(every.values()))
        thing = _called(found, call.options.here)
        paid = _paid(thing, call.options.paid, session.shop.settings.currency)
        change = partial(parcel_arrived, thing) if isinstance(thing, Parcel) else partial(arrived, thing)
        name = _name(thing)
        what = f"{name}: here" + (f", paid {paid}" if paid else "")
        at_work = [c for c, u in every.items() if u.stage not in (Stage.CLOSED, Stage.STOPPED)]
        edit_day = today(session)
        session.apply_over(
            [code] if code else at_work, clean(what, limit=200), lambda units, shop: change(paid, units, shop, edit_day)
        )
        write(f"{clean(what, limit=200)}{'; what was paid is not known' if paid is None else ''}.\n")
    return 0


def _called(found: ToBuy, typed: str) -> Purchase | Parcel:
    """The thing, or else the parcel of the seller, that is called so; a part of its name is enough."""
    from logbook.model.same_words import same_words

    wanted = same_words(typed)
    named: list[Purchase | Parcel] = [*found.purchases, *(p for p in found.parcels if p.seller)]
    for chosen in (
        [x for x in named if same_words(_name(x)) == wanted],
        [x for x in named if wanted and wanted in same_words(_name(x))],
    ):
        if len(chosen) == 1:
            return chosen[0]
        if chosen:
            raise InputError(
                f"“{typed[:40]}” may be {_names(chosen)}. Type the whole name, and the unit before --here."
            )
    raise InputError(f"Nothing to buy is called “{typed[:40]}”. There is: {_names(named) or 'nothing'}.")


def _names(things: list[Purchase | Parcel]) -> str:
    more = f" and {len(things) - _MOST_NAMED} more" if len(things) > _MOST_NAMED else ""
    return clean(", ".join(_name(x) for x in things[:_MOST_NAMED]), limit=300) + more


def _name(thing: Purchase | Parcel) -> str:
    from logbook.costing import Parcel

    return thing.seller if isinstance(thing, Parcel) else thing.name


def _paid(thing: Purchase | Parcel, typed: str | None, currency: str) -> Decimal | None:
    """What was paid, as it was typed; a thing that costs nothing needs no word about it."""
    from logbook.costing import Parcel
    from logbook.costing.amounts import ZERO, cents
    from logbook.costing.buying import coming_with, why_not_here
    from logbook.costing.what_was_paid import costs_nothing, likely_paid, likely_paid_for, paid_as_typed

    if isinstance(thing, Parcel):
        likely = likely_paid_for(coming_with(thing), thing)
    else:
        if refused := why_not_here(thing):
            raise InputError(refused)
        if typed is None and costs_nothing(thing):
            return ZERO
        likely = likely_paid(thing)
    if typed is None:
        example = f"{cents(likely)}, which is likely" if likely is not None else "8.40"
        raise InputError(
            f"What was paid for {_name(thing)}? Say it: --paid {example}; or --paid ? when it is not known."
        )
    return paid_as_typed(typed, currency)
