"""Bench mode by real key presses: the line, the single keys, the stop question, drafts, and leaving."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.model.unit import Unit
from logbook.model.words import Action, SignalWord, Stage, Then
from logbook.session import Session
from logbook.teardown.bench_line import read_line
from logbook.tui.look.inks import text_of
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.widgets.input_line import Line
from logbook.tui.widgets.letter_menu import Letters
from logbook.tui.widgets.pane import Pane
from tests.builders import at, fastener, handed_pair, hazard, one_way, step, unit
from tests.tui.conftest import HOSTILE, NOW, bad_cells, lines_on, opened, said, text_on, typed, until

DEMO = Path(__file__).parents[2] / "templates" / "demo"


def demo(code: str) -> Unit:
    return Unit.model_validate_json(json.dumps(json.loads((DEMO / f"{code}.json").read_text())["unit"]))


def grinder(**more: Any) -> Unit:
    return unit(
        step("G01", "eye shields", fasteners=[fastener("screw M6", 4), fastener("knurled nut M6", 4)], bag="1"),
        code="G1",
        name="bench grinder",
        step_letter="G",
        **more,
    )


def screen_of(pilot: Pilot[Any]) -> BenchModeScreen:
    top = pilot.app.screen
    assert isinstance(top, BenchModeScreen)
    return top


def line(pilot: Pilot[Any]) -> str:
    return screen_of(pilot).line.value


async def test_every_first_letter_is_text_even_those_that_are_keys(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        for word in ("zb", "4 k", "q", "hf"):
            await pilot.press(*("space" if c == " " else c for c in word))
            assert line(pilot) == word
            screen_of(pilot).set_line("")
        assert book.unit("G1") == grinder(touched=NOW)


async def test_bags_of_single_kinds_are_shown_and_the_next_one_is_free(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "tool rests, uns, 4 bolt M8x16 bag 3, 4 washer M8 bag 4")
        assert "bag 3, 4, as written above" in text_on(pilot)
        assert "next is" not in text_on(pilot), "nothing lies nowhere"
        await typed(pilot, ", 2 spring")
        assert "bag 3, 4, as written above next is bag 5, b" in text_on(pilot)


async def test_the_phrase_under_the_cursor_is_read_and_every_doubt_is_said(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "tool rests, uns, 4/3 washer M8, unscrwed")
        assert "Kept as a note: unscrwed (unscrewed? Right takes it)" in text_on(pilot)
        await pilot.press(*["left"] * len(", unscrwed"))
        assert "4/3 washer M8 = " in text_on(pilot), "the one that is put right, not the last one"
        assert "Kept as a note: unscrwed (unscrewed? Right takes it)" in text_on(pilot)
        await pilot.press(*["left"] * len(", 4/3 washer M8"))
        assert "uns = unscrewed" in text_on(pilot)


async def test_right_takes_the_word_that_a_mistyped_one_may_be(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "tool rests, unscrwed, 4 washer M8")
        await pilot.press("right")
        assert line(pilot) == "tool rests, unscrewed, 4 washer M8"
        assert "Kept as a note" not in text_on(pilot)


async def test_of_a_planned_step_nothing_has_come_out_yet(book: Session) -> None:
    planned = step("G01", "lid", planned=True, fasteners=[fastener("screw M4x8", 4)], bag="1")
    async with opened(
        book, BenchModeScreen(book, "G1"), unit(planned, code="G1", name="bench grinder", step_letter="G")
    ) as pilot:
        await pilot.press("down")
        await pilot.pause()
        assert "4 will go into the bag" in text_on(pilot)
        assert "4 to come out" in text_on(pilot)


async def test_enter_keeps_the_step_at_once_and_offers_the_next(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "tool rests, uns, 4 bolt M8x16, 4/3 washer M8, bag 2, photo")
        await pilot.press("enter")
        kept = book.unit("G1").steps[-1]
        assert (kept.code, kept.what, kept.action, kept.bag) == ("G02", "tool rests", Action.UNSCREWED, "2")
        assert [(f.kind, f.holes, f.found) for f in kept.fasteners] == [("bolt M8x16", 4, 4), ("washer M8", 4, 3)]
        assert (kept.photo_taken, kept.at, kept.by) == (True, NOW, "AB")
        assert book.unit("G1").stage is Stage.TEARDOWN
        assert line(pilot) == ""
        assert screen_of(pilot).line.has_focus
        assert "step G03" in lines_on(pilot)[0]
        assert said(pilot) == "G02 kept: tool rests"
        assert "before this G02 tool rests, unscrewed, bag 2" in text_on(pilot)


async def test_the_reading_stands_below_while_typing(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "base, 4 screw M4x8, 2 foot renew, left-hand, after G01, blub")
        shown = text_on(pilot)
        assert "what base" in shown
        assert "4 screw M4x8 4 of 4 reuse 2 foot 2 of 2 RENEW" in shown
        assert "LEFT-HAND THREAD" in shown
        assert "after G01" in shown
        assert "Kept as a note: blub" in shown
        await typed(pilot, ", unscrwed")
        assert "Kept as a note: blub; unscrwed (unscrewed? Right takes it)" in text_on(pilot)


async def test_nothing_said_is_not_kept(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await pilot.press("enter")
        assert "What came off?" in said(pilot)
        await typed(pilot, ", 4 screw")
        await pilot.press("enter")
        assert "What came off?" in said(pilot)
        assert line(pilot) == ", 4 screw"
        assert len(book.unit("G1").steps) == 1


KEYS: list[tuple[str, list[str], str]] = [
    ("how", ["h", "s"], "knob, slid"),
    ("flag hazard", ["f", "h"], "knob, warning"),
    ("flag one-way", ["f", "o"], "knob, one-way"),
    ("flag guess", ["f", "g"], "knob, guess"),
    ("flag left-hand", ["f", "l"], "knob, left-hand"),
    ("flag taken back", ["f", "w", "f", "w"], "knob"),
    ("same kind", ["1"], "knob, 4 screw M6"),
    ("same kinds", ["2", "1"], "knob, 4 knurled nut M6, 4 screw M6"),
    ("same, more", ["1", "+", "="], "knob, 6 screw M6"),
    ("same, less", ["1", "-"], "knob, 3 screw M6"),
    ("one missing", ["1", "m"], "knob, 4/3 screw M6"),
    ("renewed", ["1", "d"], "knob, 4 screw M6 renew"),
    ("scrapped", ["1", "d", "d"], "knob, 4 screw M6 scrap"),
    ("taken out", ["1", "2", "x"], "knob, 4 screw M6"),
    ("bag", ["b"], "knob, bag 2"),
    ("bag again", ["b", "b"], "knob, bag 1"),
    ("box", ["b", "b", "b"], "knob, box 1"),
    ("none", ["b", "b", "b", "b"], "knob"),
    ("photo", ["p"], "knob, photo"),
    ("wires", ["c", "c", "c"], "knob, wires 3"),
    ("note", ["n"], "knob, note "),
]


@pytest.mark.parametrize(("name", "keys", "expected"), KEYS, ids=[k[0] for k in KEYS])
async def test_a_single_key_writes_what_the_line_would_say(
    book: Session, name: str, keys: list[str], expected: str
) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "knob")
        named = {"+": "plus", "-": "minus", "=": "equals_sign"}
        await pilot.press("tab", *(named.get(k, k) for k in keys))
        of = book.unit("G1")
        assert read_line(line(pilot), of).step == read_line(expected, of).step


async def test_every_way_of_taking_off_stands_in_the_list_on_the_smallest_terminal(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder(), size=(60, 20)) as pilot:
        await typed(pilot, "strap")
        await pilot.press("tab", "h")
        shown = text_on(pilot)
        assert [str(action) for action in Action if str(action) not in shown] == []
        assert "2 a second way" in shown


async def test_keys_and_typing_take_turns_on_one_line(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await pilot.press("tab", "1", "b", "tab")
        await typed(pilot, "guard covers")
        await pilot.press("tab", "a")
        await typed(pilot, "from below")
        await pilot.press("enter")
        kept = book.unit("G1").steps[-1]
        assert (kept.what, kept.bag, kept.viewed_from) == ("guard covers", "2", "below")
        assert [f.kind for f in kept.fasteners] == ["screw M6"]


async def test_enter_keeps_from_the_single_keys_too_and_the_line_has_the_cursor_again(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "R wheel")
        await pilot.press("tab", "2", "enter", "k")
        assert book.unit("G1").steps[-1].what == "R wheel"
        assert line(pilot) == "k"


async def test_the_grey_completion_is_taken_with_the_right_arrow(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "covers, 2 knu")
        await until(pilot, lambda: "knurled nut M6" in text_on(pilot), "no completion is offered")
        await pilot.press("right")
        assert line(pilot) == "covers, 2 knurled nut M6"


async def test_the_right_arrow_completes_what_stands_there_before_the_grey_text_has_come(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "covers, 2 k")
        field = screen_of(pilot).line
        field.insert_text_at_cursor("nu")
        field.action_cursor_right()
        assert field.value == "covers, 2 knurled nut M6"


async def test_four_keys_act_while_typing_and_typing_goes_on(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "knob")
        await pilot.press("f3", "s", "f4", "g", "f5", "f6")
        assert screen_of(pilot).line.has_focus
        assert line(pilot) == "knob, slid, bag 2, guess, photo"
        await pilot.press("f3", "escape", "comma", "space")
        await typed(pilot, "blub")
        assert line(pilot) == "knob, slid, bag 2, guess, photo, blub"
        await pilot.press("f4", "d")
        assert "d is not on this list" in said(pilot), "done is not a flag: every step that is written down is"
        await pilot.press("s")
        assert line(pilot) == "knob, slid, bag 2, guess, photo, planned, note blub"


async def test_a_hazard_is_one_of_those_that_the_unit_names_with_its_advice(book: Session) -> None:
    of = grinder(hazards=[hazard(), hazard("stored charge", "bleed it", "below 10 V", signal=SignalWord.DANGER)])
    async with opened(book, BenchModeScreen(book, "G1"), of) as pilot:
        await typed(pilot, "capacitor")
        await pilot.press("f4", "h")
        assert "2 DANGER stored charge" in text_on(pilot)
        await pilot.press("2", "enter")
        (kept,) = book.unit("G1").steps[-1].hazards
        assert (kept.what, kept.do, kept.prove) == ("stored charge", "bleed it", "below 10 V")
        await typed(pilot, "plug")
        await pilot.press("tab", "f", "h", "h")
        assert [h.what for h in screen_of(pilot).reading().step.hazards] == ["not said what"]
        await pilot.press("f", "h")
        assert screen_of(pilot).reading().step.hazards == ()


async def test_the_order_is_named_by_a_key_too(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "knob")
        await pilot.press("tab", "o")
        for text, why in (("G77", "no step G77"), ("before G01", "Only what comes off before"), ("", "Type the code")):
            await typed(pilot, text)
            await pilot.press("enter")
            assert why in text_on(pilot)
            screen_of(pilot).query_one("#ask-line", Line).value = ""
        await typed(pilot, "1")
        await pilot.press("enter")
        assert line(pilot) == "knob, after G01"
        await pilot.press("tab", "o", "1", "enter")
        assert line(pilot) == "knob"


async def test_a_digit_without_a_kind_says_so_and_changes_nothing(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "knob")
        await pilot.press("tab", "9")
        assert said(pilot) == "There is no kind 9 yet."
        await pilot.press("m")
        assert "No fastener is written" in said(pilot)
        assert line(pilot) == "knob"


async def test_help_and_find_are_keys_only_in_an_empty_line(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "knob")
        await pilot.press("question_mark", "slash")
        assert line(pilot) == "knob?/"
        screen_of(pilot).set_line("")
        await pilot.press("question_mark")
        assert "No letter is ever taken as a key" in text_on(pilot)
        await pilot.press("escape")
        assert screen_of(pilot).line.has_focus
        await pilot.press("slash")
        assert "Find" in lines_on(pilot)[0]


async def test_undo_is_two_keys_and_says_what_it_undid(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "knob")
        await pilot.press("enter", "tab", "z")
        assert said(pilot) == "Undone: step G02: knob"
        assert len(book.unit("G1").steps) == 1


# --- what cannot be undone -----------------------------------------------------------------------------------


async def test_a_one_way_step_is_asked_about_before_it_is_kept(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "bottom, split, 10 nail scrap, one-way")
        await pilot.press("enter")
        assert "STOP: this cannot be undone" in text_on(pilot)
        await pilot.press("enter")
        assert "Answer at least one" in said(pilot)
        assert len(book.unit("G1").steps) == 1
        await pilot.press("2", "4")
        assert "* 2 traced" in text_on(pilot)
        await pilot.press("4", "enter")
        kept = book.unit("G1").steps[-1].one_way
        assert kept is not None
        assert (kept.traced, kept.pattern_kept, kept.measured) == (True, False, False)


async def test_a_plain_cut_is_asked_about_too_and_asks_again_until_something_is_kept(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "cord, cut")
        await pilot.press("enter")
        assert "STOP: this cannot be undone" in text_on(pilot)
        await pilot.press("enter")
        assert "Answer at least one" in said(pilot)
        assert len(book.unit("G1").steps) == 1
        await pilot.press("1", "enter")
        kept = book.unit("G1").steps[-1]
        assert kept.one_way is not None
        assert (kept.what, kept.one_way.measured) == ("cord", True)


async def test_the_stop_question_is_skipped_only_with_a_reason(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "bottom, one-way")
        await pilot.press("enter", "s", "enter")
        assert "A reason is needed" in text_on(pilot)
        await typed(pilot, "rotten, nothing to measure")
        await pilot.press("enter")
        kept = book.unit("G1").steps[-1].one_way
        assert kept is not None
        assert kept.skipped_because == "rotten, nothing to measure"


async def test_escape_goes_from_the_stop_question_back_to_the_step(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "bottom, one-way")
        await pilot.press("enter", "escape")
        assert not screen_of(pilot).query_one(Letters).is_open
        assert line(pilot) == "bottom, one-way"
        assert len(book.unit("G1").steps) == 1


async def test_an_answer_in_the_line_is_enough_and_a_planned_step_is_not_asked_about(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        for text in ("bottom, one-way glued traced", "sides, one-way, planned"):
            await typed(pilot, text)
            await pilot.press("enter")
        assert [s.what for s in book.unit("G1").steps[1:]] == ["bottom", "sides"]


# --- drafts --------------------------------------------------------------------------------------------------


async def test_a_half_typed_line_is_there_again_and_gone_once_kept(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "guard cov")
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, BenchModeScreen)
        assert book.draft("G1/line") == "guard cov"
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        assert line(pilot) == "guard cov"
        await pilot.press("enter")
        assert book.draft("G1/line") == ""
        assert book.unit("G1").steps[-1].what == "guard cov"


async def test_a_line_being_typed_is_put_on_disk_every_few_seconds(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("logbook.tui.screens.bench_mode_screen.DRAFT_SECONDS", 0.05)
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "guard cov")
        await until(pilot, lambda: book.draft("G1/line") == "guard cov", "the draft was not kept")


async def test_a_step_half_put_right_comes_back_as_that_step(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await pilot.press("up")
        await typed(pilot, ", photo")
        await pilot.press("escape")
        await pilot.app.push_screen(BenchModeScreen(book, "G1"))
        await pilot.pause()
        await pilot.press("enter")
        assert [(s.code, s.photo_taken) for s in book.unit("G1").steps] == [("G01", True)]


async def test_a_step_only_looked_at_is_no_draft(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await pilot.press("up", "escape")
        assert (book.draft("G1/line"), book.draft("G1/line-of")) == ("", "")


# --- other steps ---------------------------------------------------------------------------------------------


async def test_the_last_step_is_put_right_in_its_own_line(book: Session) -> None:
    of = grinder()
    kept = of.steps[0].model_copy(update={"at": at("2026-03-12 20:41"), "by": "CD", "marks": "UP"})
    async with opened(book, BenchModeScreen(book, "G1"), of.model_copy(update={"steps": (kept,)})) as pilot:
        await pilot.press("up")
        assert "step G01 (put right)" in lines_on(pilot)[0]
        assert line(pilot) == "eye shields, unscrewed, 4 screw M6, 4 knurled nut M6, bag 1, by CD"
        screen_of(pilot).set_line("shields, unscrewed, 4/3 screw M6, 4 knurled nut M6, bag 1, by CD")
        await pilot.press("enter")
        (changed,) = book.unit("G1").steps
        assert (changed.what, changed.fasteners[0].found, changed.marks) == ("shields", 3, "UP")
        assert (changed.at, changed.by) == (kept.at, "CD")
        assert line(pilot) == ""


async def test_a_step_looked_at_and_entered_stays_as_it_is(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        before = book.kept("G1").version
        await pilot.press("up", "enter")
        assert said(pilot) == "G01 stays as it is."
        assert book.kept("G1").version == before


async def test_nothing_typed_gives_way_to_another_step(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "guard")
        await pilot.press("up")
        assert line(pilot) == "guard"
        assert "not kept yet" in said(pilot)


async def test_a_planned_step_is_taken_as_the_next_one(book: Session) -> None:
    of = grinder(stage=Stage.TEARDOWN)
    planned = (step("G02", "switch", planned=True), step("G03", "rotor", "slid", planned=True, bag="3"))
    of = of.model_copy(update={"steps": (*of.steps, *planned)})
    async with opened(book, BenchModeScreen(book, "G1"), of) as pilot:
        assert "planned next: G02 switch (Down)" in text_on(pilot)
        await pilot.press("down", "down")
        assert "step G03 (planned, to be done now)" in lines_on(pilot)[0]
        await pilot.press("enter")
        steps = book.unit("G1").steps
        assert [(s.code, s.planned) for s in steps] == [("G01", False), ("G03", False), ("G02", True)]
        assert (steps[1].at, steps[1].bag, steps[1].action) == (NOW, "3", Action.SLID)
        await pilot.press("up", "up")
        assert "step G01" in lines_on(pilot)[0]
        await pilot.press("up")
        assert said(pilot) == "There is no step further up."


# --- dangers -------------------------------------------------------------------------------------------------


async def test_dangers_stand_before_the_step_in_words_with_their_proof(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "R1"), demo("R1"), size=(120, 40)) as pilot:
        lines = [x.strip("│ ") for x in lines_on(pilot)]
        what = next(i for i, x in enumerate(lines) if x.startswith("what "))
        warning = next(i for i, x in enumerate(lines) if x.startswith("WARNING  mains voltage"))
        assert warning < what
        assert "not proved safe WARNING stored charge prove again CAUTION 4" in " ".join(
            " ".join(lines[warning:what]).replace("F7 in full", "").split()
        )
        await pilot.press("tab", "D")
        assert "Local codes and licensed practice come first" in text_on(pilot)
        assert "Prove it safe" in text_on(pilot)


async def test_the_dangers_of_a_planned_step_stand_before_it(book: Session) -> None:
    spring = hazard("mainspring under tension", "let it down with a key", signal=SignalWord.DANGER)
    of = grinder().model_copy(update={"steps": (step("G01", "barrel", planned=True, hazards=[spring]),)})
    async with opened(book, BenchModeScreen(book, "G1"), of) as pilot:
        assert "DANGER" not in text_on(pilot)
        await pilot.press("down")
        assert "DANGER mainspring under tension: not proved safe. let it down with a key" in text_on(pilot)


async def test_many_dangers_never_push_the_line_away(book: Session) -> None:
    many = [hazard(f"danger number {i}", "do " * 80) for i in range(12)]
    async with opened(book, BenchModeScreen(book, "G1"), grinder(hazards=many), size=(60, 24)) as pilot:
        shown = "\n".join(lines_on(pilot))
        assert "line >" in shown
        assert "F7 in full" in shown
        await pilot.press("tab", "h")
        assert "traced" in text_on(pilot)
        assert not bad_cells(pilot)


async def test_a_wide_terminal_shows_last_steps_same_kinds_and_the_desk(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder(), size=(120, 40)) as pilot:
        shown = {name: pilot.app.screen.query_one(name, Pane) for name in ("#last", "#kinds", "#to-complete")}
        texts = {name: [" ".join(text_of(row).split()) for row in pane.lines] for name, pane in shown.items()}
        assert texts["#last"] == ["G01 eye shields unscrewed 8 pieces bag 1"]
        assert texts["#kinds"] == ["1 screw M6 4", "2 knurled nut M6 4"]
        assert texts["#to-complete"][0].startswith("· G01")
        assert not bad_cells(pilot)


async def test_the_line_stays_while_a_list_is_open_on_the_smallest_terminal(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "R1"), demo("R1"), size=(60, 20)) as pilot:
        await typed(pilot, "bottom, one-way")
        await pilot.press("enter")
        assert "STOP: this cannot be undone" in text_on(pilot)
        assert "bottom, one-way" in text_on(pilot)
        assert "WARNING mains voltage" in text_on(pilot)
        assert not bad_cells(pilot)


# --- everything else -----------------------------------------------------------------------------------------


async def test_a_book_for_reading_only_refuses_and_keeps_the_line(book: Session, tmp_path: Path) -> None:
    book.add_unit(grinder())
    other = Session.open(tmp_path / "book", read_only=True, create=False)
    async with opened(other, BenchModeScreen(other, "G1")) as pilot:
        await typed(pilot, "guard")
        await pilot.press("enter")
        assert "reading only" in said(pilot)
        assert line(pilot) == "guard"


async def test_a_step_undone_elsewhere_leaves_its_line_as_a_new_one(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "base")
        await pilot.press("enter", "up")
        assert screen_of(pilot).editing == "G02"
        book.undo("G1")
        await pilot.pause()
        assert screen_of(pilot).editing == ""
        assert line(pilot).startswith("base")


@pytest.mark.parametrize("size", [(60, 24), (80, 24), (130, 40)])
async def test_every_width_shows_whole_lines_whatever_is_typed(book: Session, size: tuple[int, int]) -> None:
    of = grinder(sets=[handed_pair()])
    async with opened(book, BenchModeScreen(book, "G1"), of, size=size) as pilot:
        for text in HOSTILE:
            await typed(pilot, text)
            assert not bad_cells(pilot), text
            await pilot.press("enter")
            assert not bad_cells(pilot), text
            screen_of(pilot).set_line("")
        await pilot.press("up", "tab", "f")
        assert not bad_cells(pilot)


async def test_what_is_typed_with_brackets_is_kept_as_typed(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "leg [/left] [oak=2], 2 screw [M4], scrap")
        await pilot.press("enter")
        kept = book.unit("G1").steps[-1]
        assert kept.what == "leg [/left] [oak=2]"
        assert [(f.kind, f.then) for f in kept.fasteners] == [("screw [M4]", Then.SCRAP)]
        assert "leg [/left] [oak=2]" in text_on(pilot)


@pytest.mark.parametrize("width", [60, 80])
async def test_the_key_line_holds_what_matters(book: Session, width: int) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder(), size=(width, 24)) as pilot:
        assert "Enter keep" in lines_on(pilot)[-1]
        assert "Tab single keys" in lines_on(pilot)[-1]
        assert "F1 help" in lines_on(pilot)[-1]
        await pilot.press("tab")
        assert "? more" in lines_on(pilot)[-1]
        assert "h how" in lines_on(pilot)[-1]


async def test_an_old_one_way_step_is_not_asked_about_again(book: Session) -> None:
    of = grinder().model_copy(update={"steps": (step("G01", "bottom", one_way=one_way()),)})
    async with opened(book, BenchModeScreen(book, "G1"), of) as pilot:
        await pilot.press("up")
        await typed(pilot, ", photo")
        await pilot.press("enter")
        assert book.unit("G1").steps[0].photo_taken


# --- a hold point of the teardown ----------------------------------------------------------------------------


async def test_nothing_more_is_kept_past_an_open_hold_point_without_an_answer(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "earth wire, hold earth 0.1 ohm")
        await pilot.press("enter")
        assert "HOLD H1 is open: earth 0.1 ohm" in text_on(pilot)
        await typed(pilot, "motor, unscrewed")
        await pilot.press("enter")
        assert "or “because …” to go on without" in text_on(pilot)
        await pilot.press("escape")
        assert line(pilot) == "motor, unscrewed"
        assert len(book.unit("G1").steps) == 2
        await pilot.press("enter")
        await typed(pilot, "0.08 ohm")
        await pilot.press("enter")
        assert "Who did the check?" in text_on(pilot)
        await typed(pilot, " by AB")
        await pilot.press("enter")
        *_, earth, motor = book.unit("G1").steps
        assert earth.hold is not None
        assert (earth.hold.reading, earth.hold.initials) == ("0.08 ohm", "AB")
        assert motor.what == "motor"
        assert "is open" not in text_on(pilot)


async def test_a_reason_for_going_on_without_a_reading_is_asked_for_once(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        for text in ("earth wire, hold earth 0.1 ohm", "cover, planned", "motor", "because no meter", "fan"):
            await typed(pilot, text)
            await pilot.press("enter")
        of = book.unit("G1")
        assert [s.what for s in of.steps[1:]] == ["earth wire", "motor", "fan", "cover"]
        hold = of.steps[1].hold
        assert hold is not None
        assert hold.without_because == "no meter"


async def test_single_keys_speak_of_one_member_of_a_set_alone(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder(sets=[handed_pair()])) as pilot:
        await typed(pilot, "wheels, unscrewed, 2 nut M12")
        await pilot.press("tab")
        assert "s member" in lines_on(pilot)[-1]
        await pilot.press("s", "1")
        assert said(pilot) == "The keys speak of L alone now."
        await pilot.press("b", "f", "l")
        await pilot.press("s", "2", "b", "m", "f", "g")
        assert line(pilot) == (
            "wheels, unscrewed, 2 nut M12, each LR, L bag 2, L left-hand thread, R bag 3, R 2/1 nut M12, R guess"
        )
        await pilot.press("h", "u")
        assert "That is the same for all" in said(pilot) or "unscrewed" in line(pilot)
        await pilot.press("h", "s")
        assert "That is the same for all of left and right side" in said(pilot)
        await pilot.press("s", "0", "p", "enter")
        kept = book.unit("G1").steps[-1]
        assert (kept.each_of, kept.photo_taken, kept.bag) == ("LR", True, "")
        left, right = kept.differences
        assert (left.member, left.bag, left.left_hand, left.fasteners) == ("L", "2", True, None)
        assert [(f.holes, f.found) for f in right.fasteners or ()] == [(2, 1)]
        assert not bad_cells(pilot)


async def test_without_a_set_the_key_for_a_member_makes_one(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "wheels, 1 nut M12")
        await pilot.press("tab", "s", "p")
        assert line(pilot) == "wheels, 1 nut M12, pair"
        await pilot.press("s", "2", "m", "enter")
        kept = book.unit("G1").steps[-1]
        assert [s.code for s in book.unit("G1").sets] == ["LR"]
        assert [(d.member, [(f.holes, f.found) for f in d.fasteners or ()]) for d in kept.differences] == [
            ("R", [(1, 0)])
        ]


async def test_keys_begin_a_hold_point_and_a_connection(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "cover")
        await pilot.press("tab")
        assert "r hold" in lines_on(pilot)[-1]
        assert "A also" in lines_on(pilot)[-1]
        await pilot.press("r")
        await typed(pilot, "dead read voltage reading 0.4 V by AB")
        await pilot.press("tab", "A", "h")
        await typed(pilot, "pump to tank")
        assert line(pilot) == "cover, hold dead read voltage reading 0.4 V by AB, hose W1 from pump to tank"
        await pilot.press("enter")
        kept = book.unit("G1").steps[-1]
        assert (kept.hold.reading, kept.hold.initials) == ("0.4 V", "AB")
        assert [(str(c.kind), c.code, c.start, c.end) for c in kept.connections] == [("hose", "W1", "pump", "tank")]


async def test_keys_say_a_second_way_a_joint_more_and_a_danger_that_is_gone_by_the_refit(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "motor, danger stored charge")
        await pilot.press("tab", "h", "u", "h", "2", "c", "f", "j", "1", "f", "j", "3", "f", "r")
        assert line(pilot) == ("motor, unscrewed and cut, danger stored charge gone at refit, one-way glued pinned")
        await pilot.press("h", "2", "c", "f", "j", "1", "f", "r")
        assert line(pilot) == "motor, unscrewed, danger stored charge, one-way pinned"
        assert not bad_cells(pilot)


async def test_keys_begin_what_is_at_one_member_alone(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder(sets=[handed_pair()])) as pilot:
        await typed(pilot, "lamps, each LR")
        for letter, words in (("s", "gap is 0.8"), ("m", "run-out is 0.04"), ("c", "60 W lamp"), ("n", "lamp holder")):
            await pilot.press("tab", "s", "1", "A", letter)
            await typed(pilot, words)
        assert line(pilot) == (
            "lamps, each LR, L setting gap is 0.8, L measurement run-out is 0.04, "
            "L component 60 W lamp, L new part lamp holder"
        )
        await pilot.press("tab", "p", "enter")
        made = book.unit("G1")
        lamps = made.steps[-1]
        assert [(s.what, s.value, s.member) for s in lamps.settings] == [("gap", "0.8", "L")]
        assert [(m.what, m.text, m.member) for m in lamps.measurements] == [("run-out", "0.04", "L")]
        assert [(c.name, c.from_step, c.member) for c in made.components[-1:]] == [("60 W lamp", lamps.code, "L")]
        assert [(p.name, p.for_steps, p.member) for p in made.parts[-1:]] == [("lamp holder", (lamps.code,), "L")]


async def test_a_hold_point_of_one_member_is_typed_by_its_key_and_asked_for_by_its_name(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder(sets=[handed_pair()])) as pilot:
        await typed(pilot, "wheels, 2 nut M12")
        await pilot.press("tab", "s", "1", "r")
        await typed(pilot, "play read mm reading 0.04 by AB")
        await pilot.press("tab", "s", "2", "r")
        await typed(pilot, "play read mm")
        assert line(pilot) == "wheels, 2 nut M12, L hold play read mm reading 0.04 by AB, R hold play read mm"
        await pilot.press("enter")
        assert "HOLD H2 for R is open: play" in said(pilot)
        await typed(pilot, "motor")
        await pilot.press("enter")
        assert "HOLD H2 for R at G02" in text_on(pilot)
        await typed(pilot, "0.05 by AB")
        await pilot.press("enter")
        wheels, motor = book.unit("G1").steps[-2:]
        assert [(at.name, at.hold.reading, at.hold.initials) for at in wheels.holds] == [
            ("H1 for L", "0.04", "AB"),
            ("H2 for R", "0.05", "AB"),
        ]
        assert motor.what == "motor"


async def test_the_digits_of_the_stop_question_go_through_yes_no_not_needed_and_blank(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "G1"), grinder()) as pilot:
        await typed(pilot, "bottom, split, one-way glued")
        await pilot.press("enter")
        assert "digit yes, no, not needed, blank" in lines_on(pilot)[-1]
        await pilot.press("1", "2", "2", "3", "3", "3", "4", "4", "4", "4")
        assert "measured: yes" in text_on(pilot)
        assert "traced: no" in text_on(pilot)
        assert "photographed: not needed" in text_on(pilot)
        await pilot.press("enter")
        one_way = book.unit("G1").steps[-1].one_way
        names = ("measured", "traced", "photographed", "pattern_kept", "held_twice")
        assert [one_way.answer(n) for n in names] == ["yes", "no", "not needed", "", ""]
