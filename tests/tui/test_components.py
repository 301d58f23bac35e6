"""Components and parts: what is decided, what is here, all by single keys."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.model.unit import Unit
from logbook.model.words import Disposition, Source, Supply
from logbook.session import Session
from logbook.tui.look.inks import text_of
from logbook.tui.screens.component_rows import belongs_to, component_entries, supply_words
from logbook.tui.screens.components_screen import ComponentsScreen, components_question
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.widgets.entries import Entries
from logbook.tui.widgets.pane import Pane
from logbook.tui.widgets.rows import Rows
from tests.builders import component, estimate, part, step, unit
from tests.hostile import filled, texts
from tests.tui.conftest import bad_cells, lines_on, opened, said, text_on, typed, until

TODAY = date(2026, 3, 20)


def radio() -> Unit:
    """Two components and two parts."""
    return unit(
        step("T01", "speaker off", components=["SP"]),
        step("T02", "cord off"),
        components=[
            component("SP", where_kept="shelf", condition="cone sound"),
            component("KS", "knob", quantity=2, disposition=Disposition.REPAIR, from_step="T02"),
        ],
        parts=[
            part("N1", "mains cord", for_steps=["T02"], price=estimate("5", "6.50", "9")),
            part("N2", "valve", only_if="only if weak", for_components=["KS"], price=estimate("0", "0", "12")),
        ],
    )


def in_full(pilot: object) -> str:
    """What the pane says of what is under the cursor."""
    pane = pilot.app.screen.query_one("#in-full", Pane)  # type: ignore[attr-defined]
    return " ".join(" ".join(text_of(spans) for spans in pane.lines).split())


async def test_what_is_undecided_comes_first_in_the_sentence(book: Session) -> None:
    async with opened(book, None, radio()) as pilot:
        await pilot.app.push_screen(ComponentsScreen(book, "R1"))
        await pilot.pause()
        assert "Not decided yet: SP speaker. Still to clean, repair or test: KS. 2 of 2 parts are not here." in text_on(
            pilot
        )
        row = next(x for x in lines_on(pilot) if x.startswith("▌SP"))
        assert "cone sound" in row
        assert " UNDECIDED " in row
        assert "shelf" in row
        assert "2 knob" in text_on(pilot)
        assert "~6.50 T02" in text_on(pilot)
        assert "to buy 0-12.00 KS" in text_on(pilot)
        assert not bad_cells(pilot)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 50)])
async def test_every_cell_wraps_and_none_is_cut(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, ComponentsScreen(demo, "R1"), size=size) as pilot:
        things = pilot.app.screen.query_one("#things", Entries)
        assert max(len(line) for row in things.rows for line in row.lines) <= things.columns
        assert "…" not in "".join(line for row in things.rows for line in row.lines)


async def test_beside_the_list_it_stands_in_full_with_what_is_open(book: Session) -> None:
    async with opened(book, None, radio(), size=(120, 40)) as pilot:
        await pilot.app.push_screen(ComponentsScreen(book, "R1"))
        await until(pilot, lambda: "Nobody has decided what becomes of it: d." in in_full(pilot))
        assert "condition cone sound" in in_full(pilot)
        await pilot.press("down")
        await until(pilot, lambda: "N2 valve: to buy." in in_full(pilot))
        assert "Repair: still to do; h says that it is" in in_full(pilot)
        await pilot.press("down")
        await until(pilot, lambda: "The refit of T02 cord off waits for N1." in in_full(pilot))


@pytest.mark.parametrize(
    ("key", "disposition"),
    [("3", Disposition.KEEP), ("k", Disposition.KEEP), ("0", Disposition.HAZARDOUS), ("h", Disposition.HAZARDOUS)],
)
async def test_a_disposition_is_one_key_and_a_digit(book: Session, key: str, disposition: Disposition) -> None:
    book.add_unit(radio())
    async with opened(book, ComponentsScreen(book, "R1")) as pilot:
        await pilot.press("d", key)
        await pilot.pause()
        assert book.unit("R1").components[0].disposition is disposition
        assert said(pilot) == f"SP: {disposition}"
        assert pilot.app.screen.query_one("#things", Rows).has_focus
        await pilot.press("z")
        assert book.unit("R1").components[0].disposition is Disposition.UNDECIDED


async def test_here_for_a_part_and_done_for_a_repair(book: Session) -> None:
    book.add_unit(radio())
    async with opened(book, ComponentsScreen(book, "R1")) as pilot:
        await pilot.press("h")
        assert "choose that first" in said(pilot), "an undecided component cannot be done"
        await pilot.press("down", "h")
        assert book.unit("R1").components[1].repaired
        assert "repair done" in text_on(pilot)
        await pilot.press("space")
        assert not book.unit("R1").components[1].repaired
        await pilot.press("down", "h")
        assert book.unit("R1").parts[0].supply is Supply.HERE
        assert "1 of 2 parts is not here" in text_on(pilot)
        await pilot.press("h")
        assert book.unit("R1").parts[0].supply is Supply.NEEDED


async def test_a_part_is_ordered_by_d(book: Session) -> None:
    book.add_unit(radio())
    async with opened(book, ComponentsScreen(book, "R1")) as pilot:
        await pilot.press("end", "d", "o")
        await pilot.pause()
        kept = book.unit("R1").parts[1]
        assert (kept.supply, kept.ordered_on) == (Supply.ORDERED, TODAY)


async def test_adding_asks_only_for_what_is_needed_and_taking_out_can_be_undone(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ComponentsScreen(book, "R1")) as pilot:
        assert "Press a for the first." in text_on(pilot)
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewScreen))
        await pilot.press("enter")
        await typed(pilot, "dial glass")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ComponentsScreen))
        assert [c.name for c in book.unit("R1").components] == ["dial glass"]
        await pilot.press("x")
        assert book.unit("R1").components == ()
        await pilot.press("z")
        assert [c.name for c in book.unit("R1").components] == ["dial glass"]


async def test_a_found_thing_is_under_the_cursor(book: Session) -> None:
    book.add_unit(radio())
    async with opened(book) as pilot:
        pilot.app.go_to("R1", "part", "N2")  # type: ignore[attr-defined]
        await until(pilot, lambda: any(x.startswith("▌N2") for x in lines_on(pilot)))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, FormScreen))
        assert pilot.app.screen.path == ("parts", "N2")  # type: ignore[attr-defined]


async def test_the_cursor_stays_on_its_thing_when_another_goes(book: Session) -> None:
    book.add_unit(radio())
    async with opened(book, ComponentsScreen(book, "R1")) as pilot:
        await pilot.press("end")
        book.apply("R1", "gone", lambda u: u.model_copy(update={"components": u.components[1:]}))
        await pilot.pause()
        row = pilot.app.screen.query_one("#things", Rows).current
        assert row is not None
        assert row.key == "parts N2"


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (130, 40)])
async def test_hostile_words_break_no_line(demo: Session, size: tuple[int, int]) -> None:
    hostile = filled(demo.unit("R1"), texts(3))
    demo._units["R1"] = hostile
    async with opened(demo, ComponentsScreen(demo, "R1"), size=size) as pilot:
        for _ in range(3):
            assert not bad_cells(pilot)
            await pilot.press("pagedown")


@pytest.mark.parametrize(
    ("where", "code", "sentence"),
    [
        ("components", "SP", "SP came out at T01 speaker off."),
        ("components", "KS", "KS came out at T02 cord off. N2 valve takes its place."),
        ("parts", "N1", "The refit of T02 cord off waits for N1."),
        ("parts", "N2", "No step is named that waits for N2; Enter says for which steps it is."),
    ],
)
def test_why_says_where_it_belongs(where: str, code: str, sentence: str) -> None:
    assert belongs_to(radio(), where, code) == sentence


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"supply": "here"}, "here"),
        ({"source": "newly made"}, "newly made"),
        ({"supply": "ordered"}, "ordered"),
        ({"supply": "ordered", "expected_on": date(2026, 3, 24)}, "ordered, due Tue"),
    ],
)
def test_how_far_a_part_has_come(more: dict[str, object], words: str) -> None:
    assert supply_words(part(**more), TODAY) == words


def test_nothing_is_decided_about_nothing() -> None:
    assert components_question(unit()) == "What came out that is worth a name of its own?"
    assert component_entries(unit(), TODAY, 78, beside=False) == []
    assert components_question(unit(components=[component(disposition=Disposition.KEEP)])) == (
        "The component is decided."
    )
    assert supply_words(part(source=Source.BUY), TODAY) == "to buy"
