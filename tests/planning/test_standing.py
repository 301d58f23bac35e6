"""Where a unit stands, kept as plain values and read again, says the same on every day as its record does."""

from __future__ import annotations

from datetime import timedelta

import orjson
import pytest

from logbook.errors import LogbookError
from logbook.model.step import Remake
from logbook.model.unit import Book, Unit
from logbook.model.words import Stage
from logbook.planning.at_rest import at_rest
from logbook.planning.countdown import countdowns
from logbook.planning.reminders import reminders
from logbook.planning.standing import UnitStanding, Whole
from logbook.planning.standing_made import standing
from logbook.planning.what_now import what_now
from logbook.planning.whole import whole_of
from logbook.reassembly import tick
from tests.agreement.variants import NOW, cases
from tests.builders import one_way, relation, step, unit

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


def goes_back(of: Unit, *, hours: int = 0) -> list[str]:
    """What can be put back now, in words."""
    now = NOW + timedelta(hours=hours)
    return [item.what for item in what_now(Book(units={of.code: of}), 60, now) if item.kind == "line"]


def test_at_the_reassembly_the_line_that_is_ready_can_be_done_now() -> None:
    of = unit(step("T01", "plug"), step("T02", "cover"), stage=Stage.REASSEMBLY)
    assert goes_back(of) == ["A01 check: look over what goes back"]
    counted = tick(of, "check", at=NOW, initials="AB")
    (ready,) = goes_back(counted)
    assert ready.startswith("A02 ")
    assert goes_back(of.model_copy(update={"stage": Stage.TEARDOWN})) == []


def test_what_follows_a_joint_goes_back_when_it_has_set() -> None:
    glued = one_way("glued", remake=Remake(method="hide glue", clamp=60, cure=120))
    of = unit(
        step("T01", "cover"), step("T02", "back", one_way=glued),
        relations=[relation("T01", "T02")], stage=Stage.REASSEMBLY,
    )  # fmt: skip
    for key in ("check", "T02"):
        of = tick(of, key, at=NOW, initials="AB")
    assert goes_back(of, hours=2) == []
    assert goes_back(of, hours=3) == ["A03 refit cover"]
