"""A record as one file: made on paper's screen, taken in on the bench of another book."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from logbook.session import Session
from logbook.session.document_transfer import document_of
from logbook.session.opened import SHOP
from logbook.tui.screens.paper_screen import PaperScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import consumable, step, unit
from tests.tui.conftest import opened, said, text_on, typed, until


async def test_a_unit_and_the_store_are_made_into_files_that_hold_the_whole_record(book: Session) -> None:
    radio = unit(step("T01", "back panel"))
    async with opened(book, PaperScreen(book, ""), radio) as pilot:
        for screen, name in ((None, "shop-document-v1.json"), (PaperScreen(book, "R1"), "R1-document-v1.json")):
            if screen is not None:
                await pilot.app.push_screen(screen)
            await until(pilot, lambda: "document" in text_on(pilot))
            pilot.app.screen.query_one("#papers", Rows).go_to("make document")
            await pilot.press("enter")
            await until(pilot, lambda name=name: name in said(pilot))
    made = {p.name: p.read_bytes() for p in (book.path / "paper").iterdir()}
    assert made["R1-document-v1.json"] == document_of(book, "R1")
    assert made["shop-document-v1.json"] == document_of(book, SHOP)


async def asked_for(pilot: Pilot[Any], path: str) -> None:
    await pilot.press("F")
    await typed(pilot, path)
    await pilot.press("enter")


async def test_what_is_no_document_is_refused_where_it_was_typed(book: Session, tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.json"
    wrong.write_text("{}")
    async with opened(book) as pilot:
        await asked_for(pilot, "")
        assert "Name the file of the document." in text_on(pilot)
        await typed(pilot, str(tmp_path / "none.json"))
        await pilot.press("enter")
        assert "cannot be read" in text_on(pilot)
        await pilot.press("escape")
        await asked_for(pilot, str(wrong))
        assert "wrong.json" in text_on(pilot)
        await pilot.press("escape", "F")
        assert "wrong.json" in text_on(pilot), "what was typed is there again"
    assert book.codes() == ()


async def test_a_code_that_is_taken_asks_for_another_and_one_undo_takes_the_unit_back(
    book: Session, tmp_path: Path
) -> None:
    file = tmp_path / "R1.json"
    lamp = unit(code="R1", name="brass lamp")
    book.add_unit(lamp)
    file.write_bytes(document_of(book, "R1"))
    async with opened(book) as pilot:
        await asked_for(pilot, str(file))
        assert "There is already a unit R1 in this book. Give this one another code" in text_on(pilot)
        await typed(pilot, "r2")
        await pilot.press("enter")
        assert said(pilot) == "Taken in: R2 brass lamp, 0 steps. z takes it back."
        assert book.unit("R2").name == "brass lamp"
        assert book.draft("bench/document") == ""
        await pilot.press("down", "z")
        assert book.codes() == ("R1",)


async def test_the_store_of_another_book_takes_the_place_of_this_one_until_it_is_undone(
    book: Session, tmp_path: Path
) -> None:
    file = tmp_path / "shop.json"
    book.apply_shop("a jar", lambda shop: shop.model_copy(update={"shelf": (consumable(),)}))
    file.write_bytes(document_of(book, SHOP))
    book.undo(SHOP)
    async with opened(book) as pilot:
        await asked_for(pilot, str(file))
        assert said(pilot) == "Taken in: the shop, with 0 offcuts and 1 thing on the shelf. z takes it back."
        assert len(book.shop.shelf) == 1
        await pilot.press("z")
        assert book.shop.shelf == ()
