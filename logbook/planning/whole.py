"""Where all units of a book stand, for whoever has their records and not what was remembered of them."""

from __future__ import annotations

from logbook.model.unit import Book
from logbook.planning.standing import Whole


def whole_of(book: Book | Whole) -> Whole:
    """Where the units of a book stand, each worked out once for its record. Raises as `standing`."""
    if isinstance(book, Whole):
        return book
    from logbook.planning.standing_made import standing  # much is loaded for it, and the bench rarely needs it

    return Whole(book.shop, tuple(standing(unit, book.shop) for unit in book.units.values()))
