"""Papers, print, layout and screens change as little as the commands when nothing has changed.

The same as in `test_nothing_else_changes.py`, for the views that take long.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest

from logbook.model.document import ShopDocument, UnitDocument, read_document, write_document
from logbook.model.unit import Book, Unit
from logbook.model.unit_edits import with_disposition, with_repaired
from logbook.model.words import Disposition
from logbook.session import Session
from tests.agreement.commands import kept
from tests.agreement.papers_and_screens import CODE, laid_out_demo, shown
from tests.agreement.test_nothing_else_changes import AFTERWARDS, EDITS, differing, in_zone, ticking
from tests.agreement.variants import NOW

BEFORE: dict[str, str] = {}
"""The views of the book before anything is done to it."""


async def before(place: Path) -> Mapping[str, str]:
    if not BEFORE:
        BEFORE.update(await shown(kept(laid_out_demo(), place / "before" / "book", ticking()), AFTERWARDS))
    return BEFORE


def without_layouts(unit: Unit) -> Unit:
    return unit.model_copy(update={"layouts": ()})


async def test_undo_restores_every_paper_and_screen(tmp_path: Path) -> None:
    folder = kept(laid_out_demo(), tmp_path / "book", ticking())
    with Session.open(folder, now=ticking(NOW + timedelta(minutes=1))) as session:
        for edit in (*EDITS, without_layouts):
            session.apply(CODE, "an edit", edit)
            session.undo()
    assert differing(dict(await before(tmp_path)), await shown(folder, AFTERWARDS)) == []


async def test_an_edit_is_seen_on_every_paper_and_screen(tmp_path: Path) -> None:
    """What compares nothing would find nothing."""
    folder = kept(laid_out_demo(), tmp_path / "book", ticking())
    with Session.open(folder, now=ticking(NOW + timedelta(minutes=1))) as session:
        session.apply(CODE, "renamed", lambda unit: unit.model_copy(update={"name": "kitchen wireless"}))
        session.apply(CODE, "renewed", partial(with_disposition, code="SP", disposition=Disposition.RENEW))
        session.apply(CODE, "repaired", partial(with_repaired, code="CH", repaired=True, at=NOW))
    after = await shown(folder, AFTERWARDS)
    told = [name for name, text in (await before(tmp_path)).items() if after[name] == text]
    assert told == []


async def test_import_of_an_export_gives_every_paper_and_screen_again(tmp_path: Path) -> None:
    book, units = laid_out_demo(), {}
    for code, unit in book.units.items():
        document = read_document(write_document(UnitDocument(logbook="unit", version=1, currency="$", unit=unit)))
        assert isinstance(document, UnitDocument)
        units[code] = document.unit
    shop = read_document(write_document(ShopDocument(logbook="shop", version=1, shop=book.shop)))
    assert isinstance(shop, ShopDocument)
    folder = kept(Book(shop=shop.shop, units=units), tmp_path / "again" / "book", ticking())
    assert differing(dict(await before(tmp_path)), await shown(folder, AFTERWARDS)) == []


async def test_the_order_of_units_changes_no_paper_and_no_screen_of_a_unit(tmp_path: Path) -> None:
    book = laid_out_demo()
    turned = Book(shop=book.shop, units=dict(reversed(book.units.items())))
    folder = kept(turned, tmp_path / "turned" / "book", ticking())
    one, other = dict(await before(tmp_path)), await shown(folder, AFTERWARDS)
    for found in (one, other):  # the bench lists the units
        found.pop("BenchScreen")
    assert differing(one, other) == []


async def test_the_time_zone_of_the_machine_changes_no_paper_and_no_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = kept(in_zone(laid_out_demo(), "Europe/Paris"), tmp_path / "book", ticking())
    here = await shown(folder, AFTERWARDS)
    try:
        monkeypatch.setenv("TZ", "America/Los_Angeles")
        time.tzset()
        assert differing(here, await shown(folder, AFTERWARDS)) == []
    finally:
        monkeypatch.undo()
        time.tzset()
