"""Checks 14, 15 and 16: layouts still hold, no piece is wanted twice, and the pile is no heap."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.layout.kept import problems_now
from logbook.layout.offcut_rules import is_too_old
from logbook.layout.reservations import conflicts
from logbook.model.dates_in_words import day_and_year
from logbook.model.plural import counted
from logbook.model.unit import Book
from logbook.model.words import AT_REST


def layouts_hold(book: Book, _now: datetime) -> Iterator[CheckProblem]:
    """Check 14: a layout that was kept can still be cut: its pieces lie there as they were, its parts are the same."""
    for unit in book.units.values():
        for kept in unit.layouts if unit.stage not in AT_REST else ():
            wrong = problems_now(kept, book.shop, book.units, unit.code)
            if wrong:
                sentence = (
                    f"The layout of the {kept.what} of {unit.code} does not hold any more: {wrong[0]} Lay it out again."
                )
                yield CheckProblem(14, "layout-does-not-hold", unit.code, str(kept.what), sentence, Severity.LOOK)


def wanted_twice(book: Book, _now: datetime) -> Iterator[CheckProblem]:
    """Check 15: a piece of the scrap pile has one owner, and a strip is long enough for all who want of it."""
    for conflict in conflicts(book.shop, book.units.values()):
        units = [c.unit for c in conflict.claims if c.unit]
        yield CheckProblem(
            15, "piece-wanted-twice", units[0] if units else "", conflict.piece, conflict.sentence, Severity.WRONG
        )


def pile_looked_through(book: Book, now: datetime) -> Iterator[CheckProblem]:
    """Check 16, in part: pieces that lie there too long, and more of them than the pile holds. For information."""
    shop = book.shop
    for o in shop.offcuts:
        if o.since is not None and is_too_old(o, shop, now.date()):
            sentence = (
                f"{o.code} {o.material} has lain on the pile since {day_and_year(o.since)}, more than "
                f"{counted(shop.settings.pile_months, 'month')}. Use it, give it away, or set its date anew if it is "
                "worth having."
            )
            yield CheckProblem(16, "piece-too-old", "", o.code, sentence, Severity.NOTE)
    most = shop.settings.pile_most
    if most is not None and len(shop.offcuts) > most:
        sentence = f"{counted(len(shop.offcuts), 'piece')} on a pile for {most}. Look it through."
        yield CheckProblem(16, "pile-too-full", "", "pile", sentence, Severity.NOTE)
