"""A loose screw told from its measures, by real key presses."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui.screens.loose_screw_screen import LooseScrewScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.widgets.input_line import Line
from logbook.tui.widgets.rows import Rows
from tests.builders import screws, step, unit
from tests.tui.conftest import HOSTILE, bad_cells, opened, text_on, typed


def radio() -> Unit:
    return unit(
        step("T01", "back", fasteners=[screws(4, kind="screw M4x10")], bag="1"),
        step("T02", "foot", fasteners=[screws(6, 5, kind="screw M4x10")], bag="2"),
        step("T03", "lid", fasteners=[screws(2, kind="screw M4x25")], bag="3"),
    )


def screen(pilot: Pilot[Any]) -> LooseScrewScreen:
    top = pilot.app.screen
    assert isinstance(top, LooseScrewScreen)
    return top


def threads_on(pilot: Pilot[Any]) -> list[str]:
    return [" ".join(row.lines[0].split()) for row in screen(pilot).query_one(Rows).rows]


async def entered(pilot: Pilot[Any], *measures: str) -> None:
    """Type the measures, going from one to the next with Tab."""
    for i, words in enumerate(measures):
        if i:
            await pilot.press("tab")
        if words:
            await typed(pilot, words)


async def test_an_empty_screen_says_what_to_measure(book: Session) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        assert "Measure the screw over its threads and type the diameter" in text_on(pilot)
        assert threads_on(pilot) == []
        assert isinstance(pilot.app.focused, Line)


async def test_it_is_reached_by_its_letter_from_the_reassembly(book: Session) -> None:
    async with opened(book, ReassemblyScreen(book, "R1"), radio()) as pilot:
        await pilot.press("I")
        await pilot.pause()
        assert "R1 table radio / which screw is this" in text_on(pilot)


async def test_the_answer_comes_while_it_is_typed(book: Session) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        await entered(pilot, "3.95", "0.7")
        shown = text_on(pilot)
        assert "Likely M4 (ISO metric, coarse; pitch 0.7 mm)." in shown
        assert "inside 3.84 to 3.98 mm; pitch exact" in shown
        assert "tap drill 3.3 mm; clearance hole 4.3 mm close, 4.5 mm medium, 4.8 mm coarse" in shown
        assert threads_on(pilot)[0] == "fits M4 (ISO metric, coarse; pitch 0.7 mm)"
        assert "belongs to: T02 foot, bag 2: 5 screw M4x10, 1 MISSING there" in shown


async def test_length_and_number_change_the_order_of_the_places(book: Session) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        await entered(pilot, "3.95", "0.7", "25", "2")
        assert "belongs to: T03 lid, bag 3: 2 screw M4x25, the length fits, the number fits" in text_on(pilot)


async def test_kind_narrows_to_wood_screws(book: Session) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        await entered(pilot, "4.1", "", "", "", "wood")
        assert threads_on(pilot)
        assert all("wood screw" in words for words in threads_on(pilot))


REFUSED = [
    (("nine",), "“nine” is not a length."),
    (("400",), "“400” is no diameter of a screw"),
    (("4", "coarse"), "“coarse” is no pitch"),
    (("4", "", "-3"), "“-3” is"),
    (("4", "", "", "some"), "“some” is no number of screws"),
    (("4", "", "", "", "bolt"), "“bolt” is no kind of screw here"),
]


@pytest.mark.parametrize(("measures", "sentence"), REFUSED)
async def test_what_is_no_measure_is_said_and_stays(book: Session, measures: tuple[str, ...], sentence: str) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        await entered(pilot, *measures)
        assert sentence in text_on(pilot)
        assert threads_on(pilot) == []
        assert isinstance(pilot.app.focused, Line)
        assert pilot.app.focused.value == measures[-1]


async def test_every_place_of_a_thread_has_a_page(book: Session) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        await entered(pilot, "3.95", "0.7")
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PageScreen)
        shown = text_on(pilot)
        for words in ("T02 foot, bag 2", "T01 back, bag 1", "T03 lid, bag 3", "at most 0.05 mm outside"):
            assert words in shown


async def test_why_names_tolerances_and_tables_and_escape_comes_back(book: Session) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        await entered(pilot, "3.95")
        await pilot.press("down", "w")
        await pilot.pause()
        assert "ISO metric to tolerance class 6g" in text_on(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert screen(pilot).query_one("#diameter", Line).value == "3.95"
        await pilot.press("E")
        await pilot.pause()
        assert pilot.app.focused is screen(pilot).query_one("#diameter", Line)


async def test_nothing_here_changes_the_record(book: Session) -> None:
    async with opened(book, LooseScrewScreen(book, "R1"), radio()) as pilot:
        before = book.unit("R1"), book.kept("R1").version
        await entered(pilot, "3.95", "0.7", "10", "1")
        await pilot.press("down", "enter", "escape")
        assert (book.unit("R1"), book.kept("R1").version) == before


@pytest.mark.parametrize("columns", [60, 80])
async def test_any_text_in_a_field_or_in_the_record_keeps_the_screen_whole(book: Session, columns: int) -> None:
    texts = [text[:200].replace("\n", " ").replace("\t", " ") for text in HOSTILE]
    hostile = unit(*(step(f"T{i:02d}", t, fasteners=[screws(1, kind="screw M4x10")]) for i, t in enumerate(texts, 1)))
    async with opened(book, LooseScrewScreen(book, "R1"), hostile, size=(columns, 24)) as pilot:
        await entered(pilot, "3.95", "", "", "", "machine")
        assert bad_cells(pilot) == []
        assert threads_on(pilot)
        diameter = screen(pilot).query_one("#diameter", Line)
        diameter.focus()
        for text in HOSTILE:
            diameter.value = ""
            await typed(pilot, text)
            assert diameter.value != ""
            assert bad_cells(pilot) == []
