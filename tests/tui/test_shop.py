"""The store: pile, shelf, to buy over all units, limits and settings."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.layout.pile_line import read_piece
from logbook.layout.pile_view import Look
from logbook.layout.reservations import claims_on
from logbook.model.measures import Length
from logbook.model.shop import FreeTime, Offcut, ShopSettings
from logbook.model.usual_fields import example_of
from logbook.model.words import Stage
from logbook.model.work import Tool
from logbook.session import Session
from logbook.session.buying_list import at_work
from logbook.tui.look.inks import line, text_of
from logbook.tui.pile_rows import pile_cells
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.screens.shop_screen import ShopScreen, consumable_cells, store_lines, store_question
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import consumable, estimate, mm, offcut, part, shop, unit
from tests.hostile import filled, texts
from tests.tui.conftest import bad_cells, lines_on, opened, text_on, typed, until

TODAY = date(2026, 3, 20)


def store(pilot: object) -> Rows:
    """The list of the store."""
    return pilot.app.screen.query_one("#store", Rows)  # type: ignore[attr-defined,no-any-return]


async def test_the_pile_and_the_shelf_of_the_demo(demo: Session) -> None:
    async with opened(demo, ShopScreen(demo), size=(100, 60)) as pilot:
        text = text_on(pilot)
        assert "16 pieces on the scrap pile, 1 reserved. 12 things on the shelf" in text
        assert "O01 12 ply 11.8 980 x 260" in text
        assert "O06 12 ply 12.2 520 x 250" in text
        assert "C1 runners" in text
        assert "10 clamps; 1 press" in text
        assert "kerf 3" in text
        assert not bad_cells(pilot)


async def test_what_is_to_buy_leaves_out_units_that_are_stopped_or_closed(book: Session) -> None:
    wanted = {"parts": [part(price=estimate("6"))]}
    book.add_unit(unit(code="R1", **wanted))
    book.add_unit(unit(code="L1", name="brass lamp", stage=Stage.STOPPED, **wanted))
    book.add_unit(unit(code="C1", name="chest", stage=Stage.CLOSED, **wanted))
    assert [u.code for u in at_work(book)] == ["R1"]
    async with opened(book, ShopScreen(book)) as pilot:
        assert "1 thing to get, likely $6.00 together" in text_on(pilot)
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.screen, ToBuyScreen))
        assert "mains cord 6.00! R1" in text_on(pilot), "only the one that is at work; its price has no date"
        await pilot.press("h", "enter")
        await pilot.pause()
        assert "Nothing to buy" in text_on(pilot)


async def test_an_empty_store_says_which_key_starts_it(book: Session) -> None:
    async with opened(book, ShopScreen(book)) as pilot:
        assert "Press a to add a piece to the scrap pile." in text_on(pilot)
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewScreen))
        await typed(pilot, "12 ply, 980 x 260")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ShopScreen))
        assert [(o.code, o.length.in_mm()) for o in book.shop.offcuts] == [("O01", "980")]
        row = store(pilot).current
        assert row is not None
        assert row.key == "offcuts O01"
        assert "1 piece on the scrap pile" in text_on(pilot)


async def test_a_piece_is_read_alike_in_the_store_and_at_the_pile(book: Session) -> None:
    line = "12 ply, 980 x 400, 11.8 11.9 11.8, grain width, value 4, shelf 2"
    async with opened(book, ShopScreen(book)) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewScreen))
        assert example_of(Offcut) in text_on(pilot), "the example of the pile stands in grey"
        await typed(pilot, "12 ply, 980 x 400")
        assert "Not measured: thickness by calliper" in text_on(pilot)
        await typed(pilot, line.removeprefix("12 ply, 980 x 400"))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ShopScreen))
    (piece,) = book.shop.offcuts
    empty = book.shop.model_copy(update={"offcuts": ()})
    assert piece == read_piece(line, empty, book.today).piece
    assert ([t.in_mm() for t in piece.thickness], piece.place, piece.note) == (["11.8", "11.9", "11.8"], "shelf 2", "")


async def test_what_a_piece_lacks_is_asked_after_the_line(book: Session) -> None:
    async with opened(book, ShopScreen(book)) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewScreen))
        await typed(pilot, "12 ply, 11.8, shelf 2")
        await pilot.press("enter", *"980", "enter", *"400", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ShopScreen))
    (piece,) = book.shop.offcuts
    assert (piece.material, piece.length.in_mm(), piece.width.in_mm()) == ("12 ply", "980", "400")
    assert ([t.in_mm() for t in piece.thickness], piece.place) == (["11.8"], "shelf 2")


async def test_a_adds_to_the_list_under_the_cursor(demo: Session) -> None:
    async with opened(demo, ShopScreen(demo)) as pilot:
        store(pilot).go_to("tools")
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewScreen))
        assert pilot.app.screen.path == ("tools",)  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("key", "kind", "path"),
    [
        ("to buy", ToBuyScreen, None),
        ("offcuts O03", FormScreen, ("offcuts", "O03")),
        ("shelf stain", FormScreen, ("shelf", 2)),
        ("tools", ListScreen, ("tools",)),
        ("settings", FormScreen, ("settings",)),
    ],
)
async def test_enter_opens_what_is_under_the_cursor(demo: Session, key: str, kind: type, path: object) -> None:
    async with opened(demo, ShopScreen(demo)) as pilot:
        assert store(pilot).go_to(key), [r.key for r in store(pilot).rows]
        await pilot.press("enter")
        await until(pilot, lambda: type(pilot.app.screen) is kind)
        assert getattr(pilot.app.screen, "path", None) == path


async def test_what_is_used_while_nothing_was_said_stands_as_usual_in_the_settings(book: Session) -> None:
    async with opened(book, ShopScreen(book)) as pilot:
        store(pilot).go_to("settings")
        await pilot.press("enter")
        await until(pilot, lambda: type(pilot.app.screen) is FormScreen)
        shown = " ".join(text_on(pilot).split())
        assert "kerf 3 mm usual trim 5 mm usual thickness tolerance 0.2 mm usual" in shown
        book.apply_shop("kerf", lambda s: s.model_copy(update={"settings": ShopSettings(kerf=Length.of("2.2"))}))
        await pilot.pause()
        assert "kerf 2.2 trim 5 mm usual" in " ".join(text_on(pilot).split())


async def test_a_change_of_the_shop_is_shown_at_once_and_undone_on_the_store(demo: Session) -> None:
    async with opened(demo, ShopScreen(demo)) as pilot:
        demo.apply_shop("fewer", lambda s: s.model_copy(update={"offcuts": s.offcuts[1:]}))
        await pilot.pause()
        assert "15 pieces" in text_on(pilot)
        await pilot.press("z")
        await pilot.pause()
        assert "16 pieces" in text_on(pilot)


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (130, 40)])
async def test_hostile_words_break_no_line(demo: Session, size: tuple[int, int]) -> None:
    demo._shop = filled(demo.shop, texts(2))
    async with opened(demo, ShopScreen(demo), size=size) as pilot:
        for _ in range(4):
            assert not bad_cells(pilot)
            await pilot.press("pagedown")


def of_the_pile(piece: Offcut) -> str:
    of_shop = shop(offcuts=[piece])
    look = Look(of_shop, claims_on(of_shop, []), TODAY)
    return " ".join(text_of(line(*(part for cell in pile_cells(piece, look) for part in (cell, " ")))).split())


def test_a_piece_that_was_not_measured_says_so() -> None:
    assert of_the_pile(offcut("O09", "500x320", thickness="")).startswith("O09 12 ply ?")
    usable = offcut("O01", "1020x260", usable_length=mm("980"), reserved_for="C1 runners")
    assert "980 x 260" in of_the_pile(usable)
    assert of_the_pile(usable).endswith("C1 runners")


@pytest.mark.parametrize(
    ("opened_on", "months", "end"),
    [(None, None, ""), (date(2026, 1, 1), 12, "1 Jan 2027"), (date(2025, 1, 1), 12, "PAST since 1 Jan 2026")],
)
def test_a_shelf_life_is_told_and_what_is_past_says_past(opened_on: date | None, months: int | None, end: str) -> None:
    glue = consumable(
        stock=300, unit="ml", pack=("500", "9.50"), opened_on=opened_on, keeps_months=months, place="jar 2"
    )
    words = " ".join(text_of(cell) for cell in consumable_cells(glue, TODAY))
    assert words.rstrip().endswith(end or "jar 2")
    assert "300 ml" in words
    assert "500 ml 9.50" in words
    assert "1 past shelf life" in store_question(shop(shelf=[glue]), TODAY) if "PAST" in end else True


def test_free_hours_and_limits_read_as_one_says_them() -> None:
    of_shop = shop(
        tools=[Tool(name="clamps", number=4, length=mm("600"))],
        free_time=[FreeTime(weekday=6, start="09:00", minutes=210), FreeTime(on=TODAY, start="19:00", minutes=30)],
    )
    look = Look(of_shop, {}, TODAY)
    lines = {x.entry.key: " ".join(" ".join(x.entry.lines).split()) for x in store_lines(look, "nothing", 78)}
    assert lines["tools"].endswith("4 clamps of 600 mm")
    assert lines["free time"].endswith("Sat 09:00 3:30 h; 20 Mar 2026 19:00 30 min")


async def test_the_heads_stand_over_their_columns(demo: Session) -> None:
    async with opened(demo, ShopScreen(demo)) as pilot:
        lines = lines_on(pilot)
        head = next(x for x in lines if "usable" in x and "place" in x)
        row = next(x for x in lines if x.startswith(" O01"))
        assert head.index("usable") + len("usable") == row.index("980 x 260") + len("980 x 260")


async def test_a_pack_is_opened_today(book: Session) -> None:
    glue = consumable("glue", 1000, ("500", "9.50"), unit="ml", keeps_months=12)
    book.apply_shop("shelf", lambda _: shop(shelf=[glue]))
    async with opened(book, ShopScreen(book)) as pilot:
        await pilot.press("O")
        assert "Put the cursor on something on the shelf." in text_on(pilot)
        store(pilot).go_to("shelf glue")
        await pilot.press("O")
        assert [(c.stock, c.opened_on) for c in book.shop.shelf] == [(500, None), (500, date(2026, 3, 20))]
        assert "20 Mar 2027" in text_on(pilot), "until when it is good"
        store(pilot).go_to("shelf glue 1")
        await pilot.press("O")
        assert "glue was opened on 20 Mar 2026" in text_on(pilot), "each of the two has a line of its own"
        await pilot.press("z")
        assert [c.stock for c in book.shop.shelf] == [1000]


async def test_the_head_says_what_is_added_where_the_cursor_stands(book: Session) -> None:
    async with opened(book, ShopScreen(book)) as pilot:
        store(pilot).go_to("free time")
        await until(pilot, lambda: "Press a to add free hours." in text_on(pilot))
        store(pilot).go_to("shelf")
        await until(pilot, lambda: "Press a to add something to the shelf." in text_on(pilot))
