"""The list of what is to buy on the screen: ordered, here, price, take, whole parcels, undo."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.costing import to_buy
from logbook.model.shop import Seller
from logbook.model.typed_values import put
from logbook.model.words import Disposition, Source, Stage, Supply
from logbook.model.work import Part
from logbook.session import Session
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Row, Rows
from tests.builders import component, consumable, estimate, part, renewed, shop, step, unit, use
from tests.hostile import HOSTILE
from tests.tui.conftest import bad_cells, lines_on, opened, said, text_on, typed, until


def rows(pilot) -> Rows:
    return pilot.app.screen.query_one("#wanted", Rows)


def words_of(row: Row) -> str:
    return " ".join(" ".join(row.lines).split())


def go(pilot, words: str) -> None:
    listed = rows(pilot)
    listed.go_to(next(r.key for r in listed.rows if words in words_of(r)))


def glue_for_two(book: Session) -> None:
    for code, amount in (("R1", 400), ("C1", 200)):
        book.add_unit(unit(code=code, name=f"unit {code}", consumables=[use("glue", amount, "ml")]))
    book.apply_shop("shelf", lambda _: shop(shelf=[consumable("glue", 300, ("500", "9.50"), unit="ml")]))


@pytest.mark.parametrize("columns", [60, 80, 120])
async def test_the_demo_by_seller(demo: Session, columns: int) -> None:
    async with opened(demo, ToBuyScreen(demo), size=(columns, 40)) as pilot:
        text = text_on(pilot)
        assert "14 things to get for 3 units, 1 of them ordered, likely $86.30 or more together" in text
        assert "2 have no price, the shipping of 1 parcel is not known (?)." in text
        assert "hardware counter goods 49.45" in text
        assert "radio spares by post, 9 days goods 28.90 + ?" in text
        assert "here: 30 nail 25 on the shelf, jar 2 (t takes it)" in text
        assert "TWICE C1 and R1 are both to be cut from O12" in text
        assert words_of(rows(pilot).current).startswith("[o] 2"), "the cursor starts on a thing, not on a whole parcel"
        assert any("▎bearing trade counter" in line for line in lines_on(pilot)), "and its seller is in sight"
        assert not bad_cells(pilot)


async def test_packs_for_two_units_come_and_go_with_one_undo(book: Session) -> None:
    glue_for_two(book)
    async with opened(book, ToBuyScreen(book)) as pilot:
        assert "1 thing to get for 2 units, likely $9.50 together." in text_on(pilot)
        assert "C1 and R1 count on the same 300 ml of glue" in text_on(pilot)
        await pilot.press("O")
        assert book.shop.shelf[0].packs_ordered == 1
        assert "[o] 1 pack" in text_on(pilot)
        await pilot.press("h")
        assert "Enter takes the likely price" in text_on(pilot)
        await pilot.press("enter")
        assert "Nothing to buy" in text_on(pilot)
        assert [c.stock for c in book.shop.shelf] == [300, 500], "beside what may be open the pack stands on its own"
        assert [book.unit(c).consumables[0].paid for c in ("R1", "C1")] == [Decimal("6.33"), Decimal("3.17")]
        await pilot.press("z")
        assert [c.stock for c in book.shop.shelf] == [300]
        assert [book.unit(c).consumables[0].paid for c in ("R1", "C1")] == [None, None]
        assert "1 thing to get" in text_on(pilot)


async def test_a_whole_parcel_is_here(book: Session) -> None:
    for code, price in (("R1", "30"), ("C1", "10")):
        book.add_unit(unit(code=code, name=f"unit {code}", parts=[part(price=estimate(price), seller="post")]))
    book.apply_shop("sellers", lambda _: shop(sellers=[Seller(name="post", shipping=estimate("8"), days=9)]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        go(pilot, "post, 9 days")
        await pilot.press("O")
        assert [book.unit(c).parts[0].supply for c in ("R1", "C1")] == [Supply.ORDERED] * 2
        go(pilot, "post, 9 days")
        await pilot.press("h", "enter")
        assert [book.unit(c).parts[0].supply for c in ("R1", "C1")] == [Supply.HERE] * 2
        assert [[(s.what, s.amount) for s in book.unit(c).spent] for c in ("R1", "C1")] == [
            [("shipping, post", Decimal("6.00"))],
            [("shipping, post", Decimal("2.00"))],
        ]


async def test_a_price_is_typed_and_a_bad_one_stays_with_its_sentence(book: Session) -> None:
    glue_for_two(book)
    async with opened(book, ToBuyScreen(book)) as pilot:
        go(pilot, "[ ] 1 pack")
        await pilot.press("dollar_sign")
        ask = pilot.app.screen.query_one(Ask)
        assert ask.is_open
        assert "For one pack of 500 ml" in text_on(pilot)
        await typed(pilot, "12 / 10 / 9")  # in the place of the price that stands there
        await pilot.press("enter")
        assert "the three must not decrease" in text_on(pilot)
        assert book.shop.shelf[0].pack.price == Decimal("9.50")
        pilot.app.screen.query_one("#ask-line").value = ""
        await typed(pilot, "12 €")
        await pilot.press("enter")
        assert "this book counts in $. Convert it first." in text_on(pilot)
        pilot.app.screen.query_one("#ask-line").value = ""
        await typed(pilot, "10.20")
        await pilot.press("enter")
        assert not ask.is_open
        assert (book.shop.shelf[0].pack.price, str(book.shop.shelf[0].pack.price_on)) == (
            Decimal("10.20"),
            "2026-03-20",
        )
        assert "likely $10.20" in text_on(pilot)
        await pilot.press("dollar_sign", "escape")
        assert rows(pilot).has_focus


async def test_the_jar_is_taken(demo: Session) -> None:
    async with opened(demo, ToBuyScreen(demo)) as pilot:
        go(pilot, "nails 25, small box")
        await pilot.press("t")
        assert "taken, 30 nail 25 on the shelf" in said(pilot)
        assert next(c.stock for c in demo.shop.shelf if c.name == "nail 25") == 8
        assert demo.unit("C1").parts[0].supply == Supply.HERE
        go(pilot, "rubber feet")
        await pilot.press("t")
        assert "Neither a spare nor a jar has rubber feet." in said(pilot)
        await pilot.press("z")
        assert next(c.stock for c in demo.shop.shelf if c.name == "nail 25") == 30


async def test_of_two_spares_one_is_chosen(book: Session) -> None:
    spares = [component(c, f"mains cord {c}", disposition=Disposition.SPARE) for c in ("CD", "CE")]
    book.add_unit(unit(code="L1", name="lamp", stage=Stage.STOPPED, components=spares))
    book.add_unit(unit(code="R1", parts=[part()]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        await pilot.press("t")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await pilot.press("down", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ToBuyScreen))
        assert book.unit("R1").parts[0].spare_of == "L1 CE"


async def test_why_and_the_record_behind(book: Session) -> None:
    glue_for_two(book)
    async with opened(book, ToBuyScreen(book)) as pilot:
        go(pilot, "[ ] 1 pack")
        await pilot.press("w")
        assert isinstance(pilot.app.screen, PageScreen)
        assert "C1 200 ml + R1 400 ml; 300 ml in stock, 300 ml missing" in text_on(pilot)
        assert "shared C1 3.17, R1 6.33" in text_on(pilot)
        await pilot.press("escape", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, FormScreen))
        assert (pilot.app.screen.CODE, pilot.app.screen.path) == ("C1", ("consumables", "U1"))


async def test_why_of_a_parcel_says_what_it_frees_as_a_whole(demo: Session) -> None:
    async with opened(demo, ToBuyScreen(demo)) as pilot:
        go(pilot, "radio spares by post")
        await pilot.press("w")
        text = text_on(pilot)
        assert "When all of it is here it frees R1 K01." in text
        assert "Shared over G1, R1 by the likely price of the goods for each" in text


async def test_what_has_no_place_here_says_where_it_belongs(book: Session) -> None:
    book.add_unit(unit(consumables=[use("glue", 3, "ml")]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        await pilot.press("O")
        assert "add it as a part first" in said(pilot)
        go(pilot, "seller not said")
        await pilot.press("t")
        assert "Put the cursor on a thing to buy." in said(pilot)


async def test_an_empty_list_and_a_book_for_reading(book: Session) -> None:
    async with opened(book, ToBuyScreen(book)) as pilot:
        assert "Nothing to buy: everything that the units need is here." in text_on(pilot)
        await pilot.press("h", "O", "t", "w", "enter", "dollar_sign")
        assert isinstance(pilot.app.screen, ToBuyScreen)


async def test_hostile_names_break_nothing(book: Session) -> None:
    for i, text in enumerate(HOSTILE.values()):
        named = text.strip() or "x"
        parts = [part("N1", named, seller=text, only_if=text, pack=text)]
        book.add_unit(unit(code=f"R{i}", parts=parts, consumables=[use(named, 3, "ml", seller=text)]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        for _ in range(12):
            assert not bad_cells(pilot), "\n".join(lines_on(pilot))
            await pilot.press("pagedown")
        await pilot.press("w")
        assert not bad_cells(pilot)


async def test_it_is_one_key_from_the_bench(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.screen, ToBuyScreen))
        assert "14 things to get" in text_on(pilot)


async def test_a_price_in_another_currency_is_refused_in_a_form(demo: Session) -> None:
    demo.apply_shop("currency", lambda s: put(s, "settings", put(s.settings, "currency", "USD")))
    async with opened(demo, FormScreen(demo, "R1", ("parts", "N1"))) as pilot:
        pilot.app.screen.query_one("#fields", Rows).go_to("price")
        await pilot.press("enter")
        pilot.app.screen.query_one("#ask-line").value = ""
        await typed(pilot, "6 / 8 / 12 €")
        await pilot.press("enter")
        assert "this book counts in USD" in text_on(pilot)
        assert demo.unit("R1").parts[0].price == estimate("6.00", "8.40", "12.00")


async def test_a_new_screw_of_a_step_takes_a_price_by_one_key_and_one_change(book: Session) -> None:
    """Neither a jar nor a part stands for it: the price makes the part of that step, dated today."""
    book.add_unit(unit(step(fasteners=[renewed("rubber bush", 2)]), code="R1"))
    async with opened(book, ToBuyScreen(book)) as pilot:
        await pilot.press("dollar_sign")
        await typed(pilot, "3.20")
        await pilot.press("enter")
        (made,) = book.unit("R1").parts
        assert (made.fastener, made.quantity, made.price_on) == ("rubber bush", 2, book.today)
        assert made.for_steps == ("T01",)
        assert "1 thing to get, likely $3.20 together" in text_on(pilot)
        assert "old price" not in text_on(pilot)
        await pilot.press("z")
        assert book.unit("R1").parts == ()


async def test_a_part_typed_with_the_name_of_a_new_fastener_stands_for_it(book: Session) -> None:
    book.add_unit(unit(step(fasteners=[renewed("rubber bush", 2)]), code="R1"))
    async with opened(book, NewScreen(book, "R1", ("parts",), Part, of_list=True)) as pilot:
        await typed(pilot, "Rubber bush, 2, 3.20")
        await pilot.press("enter")
        await until(pilot, lambda: bool(book.unit("R1").parts))
    (made,) = book.unit("R1").parts
    assert (made.fastener, made.price_on) == ("rubber bush", book.today)
    assert len(to_buy([book.unit("R1")], book.shop, book.now).purchases) == 1


async def test_three_amounts_with_blanks_are_told_how_to_be_typed(book: Session) -> None:
    book.add_unit(unit(code="R1", parts=[part()]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        await pilot.press("dollar_sign")
        await typed(pilot, "8 12 18")
        await pilot.press("enter")
        assert "or low / likely / high like 8 / 12 / 18" in text_on(pilot)


@pytest.mark.parametrize(
    ("keys", "paid"),
    [(("enter",), "6.50"), (("7", "full_stop", "2", "enter"), "7.20"), (("delete", "enter"), None),
     (("question_mark", "enter"), None)],
)  # fmt: skip
async def test_what_was_paid_is_asked_with_the_likely_price_offered(book: Session, keys: tuple, paid: str) -> None:
    book.add_unit(unit(parts=[part(price=estimate("5", "6.50", "9"))]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        await pilot.press("h")
        assert "Paid" in text_on(pilot)
        assert book.unit("R1").parts[0].supply is Supply.NEEDED, "nothing is kept before it is answered"
        await pilot.press(*keys)
        (now,) = book.unit("R1").parts
        assert (now.supply, now.paid) == (Supply.HERE, None if paid is None else Decimal(paid))
        assert ("paid: not known" if paid is None else f"paid {paid}") in said(pilot)
        await pilot.press("z")
        assert book.unit("R1").parts[0].supply is Supply.NEEDED


async def test_leaving_the_question_leaves_the_thing_on_the_list(book: Session) -> None:
    book.add_unit(unit(parts=[part(price=None)]))
    async with opened(book, ToBuyScreen(book), size=(60, 20)) as pilot:
        await pilot.press("h")
        assert "what was paid. Enter on an empty" in text_on(pilot)
        await typed(pilot, "about eight")
        await pilot.press("enter")
        assert "eight" in text_on(pilot)
        assert pilot.app.screen.query_one(Ask).is_open, "what was typed stays to be put right"
        await pilot.press("escape")
        assert rows(pilot).has_focus
        assert book.unit("R1").parts[0].supply is Supply.NEEDED


async def test_what_costs_nothing_is_here_at_once(book: Session) -> None:
    book.add_unit(unit(parts=[part(source=Source.SPARE, price=None)]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        await pilot.press("h")
        (now,) = book.unit("R1").parts
        assert (now.supply, now.paid) == (Supply.HERE, None)


async def test_a_jar_of_a_like_name_is_named_beside_the_screw_and_taken(book: Session) -> None:
    """One of 80 is taken: 79 are left, and nothing is to buy."""
    book.add_unit(unit(step(fasteners=[renewed("wood screw 4x30")]), code="R1"))
    book.apply_shop("shelf", lambda _: shop(shelf=[consumable("wood screws 4x30", 80)]))
    async with opened(book, ToBuyScreen(book)) as pilot:
        assert "here: 80 wood screws 4x30 on the shelf (t takes it)" in text_on(pilot)
        await pilot.press("t")
        await until(pilot, lambda: "Nothing to buy" in text_on(pilot))
    assert book.shop.shelf[0].stock == 79
