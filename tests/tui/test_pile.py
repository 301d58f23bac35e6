"""The scrap pile on the screen: a piece from one line, reserved, narrowed, measured, taken out."""

from __future__ import annotations

import pytest

from logbook.model.paths import put_at
from logbook.session import Session
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.pile_screen import PileScreen
from logbook.tui.screens.shop_screen import ShopScreen
from logbook.tui.widgets.rows import Rows
from tests.hostile import filled, texts
from tests.tui.conftest import bad_cells, lines_on, opened, said, text_on, typed, until


def codes_on(pilot: object) -> list[str]:
    rows: Rows = pilot.app.screen.query_one("#pile", Rows)  # type: ignore[attr-defined]
    return [r.key for r in rows.rows if r.selectable]


async def test_a_piece_is_on_disk_after_one_line(book: Session) -> None:
    async with opened(book, PileScreen(book)) as pilot:
        assert "Press a to write the first one down" in text_on(pilot)
        await pilot.press("a")
        await typed(pilot, "12 ply, 980 x 260, 11.8 11.9 11.8, value 4, shelf 2, end 40 split, odd")
        text = text_on(pilot)
        assert "reads: O01 12 ply (sheet); size: 980 x 260; thickness: 11.8 11.9 11.8" in text
        assert "“odd” stands in the note" in text
        assert any("▓" in line for line in lines_on(pilot)), "the bad end is hatched while it is typed"
        await pilot.press("enter")
        (piece,) = book.shop.offcuts
        assert (piece.code, piece.usable_length and piece.usable_length.in_mm(), piece.note) == ("O01", "940", "odd")
        assert "write its number on two faces" in said(pilot)
        await pilot.press("z")
        assert book.shop.offcuts == ()


async def test_a_line_that_says_too_little_stays(book: Session) -> None:
    async with opened(book, PileScreen(book)) as pilot:
        await pilot.press("a")
        await typed(pilot, "12 ply")
        await pilot.press("enter")
        assert "Still to say: its size" in text_on(pilot)
        assert book.shop.offcuts == ()
        await pilot.press("escape", "a")
        assert "12 ply" in text_on(pilot), "what was half typed is there again"


async def test_the_demo_pile_drawn_with_its_defects(demo: Session) -> None:
    async with opened(demo, PileScreen(demo)) as pilot:
        text = text_on(pilot)
        assert "16 pieces, 2.88 m²" in text
        assert "O01 12 ply 11.8 980 x 260 ? 5 mo sheet rack" in text
        assert sum("▓" in line for line in lines_on(pilot)) > 3, "the end that is split"
        pilot.app.screen.query_one("#pile", Rows).go_to("O12")
        await pilot.pause()
        assert "Shared, and it fits: C1 takes 603, R1 takes 1619, leaves 178 of 2400." in text_on(pilot)
        assert not bad_cells(pilot)


async def test_a_second_promise_is_told_at_once(demo: Session) -> None:
    async with opened(demo, PileScreen(demo)) as pilot:
        pilot.app.screen.query_one("#pile", Rows).go_to("O13")
        await pilot.press("K")
        await typed(pilot, "; R1 feet")
        await pilot.press("enter")
        assert said(pilot).startswith("CONFLICT: O13 is wanted twice")
        assert "WANTED TWICE: O13" in text_on(pilot)
        current = pilot.app.screen.query_one("#pile", Rows).current
        assert current is not None
        assert "TWICE C1" in " ".join(current.lines)
        await pilot.press("K")
        await pilot.press(*["backspace"] * 30, "enter")
        assert next(o for o in demo.shop.offcuts if o.code == "O13").reserved_for == ""
        assert "free again" in said(pilot)


async def test_narrowed_and_in_another_order(demo: Session) -> None:
    async with opened(demo, PileScreen(demo)) as pilot:
        await pilot.press("f")
        await typed(pilot, "12 ply 500x200")
        await pilot.press("enter")
        assert codes_on(pilot) == ["O01", "O02", "O06"]
        assert "Shown: 3." in text_on(pilot)
        await pilot.press("o", "o")
        assert "by size" in text_on(pilot)
        assert codes_on(pilot) == ["O01", "O02", "O06"]
        await pilot.press("o")
        assert "by oldest" in text_on(pilot)
        await pilot.press("f")
        await typed(pilot, "brass")  # in the place of the words that stand there
        await pilot.press("enter")
        assert codes_on(pilot) == []
        assert "No piece has “brass”" in text_on(pilot)


async def test_measured_opened_explained_and_taken_out(demo: Session) -> None:
    async with opened(demo, PileScreen(demo)) as pilot:
        await pilot.press("t")
        await pilot.press(*["backspace"] * 20)
        await typed(pilot, "11.7 11.8")
        await pilot.press("enter")
        assert [t.in_mm() for t in demo.shop.offcuts[0].thickness] == ["11.7", "11.8"]
        await pilot.press("t")
        await pilot.press(*["backspace"] * 20)
        await typed(pilot, "thick")
        await pilot.press("enter")
        assert "Type one to three thicknesses" in text_on(pilot)
        await pilot.press("escape", "w")
        assert isinstance(pilot.app.screen, PageScreen)
        assert "Defect end split: 40 x 260 at 980, 0." in text_on(pilot)
        await pilot.press("escape", "x")
        assert demo.shop.offcuts[0].code == "O02"
        assert said(pilot) == "O01 12 ply off the pile; z brings it back."
        await pilot.press("z", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, FormScreen))


async def test_an_empty_thickness_changes_nothing(demo: Session) -> None:
    before = demo.shop
    async with opened(demo, PileScreen(demo)) as pilot:
        await pilot.press("t", "delete", "enter")
        assert "Nothing typed: the thickness of O01 stays as it was." in said(pilot)
    assert demo.shop == before


async def test_a_line_from_before_says_so_and_typing_replaces_it(book: Session) -> None:
    async with opened(book, PileScreen(book)) as pilot:
        await pilot.press("a")
        await typed(pilot, "12 ply")
        await pilot.press("escape", "a")
        assert "Your line from before: typing replaces it" in text_on(pilot)
        await typed(pilot, "oak, 500 x 100, 20")
        await pilot.press("enter")
    assert [o.material for o in book.shop.offcuts] == ["oak"]


async def test_the_store_tells_of_a_piece_that_two_want(demo: Session) -> None:
    async with opened(demo, ShopScreen(demo)) as pilot:
        assert "WANTED TWICE" not in text_on(pilot)
        demo.apply_shop("twice", lambda s: put_at(s, ("offcuts", "O07", "reserved_for"), "R1 back; C1 drawer"))
        await pilot.pause()
        assert "WANTED TWICE: O07 (P)." in text_on(pilot)


async def test_from_the_store_to_the_piece_under_the_cursor(demo: Session) -> None:
    async with opened(demo, ShopScreen(demo)) as pilot:
        pilot.app.screen.query_one("#store", Rows).go_to("offcuts O07")
        await pilot.press("P")
        await until(pilot, lambda: isinstance(pilot.app.screen, PileScreen))
        await pilot.pause()
        row = pilot.app.screen.query_one("#pile", Rows).current
        assert row is not None
        assert row.key == "O07"


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (130, 40)])
async def test_hostile_words_break_no_line(demo: Session, size: tuple[int, int]) -> None:
    demo._shop = filled(demo.shop, texts(2))
    async with opened(demo, PileScreen(demo), size=size) as pilot:
        for _ in range(3):
            assert not bad_cells(pilot)
            await pilot.press("pagedown")
