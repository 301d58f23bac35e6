"""A price that is typed is of that day, unless its day is typed too."""

from __future__ import annotations

from logbook.model.dated_prices import with_price_dated
from logbook.model.edits import with_changes
from tests.builders import consumable, day, estimate, part

TODAY, BEFORE = day("2026-03-17"), day("2025-01-02")


def test_a_new_price_is_of_today_and_one_that_is_dated_keeps_its_day() -> None:
    assert with_price_dated(part(price=estimate("6")), TODAY).price_on == TODAY
    assert with_price_dated(part(price=estimate("6"), price_on=BEFORE), TODAY).price_on == BEFORE
    assert with_price_dated(part(), TODAY).price_on is None


def test_another_price_is_of_today_and_the_same_one_stays_as_old_as_it_was() -> None:
    old = part(price=estimate("6"), price_on=BEFORE)
    assert with_price_dated(with_changes(old, price=estimate("7")), TODAY, before=old).price_on == TODAY
    assert with_price_dated(with_changes(old, name="cord"), TODAY, before=old).price_on == BEFORE
    assert with_price_dated(with_changes(old, price=None), TODAY, before=old).price_on is None


def test_the_price_of_a_pack_on_the_shelf_is_dated_too() -> None:
    item = with_price_dated(consumable("glue", 0, ("500", "9.50")), TODAY)
    assert item.pack is not None
    assert item.pack.price_on == TODAY
