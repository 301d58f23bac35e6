"""The whole bill on the screen: add from the usual consumption, used up, why."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.session import Session
from logbook.tui.screens.bill_screen import BillScreen
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.costs_screen import CostsScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Rows
from tests.builders import consumable, shop, unit, use
from tests.tui.conftest import bad_cells, opened, said, text_on, typed, until


def go(pilot, words: str) -> None:
    listed = pilot.app.screen.query_one("#bill", Rows)
    listed.go_to(next(r.key for r in listed.rows if words in " ".join(r.lines)))


@pytest.mark.parametrize("columns", [60, 80, 120])
async def test_the_bill_of_the_radio(demo: Session, columns: int) -> None:
    async with opened(demo, BillScreen(demo, "R1"), size=(columns, 45)) as pilot:
        text = text_on(pilot)
        assert "26 lines, 9 to get and 2 only under a condition." in text
        assert "[x] 0.365 m2 12 ply 11.8" in text
        assert "[ ] 135.3 ml wipe-on" in text
        assert not bad_cells(pilot)


async def test_it_is_reached_from_the_costs(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1")) as pilot:
        await pilot.press("B")
        await until(pilot, lambda: isinstance(pilot.app.screen, BillScreen))
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.screen, ToBuyScreen))


async def test_the_usual_consumption_is_taken_with_the_amount_of_the_record(demo: Session) -> None:
    async with opened(demo, BillScreen(demo, "R1")) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        assert "PVA glue on faces, one side of each glue line: 200 g for 1 m2, + 15 %" in text_on(pilot)
        await typed(pilot, "brush, three")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, BillScreen))
        await until(pilot, lambda: pilot.app.screen.query_one(Ask).is_open)
        assert "0.33835" in text_on(pilot)
        assert "In m2: show faces of P1, P2, P3, P5, finish, less openings." in text_on(pilot)
        await pilot.press("enter")
        added = demo.unit("R1").consumables[-1]
        assert (added.code, added.consumable, added.unit, added.waste_percent) == ("U7", "brushing varnish", "l", 10)
        (term,) = added.terms
        assert (term.amount, term.coverage, term.times) == (Decimal("0.33835"), 10, 3)
        assert "400 to 500 sq ft/gal" in term.source
        assert "brushing varnish" in said(pilot)
        await pilot.press("z")
        assert len(demo.unit("R1").consumables) == 6


@pytest.mark.parametrize("amount", ["0", "-2", "much"])
async def test_a_bad_amount_stays_with_its_sentence(book: Session, amount: str) -> None:
    book.add_unit(unit())
    async with opened(book, BillScreen(book, "R1")) as pilot:
        assert "Press a to add glue, finish, abrasive" in text_on(pilot)
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await pilot.press("enter")
        await until(pilot, lambda: pilot.app.screen.query_one(Ask).is_open)
        await typed(pilot, amount)
        await pilot.press("enter")
        assert pilot.app.screen.query_one(Ask).is_open
        assert "wanted, in m2" in text_on(pilot) or "is not a number" in text_on(pilot)
        assert book.unit("R1").consumables == ()
        await pilot.press("escape")
        assert pilot.app.screen.query_one("#bill", Rows).has_focus


async def test_what_is_used_up_goes_off_the_shelf(demo: Session) -> None:
    async with opened(demo, BillScreen(demo, "R1")) as pilot:
        go(pilot, "PVA glue")
        await pilot.press("u")
        glue = next(c for c in demo.shop.shelf if c.name == "PVA glue")
        assert round(glue.stock, 1) == Decimal("128.9"), "171.1 of 300 ml are used"
        assert str(demo.unit("R1").consumables[0].used_on) == "2026-03-20"
        go(pilot, "wipe-on varnish")
        await pilot.press("u")
        assert "135.34 ml too little wipe-on varnish on the shelf" in said(pilot)
        go(pilot, "chassis bushes")
        await pilot.press("u")
        assert "Put the cursor on a consumable" in said(pilot)
        await pilot.press("z")
        assert next(c for c in demo.shop.shelf if c.name == "PVA glue").stock == 300
        assert demo.unit("R1").consumables[0].used_on is None


async def test_both_truths_of_a_pack_are_told(demo: Session) -> None:
    async with opened(demo, BillScreen(demo, "R1")) as pilot:
        go(pilot, "wipe-on varnish")
        await pilot.press("w")
        assert isinstance(pilot.app.screen, PageScreen)
        text = text_on(pilot)
        assert "This job uses up 5.95, 54 % of a pack" in text
        assert "114.66 ml left over for the shelf, good for 12 months once opened." in text
        await pilot.press("escape", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, FormScreen))
        assert pilot.app.screen.path == ("consumables", "U2")


async def test_machine_time_stands_below(book: Session) -> None:
    from logbook.model.words import Source
    from tests.builders import part

    book.add_unit(unit(parts=[part("M1", "knob", 2, source=Source.MAKE, machine=90)], consumables=[use("glue", 3)]))
    book.apply_shop("shelf", lambda _: shop(shelf=[consumable("glue", 30)]))
    async with opened(book, BillScreen(book, "R1")) as pilot:
        assert "Machine time of what is still to be made: 3:00 h." in text_on(pilot)
