"""What must change nothing: taking an edit back, export and import, the order of units, the machine's time zone."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from logbook.costing import to_buy
from logbook.costing.buying import arrived
from logbook.costing.what_was_paid import likely_paid
from logbook.model.document import UnitDocument, read_document, write_document
from logbook.model.unit import Book, Unit
from logbook.model.unit_edits import with_disposition, with_repaired
from logbook.model.words import Disposition, Stage
from logbook.planning.running import finished, started
from logbook.reassembly import tick
from logbook.session import Session
from tests.agreement.variants import NOW, cases, demo
from tests.agreement.views import BookViews

SOME = 8
"""Variants that are looked at here."""


def every_view(views: BookViews) -> dict[str, Any]:
    """All views of all units, and those over the book."""
    found: dict[str, Any] = {
        "bench": views.bench["units"],
        "bench text": views.bench_text,
        "now": views.now_text,
        "problems": [p.sentence for p in views.problems],
        "to buy": views.to_buy,
    }
    for unit in views.units:
        money = (unit.cost, unit.cost_text, unit.bill, unit.bill_rows, unit.to_buy)
        found[unit.code] = (*money, unit.list, unit.list_text)
    return found


def ticking() -> Callable[[], datetime]:
    """A clock that goes on by a second each time it is asked, so that no two changes are made at once."""
    seconds = count()
    return lambda: NOW + timedelta(seconds=next(seconds))


def tick_the_check(unit: Unit) -> Unit:
    return tick(unit, "check", at=NOW, initials="AB", reading="good", override="as told")


def work_on_the_radio(unit: Unit) -> Unit:
    begun = started(unit, "C-ES", NOW, demo().shop)
    return finished(begun, "C-ES", NOW)


EDITS: list[Callable[[Unit], Unit]] = [
    lambda u: with_disposition(u, "SP", Disposition.RENEW),
    lambda u: with_repaired(u, "CH", repaired=True, at=NOW),
    lambda u: u.model_copy(update={"stage": Stage.REASSEMBLY}),
    lambda u: u.model_copy(update={"parts": ()}),
    work_on_the_radio,
    tick_the_check,
]


@pytest.mark.parametrize("place", range(len(EDITS)))
def test_undo_restores_every_view(place: int, tmp_path: Path) -> None:
    with Session.open(tmp_path / "book", now=ticking()) as session:
        session.apply_shop("the shop", lambda _: demo().shop)
        for unit in demo().units.values():
            session.add_unit(unit)
        before = every_view(BookViews("before", session.book(), NOW))
        session.apply("R1", "an edit", EDITS[place])
        assert every_view(BookViews("after", session.book(), NOW)) != before
        session.undo()
        assert every_view(BookViews("undone", session.book(), NOW)) == before


def test_undo_of_a_purchase_restores_every_view(tmp_path: Path) -> None:
    with Session.open(tmp_path / "book", now=ticking()) as session:
        session.apply_shop("the shop", lambda _: demo().shop)
        for unit in demo().units.values():
            session.add_unit(unit)
        before = every_view(BookViews("before", session.book(), NOW))
        units = list(session.book().units.values())
        wanted = [p for p in to_buy(units, session.shop, NOW).purchases if p.kind == "consumable"]
        for purchase in wanted:
            session.apply_over(
                purchase.units, "it came", lambda of, shop, p=purchase: arrived(p, likely_paid(p), of, shop, NOW.date())
            )
        for _ in wanted:
            session.undo()
        assert every_view(BookViews("undone", session.book(), NOW)) == before


@pytest.mark.parametrize("place", range(SOME))
def test_import_of_an_export_gives_every_view_again(place: int) -> None:
    readable = [c for c in cases() if "nobody_knows" not in c.name]  # a document that names no such work is refused
    views = readable[place * 7]
    units = {}
    for code, unit in views.book.units.items():
        document = read_document(write_document(UnitDocument(logbook="unit", version=1, currency="$", unit=unit)))
        assert isinstance(document, UnitDocument)
        units[code] = document.unit
    again = BookViews(views.name, Book(shop=views.book.shop, units=units), NOW)
    assert every_view(again) == every_view(views)


@pytest.mark.parametrize("place", range(SOME))
def test_the_order_of_units_changes_no_view_of_a_unit(place: int) -> None:
    views = cases()[place * 5]
    turned = Book(shop=views.book.shop, units=dict(reversed(views.book.units.items())))
    again = BookViews(views.name, turned, NOW)
    for unit in views.units:
        other = again.unit(unit.code)
        assert (other.cost, other.bill, other.list) == (unit.cost, unit.bill, unit.list)
        assert other.to_buy["price"] == unit.to_buy["price"]
    assert again.to_buy["price"] == views.to_buy["price"]
    of_units = [{p.sentence for p in found.problems if p.unit and p.check != 15} for found in (views, again)]
    assert of_units[0] == of_units[1], "who wants a piece is named in the order of the book"


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "America/Los_Angeles"])
def test_the_time_zone_of_the_machine_changes_nothing(zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    settings = demo().shop.settings.model_copy(update={"time_zone": "Europe/Paris"})
    book = demo().model_copy(update={"shop": demo().shop.model_copy(update={"settings": settings})})
    before = every_view(BookViews("here", book, NOW))
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        assert every_view(BookViews("there", book, NOW)) == before
    finally:
        monkeypatch.undo()
        time.tzset()
