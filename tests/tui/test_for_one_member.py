"""A part or a component for one of a pair: through the form and through a document; bill and to buy name the member."""

from __future__ import annotations

from csv import DictReader
from io import StringIO
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from logbook.costing import bill_of_materials, to_buy
from logbook.model.document import UnitDocument, write_document
from logbook.model.unit import Unit
from logbook.model.words import Disposition
from logbook.render.bill_document import bom_csv
from logbook.render.to_buy_document import to_buy_csv, to_buy_text
from logbook.session import Session
from logbook.session.document_transfer import read_in, take_in
from logbook.session.papers import Form, Paper, Wish, make_paper
from logbook.teardown.bench_line import read_line
from logbook.teardown.step_keeping import kept_from_line
from logbook.tui.screens.bill_screen import BillScreen
from logbook.tui.screens.form_rows import MORE
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import at, component, part, shop, step, unit
from tests.paper.reading import letters, pages, source
from tests.teardown.test_said_as_it_is import PAIR
from tests.tui.conftest import opened, text_on, typed, until

NOW = at("2026-03-17 18:30")
CALLED = ("lamp holder, right", "lamp, left")


def lamps(right: str = "", left: str = "") -> Unit:
    """A pair of lamps, of which one needs a new holder and one a new lamp."""
    return unit(
        step("T01", "lamps", each_of="LR"),
        sets=[PAIR],
        parts=[part("N1", "lamp holder", for_steps=["T01"], member=right)],
        components=[component("C1", "lamp", disposition=Disposition.RENEW, from_step="T01", member=left)],
    )


async def says_member(pilot: Pilot[Any], member: str) -> None:
    rows = pilot.app.screen.query_one("#fields", Rows)
    rows.go_to(MORE)
    await pilot.press("enter")
    rows.go_to("member")
    await pilot.press("enter")
    await typed(pilot, member)
    await pilot.press("enter")


async def test_through_the_form_and_then_on_bill_and_to_buy(book: Session) -> None:
    book.add_unit(lamps())
    async with opened(book, FormScreen(book, "R1", ("parts", "N1"))) as pilot:
        await says_member(pilot, "R")
        await until(pilot, lambda: book.unit("R1").parts[0].member == "R")
        await pilot.app.push_screen(FormScreen(book, "R1", ("components", "C1")))
        await pilot.pause()
        await says_member(pilot, "L")
        await until(pilot, lambda: book.unit("R1").components[0].member == "L")
        now = book.unit("R1")
        assert (now.parts, now.components) == (lamps("R", "L").parts, lamps("R", "L").components)
        for screen in (BillScreen(book, "R1"), ToBuyScreen(book)):
            await pilot.app.push_screen(screen)
            await pilot.pause()
            for words in CALLED:
                assert words in text_on(pilot)


def test_through_a_document_and_then_on_every_paper(tmp_path: Path) -> None:
    raw = write_document(UnitDocument(logbook="unit", version=1, unit=lamps("R", "L")))
    with Session.open(tmp_path / "book", by="AB") as session:
        take_in(session, read_in(raw, "lamps.json"), "lamps.json")
        of = session.unit("R1")
        assert (of.parts, of.components) == (lamps("R", "L").parts, lamps("R", "L").components)
        bill = make_paper(source(of, session.shop), Wish(Paper.BOM, Form.TEXT)).raw.decode()
        record = make_paper(source(of, session.shop), Wish(Paper.RECORD, Form.TEXT)).raw.decode()
        printed = "\n".join(pages(make_paper(source(of, session.shop), Wish(Paper.BOM, Form.PDF)).raw))
        bought = to_buy_text(to_buy([of], session.shop, NOW), session.shop, NOW)
    for words in CALLED:
        for text in (bill, record, bought):
            assert words in " ".join(text.split())
        assert letters(words) in letters(printed)


def test_a_table_names_the_member_as_text_does() -> None:
    said = "lamps, each 2 screw 3x16, right 1 lost, bag 1, left new part holder, new part rod for both"
    lamp_pair = unit(sets=[PAIR])
    of = kept_from_line(lamp_pair, read_line(said, lamp_pair), at=NOW)
    bill = csv_dicts(bom_csv(bill_of_materials(of, shop(), NOW.date())))
    bought = to_buy([of], shop(), NOW)
    whose = {"screw 3x16": "right", "holder": "left", "rod": ""}
    assert {row["name"]: row["member"] for row in bill} == whose
    assert {row["name"]: row["member"] for row in csv_dicts(to_buy_csv(bought))} == whose
    text = " ".join(to_buy_text(bought, shop(), NOW).split())
    assert "screw 3x16, right" in text
    assert "lost at the bench at T01 for R" in text


def csv_dicts(table: str) -> list[dict[str, str]]:
    return list(DictReader(StringIO(table)))
