"""Joining by keys: what would happen, the questions one by one, what is left to look at."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.model.edits import keep_step, next_step_code
from logbook.model.paths import put_at
from logbook.model.unit import Unit
from logbook.model.words import Stage
from logbook.reassembly import tick
from logbook.session import Session
from logbook.session.joining import keep, propose
from logbook.tui.screens.history_screen import HistoryScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Rows
from tests.builders import screws, step, unit
from tests.tui.conftest import NOW, lines_on, opened, said, text_on

Edit = Callable[[Unit], Unit]


def written(book: Path, by: str, minutes: int, *edits: Edit) -> None:
    with Session.open(book, by=by, now=lambda: NOW + timedelta(minutes=minutes)) as session:
        for edit in edits:
            session.apply("R1", f"{by} wrote", edit)


@pytest.fixture
def apart(tmp_path: Path) -> tuple[Path, Path]:
    """The bench and the desk, with two fields changed on both and a number given twice."""
    bench, desk = tmp_path / "bench", tmp_path / "desk"
    with Session.open(bench, by="AB", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "plug"), step("T02", "back panel")))
    shutil.copytree(bench, desk)
    for book, by, minutes in ((bench, "AB", 10), (desk, "CD", 20)):

        def new(record: Unit, by: str = by) -> Unit:
            return keep_step(record, step(next_step_code(record), f"{by} lid", bag=f"9{by}"))

        bag = lambda u, by=by: put_at(u, ("steps", "T02", "bag"), f"bag {by}")  # noqa: E731
        notes = lambda u, by=by: put_at(u, ("notes",), f"{by} says [red]")  # noqa: E731
        written(book, by, minutes, new, bag, notes)
    return bench, desk


async def test_another_book_is_looked_at_its_questions_answered_and_joined(apart: tuple[Path, Path]) -> None:
    bench, desk = apart
    session = Session.open(bench, by="AB", now=lambda: NOW + timedelta(hours=1))
    async with opened(session) as pilot:
        await pilot.press("exclamation_mark", "J")
        await pilot.press(*str(desk), "enter")
        text = text_on(pilot)
        assert "Joining with desk would change 1 record. Nothing was changed yet." in text
        assert "T03 CD lid is T04 now" in text
        await pilot.press("enter")
        assert "question 1 of 2" in lines_on(pilot)[0]
        assert any("bag AB" in line and "bag CD" in line for line in lines_on(pilot)), "side by side"
        await pilot.press("1")
        assert "question 2 of 2" in lines_on(pilot)[0]
        assert "AB says [red]" in text_on(pilot)
        await pilot.press("3")
        assert said(pilot).startswith("Joined with desk: 1 record.")
        record = session.unit("R1")
        assert record.steps[1].bag == "bag AB"
        assert record.notes == "CD says [red]"
        assert "To look at after joining" in text_on(pilot)
        current = pilot.app.screen.query_one(Rows).current
        assert current is not None
        assert current.key.startswith("look R1 "), "the cursor is at the first thing to look at"
        before = len(session.entries("R1"))
        await pilot.press("z")
        assert len(session.entries("R1")) == before + 1
        assert (session.unit("R1").notes, len(session.unit("R1").steps)) == ("AB says [red]", 3)


async def test_escape_in_a_question_joins_nothing(apart: tuple[Path, Path]) -> None:
    bench, desk = apart
    session = Session.open(bench, by="AB", now=lambda: NOW + timedelta(hours=1))
    async with opened(session) as pilot:
        await pilot.press("exclamation_mark", "J", *str(desk), "enter", "enter", "1", "escape", "escape")
        assert session.unit("R1").notes == "AB says [red]"
        assert len(session.unit("R1").steps) == 3
        await pilot.press("J")
        assert pilot.app.screen.query_one(Ask).text == str(desk), "the other book is named again"


async def test_what_was_left_open_is_settled_later_and_undo_opens_it_again(apart: tuple[Path, Path]) -> None:
    bench, desk = apart
    session = Session.open(bench, by="AB", now=lambda: NOW + timedelta(hours=1))
    async with opened(session) as pilot:
        await pilot.press("J", *str(desk), "enter", "enter", "3", "3")
        left = len(session.unit("R1").to_look_at)
        assert left == 3
        await pilot.press("home", "enter")
        assert "Which one holds?" in text_on(pilot)
        await pilot.press("1")
        assert said(pilot) == "Settled; z takes it back."
        assert len(session.unit("R1").to_look_at) == left - 1
        await pilot.press("z")
        assert len(session.unit("R1").to_look_at) == left


async def test_a_conflict_copy_is_joined_where_it_stands(apart: tuple[Path, Path]) -> None:
    bench, desk = apart
    name = "unit.history (conflicted copy).jsonl"
    shutil.copy(desk / "units/R1/unit.history.jsonl", bench / "units/R1" / name)
    session = Session.open(bench, by="AB", now=lambda: NOW + timedelta(hours=1))
    async with opened(session) as pilot:
        await pilot.press("exclamation_mark")
        assert "unit.history (conflicted copy).jsonl is another copy of the record" in text_on(pilot)
        await pilot.press("J", "enter", "2", "2")
        assert [s.what for s in session.unit("R1").steps] == ["plug", "back panel", "AB lid", "CD lid"]


async def test_a_mistyped_folder_is_said_and_can_be_typed_again(apart: tuple[Path, Path]) -> None:
    session = Session.open(apart[0], by="AB", now=lambda: NOW + timedelta(hours=1))
    async with opened(session) as pilot:
        await pilot.press("exclamation_mark", "J", "enter")
        assert "Name a folder" in text_on(pilot)
        await pilot.press(*"nowhere", "enter")
        assert text_on(pilot).count("is no book, no folder of a unit") == 1, "said once"
        await pilot.press("escape")
        assert "Everything is kept" in text_on(pilot)


async def test_a_copy_of_the_document_alone_is_joined_by_its_history(apart: tuple[Path, Path]) -> None:
    bench, desk = apart
    folder, there = bench / "units/R1", desk / "units/R1"
    shutil.copy(there / "unit.json", folder / "unit (copy of CD).json")
    session = Session.open(bench, by="AB", now=lambda: NOW + timedelta(hours=1))
    async with opened(session) as pilot:
        await pilot.press("exclamation_mark")
        shown = " ".join(text_on(pilot).replace("▌", " ").split())
        assert "is a copy of the document alone: Enter compares it, t takes it in" in shown
        await pilot.press("J")
        assert "NOT JOINED" in text_on(pilot)
        assert "join" not in lines_on(pilot)[-1], "nothing can be joined here, so no key is offered for it"
        await pilot.press("z")
        assert "Nothing is joined yet." in said(pilot)
        shutil.copy(there / "unit.history.jsonl", folder / "unit.history (copy of CD).jsonl")
        await pilot.press("escape", "escape", "exclamation_mark")
        assert "J joins unit.history (copy of CD).jsonl." in " ".join(text_on(pilot).replace("▌", " ").split())
        await pilot.press("J", "enter", "2", "2")
        assert [s.what for s in session.unit("R1").steps] == ["plug", "back panel", "AB lid", "CD lid"]


async def test_the_sides_are_called_here_and_the_other_copy(apart: tuple[Path, Path]) -> None:
    session = Session.open(apart[0], by="AB", now=lambda: NOW + timedelta(hours=1))
    async with opened(session) as pilot:
        await pilot.press("J", *str(apart[1]), "enter")
        assert "bench here with desk" in lines_on(pilot)[0]
        assert "(here: AB," in " ".join(text_on(pilot).split())
        await pilot.press("enter")
        assert any("1  here: AB" in line and "2  other copy: CD" in line for line in lines_on(pilot))


async def test_what_was_written_keeps_its_time_when_a_joining_is_taken_back_and_made_again(
    apart: tuple[Path, Path],
) -> None:
    session = Session.open(apart[0], by="AB", now=lambda: NOW + timedelta(hours=5))
    before = propose(session, apart[1]).planned[0]
    keep(session, propose(session, apart[1]))
    session.undo("R1")
    again = propose(session, apart[1]).planned[0]
    assert (again.by_here, again.by) == (before.by_here, before.by)
    assert [x.first_by for x in again.joined.to_look_at] == [x.first_by for x in before.joined.to_look_at]
    session.close()


BAG = [
    lambda u, what=what: keep_step(u, step(next_step_code(u), what, bag="5", fasteners=[screws(2)]))
    for what in ("knob", "valve")
]


@pytest.fixture
def one_bag(tmp_path: Path) -> Path:
    """The bench, joined with a desk where bag 5 was begun as well: for a knob here, for a valve there."""
    bench, desk = tmp_path / "bench", tmp_path / "desk"
    with Session.open(bench, by="AB", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "plug"), stage=Stage.REASSEMBLY))
    shutil.copytree(bench, desk)
    written(bench, "AB", 10, BAG[0])
    written(desk, "CD", 20, BAG[1])
    with Session.open(bench, by="AB", now=lambda: NOW + timedelta(hours=1)) as session:
        keep(session, propose(session, desk))
    return bench


async def test_a_bag_in_doubt_is_said_where_it_matters_until_it_is_told_apart(one_bag: Path) -> None:
    session = Session.open(one_bag, by="AB", now=lambda: NOW + timedelta(hours=2))
    async with opened(session) as pilot:
        assert "JOINED 2 left (!)" in " ".join(text_on(pilot).split()), "on the bench"
        await pilot.press("enter", "5")
        assert "JOINED Bag 5 was begun on both sides" in " ".join(text_on(pilot).split()), "in the list"
        await pilot.press("2", "m")
        assert "Joining left: Bag 5 was begun on both sides" in " ".join(text_on(pilot).split())
        await pilot.press("home", "enter")
        assert "To look at after joining" in text_on(pilot)
        await pilot.press("home", "down", "enter")
        assert "One bag or two?" in text_on(pilot)
        assert any("T02 knob" in line and "T03 valve" in line for line in lines_on(pilot))
        await pilot.press("2")
        assert pilot.app.screen.query_one(Ask).text == "6", "the next free number"
        await pilot.press("enter")
        assert said(pilot) == "Two bags: 5 and 6. Write 6 on it. z takes it back."
        assert [s.bag for s in session.unit("R1").steps] == ["", "5", "6"]
        assert "Bag 5 was begun" not in text_on(pilot)
        await pilot.press("z", "home", "down", "enter", "f")
        assert [s.bag for s in session.unit("R1").steps] == ["", "5", "5"]
        assert "Bag 5 was begun" not in text_on(pilot), "it is one bag, as a person said"


async def test_a_tick_says_look_again_when_joining_brought_a_bag(one_bag: Path) -> None:
    session = Session.open(one_bag, by="AB", now=lambda: NOW + timedelta(hours=2))
    async with opened(session) as pilot:
        await pilot.press("enter", "5", "home")
        session.apply("R1", "check", lambda u: tick(u, "check", at=NOW + timedelta(hours=2), initials="AB"))
        session.apply("R1", "told apart", lambda u: put_at(u, ("steps", "T03", "bag"), "6"))
        await pilot.pause()
        assert "LOOK AGAIN" in text_on(pilot)
        await pilot.press("2", "m")
        shown = " ".join(text_on(pilot).replace("▌", " ").split())
        assert "A01 check: bags counted LOOK AGAIN changed since it was ticked: " in shown, shown
        await pilot.press("home", "enter")
        await pilot.press("space")
        assert "looked at again" in said(pilot)
        await pilot.press("escape", "escape", "escape", "escape")
        assert "LOOK AGAIN" not in text_on(pilot)


async def test_the_bench_says_when_anything_was_kept_last(one_bag: Path) -> None:
    session = Session.open(one_bag, by="AB", now=lambda: NOW + timedelta(days=2))
    async with opened(session) as pilot:
        session.apply("R1", "noted", lambda u: put_at(u, ("notes",), "x"))
        await pilot.pause()
        kept = lines_on(pilot)[0].rpartition("kept")[2]
        await pilot.press("enter")
        assert lines_on(pilot)[0].rpartition("kept")[2] == kept


async def test_the_story_tells_what_the_other_side_wrote(apart: tuple[Path, Path]) -> None:
    bench, desk = apart
    session = Session.open(bench, by="AB", now=lambda: NOW + timedelta(hours=1))
    keep(session, propose(session, desk))
    async with opened(session, HistoryScreen(session, "R1")) as pilot:
        await pilot.press("home", "enter")
        assert "What the other side wrote" in text_on(pilot)
        assert "CD wrote" in text_on(pilot)
