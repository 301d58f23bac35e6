"""The arrival: facts first, each one key away, and the stage, class and waits written down without leaving."""

from __future__ import annotations

import re
from datetime import date

import pytest

from logbook.model.dangers import sentences
from logbook.model.templates import hazard_note, usual_hazards
from logbook.model.unit import Arrival
from logbook.model.words import Disposition, Stage
from logbook.model.work import MakeOrBreak, Waiting
from logbook.session import Session
from logbook.tui.look.inks import text_of
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.widgets.entries import Entries
from logbook.tui.widgets.pane import Pane
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.rows import Rows
from tests.builders import component, hazard, unit
from tests.hostile import filled, texts
from tests.tui.conftest import HOSTILE, bad_cells, lines_on, opened, said, text_on, typed, until


def facts(pilot: object) -> Rows:
    """The list of facts."""
    return pilot.app.screen.query_one("#facts", Rows)  # type: ignore[attr-defined,no-any-return]


def everything(pilot: object) -> str:
    """All facts, also those that are not in sight."""
    return "\n".join(line for row in facts(pilot).rows for line in row.lines)


def in_words(text: str) -> str:
    """The same with one blank between words, however they stand in rows."""
    return " ".join(text.split())


def in_full(pilot: object) -> str:
    """What the pane says of the fact under the cursor."""
    pane = pilot.app.screen.query_one("#full", Pane)  # type: ignore[attr-defined]
    return in_words(" ".join(text_of(spans) for spans in pane.lines))


async def test_the_facts_of_the_radio_stand_there_with_their_cautions(demo: Session) -> None:
    async with opened(demo, ArrivalScreen(demo, "R1")) as pilot:
        assert "FIRST the make-or-break test: output transformer windings continuous." in text_on(pilot)
        shown = in_words(everything(pilot))
        assert "as found Dead (not powered)" in shown
        assert shown.count(hazard_note()) == shown.count("Local codes and licensed practice come first") == 1
        for hazard in demo.unit("R1").hazards:
            assert f"{hazard.signal} {hazard.what}" in shown
            assert sentences(hazard.do)[0] in shown, "one whole sentence of each"
        assert "mains voltage not proved safe Unplug, tag the plug OUT and keep it in sight." in shown
        assert "further cash 100.00" in shown
        assert "already spent 13.50" in shown
        assert "held sizes 6 inside width" in shown
        assert "operations 17 lay out" in shown
        caution = everything(pilot).index(hazard_note()[:30])
        assert caution < everything(pilot).index("WARNING "), "the caution stands before the hazards"
        assert not bad_cells(pilot)


async def test_beside_the_list_the_fact_under_the_cursor_stands_in_full(demo: Session) -> None:
    async with opened(demo, ArrivalScreen(demo, "R1"), size=(120, 40)) as pilot:
        for hazard in demo.unit("R1").hazards:
            facts(pilot).go_to(f"hazard {hazard.what}")
            await until(pilot, lambda hazard=hazard: f"{hazard.signal} {hazard.what}" in in_full(pilot))
            for sentence in (*sentences(hazard.do), *sentences(hazard.prove)):
                assert sentence in in_full(pilot)
        facts(pilot).go_to("operations")
        await until(pilot, lambda: "operations 17" in in_full(pilot))
        for operation in demo.unit("R1").operations:
            assert operation.name in in_full(pilot), "every one of the list, where the list names the first"
        assert not bad_cells(pilot)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 50)])
async def test_nothing_of_a_fact_is_cut_at_any_width(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, ArrivalScreen(demo, "R1"), size=size) as pilot:
        entries = pilot.app.screen.query_one("#facts", Entries)
        assert max(len(line) for row in entries.rows for line in row.lines) <= entries.columns
        shown = in_words(everything(pilot))
        assert "…" not in shown
        assert "stop if open, and no donor under 20" in shown
        assert demo.unit("R1").arrival.as_found in shown
        assert demo.unit("R1").arrival.note in shown


async def test_a_new_unit_says_what_is_missing_and_which_key_brings_it(book: Session) -> None:
    async with opened(book, None, unit()) as pilot:
        await pilot.app.push_screen(ArrivalScreen(book, "R1"))
        await pilot.pause()
        assert "No hazards are written down: press c" in text_on(pilot)
        shown = everything(pilot)
        assert "W writes down what it waits for" in shown
        assert "as found        ?" in shown
        assert "none set" in shown


@pytest.mark.parametrize(("key", "stage"), [("2", Stage.TEARDOWN), ("t", Stage.TEARDOWN), ("4", Stage.REASSEMBLY)])
async def test_the_stage_is_picked_without_leaving(book: Session, key: str, stage: Stage) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("G")
        assert "[1 arrival]" in text_on(pilot)
        await pilot.press(key)
        await pilot.pause()
        assert book.unit("R1").stage is stage
        assert f"Stage: {stage}." in text_on(pilot)
        assert facts(pilot).has_focus
        await pilot.press("z")
        assert book.unit("R1").stage is Stage.ARRIVAL


async def test_while_a_choice_is_open_no_other_key_does_anything(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("G", "q", "z", "x", "9")
        assert isinstance(pilot.app.screen, ArrivalScreen)
        pick = pilot.app.screen.query_one(Pick)
        assert pick.is_open
        await pilot.press("escape")
        assert not pick.is_open
        assert book.unit("R1").stage is Stage.ARRIVAL
        await pilot.press("G", "right", "right", "enter")
        await pilot.pause()
        assert book.unit("R1").stage is Stage.REBUILD


async def test_an_unclear_first_letter_moves_and_enter_takes(book: Session) -> None:
    """“r” could be rebuild or reassembly: it goes from one to the other, and nothing is taken by surprise."""
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("G", "r")
        assert book.unit("R1").stage is Stage.ARRIVAL
        assert "[3 rebuild]" in text_on(pilot)
        await pilot.press("r", "enter")
        await pilot.pause()
        assert book.unit("R1").stage is Stage.REASSEMBLY


async def test_stopping_asks_for_the_reason(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("G", "6")
        await typed(pilot, "dearer than new [oak=2]")
        await pilot.press("enter")
        await pilot.pause()
        kept = book.unit("R1")
        assert (kept.stage, kept.why_stopped) == (Stage.STOPPED, "dearer than new [oak=2]")
        assert "Stopped: dearer than new [oak=2]." in text_on(pilot)


async def test_a_half_typed_reason_is_kept_and_nothing_is_stopped(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("G", "6")
        await typed(pilot, "too dear")
        await pilot.press("escape")
        assert book.unit("R1").stage is Stage.ARRIVAL
        await pilot.press("G", "6", "enter")
        await pilot.pause()
        assert (book.unit("R1").stage, book.unit("R1").why_stopped) == (Stage.STOPPED, "too dear")
        assert book.draft("R1/stopped") == ""


async def test_it_cannot_be_closed_with_open_ends(book: Session) -> None:
    hazardous = component(disposition=Disposition.HAZARDOUS)
    book.add_unit(unit(components=[hazardous], stage=Stage.REASSEMBLY))
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("G", "5")
        await pilot.pause()
        assert book.unit("R1").stage is Stage.REASSEMBLY
        assert "It cannot be closed yet" in said(pilot)
        assert "speaker is hazardous" in said(pilot)


async def test_of_many_open_ends_the_first_is_named_and_the_others_counted(demo: Session) -> None:
    async with opened(demo, ArrivalScreen(demo, "R1")) as pilot:
        await pilot.press("G", "5")
        await pilot.pause()
        assert re.match(r"It cannot be closed yet \(\d\d open; m in 5 lists them\): bag 5", said(pilot))


async def test_choosing_a_class_brings_its_hazards_and_undo_takes_them_away(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await typed(pilot, "clock")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ArrivalScreen))
        assert book.unit("R1").arrival.object_class == "clock"
        assert book.unit("R1").hazards == usual_hazards("clock") != ()
        facts(pilot).go_to("hazard spring under load")
        await pilot.press("w")
        assert said(pilot) == "It is usual for the class “clock”."
        await pilot.press("z")
        assert book.unit("R1").hazards == ()


@pytest.mark.parametrize(("word", "name"), [("fan", "anything with a plug"), ("kettle", "heating appliance")])
async def test_an_everyday_word_finds_the_class(book: Session, word: str, name: str) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await typed(pilot, word)
        assert "for example: " in text_on(pilot)
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ArrivalScreen))
        assert book.unit("R1").arrival.object_class == name


async def test_a_second_class_says_which_warnings_stay_from_before(book: Session) -> None:
    book.add_unit(unit(hazards=[hazard("stored charge")]))
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await typed(pilot, "anything with a plug")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ArrivalScreen))
        assert [h.what for h in book.unit("R1").hazards] == ["mains voltage", "stored charge"]
        said_now = "hazard class: anything with a plug. Still here from before: stored charge; x takes one out."
        assert said(pilot) == said_now


async def test_leaving_the_choice_changes_nothing_and_no_match_is_said(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("c")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await typed(pilot, "zzz")
        await pilot.press("enter")
        assert "Nothing has these words" in said(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, ArrivalScreen))
        assert book.unit("R1").arrival == Arrival()


async def test_a_wait_in_one_line_over_with_space_and_out_with_x(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("W")
        await typed(pilot, "2 bearings, due mon, chase never")
        await pilot.press("enter")
        assert "was not understood as a day" in text_on(pilot)
        assert "2 bearings, due mon, chase never" in text_on(pilot), "what was refused stays"
        await pilot.press(*["backspace"] * 5)
        await typed(pilot, "2026-03-20")
        await pilot.press("enter")
        await pilot.pause()
        wait = Waiting(what="2 bearings", since=date(2026, 3, 20), expected=date(2026, 3, 23), chase=date(2026, 3, 20))
        assert book.unit("R1").waiting == (wait,)
        assert "CHASE NOW" in everything(pilot)
        facts(pilot).go_to("waiting 0 2 bearings")
        await pilot.press("space")
        assert book.unit("R1").waiting[0].done
        assert "over " in everything(pilot)
        await pilot.press("x")
        assert book.unit("R1").waiting == ()


async def test_a_half_typed_wait_is_kept(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("W")
        await typed(pilot, "oil on the bo")
        await pilot.press("escape", "W")
        assert "oil on the bo" in text_on(pilot)


async def test_a_make_or_break_test_gets_its_result(book: Session) -> None:
    tests = (MakeOrBreak(what="windings", minutes=18, stop_if="open"),)
    book.add_unit(unit(arrival=Arrival(make_or_break=tests)))
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        facts(pilot).go_to("test 0 windings")
        assert "FIRST windings open takes 18 min; stop if open" in in_words(everything(pilot))
        await pilot.press("space", "f")
        await pilot.pause()
        assert book.unit("R1").arrival.make_or_break[0].passed is False
        assert "FAILED the make-or-break test: windings." in text_on(pilot)
        assert "FAILED windings takes 18 min; stop if open" in in_words(everything(pilot))
        await pilot.press("space", "p")
        await pilot.pause()
        assert "make or break windings passed" in in_words(everything(pilot))


@pytest.mark.parametrize(
    ("key", "kind", "words"),
    [
        ("name", FormScreen, "name"),
        ("as found", FormScreen, "as found"),
        ("hazards", ListScreen, "hazards"),
        ("stop line", ListScreen, "stop lines"),
        ("operations", ListScreen, "operations"),
        ("all", FormScreen, "code"),
    ],
)
async def test_enter_opens_what_is_behind_the_fact(book: Session, key: str, kind: type, words: str) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        assert facts(pilot).go_to(key)
        await pilot.press("enter")
        await until(pilot, lambda: type(pilot.app.screen) is kind)
        marked = next((x for x in lines_on(pilot) if x.startswith("▌")), lines_on(pilot)[0])
        assert words in marked


async def test_what_cannot_be_taken_out_here_says_so(book: Session) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("x", "space")
        assert "Space marks" in said(pilot)
        assert book.entries("R1")[-1].kind == "begun"


async def test_a_book_for_reading_only_says_why_and_keeps_the_record(book: Session) -> None:
    book.add_unit(unit())
    with Session.open(book.path, read_only=True) as reading:
        async with opened(reading, ArrivalScreen(reading, "R1")) as pilot:
            await pilot.press("G", "3")
            await pilot.pause()
            assert "Not kept" in said(pilot)
            assert reading.unit("R1").stage is Stage.ARRIVAL


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_hostile_words_in_every_field_break_no_line(demo: Session, size: tuple[int, int]) -> None:
    hostile = filled(demo.unit("R1"), texts()).model_copy(update={"code": "X1"})
    async with opened(demo, None, size=size) as pilot:
        screen = ArrivalScreen(demo, "X1")
        demo._units["X1"] = hostile
        demo._folder.units["X1"] = demo._folder.units["R1"]
        await pilot.app.push_screen(screen)
        await pilot.pause()
        assert not bad_cells(pilot)
        for _ in range(6):
            await pilot.press("pagedown")
            assert not bad_cells(pilot)


@pytest.mark.parametrize("text", HOSTILE)
async def test_a_hostile_wait_is_kept_and_shown_harmlessly(book: Session, text: str) -> None:
    book.add_unit(unit())
    async with opened(book, ArrivalScreen(book, "R1")) as pilot:
        await pilot.press("W")
        await typed(pilot, text)
        await pilot.press("enter")
        await pilot.pause()
        assert len(book.unit("R1").waiting) == 1
        assert not bad_cells(pilot)
