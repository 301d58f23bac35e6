"""The costs screen shows the radio's figures, opens the record behind each line and says where figures come from.

The figures are those of the radio worked by hand, not taken from the program.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from logbook.costing import BillGroup, bill_of_materials
from logbook.model.words import ComparatorKind, Disposition, WorkState
from logbook.model.work import Comparator
from logbook.session import Session
from logbook.tui.screens.bill_rows import record_behind
from logbook.tui.screens.costs_screen import CostsScreen
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import component, estimate, operation, part, step, unit
from tests.hostile import filled, texts
from tests.tui.conftest import NOW, bad_cells, lines_on, opened, said, text_on, typed, until


def costs(pilot: object) -> Rows:
    """The list of lines."""
    return pilot.app.screen.query_one("#lines", Rows)  # type: ignore[attr-defined,no-any-return]


def line_of(pilot: object, key: str) -> str:
    """The line with that key, with single blanks."""
    return next(" ".join(" ".join(row.lines).split()) for row in costs(pilot).rows if row.key == key)


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("row rebuild ", "rebuild 85.24 ┊ ┣━━◆┃━━━┫ 23.4 ~3 weeks"),
        ("stop", "COULD PASS stop line 100.00: likely and expected are under it, the high case is over by 56.00"),
        ("cash", "cash 58.25 74.30 156.00 85.24 of it contingency 10.94"),
        ("hours", "hours 15.33 21.60 38.70 23.41"),
        ("view to pay", "to pay 74.30 whole packs, parts and the rest: what leaves the purse"),
        ("view used up", "used up 66.31 shares of packs 60.52 + from stock 5.79"),
        ("view with own material", "with own material 91.28 used up + own material at replacement 24.97"),
        ("spent", "already spent 13.50 not in the decision"),
        ("test", "FIRST output transformer windings continuous, 18 min"),
    ],
)
async def test_the_figures_of_the_radio(demo: Session, key: str, words: str) -> None:
    async with opened(demo, CostsScreen(demo, "R1")) as pilot:
        assert "Against “buy new”: 56.16 cheaper in cash, 2.40 per hour of work." in text_on(pilot)
        assert line_of(pilot, key) == words
        assert not bad_cells(pilot)


async def test_the_comparators_stand_in_the_table(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1")) as pilot:
        text = text_on(pilot)
        assert "buy new 141.40 ┊ ┃ ● 3 days" in text
        assert "buy used, restored 205.00" in text
        assert "buy used, as is 80.00" in text
        assert "+ repair risk" in text, "below it, where the drawing has no room beside the point"
        assert "stop, sell the parts -38.25" in text
        assert "sell the rebuilt -46.76 ┣" in text
        found = next(row.key for row in costs(pilot).rows if row.key.startswith("row sell"))
        costs(pilot).go_to(found)
        await pilot.press("w")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "Between -73.75 and 24.00." in text_on(pilot)
        assert "leaves 46.76" in text_on(pilot)
        assert "2.00 for each hour of work" in text_on(pilot)


async def test_a_wide_terminal_draws_what_moves_the_sum_and_says_both_rates(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1"), size=(120, 40)) as pilot:
        text = text_on(pilot)
        assert "hours at 12/h at 30/h ready in" in text
        assert "23.4 366.11 787.41 ~3 weeks" in text
        assert "+ repair risk" in text
        assert "and 2 more" in text, "what has no room in the pane is counted"
        assert not bad_cells(pilot)
        assert [row.key for row in costs(pilot).rows if row.key.startswith("driver")] == [], "said once"


async def test_a_price_that_is_not_known_is_a_question_mark_and_is_counted(book: Session) -> None:
    book.add_unit(unit(step("T01"), parts=[part("N1", "cord", for_steps=["T01"]), part("N2", price=estimate("6"))]))
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        assert "? cord has no price" in line_of(pilot, "missing 0")
        bill = next(row.lines[0] for row in costs(pilot).rows if " N1 " in row.key)
        assert " ? " in bill
        assert line_of(pilot, "cash").startswith("cash 6.00+? 6.00+? 6.00+?")
        assert "1 thing has no price or time yet (?)." in text_on(pilot)


@pytest.mark.parametrize(
    ("key", "kind", "path"),
    [
        ("row buy new X1", FormScreen, ("comparators",)),
        ("row rebuild ", ListScreen, ("operations",)),
        ("test", FormScreen, ("arrival", "make_or_break", 0)),
        ("bill parts N3 0", FormScreen, ("parts", "N3")),
        ("spent", ListScreen, ("spent",)),
    ],
)
async def test_enter_opens_the_record_behind_the_line(
    demo: Session, key: str, kind: type, path: tuple[object, ...]
) -> None:
    async with opened(demo, CostsScreen(demo, "R1")) as pilot:
        found = [
            r.key for r in costs(pilot).rows if r.key == key or (key.endswith("X1") and r.key.startswith(key[:-2]))
        ]
        assert costs(pilot).go_to(found[0])
        await pilot.press("enter")
        await until(pilot, lambda: type(pilot.app.screen) is kind)
        assert pilot.app.screen.path[: len(path)] == path  # type: ignore[attr-defined]


async def test_every_line_says_where_it_comes_from(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1")) as pilot:
        costs(pilot).go_to("cash")
        await pilot.press("w")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "(58.25 + 4 × 74.30 + 156.00) / 6 = 85.24" in text_on(pilot)
        assert "output transformer 0.00 / 0.00 / 38.00, only if open" in text_on(pilot)
        await pilot.press("escape")
        found = next(row.key for row in costs(pilot).rows if row.key.startswith("row buy new"))
        costs(pilot).go_to(found)
        await pilot.press("w")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "Gap: 141.40 − expected cash 85.24 = 56.16." in text_on(pilot)
        assert "56.16 / 23.4056 hours = 2.40 per hour" in text_on(pilot)
        assert "the same after 4.68 hours" in text_on(pilot)
        assert "give up by going on: 17.91" in text_on(pilot)


async def test_the_stop_line_is_set_here_and_moves_only_with_a_reason(book: Session) -> None:
    book.add_unit(unit(step("T01"), parts=[part(price=estimate("10", "60", "200"))]))
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        assert "none set. Press l" in line_of(pilot, "stop")
        await pilot.press("l")
        await typed(pilot, "50")
        await pilot.press("enter")
        await pilot.pause()
        line = book.unit("R1").stop_lines[0]
        assert (line.amount, line.why, line.set_at) == (Decimal("50.00"), "", NOW)
        assert "PASSED stop line 50.00: likely is over by 10.00" in line_of(pilot, "stop")
        await pilot.press("l")
        await typed(pilot, "80")
        await pilot.press("enter")
        assert "moved only with a reason" in text_on(pilot)
        await typed(pilot, " the cord must be new")
        await pilot.press("enter")
        await pilot.pause()
        assert [(s.amount, s.why) for s in book.unit("R1").stop_lines][1] == (Decimal("80.00"), "the cord must be new")
        assert said(pilot) == "stop line 80.00: the cord must be new"


async def test_a_refused_amount_stays_in_the_line(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        await pilot.press("l")
        await typed(pilot, "much")
        await pilot.press("enter")
        assert "is not an amount" in text_on(pilot)
        assert book.unit("R1").stop_lines == ()
        await pilot.press("escape", "l")
        assert "Stop line much" in text_on(pilot), "leaving keeps what was typed"


async def test_what_is_to_buy_goes_from_the_list_when_it_comes(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1")) as pilot:
        await pilot.press("m")
        await until(pilot, lambda: isinstance(pilot.app.screen, ToBuyScreen))
        assert "10 things to get, likely $74.30 together." in text_on(pilot)
        await pilot.press("O")
        assert demo.unit("R1").parts[1].supply == "ordered"
        await pilot.press("h", "enter")
        await pilot.pause()
        assert demo.unit("R1").parts[1].supply == "here"
        assert "9 things to get, likely $71.10 together." in text_on(pilot)
        await pilot.press("z")
        assert "10 things to get" in text_on(pilot)


async def test_a_unit_with_nothing_recorded_says_what_to_write_down(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        assert "There is nothing to compare with yet" in text_on(pilot)
        assert "Nothing is needed by the record so far" in line_of(pilot, "bill")
        assert line_of(pilot, "row rebuild ") == "rebuild ? ? ?", "what was never written down is not zero"
        assert line_of(pilot, "cash") == "cash ? ? ? ?"
        assert line_of(pilot, "hours") == "hours ? ? ? ?"
        assert line_of(pilot, "view to pay").startswith("to pay ?")


async def test_what_is_done_and_here_costs_nothing_any_more(book: Session) -> None:
    """Everything needed is here and every operation done: that is a true zero."""
    done = operation("B01", state=WorkState.DONE)
    book.add_unit(unit(step("T01"), parts=[part(supply="here", price=estimate("6"))], operations=[done]))
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        assert line_of(pilot, "row rebuild ") == "rebuild 0.00 0.0 now"


async def test_an_operation_without_a_time_makes_the_hours_a_lower_limit(book: Session) -> None:
    book.add_unit(unit(step("T01"), operations=[operation("B01", minutes=60), operation("B02", "glue", None)]))
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        assert line_of(pilot, "hours") == "hours 1.00+? 1.00+? 1.00+? 1.00+?"
        assert "? B02 glue has no time" in line_of(pilot, "missing 0")


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (130, 40)])
async def test_hostile_words_break_no_line(demo: Session, size: tuple[int, int]) -> None:
    demo._units["R1"] = filled(demo.unit("R1"), texts(5))
    async with opened(demo, CostsScreen(demo, "R1"), size=size) as pilot:
        for _ in range(4):
            assert not bad_cells(pilot)
            await pilot.press("pagedown")
        await pilot.press("w")
        await pilot.pause()
        assert not bad_cells(pilot)


async def test_wide_terminals_show_all_three_points(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1"), size=(130, 60)) as pilot:
        assert any("6.00 / 8.40 / 12.00" in row.lines[0] for row in costs(pilot).rows)
        assert "at 30/h" in lines_on(pilot)[4]


def test_every_line_of_a_bill_leads_to_a_record_of_its_own_kind(demo: Session) -> None:
    radio = demo.unit("R1")
    twins = radio.model_copy(update={"components": (*radio.components, component("N1", disposition=Disposition.RENEW))})
    for line in bill_of_materials(twins, demo.shop).lines:
        path = record_behind(twins, line)
        assert path is not None, line
        if line.group is BillGroup.COMPONENT:
            assert path[0] == "components"
        if line.group is BillGroup.PART:
            assert path == ("parts", line.code)


async def test_a_stop_line_is_not_read_against_nothing(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "G1")) as pilot:
        assert line_of(pilot, "stop") == (
            "NOT KNOWN stop line 40.00: says nothing yet, because nothing that is to come has a price (?)"
        )


async def test_lowest_pay_and_months_at_rest_are_set_with_the_stop_line_and_read_beside_it(
    book: Session,
) -> None:
    """Cash 60 against 100 for a new one, 10 hours of work: an hour pays (100 - 60) / 10 = 4."""
    new = Comparator(code="N", kind=ComparatorKind.NEW, what="a new one", price=Decimal(100))
    old = step("T01", at=NOW - timedelta(days=95))
    costly = unit(old, parts=[part(price=estimate("60"))], operations=[operation(minutes=600)], comparators=[new])
    book.add_unit(costly.model_copy(update={"touched": NOW - timedelta(days=95)}))
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        await pilot.press("l")
        await typed(pilot, "100, at least 3.50 an hour, 12 months at rest")
        await pilot.press("enter")
        await pilot.pause()
        line = book.unit("R1").stop_lines[0]
        assert (line.amount, line.least_rate, line.months_at_rest) == (Decimal("100.00"), Decimal("3.50"), 12)
        assert line_of(pilot, "stop-rate") == "RULE at least 3.50 an hour: against “buy new” an hour pays 4.00"
        assert line_of(pilot, "stop-at-rest").startswith("RULE at most 12 months at rest: untouched for")
        await pilot.press("l")
        await typed(pilot, "100 my hours are worth more, 5 an hour")
        await pilot.press("enter")
        await pilot.pause()
        line = book.unit("R1").stop_lines[-1]
        assert (line.least_rate, line.months_at_rest, line.why) == (Decimal("5.00"), 12, "my hours are worth more")
        assert line_of(pilot, "stop-rate") == "STOP at least 5.00 an hour: against “buy new” an hour pays 4.00"
        assert not bad_cells(pilot)


async def test_on_a_narrow_terminal_the_scale_stays_and_when_it_is_ready_stands_behind_w(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1"), size=(60, 20)) as pilot:
        assert "┣" in line_of(pilot, "row rebuild ")
        assert "weeks" not in line_of(pilot, "row rebuild ")
        await pilot.press("w")
        await pilot.pause()
        assert "Ready ~3 weeks" in text_on(pilot)
        assert "┣" not in text_on(pilot), "the drawing is no title of a page"
