"""Where a unit stands, kept as plain values and read again, says the same on every day as its record does."""

from __future__ import annotations

from datetime import timedelta

import orjson
import pytest

from logbook.errors import LogbookError
from logbook.model.unit import Book
from logbook.planning.at_rest import at_rest
from logbook.planning.countdown import countdowns
from logbook.planning.reminders import reminders
from logbook.planning.standing import UnitStanding, Whole
from logbook.planning.standing_made import standing
from logbook.planning.what_now import what_now
from logbook.planning.whole import whole_of
from tests.agreement.variants import NOW, cases
from tests.builders import step, unit

HOURS = (0, 6, 30, 24 * 40)


def as_kept(book: Book) -> Whole:
    """Where the units stand, through JSON and back."""
    raw = [orjson.dumps(s.model_dump(mode="json", exclude_defaults=True)) for s in whole_of(book).standings]
    return Whole(book.shop, tuple(UnitStanding.model_validate_json(r) for r in raw))


def test_what_is_kept_says_on_every_day_what_the_record_says() -> None:
    for case in cases()[::8]:
        try:
            kept = as_kept(case.book)
        except LogbookError:
            continue
        for hours in HOURS:
            now = NOW + timedelta(hours=hours)
            assert what_now(kept, 10_000, now) == what_now(case.book, 10_000, now), (case.name, hours)
            assert reminders(kept, now) == reminders(case.book, now), (case.name, hours)
            assert at_rest(kept, now) == at_rest(case.book, now), (case.name, hours)
            assert countdowns(kept, now) == countdowns(case.book, now), (case.name, hours)


def test_what_it_does_not_know_is_an_error_and_never_a_guess() -> None:
    known = standing(unit(step("T01", "plug")), cases()[0].book.shop).unit
    assert known.code == "R1"
    for name in ("steps", "components", "hazards", "consumables"):
        with pytest.raises(AttributeError):
            getattr(known, name)
