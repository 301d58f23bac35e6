"""What the bench shows of a unit, worked out from its record."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from logbook.costing import cash_to_come, cents, stop_reading
from logbook.errors import CircleError
from logbook.layout.reservations import seen_by
from logbook.model.left_by_joining import left_open
from logbook.model.photo_edits import photos_of
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.step import Photo
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST, PhotoKind
from logbook.reassembly import Progress, RefitLine, changed_words, refit_list
from logbook.render.next_words import is_of_a_moment, next_words
from logbook.render.overview import NamedDanger, Overview, OverviewLine, shown
from logbook.teardown.beside_the_step import dangers_in_force
from logbook.teardown.complete import completeness
from logbook.teardown.stage import last_worked, next_in_record


def overview(unit: Unit, shop: Shop, now: datetime) -> Overview:
    """The line of one unit.

    Args:
        unit: whose line it is.
        shop: for what is on the shelf and need not be bought.
        now: the moment, timezone-aware; days are those of local time.
    """
    return shown(line_of(unit, shop, now), shop_time(now, shop))


def line_of(unit: Unit, shop: Shop, now: datetime) -> OverviewLine:
    """What the overview of a unit is made of; the day decides which opened stock still counts."""
    now = shop_time(now, shop)
    cash = cash_to_come(unit, shop, now.date())
    reading = stop_reading(unit, shop, cash)
    complete = completeness(unit)
    dangers = [] if unit.stage in AT_REST else [d.hazard for d in dangers_in_force(unit, now)]
    dangers.sort(key=lambda hazard: hazard.signal.rank)
    return OverviewLine(
        code=unit.code,
        name=unit.name,
        stage=unit.stage,
        next=next_words(unit, shop, now) if next_in_record(unit) else "",
        of_moment=now if is_of_a_moment(unit, shop, now) else None,
        waiting=tuple(reason for reason in unit.waiting if not reason.done),
        touched=last_worked(unit),
        percent=complete.percent if complete else None,
        expected=cents(cash.expected) if cash.known else None,
        unpriced=len(cash.unpriced) + len(cash.not_counted),
        stop=None if reading is None else reading.left,
        over=reading is not None and reading.over,
        low=cents(cash.low) if cash.known else None,
        high=cents(cash.high) if cash.known else None,
        dangers=tuple(NamedDanger(signal=hazard.signal, what=hazard.what) for hazard in dangers),
        to_complete=complete.wanted - complete.done if complete else 0,
        photo=photo_of(unit),
        left_by_joining=len(left_open(unit)),
        look_again=len(ticked_and_changed(unit, now)),
    )


class ChangedLine(NamedTuple):
    """A ticked line that says something else since."""

    line: RefitLine
    words: str
    """Of what: “changed since it was ticked: the pieces”."""


def ticked_and_changed(unit: Unit, now: datetime) -> tuple[ChangedLine, ...]:
    """The ticked lines of a unit's list that say something else since; none where its relations go round."""
    if not any(state.done for state in unit.refit.lines):
        return ()
    try:
        progress = Progress(unit, refit_list(unit), now)
    except CircleError:
        return ()
    each = (ChangedLine(line, changed_words(progress, line)) for line in progress.list.lines)
    return tuple(changed for changed in each if changed.words)


def photo_of(unit: Unit) -> Photo | None:
    """The photo that shows the unit best: the first of the whole of it, or else the first there is."""
    photos = [placed.photo for placed in photos_of(unit)]
    whole = (photo for photo in photos if photo.kind is PhotoKind.WIDE)
    return next(whole, photos[0] if photos else None)


def lines_of(book: Book, now: datetime) -> tuple[Overview, ...]:
    """The line of every unit, worked out from its record."""
    units = book.units.values()
    return tuple(overview(unit, seen_by((unit.code,), book.shop, units), now) for unit in units)
