"""Text typed into a question of one key: its first letter answers, the rest is no row of commands."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from logbook.session import Session
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.left_as_screen import LeftAsScreen
from logbook.tui.typed_on import GoesTo, TypedOn
from logbook.tui.widgets.letter_menu import Letters
from logbook.tui.widgets.rows import Rows
from tests.builders import steps, unit
from tests.tui.conftest import opened, said, typed, until

ONE_TEXT = 60
"""Seconds within which keys are one text, so that no slow machine makes two of it."""


@pytest.fixture
def _one_text(monkeypatch: pytest.MonkeyPatch, _each_key_is_pressed_alone: None) -> None:
    monkeypatch.setattr(TypedOn, "TOGETHER_SECONDS", ONE_TEXT)


def key(name: str, at: float) -> events.Key:
    """A key that came at this second."""
    event = events.Key(name, name if len(name) == 1 else None)
    event.time = at
    return event


A, N, T, C = GoesTo.ANSWER, GoesTo.NO_ANSWER, GoesTo.TEXT, GoesTo.COMMAND


@pytest.mark.parametrize(
    ("keys", "back"),
    [
        pytest.param([("2", 0, A), ("z", 0.02, C), ("x", 0.04, C)], "zx", id="an answer and text behind it"),
        pytest.param([("2", 0, A), ("z", 0.3, C)], "", id="a command after a while"),
        pytest.param([("2", 0, A), ("z", 0.02, C), ("x", 0.3, C)], "z", id="the text is over after a while"),
        pytest.param([("2", 0, A), ("z", 0.02, T), ("enter", 0.04, T)], "", id="the answer opened a line"),
        pytest.param([("1", 0, A), ("2", 0.02, A), ("enter", 0.04, A)], "", id="several answers, and done"),
        pytest.param([("y", 0, N), ("s", 0.02, A), ("x", 0.04, A)], "sx", id="no answer: none of the text is"),
        pytest.param([("s", 0, A), ("tab", 0.02, C), ("p", 0.04, C)], "", id="Tab is pressed on purpose"),
        pytest.param([("s", 0, A), ("enter", 0.02, C)], "", id="Enter behind the answer alone keeps"),
        pytest.param([("2", 0, A), ("z", 0.02, C), ("enter", 0.04, C)], "z\n", id="Enter ends the text"),
        pytest.param([("z", 0, C), ("x", 0.02, C)], "", id="commands where nothing was asked"),
    ],
)
def test_what_is_held_back(keys: list[tuple[str, float, GoesTo]], back: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(TypedOn, "TOGETHER_SECONDS", 0.1)
    typed_on = TypedOn()
    held = [name for name, at, goes_to in keys if typed_on.holds_back(key(name, at), goes_to)]
    assert "".join("\n" if name == "enter" else name for name in held) == back


def at_once(pilot: Pilot[Any], keys: Iterable[str]) -> None:
    """Send keys as a terminal does that got them in one go."""
    for name in keys:
        pilot.app.post_message(events.Key(name, name if len(name) == 1 else None))


@pytest.mark.usefixtures("_one_text")
async def test_text_behind_a_flag_changes_nothing_of_the_step(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "R1"), unit(*steps(1))) as pilot:
        await typed(pilot, "knob")
        await pilot.press("tab", "f")
        at_once(pilot, [*"oxbz", "enter"])
        await until(pilot, lambda: "xbz" in said(pilot))
        bench = pilot.app.screen
        assert isinstance(bench, BenchModeScreen)
        assert bench.line.value == "knob, one-way"
        assert len(book.unit("R1").steps) == 1
        assert "“xbz” came at once behind the answer: nothing was done with it." in said(pilot)


@pytest.mark.usefixtures("_one_text")
async def test_a_sentence_typed_into_a_list_of_letters_answers_nothing(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "R1"), unit(*steps(1))) as pilot:
        await typed(pilot, "knob")
        await pilot.press("tab", "f")
        at_once(pilot, "yes of one")
        await until(pilot, lambda: "es of one" in said(pilot))
        bench = pilot.app.screen
        assert bench.query_one(Letters).is_open
        assert isinstance(bench, BenchModeScreen)
        assert bench.line.value == "knob"


@pytest.mark.usefixtures("_one_text")
async def test_a_sentence_typed_at_the_questions_on_leaving_answers_the_first(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "R1"), unit(*steps(1))) as pilot:
        await typed(pilot, "knob")
        await pilot.press("enter", "escape")
        assert isinstance(pilot.app.screen, LeftAsScreen)
        at_once(pilot, "quite zinc")
        line = pilot.app.screen.query_one("#asked-line", Input)
        await until(pilot, lambda: line.value == "quite zinc")
        assert len(book.unit("R1").steps) == 2


@pytest.mark.usefixtures("_one_text")
async def test_text_behind_the_digit_of_a_question_is_its_answer(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "R1"), unit(*steps(1))) as pilot:
        await typed(pilot, "knob")
        await pilot.press("enter", "escape")
        at_once(pilot, ["2", *"zinc lid", "enter", *"zz"])
        await until(pilot, lambda: book.unit("R1").left_as is not None)
        assert book.unit("R1").left_as.loose == "zinc lid"  # type: ignore[union-attr]
        assert len(book.unit("R1").steps) == 2


@pytest.mark.usefixtures("_one_text")
async def test_text_behind_a_digit_of_a_menu_takes_nothing_back(book: Session) -> None:
    async with opened(book, ArrivalScreen(book, "R1"), unit(*steps(1))) as pilot:
        await pilot.press("G")
        at_once(pilot, "3zz")
        await until(pilot, lambda: "zz" in said(pilot))
        assert str(book.unit("R1").stage) == "rebuild"


@pytest.mark.usefixtures("_one_text")
async def test_in_a_form_text_behind_the_digit_of_a_choice_chooses_no_other(book: Session) -> None:
    async with opened(book, FormScreen(book, "R1", ("steps", "T01")), unit(*steps(1))) as pilot:
        pilot.app.screen.query_one("#fields", Rows).go_to("action")
        await pilot.press("enter")
        at_once(pilot, "1cut")
        await until(pilot, lambda: "cut" in said(pilot))
        assert str(book.unit("R1").steps[0].action) == "unscrewed"
