"""Documents into the book and out of it. A document is taken whole or not at all."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

from logbook.cli.books import Call, code_in
from logbook.cli.output import write, write_bytes
from logbook.errors import InputError
from logbook.model.currency import START, is_known, same_currency
from logbook.model.document import (
    MOST_BYTES,
    ShopDocument,
    UnitDocument,
    read_document,
    structure_problems,
    write_document,
)
from logbook.model.shop import Shop
from logbook.model.typed_values import put
from logbook.model.unit import Unit
from logbook.session import Session


def take_in(call: Call) -> str:
    """Import the document that was named; what was done, in a sentence.

    Raises:
        InputError: the document cannot be used, or its unit is there already; nothing was changed.
        StoreError: the book cannot be written.
    """
    name = call.options.file
    document = read_document(_bytes_of(name), "the standard input" if name == "-" else name)
    if isinstance(document, ShopDocument):
        if call.options.as_code:
            raise InputError("--as gives a unit another code, and this document holds the shop.")
        return _take_shop(call, document, name)
    unit = document.unit
    if call.options.as_code:
        unit = put(unit, "code", call.options.as_code.strip().upper())
    return _take_unit(call, unit, document.currency)


def _take_unit(call: Call, unit: Unit, currency: str) -> str:
    problem = next(iter(structure_problems(unit)), None)
    if problem:
        raise InputError(f"{unit.code} cannot be taken in: {problem}")
    with call.write() as session:
        if unit.code in (*session.codes(), *session.broken()):
            raise InputError(
                f"There is already a unit {unit.code} in this book. “--as CODE” takes it in under another code."
            )
        _settle_currency(session, currency)
        session.add_unit(unit, f"{unit.code} {unit.name} taken in from a document")
        steps = f"{len(unit.steps)} step{'' if len(unit.steps) == 1 else 's'}"
        return f"Taken in: {unit.code} {unit.name}, {steps}. It is in {session.path}."


def _settle_currency(session: Session, currency: str) -> None:
    """Amounts are in one currency per book: an empty book takes that of its first document."""
    own = session.shop.settings.currency
    if not currency or same_currency(currency, own):
        return
    if session.codes() or session.broken() or _is_begun(session.shop):
        raise InputError(f"The document counts in {currency} and the book in {own}; amounts cannot be mixed.")
    if not is_known(currency):
        raise InputError(f"The document counts in {currency[:20]}, which is neither a code of ISO 4217 nor its sign.")
    session.apply_shop(
        f"currency {currency}",
        lambda shop: put(shop, "settings", put(shop.settings, "currency", currency)),
    )


def _is_begun(shop: Shop) -> bool:
    """Whether anything but the currency that it started with was written into a shop."""
    return put(shop, "settings", put(shop.settings, "currency", START)) != Shop()


def _take_shop(call: Call, document: ShopDocument, name: str) -> str:
    with call.write() as session:
        own, new = session.shop.settings.currency, document.shop.settings.currency
        if not same_currency(own, new) and session.codes():
            raise InputError(f"The document counts in {new} and the book in {own}; amounts cannot be mixed.")
        session.apply_shop(f"the shop taken in from {name}", lambda _: document.shop)
        shop = document.shop
        return (
            f"Taken in: the shop, with {len(shop.offcuts)} offcuts and {len(shop.shelf)} things on the shelf. "
            f"It is in {session.path}; “undo” in the program brings the former one back."
        )


def _bytes_of(name: str) -> bytes:
    """The bytes of a file or of the standard input. Raises InputError when they cannot be read."""
    try:
        if name == "-":
            if sys.stdin is None:
                raise InputError("There is no standard input to read.")
            return sys.stdin.buffer.read(MOST_BYTES + 1)
        with Path(os.path.expanduser(name)).open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except ValueError as error:
        raise InputError(f"“{name}” is not the name of a file.") from error
    except OSError as error:
        raise InputError(f"{name} cannot be read: {error.strerror}.") from error


def give_out(call: Call) -> None:
    """Print the document of a unit or of the shop.

    Raises:
        InputError: there is no such unit.
    """
    typed = call.options.unit
    with call.read() as session:
        if typed == "shop" or (typed.upper() == "SHOP" and "SHOP" not in session.codes()):
            document: UnitDocument | ShopDocument = ShopDocument(logbook="shop", version=1, shop=session.shop)
        else:
            unit = session.unit(code_in(session, typed))
            currency = session.shop.settings.currency
            document = UnitDocument(logbook="unit", version=1, currency=currency, unit=unit)
    raw = write_document(document)
    if sys.stdout is not None and sys.stdout.isatty():  # what a terminal could take for a command is written out
        write(json.dumps(json.loads(raw), indent=2, ensure_ascii=True) + "\n")
    else:
        write_bytes(raw)
