"""The teardown record at the desk by real key presses."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.model.unit import Unit
from logbook.session import Session
from logbook.teardown.complete import to_complete
from logbook.tui.desk_words import record_sentence
from logbook.tui.look.inks import width_of
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.missing_screen import MissingScreen
from logbook.tui.screens.order_screen import OrderScreen
from logbook.tui.screens.teardown_rows import step_entries
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.input_line import Line
from logbook.tui.widgets.rows import Rows
from tests.builders import (
    chain,
    fastener,
    handed_pair,
    hazard,
    hold,
    lump,
    one_way,
    relation,
    renewed,
    scrapped,
    screws,
    step,
    unit,
    wire,
)
from tests.tui.conftest import HOSTILE, bad_cells, lines_on, opened, said, text_on, typed, until


def radio(**more: Any) -> Unit:
    return unit(
        step("T01", "plug out", "recorded only", hazards=[hazard()]),
        step("T02", "back panel", fasteners=[screws(6, found=5)], bag="1", photo_taken=True),
        step("T03", "chassis bolts", fasteners=[fastener("bolt M5x35", 4), renewed("bush", 8)], bag="2", wires=2),
        step("T04", "bottom", "split", fasteners=[scrapped("nail", 10)], one_way=one_way(), connections=[wire("W6")]),
        step("T05", "feet", planned=True),
        relations=[*chain("T01", "T02", "T03"), relation("T02", "T04", "better")],
        **more,
    )


def desk(pilot: Pilot[Any]) -> TeardownScreen:
    top = pilot.app.screen
    assert isinstance(top, TeardownScreen)
    return top


def cursor(pilot: Pilot[Any]) -> str:
    row = desk(pilot).query_one("#steps", Rows).current
    return row.key if row is not None else ""


async def test_the_answer_stands_at_the_top_and_the_cursor_on_the_last_step_done(book: Session) -> None:
    of = radio()
    async with opened(book, TeardownScreen(book, "R1"), of) as pilot:
        missing = len(to_complete(of))
        wanted = "4 steps and 1 planned; holes 28, found 27; reuse 9, renew 8, scrap 10; to complete"
        assert f"{wanted} {missing}." in text_on(pilot)
        assert cursor(pilot) == "T04"
        assert (
            "bottom, split, 10 nail scrap, wire W6 from switch tag 2 to terminal 1, better after T02, one-way"
            in text_on(pilot)
        )


async def test_a_step_stands_in_one_line_with_counts_and_order(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        rows = {row.key: " ".join(row.lines[0].split()) for row in desk(pilot).query_one("#steps", Rows).rows}
        assert rows["T02"].startswith("T02 back panel")
        assert " 5/6 " in rows["T02"]
        assert rows["T02"].endswith("photo; after T01")
        assert rows["T05"].startswith("T05 feet")
        assert "to do" in rows["T05"]


async def test_beside_a_wide_list_the_step_stands_in_full(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio(), size=(130, 40)) as pilot:
        desk(pilot).query_one("#steps", Rows).go_to("T02")
        await until(pilot, lambda: "order after T01" in text_on(pilot))
        assert not desk(pilot).query_one("#detail").display


async def test_an_empty_record_invites(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), unit()) as pilot:
        assert "Nothing is written down yet" in text_on(pilot)
        for key in ("E", "x", "o", "c"):
            await pilot.press(key)
            assert "There is no step yet" in said(pilot), key
            desk(pilot).say("")
        await pilot.press("b")
        assert isinstance(pilot.app.screen, BenchModeScreen)


async def test_a_step_is_added_as_a_line_and_has_the_cursor(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        await pilot.press("a")
        await typed(pilot, "knobs, 4 grub screw M3x6, bag 3, after T01, blub")
        assert "reads: knobs, 4 grub screw M3x6, bag 3, after T01, note blub" in text_on(pilot)
        assert "Kept as a note: blub" in text_on(pilot)
        await pilot.press("enter")
        of = book.unit("R1")
        assert [s.code for s in of.steps] == ["T01", "T02", "T03", "T04", "T06", "T05"]
        assert (of.steps[4].by, of.relations[-1].earlier, of.relations[-1].later) == ("AB", "T01", "T06")
        assert cursor(pilot) == "T06"
        assert desk(pilot).query_one("#steps", Rows).has_focus


async def test_a_line_that_says_nothing_is_refused_and_stays(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        await pilot.press("a")
        await typed(pilot, ", 4 screw")
        await pilot.press("enter")
        assert "What came off?" in text_on(pilot)
        assert desk(pilot).query_one("#ask-line", Line).value == ", 4 screw"
        await pilot.press("escape", "a")
        assert desk(pilot).query_one("#ask-line", Line).value == ", 4 screw"


async def test_a_step_is_put_right_as_a_line_and_keeps_what_no_line_says(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        await pilot.press("E")
        line = desk(pilot).query_one("#ask-line", Line)
        assert line.value == (
            "bottom, split, 10 nail scrap, wire W6 from switch tag 2 to terminal 1, "
            "better after T02, one-way glued measured"
        )
        line.value = "old bottom, split, 9 nail scrap, after T03, one-way glued measured"
        await pilot.press("enter")
        of = book.unit("R1")
        changed = of.step("T04")
        assert changed is not None
        assert (changed.what, changed.fasteners[0].found, len(changed.connections)) == ("old bottom", 9, 1)
        assert [(r.earlier, str(r.kind)) for r in of.relations if r.later == "T04"] == [("T03", "must come off before")]


async def test_a_circle_typed_in_a_line_is_refused_with_the_circle_drawn(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        desk(pilot).select("step", "T01")
        await pilot.press("E")
        await typed(pilot, ", after T03")
        await pilot.press("enter")
        assert "T01 must come off before T02" in text_on(pilot)
        assert book.unit("R1").relations == radio().relations


async def test_a_step_is_dropped_and_undo_brings_it_back_with_its_relations(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        desk(pilot).select("step", "T02")
        await pilot.press("x")
        assert said(pilot) == "T02 taken out: back panel"
        assert [s.code for s in book.unit("R1").steps] == ["T01", "T03", "T04", "T05"]
        assert book.unit("R1").relations == ()
        assert cursor(pilot) == "T03"
        await pilot.press("z")
        assert len(book.unit("R1").relations) == 3


async def test_a_step_that_a_lump_came_out_at_is_not_dropped(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio(sub_assemblies=[lump("CH", "T04")])) as pilot:
        await pilot.press("x")
        assert "the sub-assembly CH chassis came out at it" in said(pilot)
        assert book.unit("R1").step("T04") is not None


@pytest.mark.parametrize(
    ("key", "screen", "title"),
    [
        ("enter", FormScreen, "steps / T04"),
        ("c", ListScreen, "steps / T04 / connections"),
        ("s", ListScreen, "sets"),
        ("S", ListScreen, "sub assemblies"),
        ("o", OrderScreen, "order of T04"),
        ("g", OrderScreen, "whole order"),
        ("m", MissingScreen, "to complete"),
        ("b", BenchModeScreen, "step T06"),
    ],
)
async def test_every_other_place_is_one_key_away_and_escape_comes_back(
    book: Session, key: str, screen: type, title: str
) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        await pilot.press(key)
        assert isinstance(pilot.app.screen, screen)
        assert title in lines_on(pilot)[0]
        await pilot.press("escape")
        assert cursor(pilot) == "T04"


async def test_the_counts_can_be_asked_for(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        await pilot.press("w")
        shown = text_on(pilot)
        assert "T02 back panel: holes 6, found 5, reuse 5, renew 0, scrap 0." in shown
        assert "All together: holes 28, found 27, reuse 9, renew 8, scrap 10." in shown
        assert "bag 2: 4 (4 bolt M5x35), from T03." in shown


@pytest.mark.parametrize(
    ("kind", "code", "step_code"),
    [("step", "T02", "T02"), ("connection", "W6", "T04"), ("bag", "2", "T03"), ("bag", "99", "T04")],
)
async def test_what_was_found_has_the_cursor(book: Session, kind: str, code: str, step_code: str) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        desk(pilot).select(kind, code)
        assert cursor(pilot) == step_code


async def test_the_cursor_stays_on_its_step_when_the_record_changes(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "R1"), radio()) as pilot:
        desk(pilot).select("step", "T03")
        book.apply("R1", "x", lambda u: u.model_copy(update={"steps": u.steps[1:], "relations": ()}))
        await pilot.pause()
        assert cursor(pilot) == "T03"


async def test_what_is_missing_opens_the_very_field(book: Session) -> None:
    async with opened(book, MissingScreen(book, "R1"), radio()) as pilot:
        wants = to_complete(radio())
        assert f"{len(wants)} to complete" in text_on(pilot)
        first = pilot.app.screen.query_one(Rows).current
        assert first is not None
        assert first.lines[0].split()[0] == wants[0].step
        assert first.lines[0].split()[1:4] == wants[0].sentence.split()[1:4]
        photo = next(i for i, m in enumerate(wants) if m.field == "photo_taken")
        await pilot.press(*["down"] * photo, "enter")
        form = pilot.app.screen
        assert isinstance(form, FormScreen)
        row = form.query_one("#fields", Rows).current
        assert row is not None
        assert (form.path, row.key) == (("steps", wants[photo].step), "photo_taken")
        await pilot.press("enter", "escape")
        assert f"{len(wants) - 1} to complete" in text_on(pilot)


async def test_what_is_missing_in_a_list_opens_the_list_and_the_heaviest_can_stand_first(book: Session) -> None:
    async with opened(book, MissingScreen(book, "R1"), radio()) as pilot:
        await pilot.press("o")
        row = pilot.app.screen.query_one(Rows)
        heaviest = max(to_complete(radio()), key=lambda m: m.weight)
        first = next(each for each in row.rows if each.selectable)
        assert first.lines[0].startswith(heaviest.step)
        assert first.lines[0].endswith("STOPS")
        row.go_to(first.key)
        assert heaviest.field == "connections"
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, ListScreen)
        assert pilot.app.screen.path == ("steps", heaviest.step, "connections")


async def test_a_complete_record_says_so(book: Session) -> None:
    async with opened(book, MissingScreen(book, "R1"), unit(step("T01", planned=True))) as pilot:
        assert "Nothing is missing." in text_on(pilot)


@pytest.mark.parametrize("columns", [57, 77, 117, 157])
def test_every_line_of_a_step_fits_and_nothing_of_it_is_cut(columns: int) -> None:
    of = radio(sets=[handed_pair()])
    long = step("T06", "q" * 300, note="n" * 300, each_of="LR", fasteners=[screws(4)], as_found_wrong=True)
    of = of.model_copy(update={"steps": (*of.steps, long)})
    entries = {each.key: each for each in step_entries(of, columns)}
    assert all(width_of(spans) <= columns for each in entries.values() for spans in each.spans)
    said = " ".join(entries["T06"].lines)
    assert sum(word.count("q") for word in said.split()) == 300
    assert "4 x2" in said
    assert "WRONG" in said


def test_the_sentence_leaves_out_what_is_nothing() -> None:
    from logbook.reassembly import ledger

    of = unit(step("T01", "cloth", fasteners=[scrapped("staple", 16)]), step("T02", "knob"))
    assert record_sentence(of, ledger(of).total, 0) == "2 steps; holes 16, found 16; scrap 16; nothing to complete."
    plain = unit(step("T01", "knob"))
    assert record_sentence(plain, ledger(plain).total, 1) == "1 step; to complete 1."


@pytest.mark.parametrize("size", [(60, 24), (80, 24), (130, 40)])
async def test_hostile_text_breaks_nothing(book: Session, size: tuple[int, int]) -> None:
    every = [step(f"T{i:02d}", t, note=t, bag=t[:30], by=t[:9]) for i, t in enumerate(HOSTILE, 1)]
    async with opened(book, TeardownScreen(book, "R1"), unit(*every, name=HOSTILE[0]), size=size) as pilot:
        assert not bad_cells(pilot)
        for _ in HOSTILE:
            await pilot.press("up")
            assert not bad_cells(pilot)
        await pilot.press("a")
        for text in HOSTILE[:4]:
            desk(pilot).query_one("#ask-line", Line).value = ""
            await typed(pilot, text)
            assert not bad_cells(pilot), text
        assert desk(pilot).query_one(Ask).is_open


async def test_a_hold_point_is_seen_in_the_table(book: Session) -> None:
    earth = step("T01", "earth wire", hold=hold(reading_of=""))
    capacitor = step("T02", "capacitor", hold=hold("H2", reading_of="", initials="AB"))
    async with opened(book, TeardownScreen(book, "R1"), unit(earth, capacitor, code="R1")) as pilot:
        assert "HOLD open" in text_on(pilot)
        assert "HOLD initialled" in text_on(pilot)


async def test_at_the_desk_too_nothing_more_comes_off_before_a_hold_point_is_read(book: Session) -> None:
    earth = step("T01", "earth wire", hold=hold("H1", "earth 0.1 ohm", "ohm"))
    book.add_unit(unit(earth))
    async with opened(book, TeardownScreen(book, "R1")) as pilot:
        await pilot.press("a")
        await typed(pilot, "lid, unscrewed, 4 screw M4x10, bag 1")
        await pilot.press("enter")
        assert "HOLD H1 at T01" in text_on(pilot)
        assert len(book.unit("R1").steps) == 1
        await typed(pilot, "0.08")
        await pilot.press("enter")
        assert "Who did the check?" in text_on(pilot)
        await typed(pilot, " ohm by AB")
        await pilot.press("enter")
        made = book.unit("R1")
        assert (made.steps[0].hold.reading, made.steps[0].hold.initials) == ("0.08 ohm", "AB")
        assert [s.what for s in made.steps] == ["earth wire", "lid"]
