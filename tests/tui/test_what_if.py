"""What if, paid and taken, and the drawings: by keys, on the radio of the worked example."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.costing import StopState
from logbook.model.words import WorkState
from logbook.model.work import StopLine
from logbook.session import Session
from logbook.tui.screens.costs_screen import CostsScreen
from logbook.tui.screens.drawn_costs_screen import DrawnCostsScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.taken_screen import TakenScreen
from logbook.tui.screens.what_if_rows import _STATE
from logbook.tui.screens.what_if_screen import WhatIfScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import effort, estimate, operation, part, step, unit
from tests.tui.conftest import bad_cells, opened, said, text_on, typed, until


def rows(pilot: object) -> Rows:
    return pilot.app.screen.query_one("#lines", Rows)  # type: ignore[attr-defined,no-any-return]


def row(pilot: object, key: str) -> str:
    return next(" ".join(" ".join(r.lines).split()) for r in rows(pilot).rows if r.key == key)


def test_every_state_of_the_stop_line_has_its_word() -> None:
    assert set(_STATE) == set(StopState)


async def test_the_keys_of_the_costs_lead_there(demo: Session) -> None:
    async with opened(demo, CostsScreen(demo, "R1")) as pilot:
        for key, kind in (("i", WhatIfScreen), ("t", TakenScreen), ("v", DrawnCostsScreen)):
            await pilot.press(key)
            await until(pilot, lambda kind=kind: type(pilot.app.screen) is kind)
            assert not bad_cells(pilot)
            await pilot.press("escape")
            await until(pilot, lambda: type(pilot.app.screen) is CostsScreen)


async def test_a_line_ticked_out_changes_the_decision_and_not_the_record(demo: Session) -> None:
    before = demo.unit("R1")
    async with opened(demo, WhatIfScreen(demo, "R1")) as pilot:
        assert "expected cash 85.24 85.24" in text_on(pilot)
        rows(pilot).go_to("cash N6")
        await pilot.press("space")
        assert "expected cash 85.24 78.91 -6.33" in text_on(pilot)
        assert "high case 156.00 118.00" in text_on(pilot)
        assert row(pilot, "cash N6").startswith("[ ] output transformer")
        assert "1 tried otherwise." in text_on(pilot)
        await pilot.press("space")
        assert row(pilot, "cash N6").startswith("[x] output transformer")
        assert demo.unit("R1") is before


async def test_another_price_rate_chance_and_time_are_typed(demo: Session) -> None:
    async with opened(demo, WhatIfScreen(demo, "R1")) as pilot:
        for key, text in (("cash N6", "50%"), ("rate mine", "20"), ("work K01", "60"), ("instead NEW", "100")):
            rows(pilot).go_to(key)
            await pilot.press("enter")
            await typed(pilot, text)
            await pilot.press("enter")
            await pilot.pause()
        assert "4 tried otherwise." in text_on(pilot)
        assert "expected cash 85.24 97.91 +12.67" in text_on(pilot)
        assert "saves against “buy new” 56.16 2.09" in text_on(pilot)
        assert "(was 2:00 h / 3:00 h / 6:00 h)" in row(pilot, "work K01")
        assert demo.shop.settings.rate == 12


async def test_what_was_tried_is_taken_back_without_touching_the_record(demo: Session) -> None:
    before = demo.unit("R1")
    async with opened(demo, WhatIfScreen(demo, "R1")) as pilot:
        rows(pilot).go_to("cash N6")
        await pilot.press("z")
        assert "Nothing was tried before this" in said(pilot)
        await pilot.press("space")
        rows(pilot).go_to("cash N7")
        await pilot.press("space", "z")
        assert row(pilot, "cash N7").startswith("[x]")
        assert row(pilot, "cash N6").startswith("[ ]")
        await pilot.press("Z")
        assert row(pilot, "cash N7").startswith("[ ]")
        await pilot.press("x")
        assert row(pilot, "cash N7").startswith("[x]")
        await pilot.press("X")
        assert row(pilot, "cash N6").startswith("[x]")
        assert demo.unit("R1") is before


async def test_a_figure_that_cannot_be_stays_in_the_line(demo: Session) -> None:
    async with opened(demo, WhatIfScreen(demo, "R1")) as pilot:
        rows(pilot).go_to("cash N1")
        await pilot.press("enter")
        await typed(pilot, "9/5/12")
        await pilot.press("enter")
        assert "must not decrease" in text_on(pilot)
        assert "9/5/12" in text_on(pilot)
        await pilot.press("escape")
        rows(pilot).go_to("rate mine")
        await pilot.press("space")
        assert "A rate is always there" in said(pilot)


async def test_the_trial_in_full_and_drawn(demo: Session) -> None:
    async with opened(demo, WhatIfScreen(demo, "R1")) as pilot:
        rows(pilot).go_to("cash N6")
        await pilot.press("space", "w")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "expected cash 78.91 is above half of new" in text_on(pilot)
        await pilot.press("escape", "v")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "valve" in text_on(pilot)
        assert "output transformer" not in text_on(pilot)


async def test_what_was_paid_and_taken_is_written_down_here(demo: Session) -> None:
    async with opened(demo, TakenScreen(demo, "R1")) as pilot:
        rows(pilot).go_to("parts N3")
        await pilot.press("enter")
        await typed(pilot, "9.40")
        await pilot.press("enter")
        await pilot.pause()
        assert demo.unit("R1").parts[2].paid == Decimal("9.40")
        assert "9.40 above the high case" in row(pilot, "parts N3")
        rows(pilot).go_to("work B01")
        await pilot.press("enter")
        await typed(pilot, "60")
        await pilot.press("enter")
        await pilot.pause()
        done = demo.unit("R1").operations[0]
        assert (done.spent, done.state) == (60, WorkState.DONE)
        assert "above the high case" in row(pilot, "work B01")
        assert "times its expected time" in text_on(pilot)
        await pilot.press("z")
        assert demo.unit("R1").operations[0].state is WorkState.TO_DO


async def test_a_wrong_amount_or_time_is_refused_where_it_was_typed(demo: Session) -> None:
    async with opened(demo, TakenScreen(demo, "R1")) as pilot:
        for key, text, sentence in (
            ("parts N3", "-1", "from 0 up"),
            ("work B01", "long", "is no length of time"),
        ):
            rows(pilot).go_to(key)
            await pilot.press("enter")
            await typed(pilot, text)
            await pilot.press("enter")
            assert sentence in text_on(pilot)
            await pilot.press("escape")
        assert demo.unit("R1").parts[2].paid is None


async def test_a_suggestion_is_taken_over_only_when_asked(book: Session) -> None:
    old = [operation(f"B{i}", "glue-up", effort(60), state=WorkState.DONE, spent=120) for i in range(4)]
    book.add_unit(unit(code="C1", operations=old))
    book.add_unit(unit(operations=[operation("B11", "glue-up", effort(30, 60, 90)), operation("B12", "cut")]))
    async with opened(book, TakenScreen(book, "R1")) as pilot:
        assert "Past times suggest something for 1 operation" in text_on(pilot)
        assert book.unit("R1").operations[0].effort == effort(30, 60, 90)
        rows(pilot).go_to("work B12")
        await pilot.press("u")
        assert "There is no suggestion here" in said(pilot)
        rows(pilot).go_to("work B11")
        await pilot.press("w")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "4 of this kind took 2.00 times the estimate" in text_on(pilot)
        await pilot.press("escape", "u")
        taken_over = book.unit("R1").operations[0].effort
        assert taken_over is not None
        assert 60 < taken_over.likely < 120


async def test_the_edit_that_passes_the_stop_line_says_so_in_the_message_line(book: Session) -> None:
    parts = [part("N1", "cord", price=estimate("10"))]
    book.add_unit(unit(step("T01"), parts=parts, stop_lines=[StopLine(amount=Decimal(50))]))
    async with opened(book, FormScreen(book, "R1", ("parts", "N1"))) as pilot:
        pilot.app.screen.query_one("#fields", Rows).go_to("price")
        await pilot.press("enter")
        await pilot.press(*["backspace"] * 8)
        await typed(pilot, "10 / 20 / 70")
        await pilot.press("enter")
        await until(pilot, lambda: book.unit("R1").parts[0].price == estimate("10", "20", "70"))
        assert said(pilot).startswith("STOP LINE 50.00: the high case 70.00 now passes it. What did it: cord (+60.00)")


async def test_earlier_stop_lines_stay_in_sight(book: Session) -> None:
    lines = [StopLine(amount=Decimal(50)), StopLine(amount=Decimal(80), why="the bushes count")]
    book.add_unit(unit(step("T01"), parts=[part(price=estimate("10"))], stop_lines=lines))
    async with opened(book, CostsScreen(book, "R1")) as pilot:
        assert "before: 50.00" in text_on(pilot)
        rows(pilot).go_to("stop")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, PageScreen))
        assert "holds: 80.00, set ?: the bushes count" in text_on(pilot)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (130, 40)])
async def test_every_width_is_filled_exactly(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, WhatIfScreen(demo, "R1"), size=size) as pilot:
        await pilot.press("down", "down", "space")
        assert not bad_cells(pilot)
    async with opened(demo, TakenScreen(demo, "R1"), size=size) as pilot:
        assert not bad_cells(pilot)
