"""Which units a fault of the program comes from, so that the views over all units go on without them."""

from __future__ import annotations

from collections.abc import Callable

from logbook.errors import LogbookError
from logbook.model.unit import Book


def faulty_units(book: Book, work: Callable[[Book], object]) -> dict[str, Exception]:
    """The units with which alone a piece of work fails, each with its fault.

    Empty when the work fails without any unit, or with each: then it is not one of them that is to blame.

    Args:
        book: the book with which it failed.
        work: what failed; it is done once for each unit alone.
    """
    if _fault_of(work, _with(book, [])) is not None:
        return {}
    faults = {code: fault for code in book.units if (fault := _fault_of(work, _with(book, [code]))) is not None}
    return faults if len(faults) < len(book.units) else {}


def _with(book: Book, codes: list[str]) -> Book:
    return Book.model_construct(shop=book.shop, units={code: book.units[code] for code in codes})


def _fault_of(work: Callable[[Book], object], book: Book) -> Exception | None:
    try:
        work(book)
    except LogbookError:
        return None
    except Exception as fault:  # noqa: BLE001 - which units it happens with is just what is asked
        return fault
    return None
