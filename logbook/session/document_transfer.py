"""A unit or the shop as one document: out of a book, and whole or not at all into another."""

from __future__ import annotations

import os
from pathlib import Path

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
from logbook.model.paths import put_at
from logbook.model.shop import Shop
from logbook.session.opened import SHOP, OpenBook
from logbook.session.session import Session


class CodeTakenError(InputError):
    """The book has a unit of that code already."""


def document_of(book: OpenBook, code: str) -> bytes:
    """Everything written about a unit, or with `SHOP` about what all units share. Raises as `OpenBook.unit`."""
    if code == SHOP:
        return write_document(ShopDocument(logbook="shop", version=1, shop=book.shop))
    currency = book.shop.settings.currency
    return write_document(UnitDocument(logbook="unit", version=1, currency=currency, unit=book.unit(code)))


def document_name(book: OpenBook, code: str) -> str:
    """What the file of a document is called: `R1-document-v12.json`."""
    return f"{'shop' if code == SHOP else code}-document-v{book.kept(code).version}.json"


def bytes_of_file(name: str) -> bytes:
    """What a file holds, no more than a document may. Raises InputError when it cannot be read."""
    try:
        with Path(os.path.expanduser(name)).open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except ValueError as error:
        raise InputError(f"“{name}” is not the name of a file.") from error
    except OSError as error:
        raise InputError(f"{name} cannot be read: {error.strerror}.") from error


def read_in(raw: bytes, named: str, *, as_code: str = "") -> UnitDocument | ShopDocument:
    """The document in the bytes of a file, fit to be taken in.

    Args:
        raw: what the file holds.
        named: what to call the file in a sentence.
        as_code: another code for the unit; empty for its own.

    Raises:
        InputError: it is no document, or its record does not hold together.
    """
    document = read_document(raw, named)
    if isinstance(document, ShopDocument):
        if as_code:
            raise InputError("Another code is for a unit, and this document holds the shop.")
        return document
    if as_code:
        document = put_at(document, ("unit", "code"), as_code.strip().upper())
    problem = next(iter(structure_problems(document.unit)), None)
    if problem:
        raise InputError(f"{document.unit.code} cannot be taken in: {problem}")
    return document


def take_in(session: Session, document: UnitDocument | ShopDocument, named: str) -> str:
    """Take a document into the book; what was done, in a sentence.

    Raises:
        CodeTakenError: the book has a unit of that code.
        InputError: its amounts are in another currency; nothing was changed.
        StoreError: the book cannot be written.
    """
    if isinstance(document, ShopDocument):
        return _take_shop(session, document.shop, named)
    unit = document.unit
    if unit.code in (*session.codes(), *session.broken()):
        raise CodeTakenError(f"There is already a unit {unit.code} in this book.")
    _settle_currency(session, document.currency)
    session.add_unit(unit, f"{unit.code} {unit.name} taken in from a document")
    steps = f"{len(unit.steps)} step{'' if len(unit.steps) == 1 else 's'}"
    return f"Taken in: {unit.code} {unit.name}, {steps}."


def _settle_currency(session: Session, currency: str) -> None:
    """Amounts are in one currency per book: an empty book takes that of its first document."""
    own = session.shop.settings.currency
    if not currency or same_currency(currency, own):
        return
    if session.codes() or session.broken() or _is_begun(session.shop):
        raise InputError(f"The document counts in {currency} and the book in {own}; amounts cannot be mixed.")
    if not is_known(currency):
        raise InputError(f"The document counts in {currency[:20]}, which is neither a code of ISO 4217 nor its sign.")
    session.apply_shop(f"currency {currency}", lambda shop: put_at(shop, ("settings", "currency"), currency))


def _is_begun(shop: Shop) -> bool:
    """Whether anything but the currency that it started with was written into a shop."""
    return put_at(shop, ("settings", "currency"), START) != Shop()


def _take_shop(session: Session, shop: Shop, named: str) -> str:
    own, new = session.shop.settings.currency, shop.settings.currency
    if not same_currency(own, new) and session.codes():
        raise InputError(f"The document counts in {new} and the book in {own}; amounts cannot be mixed.")
    session.apply_shop(f"the shop taken in from {named}", lambda _: shop)
    offcuts, shelf = len(shop.offcuts), len(shop.shelf)
    pile = f"{offcuts} offcut{'' if offcuts == 1 else 's'}"
    return f"Taken in: the shop, with {pile} and {shelf} thing{'' if shelf == 1 else 's'} on the shelf."
