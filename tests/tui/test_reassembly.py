"""The reassembly list on the screen: ticks and their refusals, readings, differences, bags, orders, and calm."""

from __future__ import annotations

import time
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.errors import InputError
from logbook.model.proofs import with_proof
from logbook.model.step import Proof, RefitNotes, Remake
from logbook.model.unit import LineState, Unit
from logbook.model.words import Certainty
from logbook.reassembly import readiness, refit_list, tick, write_reading
from logbook.session import Session
from logbook.session.refit_view import view_of
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.reassembly_line_screen import ReassemblyLineScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Rows
from tests.builders import (
    fastener,
    hazard,
    hold,
    one_way,
    part,
    part_set,
    relation,
    screws,
    setting,
    step,
    steps,
    unit,
    wire,
)
from tests.hostile import HOSTILE, filled, texts
from tests.tui.conftest import NOW, bad_cells, lines_on, opened, said, text_on, typed, until

RADIO = unit(
    step("T01", "back", fasteners=[screws(6)], bag="1"),
    step("T02", "cord", "unsoldered", connections=[wire()], hazards=[hazard()]),
    step("T03", "speaker", fasteners=[fastener("nut M4", 4), fastener("washer", 4)], bag="5"),
    parts=[part(for_steps=("T02",))],
)
"""A04 back, A03 cord (not here), A02 speaker, A01 check, A05 audit."""


def proof(danger: str, reading: str, **more: Any) -> Proof:
    return Proof(danger=danger, reading=reading, **more)


LAMP = unit(step("T01", "base cover"), hazards=[hazard()])
"""A02 base cover, A01 check, where the mains must be proved dead."""


def screen_of(session: Session, code: str = "R1") -> ReassemblyScreen:
    return ReassemblyScreen(session, code)


def states(session: Session, code: str = "R1") -> dict[str, LineState]:
    return {s.line: s for s in session.unit(code).refit.lines}


def rows_of(pilot: Pilot[Any]) -> Rows:
    return pilot.app.screen.query_one(Rows)


def on(pilot: Pilot[Any]) -> str:
    row = rows_of(pilot).current
    return row.key if row is not None else ""


def words_on(pilot: Pilot[Any]) -> str:
    """What is on the screen with single blanks, without the bar beside the entry under the cursor."""
    return " ".join(text_on(pilot).replace("▌", " ").split())


def line_with(pilot: Pilot[Any], words: str) -> str:
    return next(x for x in lines_on(pilot) if words in x)


async def answer(pilot: Pilot[Any], text: str) -> None:
    await typed(pilot, text)
    await pilot.press("enter")
    await pilot.pause()


# What is shown


async def test_the_list_says_how_it_stands_and_what_each_line_needs(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        lines = lines_on(pilot)
        assert lines[0].split()[:5] == ["R1", "table", "radio", "/", "reassembly"]
        assert "The new mains cord would free 3 more." in text_on(pilot)
        assert "2 of 5 lines are in reach" not in text_on(pilot), "the figures above say it"
        assert on(pilot) == "check", "the cursor is on what can be done first"
        assert line_with(pilot, "A02").rstrip().endswith("8 from bag 5  after A01")
        assert line_with(pilot, "A02").strip().startswith("[ ] A02  refit speaker")
        assert line_with(pilot, "A03").rstrip().endswith("WARNING  NOT READY")
        assert "0 of 5 done 2 in reach 3 wait" in text_on(pilot)
        await pilot.press("down", "down")
        assert "NOT READY new mains cord not here" in text_on(pilot)
        assert not bad_cells(pilot)


async def test_a_warning_stands_before_what_is_to_be_done(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "down")
        text = words_on(pilot)
        said = (
            "WARNING mains voltage: not proved safe. unplug. Prove it safe: prove dead.",
            "D: prove it safe.",
            "▎Do",
        )
        at = [text.index(words) for words in said]
        assert at == sorted(at)


async def test_a_warning_is_begun_in_whole_sentences_and_says_where_it_stands_in_full(book: Session) -> None:
    of = unit(step("T01", "cord", hazards=[hazard(do="Unplug it. " + "Look once more at all of it. " * 9)]))
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("down")
        text = words_on(pilot)
        assert "WARNING mains voltage: not proved safe. Unplug it. Look once more at all of it." in text
        assert "Enter: each in full, before you begin. D: prove it safe." in text
        assert text.count("Look once more at all of it.") < 9
        assert text.count("Look once more") == text.count("Look once more at all of it."), "no sentence is cut"


async def test_the_line_stands_in_groups_beside_the_list_where_there_is_room(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO, size=(120, 40)) as pilot:
        await pilot.press("down")
        await until(pilot, lambda: "reverse of T03" in text_on(pilot))
        beside = " ".join(" ".join(row[57:].split()) for row in lines_on(pilot))
        for words in ("Take 8 old", "[ ] 4 nut M4 bag 5", "[ ] 4 washer bag 5", "Do", "Tighten", "Why here"):
            assert words in beside
        assert sum("refit speaker" in row for row in lines_on(pilot)) == 2, "in the list, and over the groups"
        assert not bad_cells(pilot)


async def test_guesses_and_what_was_wrong_stand_before_the_first_line(book: Session) -> None:
    of = unit(
        step("T01", "clip", certainty=Certainty.GUESS, certainty_note="left or right"),
        step("T02", "cord", as_found="two-core", as_found_wrong=True, should_be="three-core"),
    )
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("home")
        lines = [x for x in lines_on(pilot) if x.strip()]
        at = [next(i for i, x in enumerate(lines) if w in x) for w in ("GUESS  T01", "AS FOUND WRONG  T02", "A01")]
        assert at == sorted(at)
        assert on(pilot) == "know GUESS T01"
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, FormScreen)
        assert "T01" in lines_on(pilot)[0]


async def test_first_and_left_out_are_shown(book: Session) -> None:
    of = unit(
        step("T01", "clip"),
        step("T02", "cord", "unsoldered"),
        step("T03", "foot", planned=True),
        relations=[relation("T01", "T02", "threaded", items="P-clip")],
    )
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("down")
        assert "FIRST P-clip" in text_on(pilot)
        await pilot.press("end")
        text = text_on(pilot)
        assert "Left out, and why" in text
        assert "T03" in text[text.index("Left out") :]


async def test_an_empty_record_invites_to_the_teardown(book: Session) -> None:
    async with opened(book, screen_of(book), unit()) as pilot:
        assert "Nothing has been taken off yet" in text_on(pilot)
        await pilot.press("space", "r", "d", "w", "c", "o", "enter")
        assert "no bag" in said(pilot) or "no line" in said(pilot)
        await pilot.press("2")
        assert isinstance(pilot.app.screen, TeardownScreen)


async def test_a_circle_is_said_and_breaks_nothing(book: Session) -> None:
    circle = unit(step("T01"), step("T02"), relations=[relation("T01", "T02"), relation("T02", "T01")])
    book.add_unit(unit(step("T01"), step("T02")))
    book.apply("R1", "a circle from elsewhere", lambda _: circle)
    async with opened(book, screen_of(book)) as pilot:
        assert "the relations go round in a circle" in text_on(pilot)
        await pilot.press("space", "o", "w", "enter")
        assert not bad_cells(pilot)
        assert not book.unit("R1").refit.lines


# Ticks


async def test_space_ticks_and_space_again_takes_it_back(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("space")
        assert states(book)["check"].done
        assert states(book)["check"].initials == "AB"
        assert states(book)["check"].at == NOW
        assert "A01" in said(pilot)
        assert "[x] A01" in line_with(pilot, "A01")
        assert line_with(pilot, "A01").rstrip().endswith(f"{NOW.astimezone():%d %b} AB")
        assert on(pilot) == "check", "the cursor stays"
        await pilot.press("space")
        assert "check" not in states(book)
        assert "[ ] A01" in line_with(pilot, "A01")


async def test_what_is_not_ready_wants_a_reason(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "down", "space")
        assert pilot.app.screen.query_one(Ask).is_open
        assert "new mains cord not here" in text_on(pilot)
        await pilot.press("enter")
        assert "T02" not in states(book), "no reason, no tick"
        assert "Say why" in text_on(pilot)
        await answer(pilot, "took one from the drawer")
        assert states(book)["T02"].override == "took one from the drawer"
        assert "done anyway: took one from the drawer" in text_on(pilot)
        assert on(pilot) == "T02"
        assert not pilot.app.screen.query_one(Ask).is_open


async def test_leaving_the_question_ticks_nothing_and_keeps_what_was_typed(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "down", "space")
        await typed(pilot, "half a rea")
        await pilot.press("escape")
        assert not states(book)
        assert on(pilot) == "T02"
        await pilot.press("space")
        assert pilot.app.screen.query_one(Ask).query_one("#ask-line").value == "half a rea"  # type: ignore[attr-defined]


async def test_undo_takes_the_tick_back_and_says_so(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("space", "z")
        assert not states(book)
        assert said(pilot).startswith("Undone: A01")
        await pilot.press("Z")
        assert states(book)["check"].done


async def test_a_hold_point_wants_its_reading_and_initials_first(book: Session) -> None:
    of = unit(step("T01", "cover", refit=RefitNotes(hold=hold(limit="over 2", competent=True))))
    async with opened(book, screen_of(book), of) as pilot:
        assert "(H) A02" in line_with(pilot, "refit cover")
        await pilot.press("space", "down", "space")
        assert "reading ____ initials __" in text_on(pilot)
        assert not states(book).get("T01", LineState(line="T01")).done
        assert said(pilot) == "A02 is a hold point. Press r to write what was read, and initials."
        await pilot.press("r")
        assert "H-W; limit over 2" in text_on(pilot)
        await pilot.press("enter")
        assert "Type what was read: H-W." in text_on(pilot)
        await answer(pilot, "2.4")
        assert "competent person" in text_on(pilot)
        await pilot.press("enter")
        assert (states(book)["T01"].reading, states(book)["T01"].initials) == ("2.4", "AB")
        assert not states(book)["T01"].done, "a reading alone is no tick"
        assert "reading 2.4 initials AB" in text_on(pilot)
        await pilot.press("space")
        assert states(book)["T01"].done


async def test_the_reading_is_not_lost_when_the_initials_are_refused(book: Session) -> None:
    of = unit(step("T01", "cover", refit=RefitNotes(hold=hold())))
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("down", "r")
        await answer(pilot, "2.4")
        await pilot.press("backspace", "enter")
        assert "needs initials" in text_on(pilot)
        assert not states(book)
        await answer(pilot, "CD")
        assert (states(book)["T01"].reading, states(book)["T01"].initials) == ("2.4", "CD")


async def test_a_reading_is_there_again_when_the_initials_were_left(book: Session) -> None:
    of = unit(step("T01", "cover", refit=RefitNotes(hold=hold())))
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("down", "r")
        await answer(pilot, "2.4")
        await pilot.press("escape", "r")
        assert pilot.app.screen.query_one("#ask-line").value == "2.4"  # type: ignore[attr-defined]
        await pilot.press("enter", "enter")
        assert states(book)["T01"].reading == "2.4"
        await pilot.press("r", "ctrl+u")
        await answer(pilot, "2.5")
        await pilot.press("enter", "z", "z", "r")
        assert pilot.app.screen.query_one("#ask-line").value == ""  # type: ignore[attr-defined]


async def test_initials_stand_beside_the_ticks_that_follow(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("i")
        await answer(pilot, "CD")
        assert "CD" in said(pilot)
        await pilot.press("space")
        assert states(book)["check"].initials == "CD"
        assert book.entries("R1")[-1].by == "CD"


async def test_initials_are_asked_for_once_when_nobody_is_named(tmp_path: Path) -> None:
    folder = tmp_path / "nobody"
    with Session.open(folder, now=lambda: NOW) as book:
        of = unit(step("T01", "lid"), step("T02", "bleed it", refit=RefitNotes(hold=hold())))
        async with opened(book, screen_of(book), of) as pilot:
            await pilot.press("space", "down", "r")
            assert states(book)["check"].initials == ""
            await answer(pilot, "2.4")
            await answer(pilot, "CD")
            await pilot.press("space", "down", "space")
            assert states(book)["T01"].initials == "CD"
    with Session.open(folder, now=lambda: NOW) as again:
        assert again.by == "CD"
    with Session.open(folder, by="EF", now=lambda: NOW) as other:
        assert other.by == "EF", "who is named at the start goes before"


async def test_members_are_ticked_one_after_the_other(book: Session) -> None:
    of = unit(step("T01", "drawer", each_of="D"), sets=[part_set("D", 3)])
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("space", "down", "space", "space")
        assert {k for k, s in states(book).items() if s.done} == {"check", "T01/D1", "T01/D2"}
        assert "[x] D1 [x] D2 [ ] D3" in words_on(pilot)
        assert "[ ] A02" in line_with(pilot, "A02"), "not done before every member is"
        await pilot.press("space")
        assert "[x] A02" in line_with(pilot, "A02")
        await pilot.press("space")
        assert not states(book).get("T01/D3", LineState(line="x")).done, "the last one is taken back"


async def test_enter_opens_the_line_where_each_member_has_its_own_tick(book: Session) -> None:
    of = unit(step("T01", "drawer", each_of="D", as_found="stuck"), sets=[part_set("D", 3)])
    async with opened(book, screen_of(book), tick(of, "check", at=NOW, initials="AB")) as pilot:
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, ReassemblyLineScreen)
        assert "0 of 3 done" in text_on(pilot)
        assert "T01 as it came apart" in text_on(pilot)
        assert "stuck" in text_on(pilot)
        await pilot.press("down", "space")
        assert {k for k, s in states(book).items() if s.done} == {"check", "T01/D2"}
        await pilot.press("space")
        assert {k for k, s in states(book).items() if s.done} == {"check"}
        await pilot.press("d")
        await answer(pilot, "runs hard")
        assert states(book)["T01/D2"].differs == "runs hard"
        assert not bad_cells(pilot)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, ReassemblyScreen)
        assert "DIFFERS D2: runs hard" in text_on(pilot)


async def test_who_read_it_is_not_asked_when_the_reading_says_so(book: Session) -> None:
    of = unit(step("T01"), step("T02", refit=RefitNotes(hold=hold())))
    async with opened(book, screen_of(book), tick(of, "check", at=NOW, initials="AB")) as pilot:
        await pilot.press("r")
        await answer(pilot, "0.08 ohm by KR")
        assert (states(book)["T02"].reading, states(book)["T02"].initials) == ("0.08 ohm", "KR")


async def test_one_of_a_pair_is_refitted_wholly_before_the_other(book: Session) -> None:
    lamps = part_set("LA", ("left", "right"), "lamps")
    of = unit(step("T01", "shade", each_of="LA"), step("T02", "socket", each_of="LA"), sets=[lamps])
    async with opened(book, screen_of(book), of, size=(120, 40)) as pilot:
        await pilot.press("space", "down", "space")
        assert {key for key, state in states(book).items() if state.done} == {"check", "T02/left"}
        await pilot.press("down")
        await pilot.pause()
        assert "1 of 2 READY" in line_with(pilot, "A02  refit")
        assert "READY with what is here" in text_on(pilot)
        assert "WAITS right: A02 refit socket" in text_on(pilot)
        await pilot.press("space")
        assert states(book)["T01/left"].done
        await pilot.press("space")
        await pilot.pause()
        assert "A02 refit socket, each × 2 is not done" in text_on(pilot)
        assert "T01/right" not in states(book)


async def test_a_line_without_members_shows_all_of_it(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "down", "enter")
        text = text_on(pilot)
        for words in ("Before: unplug. Prove it: prove dead.", "W1: switch tag 2 to terminal 1", "NOT READY"):
            assert words in text
        await pilot.press("space")
        await answer(pilot, "all the same")
        assert states(book)["T02"].done, "the line itself can be ticked from its page"


async def test_a_line_that_goes_while_it_is_shown_says_so(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "down", "enter")
        book.apply("R1", "dropped", lambda u: u.model_copy(update={"steps": (u.steps[0], u.steps[2]), "parts": ()}))
        await pilot.pause()
        assert "no longer on the list" in text_on(pilot)
        await pilot.press("space")
        assert not states(book)


# What is written at a line


async def test_what_differs_is_written_and_taken_back(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "d")
        await answer(pilot, "one washer short [/x]")
        assert states(book)["T03"].differs == "one washer short [/x]"
        assert "DIFFERS one washer short [/x]" in text_on(pilot)
        await pilot.press("d", *["backspace"] * 21, "enter")
        assert "T03" not in states(book)
        assert "DIFFERS" not in text_on(pilot)


async def test_counting_a_bag_asks_for_each_kind_and_why_it_differs(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "c", "enter")  # the bag of the line is offered
        assert "nut M4; 4 by the record" in text_on(pilot)
        await pilot.press("enter")  # as recorded
        assert "washer; 4 by the record" in text_on(pilot)
        await pilot.press("3", "enter")
        assert "3 and not 4: why?" in text_on(pilot)
        await pilot.press("enter")  # nobody knows yet
        counts = {c.kind: (c.recorded, c.counted, c.explained) for c in book.unit("R1").refit.counts}
        assert counts == {"nut M4": (4, 4, ""), "washer": (4, 3, "")}
        assert "Bag 5 is counted." in said(pilot)
        assert "STILL TO DO bag 5: 1 washer short" in text_on(pilot)
        await pilot.press("c", "enter", "enter", "enter")
        await answer(pilot, "rolled under the bench")
        assert book.unit("R1").refit.counts[1].explained == "rolled under the bench"
        assert "1 washer short" not in text_on(pilot)


@pytest.mark.parametrize("wrong", ["7", "", "[/]", "five"])
async def test_a_bag_that_is_not_there_is_refused_with_those_that_are(book: Session, wrong: str) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("c")
        await answer(pilot, wrong)
        assert "By the record there are:" in text_on(pilot)
        assert not book.unit("R1").refit.counts


@pytest.mark.parametrize("wrong", ["-1", "three", "", "٣", "3.5", "99999999"])
async def test_a_count_that_is_none_is_refused_and_stays(book: Session, wrong: str) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "c", "enter")
        await pilot.press("backspace")
        await answer(pilot, wrong)
        assert "How many nut M4 are there? Type a whole number." in text_on(pilot)
        assert not book.unit("R1").refit.counts


async def test_lines_ticked_on_paper_are_typed_as_a_range(book: Session) -> None:
    of = unit(*steps(4))
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("t")
        assert "version 1" in text_on(pilot), "the paper says its version, and so does this"
        await answer(pilot, "A01-A03 done")
        assert {k for k, s in states(book).items() if s.done} == {"check", "T04", "T03"}
        await pilot.press("t")
        await answer(pilot, "A99")
        assert "is not all on the list" in text_on(pilot)
        await pilot.press("escape", "z")
        assert not states(book), "a range is one change"


async def test_a_range_with_something_not_ready_wants_a_reason(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("t")
        await answer(pilot, "A01-A03")
        assert "new mains cord not here" in text_on(pilot)
        assert not states(book)
        await answer(pilot, "an old one does")
        assert states(book)["T02"].override == "an old one does"


async def test_a_range_over_a_hold_point_without_reading_is_refused_whole(book: Session) -> None:
    of = unit(step("T01", "cover", refit=RefitNotes(hold=hold())), step("T02", "lid"))
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("t")
        await answer(pilot, "A01-A03")
        assert "write the reading of H-W first" in text_on(pilot)
        assert not states(book)


async def test_note_and_record_of_the_step(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "n")
        await answer(pilot, "felt ring below")
        assert book.unit("R1").steps[2].note == "felt ring below"
        await pilot.press("v")
        assert isinstance(pilot.app.screen, FormScreen)
        assert "T03" in lines_on(pilot)[0]


async def test_a_tick_whose_step_changed_since_says_look_again(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("space", "down", "space")
        assert "LOOK AGAIN" not in text_on(pilot)
        await pilot.press("n")
        await answer(pilot, "the other way up")
        assert "LOOK AGAIN" in text_on(pilot)
        assert states(book)["T03"].done, "the tick is never dropped"
        await pilot.press("space")
        assert "looked at again. Space once more takes the tick back." in said(pilot)
        assert "LOOK AGAIN" not in text_on(pilot)
        assert states(book)["T03"].done
        await pilot.press("z")
        assert "LOOK AGAIN" in text_on(pilot)
        await pilot.press("space", "space")
        assert "T03" not in states(book)


# Why, what is left, in which order


async def test_why_says_what_comes_before_and_what_is_missing(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "down", "w")
        assert isinstance(pilot.app.screen, PageScreen)
        text = text_on(pilot)
        assert "A03 cord soldered: why here?" in text
        assert "T03 came off before T02" in text or "T02 came off before T03" in text
        assert "new mains cord not here" in text
        await pilot.press("escape")
        assert on(pilot) == "T02"


async def test_left_over_lists_what_keeps_it_open(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("m")
        assert "A02 refit speaker is not done." in text_on(pilot)


async def test_left_over_of_a_finished_unit_says_that_it_can_be_closed(book: Session) -> None:
    done = unit(step("T01", "lid"))
    for line in refit_list(done).lines:
        done = tick(done, line.key, at=NOW, initials="AB")
    async with opened(book, screen_of(book), done) as pilot:
        assert "All 3 lines are done." in text_on(pilot)
        await pilot.press("m")
        assert "Nothing. It can be closed" in text_on(pilot)


async def test_ready_first_keeps_every_line_and_the_relations_and_then_stays_calm(book: Session) -> None:
    of = unit(
        step("T01", "shade", "lifted out", stated=True),
        step("T02", "cord", stated=True),
        step("T03", "foot", stated=True),
        parts=[part(for_steps=("T03",))],
    )
    async with opened(book, screen_of(book), of) as pilot:
        plain = [r.key for r in rows_of(pilot).rows]
        assert plain.index("T03") < plain.index("T01")
        await pilot.press("o")
        keys = [r.key for r in rows_of(pilot).rows]
        assert sorted(keys) == sorted(plain)
        assert keys.index("check") < keys.index("T01") < keys.index("T03")
        assert "Ready ones stand first." in text_on(pilot)
        await pilot.press("space")
        assert [r.key for r in rows_of(pilot).rows] == keys, "what is ticked stays where it is"
        assert on(pilot) == "check"
        await pilot.press("o")
        assert [r.key for r in rows_of(pilot).rows] == plain
        assert on(pilot) == "check"


async def test_a_step_can_be_gone_to(book: Session) -> None:
    of = unit(*steps(6), step("T07", "plug", planned=True))
    screen = screen_of(book)
    async with opened(book, screen, of) as pilot:
        screen.select("step", "T02")
        assert on(pilot) == "T02"
        screen.select("step", "T07")
        assert on(pilot) == "out T07"


async def test_what_another_program_changes_is_shown_and_the_cursor_stays(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        await pilot.press("down", "down")
        book.apply("R1", "elsewhere", lambda u: tick(u, "check", at=NOW, initials="ZZ"))
        await pilot.pause()
        assert "[x] A01" in line_with(pilot, "A01")
        assert on(pilot) == "T02"


async def test_a_book_for_reading_only_refuses_in_words(book: Session) -> None:
    book.add_unit(RADIO)
    with Session.open(book.path, by="CD", now=lambda: NOW) as other:
        assert other.read_only
        async with opened(other, screen_of(other)) as pilot:
            await pilot.press("space")
            assert "another program" in said(pilot)
            assert not states(other)
            await pilot.press("down", "d")
            await answer(pilot, "short")
            assert "It was not kept; it stays here." in text_on(pilot)
            assert pilot.app.screen.query_one(Ask).is_open


# Sizes, hostile text, speed


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (132, 40)])
@pytest.mark.parametrize("start", [0, 7, 14, 21, 28])
async def test_hostile_records_break_neither_list_nor_line(book: Session, size: tuple[int, int], start: int) -> None:
    of = unit(
        step("T01", hazards=[hazard()], fasteners=[screws()], bag="1", certainty=Certainty.GUESS),
        step("T02", "cord", connections=[wire()], settings=[setting()], refit=RefitNotes(hold=hold(), first=("x",))),
        step("T03", "drawer", each_of="D", one_way=one_way(measured=True, remake=Remake(method="glue"))),
        sets=[part_set()],
        parts=[part(for_steps=("T02",))],
    )
    async with opened(book, screen_of(book), filled(of, texts(start)), size=size) as pilot:
        assert not bad_cells(pilot)
        for key in ("end", "home", "down", "enter"):
            await pilot.press(key)
            assert not bad_cells(pilot)


async def test_hostile_words_typed_at_a_line_are_kept_as_typed_and_shown_clean(book: Session) -> None:
    async with opened(book, screen_of(book), RADIO) as pilot:
        for name in ("close tag", "click", "override", "escape writes"):
            await pilot.press("d", "ctrl+u")
            await answer(pilot, HOSTILE[name])
            assert not bad_cells(pilot)
        assert states(book)["check"].differs


async def test_every_key_is_in_the_help_and_none_is_used_twice(book: Session) -> None:
    from logbook.tui.actions import keymap_problems

    assert not keymap_problems(ReassemblyScreen.all_acts(), {})
    assert not keymap_problems(ReassemblyLineScreen.all_acts(), {})
    async with opened(book, screen_of(book), RADIO) as pilot:
        keys = lines_on(pilot)[-1]
        assert "Space tick" in keys
        assert "? more" in keys
        await pilot.press("question_mark")
        text = text_on(pilot)
        for words in ("Tick lines that were ticked on paper", "Count a bag and write", "Why the line stands here"):
            assert words in text


def three_hundred() -> Unit:
    return unit(*(step(f"T{i:03d}", f"part {i}", fasteners=[screws(4)], bag=str(i // 4)) for i in range(1, 301)))


async def test_a_tick_in_three_hundred_lines_costs_little_more_than_in_three(tmp_path: Path) -> None:
    """As a ratio on one machine: the list itself is not made anew for a tick."""

    async def ticking(name: str, of: Unit) -> float:
        session = Session.open(tmp_path / name, by="AB", now=lambda: NOW)
        screen = screen_of(session)
        async with opened(session, screen, of) as pilot:
            best = 9.0
            for _ in range(4):
                start = time.process_time()
                screen.action_tick()
                best = min(best, time.process_time() - start)
                await pilot.pause()
            return best

    small, large = await ticking("small", unit(*steps(3))), await ticking("large", three_hundred())
    assert large < 20 * small, "a hundred times the lines, far from a hundred times the time"


async def test_a_tick_does_not_make_the_list_anew(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    screen = screen_of(book)
    async with opened(book, screen, three_hundred()) as pilot:
        view = screen.view
        for place in ("logbook.reassembly.progress.refit_list", "logbook.session.refit_view.refit_list"):
            monkeypatch.setattr(place, lambda _: pytest.fail("the list was made anew"))
        await pilot.press("space")
        assert screen.view is not view
        assert screen.view is not None
        assert view is not None
        assert screen.view.listed is view.listed, "the list is the same one"
        assert screen.view.ready == readiness(book.unit("R1"), refit_list(book.unit("R1")), NOW.astimezone())
        await pilot.press("space")
        assert not states(book)


async def test_a_tick_wakes_no_screen_below(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[str] = []
    monkeypatch.setattr(BenchScreen, "show_record", lambda self: shown.append("bench"))
    async with opened(book, screen_of(book), RADIO) as pilot:
        before = len(shown)
        await pilot.press("space", "space", "space")
        assert len(shown) == before
        await pilot.press("escape")
        assert len(shown) == before + 1, "it catches up when it comes to the front"


def test_what_stands_at_lines_that_are_gone_is_looked_up_anew(book: Session) -> None:
    ghost = LineState(line="T99", done=True)
    book.add_unit(RADIO.model_copy(update={"refit": RADIO.refit.model_copy(update={"lines": (ghost,)})}))
    before = view_of(book, "R1")
    assert [n.step for n in before.listed.gone] == ["T99"]
    book.apply("R1", "gone", lambda u: u.model_copy(update={"refit": RADIO.refit}))
    assert view_of(book, "R1", before).listed.gone == ()


async def test_a_reading_written_at_a_plain_line_is_kept_too(book: Session) -> None:
    async with opened(book, screen_of(book), write_reading(RADIO, "T03", "3.2 ohm", "AB", NOW)) as pilot:
        await pilot.press("down", "r")
        assert pilot.app.screen.query_one("#ask-line").value == "3.2 ohm"  # type: ignore[attr-defined]
        await pilot.press("enter", "enter")
        assert states(book)["T03"].reading == "3.2 ohm"


async def test_the_line_under_the_cursor_says_all_that_is_to_be_done(book: Session) -> None:
    words = "Turn the spindle by hand while the cover is drawn down, and stop when it grows stiff at any place at all."
    of = unit(*(step(f"T0{i}", f"cover {i}", refit=RefitNotes(text=f"{i}: {words}")) for i in (1, 2, 3)))
    async with opened(book, screen_of(book), of) as pilot:
        await pilot.press("down")
        assert f"3: {words}" in words_on(pilot)
        assert f"2: {words}" not in words_on(pilot)
        await pilot.press("down")
        assert (on(pilot), f"2: {words}" in words_on(pilot)) == ("T02", True)
        assert f"3: {words}" not in words_on(pilot), "the one before is short again"
        await pilot.press("space")
        assert "stop when it grows stiff" in words_on(pilot), "a refusal leaves the line as it is"


async def test_a_line_is_not_ticked_by_a_slip_while_a_danger_is_not_proved_safe(book: Session) -> None:
    async with opened(book, screen_of(book), LAMP, size=(60, 20)) as pilot:
        rows_of(pilot).go_to("check")
        await pilot.press("space")
        assert "A01 not proved safe. Why tick it?" in text_on(pilot)
        assert "Esc, then D proves it safe." in text_on(pilot)
        assert not states(book)
        await pilot.press("escape", "D", "1")
        await answer(pilot, "0.2 V")
        await answer(pilot, "meter")
        await answer(pilot, "AB")
        await pilot.press("escape", "space")
        assert said(pilot).startswith("A01 check"), said(pilot)
        assert states(book)["check"].override == ""


async def test_a_danger_that_cannot_be_proved_here_is_passed_with_a_reason(book: Session) -> None:
    async with opened(book, screen_of(book), LAMP) as pilot:
        rows_of(pilot).go_to("check")
        await pilot.press("space")
        await answer(pilot, "")
        assert "Say why it was done" in text_on(pilot)
        await answer(pilot, "the cord is off")
        assert states(book)["check"].override == "the cord is off"
        assert "done anyway: the cord is off" in text_on(pilot)


async def test_a_proof_of_another_day_is_none(book: Session) -> None:
    of = unit(step("T01", "base cover"), hazards=[hazard()], proofs=[proof("mains voltage", "0.2 V", at=NOW)])
    assert tick(of, "check", at=NOW).refit.lines[0].done
    with pytest.raises(InputError, match="mains voltage is not proved safe"):
        tick(of, "check", at=NOW + timedelta(days=1))
    live = with_proof(of, proof("mains voltage", "230 V", at=NOW))
    with pytest.raises(InputError, match="mains voltage is not proved safe"):
        tick(live, "check", at=NOW)


async def test_on_a_low_terminal_the_warnings_of_a_line_leave_room_for_others(demo: Session) -> None:
    async with opened(demo, screen_of(demo), size=(60, 20)) as pilot:
        shown = text_on(pilot)
        assert "WARNING mains voltage: not proved safe." in words_on(pilot)
        assert "Enter shows the rest. D: prove it safe." in shown
        assert "A02 refit feet" in shown
        assert "Unplug, tag the plug OUT" not in shown, "what to do is whole, or one key away"


async def test_notices_are_not_cut(demo: Session) -> None:
    async with opened(demo, screen_of(demo), size=(60, 20)) as pilot:
        await pilot.press("home")
        assert "Know before starting" in text_on(pilot)
        notices = [row for row in rows_of(pilot).rows if row.key.startswith("know")]
        assert notices
        assert not any("…" in line for row in notices for line in row.lines)
