"""Leaving work half done, by real keys: what is asked, that no key is taken for an answer, and putting it right."""

from __future__ import annotations

from datetime import timedelta

import pytest

from logbook.errors import StoreError
from logbook.model.unit import LeftAs
from logbook.session import Session
from logbook.session.papers import Form, Paper, Wish, make_paper, source_of
from logbook.teardown.left_as import LEAVING_QUESTIONS, answers_of, left_words, still_as_left, with_answers
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.components_screen import ComponentsScreen
from logbook.tui.screens.left_as_screen import LeftAsScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from tests.builders import at, step, unit
from tests.tui.conftest import HOSTILE, NOW, Pilot, bad_cells, lines_on, opened, said, text_on, typed, until

GRINDER = unit(step("G01", "eye shields"), code="G1", name="bench grinder", step_letter="G")
SIZES = [(60, 20), (80, 24), (120, 40)]


async def left(pilot: Pilot[None], *keys: str) -> None:
    """Keep one step, then Escape, then these keys."""
    await typed(pilot, "base")
    await pilot.press("enter", "escape", *keys)


@pytest.mark.parametrize("size", SIZES)
async def test_every_question_is_shown_whole_with_its_number(book: Session, size: tuple[int, int]) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER, size=size) as pilot:
        await left(pilot)
        assert "Enter: answer them all, blank is fine. A digit: that one. Esc or any other key: leave." in framed(pilot)
        await pilot.press("enter")
        for number, question in enumerate(LEAVING_QUESTIONS, 1):
            assert f"Question {number} of 4. {question.question}" in framed(pilot)
            assert "Enter: next, blank is fine. Esc: skip all." in framed(pilot)
            assert not bad_cells(pilot)
            await pilot.press("enter")
        assert isinstance(pilot.app.screen, BenchScreen)
        assert book.unit("G1").left_as is None


def framed(pilot: Pilot[None]) -> str:
    """What is on the screen, without the frame."""
    return " ".join(text_on(pilot).replace("│", " ").split())


async def test_q_leaves_the_questions_and_not_the_program(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await left(pilot, "q")
        await pilot.pause()
        assert isinstance(pilot.app.screen, BenchScreen)
        assert pilot.app.is_running


async def test_answers_are_kept_and_shown_on_the_way_back(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await left(pilot, "enter")
        await typed(pilot, "two clamps")
        await pilot.press("enter", "enter")
        await typed(pilot, "on its back")
        await pilot.press("enter")
        await typed(pilot, "switch it on")
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, BenchScreen)
        assert said(pilot) == "How it was left is kept. M in its sections puts it right."
        assert book.unit("G1").left_as == LeftAs(
            held_by="two clamps", way_up="on its back", beware="switch it on", by="AB", at=NOW
        )
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        assert (
            "Left: DO NOT switch it on; held by two clamps; lies on its back. (Tab, then M: put it right)"
            in text_on(pilot)
        )


@pytest.mark.parametrize(
    ("key", "place"),
    [("left", ArrivalScreen), ("escape", BenchScreen), ("right", ComponentsScreen)],
)
async def test_a_key_straight_after_escape_acts_at_the_place_behind(book: Session, key: str, place: type) -> None:
    async with opened(book, TeardownScreen(book, "G1"), GRINDER) as pilot:
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        await left(pilot)
        assert isinstance(pilot.app.screen, LeftAsScreen)
        if key == "escape":
            await pilot.press("escape", "escape")
        else:
            await pilot.press(key)
        await until(pilot, lambda: isinstance(pilot.app.screen, place))
        assert book.unit("G1").left_as is None


@pytest.mark.parametrize(("key", "place"), [("1", ArrivalScreen), ("3", ComponentsScreen)])
async def test_escape_twice_and_any_key_acts_at_the_place_behind(book: Session, key: str, place: type) -> None:
    async with opened(book, TeardownScreen(book, "G1"), GRINDER) as pilot:
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        await left(pilot, "escape", key)
        await until(pilot, lambda: isinstance(pilot.app.screen, place))


async def test_keys_typed_ahead_keep_their_order(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "G1"), GRINDER) as pilot:
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        await left(pilot, "left", "3")
        await until(pilot, lambda: isinstance(pilot.app.screen, ComponentsScreen))


async def test_undo_straight_after_leaving_takes_back_the_step(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "G1"), GRINDER) as pilot:
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        await left(pilot, "z")
        await until(pilot, lambda: len(book.unit("G1").steps) == 1)
        assert isinstance(pilot.app.screen, TeardownScreen)


async def test_escape_in_a_question_keeps_what_was_typed_and_skips_the_rest(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await left(pilot, "enter")
        await typed(pilot, "two clamps")
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, BenchScreen)
        assert answers_of(book.unit("G1"))["held_by"] == "two clamps"


async def test_letters_in_a_question_are_text_and_nothing_else(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await left(pilot, "enter", "q", "z", "2", "question_mark")
        await pilot.press("escape")
        assert answers_of(book.unit("G1"))["held_by"] == "qz2?"


async def test_pasted_text_answers_the_first_question(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await left(pilot)
        await typed(pilot, "two clamps")
        await pilot.press("escape")
        assert answers_of(book.unit("G1"))["held_by"] == "two clamps"


async def test_leaving_the_program_asks_too_and_any_key_ends_it(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await typed(pilot, "base")
        await pilot.press("enter", "tab", "q")
        assert isinstance(pilot.app.screen, LeftAsScreen)
        await pilot.press("q")
        await until(pilot, lambda: not pilot.app.is_running or pilot.app._exit)


async def test_whoever_only_looked_is_not_asked(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, BenchScreen)


async def test_leaving_is_not_held_up_when_the_answers_cannot_be_kept(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await left(pilot, "enter")
        await typed(pilot, "two clamps")

        def refused(*_: object, **__: object) -> None:
            raise StoreError("The disk is full.")

        monkeypatch.setattr(book, "apply", refused)
        await pilot.press("escape")
        assert said(pilot) == "The disk is full."
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, BenchScreen)
        assert book.draft("G1/left/held_by") == "two clamps"
        monkeypatch.undo()
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        await typed(pilot, "rotor")
        await pilot.press("enter", "escape")
        assert "two clamps" in text_on(pilot), "what was typed is there again"


# --- putting it right ------------------------------------------------------------------------------------------

LEFT = GRINDER.model_copy(update={"left_as": LeftAs(held_by="two clamps", loose="the rotor", by="AB", at=NOW)})


EARLIER = {"held_by": "two clamps", "loose": "the rotor", "way_up": "on its face", "beware": "plug it in"}
LEFT_BEFORE = with_answers(GRINDER, EARLIER, NOW - timedelta(days=2), "AB")


async def test_leaving_again_offers_the_earlier_answers_and_enter_keeps_them(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), LEFT_BEFORE) as pilot:
        await left(pilot)
        assert "4 DO NOT ...? (turn it over, switch it on) plug it in" in framed(pilot)
        await pilot.press("enter")
        assert "Enter: next, what stands there stays; Ctrl+U clears it." in framed(pilot)
        await pilot.press("enter", "enter", "enter", "enter")
        assert answers_of(book.unit("G1")) == EARLIER
        kept = book.unit("G1").left_as
        assert kept is not None
        assert kept.at == NOW, "gone through again, so it holds from now"


async def test_only_a_field_that_is_cleared_on_purpose_is_cleared(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), LEFT_BEFORE) as pilot:
        await left(pilot, "enter", "enter", "ctrl+u", "enter", "enter", "enter")
        assert answers_of(book.unit("G1")) == {**EARLIER, "loose": ""}


async def test_all_cleared_on_purpose_nothing_is_said_any_more(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), LEFT_BEFORE) as pilot:
        await left(pilot, "enter", *["ctrl+u", "enter"] * 4)
        assert book.unit("G1").left_as is None


@pytest.mark.parametrize("keys", [("escape",), ("enter", "escape"), ("enter", "enter", "escape")])
async def test_skipping_leaves_the_earlier_answers_as_they_were(book: Session, keys: tuple[str, ...]) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), LEFT_BEFORE) as pilot:
        await left(pilot, *keys)
        assert isinstance(pilot.app.screen, BenchScreen)
        assert book.unit("G1").left_as == LEFT_BEFORE.left_as


async def test_a_digit_answers_the_question_of_that_number_and_the_panel_waits_on(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), LEFT_BEFORE) as pilot:
        await left(pilot, "4", "ctrl+u")
        await typed(pilot, "turn it over")
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, LeftAsScreen)
        assert "turn it over" in framed(pilot)
        assert answers_of(book.unit("G1")) == {**EARLIER, "beware": "turn it over"}
        await pilot.press("1", "x", "escape", "escape")
        assert isinstance(pilot.app.screen, BenchScreen)
        assert answers_of(book.unit("G1"))["held_by"] == "two clamps", "Escape cancels the one question"


def test_the_reassembly_list_says_first_what_nobody_may_do(book: Session) -> None:
    book.add_unit(LEFT_BEFORE)
    made = make_paper(source_of(book, "G1", Paper.REASSEMBLY), Wish(Paper.REASSEMBLY, Form.TEXT))
    text = " ".join(made.raw.decode().split())
    assert "Left: DO NOT plug it in; held by two clamps; loose: the rotor; lies on its face." in text
    assert text.index("DO NOT plug it in") < text.index("eye shields")


@pytest.mark.parametrize("place", [ArrivalScreen, TeardownScreen])
async def test_it_is_shown_and_put_right_from_the_sections(book: Session, place: type) -> None:
    async with opened(book, place(book, "G1"), LEFT) as pilot:
        assert "Left: held by two clamps; loose: the rotor." in text_on(pilot)
        assert "M" in text_on(pilot)
        await pilot.press("M")
        assert isinstance(pilot.app.screen, LeftAsScreen)
        await pilot.press("2", "ctrl+u")
        await typed(pilot, "nothing")
        await pilot.press("enter")
        assert "2 What is loose? nothing" in framed(pilot)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, place)
        assert "loose: nothing" in text_on(pilot)
        await pilot.press("z")
        assert book.unit("G1").left_as == LEFT.left_as


async def test_it_is_put_right_from_the_bench_by_the_key_that_stands_there(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), LEFT) as pilot:
        assert "(Tab, then M: put it right)" in text_on(pilot)
        await pilot.press("tab", "M", "1", "escape")
        assert isinstance(pilot.app.screen, LeftAsScreen), "the question is left, not the place"
        assert book.unit("G1").left_as == LEFT.left_as
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, BenchModeScreen)


@pytest.mark.parametrize("size", SIZES)
async def test_whatever_was_answered_no_line_breaks_the_screen(book: Session, size: tuple[int, int]) -> None:
    for text in HOSTILE:
        of = with_answers(GRINDER, {"held_by": text, "beware": text}, NOW, "AB")
        screen = LeftAsScreen(book, "G1")
        if "G1" in book.codes():
            book.apply("G1", "left", lambda _, new=of: new)
            async with opened(book, screen, size=size) as pilot:
                assert not bad_cells(pilot)
        else:
            async with opened(book, screen, of, size=size) as pilot:
                assert not bad_cells(pilot)


async def test_a_very_long_answer_leaves_message_and_keys_on_a_small_terminal(book: Session) -> None:
    of = with_answers(GRINDER, {question.field: "x" * 9000 for question in LEAVING_QUESTIONS}, NOW, "AB")
    async with opened(book, LeftAsScreen(book, "G1"), of, size=(60, 20)) as pilot:
        lines = lines_on(pilot)
        assert "put one right" in lines[-1]
        assert sum(line.rstrip(" │").endswith("…") for line in lines) == len(LEAVING_QUESTIONS)
        await pilot.press("4")
        assert "Enter done" in lines_on(pilot)[-1]


# --- the words -------------------------------------------------------------------------------------------------


def test_what_nobody_may_do_comes_first_and_what_was_not_said_is_left_out() -> None:
    assert left_words(GRINDER) == ""
    of = with_answers(GRINDER, {"held_by": " two  clamps ", "loose": "", "beware": "turn it over"}, NOW, "AB")
    assert left_words(of) == "Left: DO NOT turn it over; held by two clamps."
    every = with_answers(GRINDER, {q.field: q.field for q in LEAVING_QUESTIONS}, NOW, "AB")
    assert left_words(every) == "Left: DO NOT beware; held by held_by; loose: loose; lies way_up."


def test_answers_that_say_nothing_take_it_back() -> None:
    assert with_answers(LEFT, {}, NOW, "AB").left_as is None
    assert with_answers(GRINDER, {"held_by": "  "}, NOW, "AB") is GRINDER


def test_an_older_book_has_it_at_the_end_of_its_notes() -> None:
    line = "2026-03-20 18:00 UTC Left: held by two clamps."
    assert left_words(GRINDER.model_copy(update={"notes": f"Bought cheaply.\n{line}"})) == "Left: held by two clamps."
    assert left_words(GRINDER.model_copy(update={"notes": f"{line}\nother"})) == ""


def test_once_a_step_was_taken_it_no_longer_lies_as_it_was_left() -> None:
    assert still_as_left(LEFT)
    later = step("G02", "rotor", at=at("2026-03-21 09:00"))
    assert not still_as_left(LEFT.model_copy(update={"steps": (*LEFT.steps, later)}))


def test_the_build_record_says_how_it_was_left(book: Session) -> None:
    book.add_unit(LEFT)
    made = make_paper(source_of(book, "G1", Paper.RECORD), Wish(Paper.RECORD, Form.TEXT))
    assert "Left: held by two clamps; loose: the rotor." in made.raw.decode()


async def test_the_line_of_keys_says_what_enter_and_escape_do(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), GRINDER) as pilot:
        await left(pilot)
        assert "Enter answer   Esc leave" in lines_on(pilot)[-1]
        await pilot.press("enter")
        assert "Enter next   Esc skip all" in lines_on(pilot)[-1]
