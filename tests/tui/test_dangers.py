"""Proving a danger safe by real keys: at the bench, from every place with a warning, taken back and put right."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from logbook.model.step import Proof
from logbook.model.unit import Unit
from logbook.model.words import SignalWord
from logbook.session import Session
from logbook.session.papers import Form, Paper, Wish, make_paper, source_of
from logbook.tui.look.inks import text_of
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.screens.dangers_screen import DangersScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.screens.work_screen import WorkScreen
from logbook.tui.widgets.pane import Pane
from logbook.tui.widgets.rows import Rows
from tests.builders import hazard, operation, step, unit
from tests.tui.conftest import NOW, bad_cells, lines_on, opened, said, text_on, typed

MOST_KEYS = 12
"""A danger is proved safe at the bench by at most so many keys."""


def lamp(**more: object) -> Unit:
    return unit(
        step("L01", "plug out", hazards=[hazard("mains")]),
        code="L1",
        name="brass lamp",
        step_letter="L",
        hazards=[hazard(), hazard("stored charge", "Bleed it. Wait, and measure again.", "Below 10 V.")],
        **more,
    )


def heads_on(pilot: Pilot[None]) -> list[str]:
    """The first row of each danger on the screen, one blank between its words."""
    rows = [" ".join(row.strip("▌│ ").split()) for row in lines_on(pilot)]
    return [row for row in rows if row[:1].isdigit() and any(f" {word} " in row for word in SignalWord)]


async def pressed(pilot: Pilot[None], *keys: str) -> int:
    """Press keys one after the other; how many it were."""
    for key in keys:
        await pilot.press(key)
    return len(keys)


VOLTS = ("0", "full_stop", "2")
WITH_UNIT = (*VOLTS, "space", "V")


@pytest.mark.parametrize("reading", [VOLTS, WITH_UNIT])
@pytest.mark.parametrize("way", [("f7",), ("tab", "D")])
async def test_a_danger_is_proved_at_the_bench_by_few_keys(
    book: Session, way: tuple[str, ...], reading: tuple[str, ...]
) -> None:
    async with opened(book, BenchModeScreen(book, "L1"), lamp()) as pilot:
        assert "WARNING mains voltage · stored charge not proved safe" in text_on(pilot)
        count = await pressed(pilot, *way, "1", *reading, "enter", "enter", "enter")
        assert count <= MOST_KEYS
        (proof,) = book.unit("L1").proofs
        assert proof == Proof(danger="mains voltage", reading="0.2 V", instrument="meter", by="AB", at=NOW, step="L02")
        assert said(pilot) == "mains voltage proved safe: 0.2 V"
        await pilot.press("escape")
        assert "PROVED mains voltage safe at" in text_on(pilot)
        assert "0.2 V, meter, AB" in text_on(pilot)
        assert "WARNING stored charge not proved safe" in text_on(pilot)
        assert text_on(pilot).index("stored charge") < text_on(pilot).index("mains voltage"), (
            "the open one stands first"
        )


async def test_the_same_danger_of_class_and_step_stands_once(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        assert heads_on(pilot) == ["1 WARNING mains voltage not proved safe", "2 WARNING stored charge not proved safe"]


async def test_local_codes_and_licensed_practice_stand_first(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        shown = text_on(pilot)
        assert shown.index("Local codes and licensed practice come first") < shown.index("WARNING")


async def test_words_prove_no_voltage_and_stay_to_be_put_right(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        await pressed(pilot, "1", "x", "enter")
        assert "“x” is no voltage: mains voltage is proved dead by one, like 0.2 V." in text_on(pilot)
        await pressed(pilot, "enter", "escape")
        assert book.unit("L1") == lamp(touched=NOW)
        await pressed(pilot, "1")
        assert pilot.app.screen.query_one(Input).value == "x", "nothing typed is lost"


async def test_initials_of_a_voltage_cannot_be_left_empty(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        await pressed(pilot, "1", *VOLTS, "enter", "enter", "ctrl+u", "enter")
        assert "Whose reading is it?" in text_on(pilot)
        assert book.unit("L1").proofs == ()
        await pressed(pilot, "C", "D", "enter")
        assert [p.by for p in book.unit("L1").proofs] == ["CD"]


async def test_another_danger_is_checked_in_words_and_asks_for_no_voltage(book: Session) -> None:
    of = unit(code="L1", hazards=[hazard("spring of the switch", prove="")])
    async with opened(book, DangersScreen(book, "L1"), of) as pilot:
        await pressed(pilot, "1")
        assert "What was checked?" in text_on(pilot)
        assert "Like turns freely." in text_on(pilot)
        await typed(pilot, "hangs slack")
        await pressed(pilot, "enter", "enter", "ctrl+u", "enter")
        assert [(p.reading, p.by) for p in book.unit("L1").proofs] == [("hangs slack", "")]


@pytest.mark.parametrize("key", ["1", "E"])
async def test_a_later_live_reading_takes_the_proof_back(book: Session, key: str) -> None:
    old = Proof(danger="mains voltage", reading="0.2 V", by="AB", at=NOW - timedelta(minutes=4))
    async with opened(book, DangersScreen(book, "L1"), lamp(proofs=[old])) as pilot:
        assert "PROVED proved safe at" in " ".join(text_on(pilot).split())
        await pressed(pilot, key, "2", "3", "0", "enter")
        assert f"1 WARNING mains voltage 230 V read at {book.shop_now:%H:%M}: not dead" in heads_on(pilot)
        assert said(pilot) == "230 V is not dead: mains voltage is NOT safe. Make it safe, then measure again."
        assert [(p.reading, p.at) for p in book.unit("L1").proofs] == [("0.2 V", old.at), ("230 V", NOW)]
        await pilot.press("z")
        assert "PROVED proved safe at" in " ".join(text_on(pilot).split())


@pytest.mark.parametrize("phrase", ["dead 230 V", "proved mains voltage 230 V"])
async def test_a_live_reading_in_the_line_takes_the_proof_back(book: Session, phrase: str) -> None:
    old = Proof(danger="mains voltage", reading="0.2 V", by="AB", at=NOW - timedelta(minutes=4))
    one = lamp(proofs=[old])
    one = one.model_copy(update={"hazards": one.hazards[:1], "steps": ()})
    async with opened(book, BenchModeScreen(book, "L1"), one) as pilot:
        await typed(pilot, f"probe, lifted, {phrase}")
        await pilot.press("enter")
        assert "230 V is not dead: mains voltage is NOT safe." in said(pilot)
        assert f"WARNING mains voltage 230 V read at {book.shop_now:%H:%M}: not dead" in text_on(pilot)
        kept = book.unit("L1").steps[-1]
        assert (kept.note, [p.reading for p in kept.proofs]) == ("", ["230 V"])


async def test_a_line_at_the_desk_is_refused_and_warned_about_as_at_the_bench(book: Session) -> None:
    async with opened(book, TeardownScreen(book, "L1"), lamp()) as pilot:
        await pressed(pilot, "a")
        await typed(pilot, "probe, lifted, proved mains x")
        await pilot.press("enter")
        assert "“x” is no voltage" in text_on(pilot)
        assert len(book.unit("L1").steps) == 1
        await pressed(pilot, "backspace", "2", "3", "0", "space", "V", "enter")
        assert "230 V is not dead: mains is NOT safe." in said(pilot)
        assert [p.reading for p in book.unit("L1").steps[-1].proofs] == ["230 V"]


async def test_a_line_that_proves_nothing_is_not_kept_and_stays(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "L1"), lamp()) as pilot:
        await typed(pilot, "probe, lifted, proved mains x")
        await pilot.press("enter")
        assert said(pilot) == "“x” is no voltage: mains is proved dead by one, like 0.2 V."
        assert len(book.unit("L1").steps) == 1
        assert "probe, lifted, proved mains x" in text_on(pilot)


async def test_nothing_is_asked_about_a_digit_without_a_danger(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        await pressed(pilot, "7")
        assert said(pilot) == "There is no danger 7 here."


@pytest.mark.parametrize("more", [(), ("enter",)])
async def test_left_half_way_nothing_is_proved_and_what_was_read_stands_there_again(
    book: Session, more: tuple[str, ...]
) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        await pressed(pilot, "1")
        assert "1 of 3. What was measured?" in text_on(pilot)
        await pressed(pilot, *VOLTS, "enter")
        assert "2 of 3. With what?" in text_on(pilot)
        assert "Enter takes “meter”." in text_on(pilot)
        await pressed(pilot, *more, "escape")
        assert book.unit("L1").proofs == ()
        assert "1 WARNING mains voltage not proved safe" in heads_on(pilot)
        assert said(pilot).startswith("Not kept: mains voltage is not proved by 0.2 before all 3 are answered.")
        await pressed(pilot, "1", "enter")
        assert "Your line from before" not in text_on(pilot), "nobody typed the meter"
        await pressed(pilot, "enter", "enter")
        assert [p.reading for p in book.unit("L1").proofs] == ["0.2 V"]


async def test_a_danger_keeps_its_digit_at_every_step_and_a_new_one_stands_last(book: Session) -> None:
    worse = [hazard("spring under load", signal=SignalWord.DANGER), hazard("stored charge")]
    async with opened(book, DangersScreen(book, "L1", own=worse), lamp()) as pilot:
        heads = [head.removesuffix(" not proved safe") for head in heads_on(pilot)]
        assert heads == ["1 WARNING mains voltage", "2 WARNING stored charge", "3 DANGER spring under load"]


async def test_a_danger_typed_at_the_bench_brings_the_usual_words_of_its_name(book: Session) -> None:
    of = unit(step("L01", "capacitor", hazards=[hazard("charged capacitor", "", "")]), code="L1", step_letter="L")
    async with opened(book, DangersScreen(book, "L1"), of) as pilot:
        shown = " ".join(text_on(pilot).replace("▌", " ").split())
        assert "bleed each capacitor through a resistor, never by a short" in shown
        assert "Prove it safe Measure across each capacitor: below 10 V" in shown


WORDS_OF_TWO = hazard(
    "mains voltage",
    "Unplug. Local codes and licensed practice come first; if you are not competent for this step, stop here and have "
    "it done. Stop if open, and no donor under 20; gloves. Unplug.",
    "Prove dead. Measure again.",
)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_each_thing_to_do_is_said_once_and_whole(book: Session, size: tuple[int, int]) -> None:
    of = unit(code="L1", hazards=[WORDS_OF_TWO])
    async with opened(book, DangersScreen(book, "L1"), of, size=size) as pilot:
        shown = in_the_pane(pilot, "#in-full") if size[0] == 120 else " ".join(text_on(pilot).replace("▌", " ").split())
        for words in ("Unplug.", "Stop if open, and no donor under 20.", "Gloves.", "Prove dead.", "Measure again."):
            assert shown.count(words) == 1, words
        before, proof = shown.index("Before you start"), shown.index("Prove it safe")
        assert before < shown.index("Gloves.") < proof < shown.index("Measure again.")
        assert shown.count("licensed practice") <= 1
        assert not bad_cells(pilot)


async def test_a_proof_is_taken_back_by_undo_in_one_step(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        await pressed(pilot, "1", *VOLTS, "enter", "enter", "enter", "z")
        assert said(pilot) == "Undone: mains voltage proved safe: 0.2 V"
        assert book.unit("L1").proofs == ()
        assert "1 WARNING mains voltage not proved safe" in heads_on(pilot)


async def test_a_proof_is_put_right_and_stays_as_old_as_it_was(book: Session) -> None:
    old = Proof(danger="mains", reading="0.2 V", instrument="meter", by="AB", at=NOW - timedelta(hours=2))
    async with opened(book, DangersScreen(book, "L1"), lamp(proofs=[old])) as pilot:
        await pressed(pilot, "E")
        await typed(pilot, "0.3 V")
        await pressed(pilot, "enter", "enter", "enter")
        assert book.unit("L1").proofs == (old.model_copy(update={"reading": "0.3 V"}),)
        await pressed(pilot, "down", "E")
        assert "Nothing proved it yet" in said(pilot)


async def test_a_proof_in_the_line_of_a_step_is_put_right_too(book: Session) -> None:
    of = lamp()
    proof = Proof(danger="mains", reading="0.2 V", at=NOW)
    of = of.model_copy(update={"steps": (of.steps[0].model_copy(update={"proofs": (proof,)}),)})
    async with opened(book, DangersScreen(book, "L1"), of) as pilot:
        await pressed(pilot, "E")
        await typed(pilot, "0.4 V")
        await pressed(pilot, "enter", "enter", "enter")
        kept = book.unit("L1").steps[0].proofs[0]
        assert (kept.reading, kept.by) == ("0.4 V", "AB"), "where nobody stood for it, this session's are offered"
        assert book.unit("L1").proofs == ()


async def test_on_another_day_it_is_to_be_proved_again(book: Session) -> None:
    old = Proof(danger="mains", reading="0.2 V", at=NOW - timedelta(days=8))
    async with opened(book, BenchModeScreen(book, "L1"), lamp(proofs=[old])) as pilot:
        assert "WARNING stored charge not proved safe" in text_on(pilot)
        assert "WARNING mains voltage prove again" in text_on(pilot).replace("F7 in full ", "")
    async with opened(book, BenchModeScreen(book, "L1"), size=(120, 40)) as pilot:
        beside = in_the_pane(pilot)
        assert "mains voltage proved on 12 Mar, prove again before you go on (0.2 V). unplug" in beside


async def test_a_digit_means_the_same_danger_after_it_is_proved(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), lamp()) as pilot:
        await pressed(pilot, "1", *VOLTS, "enter", "enter", "enter", "2", *VOLTS, "enter", "enter", "enter")
        assert [p.danger for p in book.unit("L1").proofs] == ["mains voltage", "stored charge"]


async def test_a_unit_without_dangers_says_where_they_come_from(book: Session) -> None:
    async with opened(book, DangersScreen(book, "L1"), unit(code="L1")) as pilot:
        assert "does not mean that there is none" in text_on(pilot)
        await pressed(pilot, "enter", "E", "1")
        assert said(pilot) == "There is no danger 1 here."


PLACES: list[Callable[[Session, str], BookScreen]] = [ArrivalScreen, TeardownScreen, ReassemblyScreen, WorkScreen]


@pytest.mark.parametrize("place", PLACES)
async def test_wherever_a_warning_stands_one_key_leads_to_proving_it(
    book: Session, place: Callable[[Session, str], BookScreen]
) -> None:
    of = lamp(operations=[operation()])
    async with opened(book, place(book, "L1"), of) as pilot:
        await pressed(pilot, "D", "1", *VOLTS, "enter", "enter", "enter")
        assert [p.reading for p in book.unit("L1").proofs] == ["0.2 V"]
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, place)  # type: ignore[arg-type]


async def test_the_arrival_says_how_each_hazard_stands_and_starts_on_the_one_under_the_cursor(book: Session) -> None:
    async with opened(book, ArrivalScreen(book, "L1"), lamp()) as pilot:
        assert "WARNING mains voltage not proved safe unplug." in text_on(pilot)
        pilot.app.screen.query_one("#facts", Rows).go_to("hazard stored charge")
        await pressed(pilot, "D", "enter", *VOLTS, "enter", "enter", "enter", "escape")
        assert [p.danger for p in book.unit("L1").proofs] == ["stored charge"]
        assert "WARNING stored charge PROVED 0.2 V, meter, AB" in text_on(pilot)


async def test_the_line_of_the_list_says_what_proved_its_danger(book: Session) -> None:
    cord = step("L01", "cord", hazards=[hazard("mains")])
    async with opened(book, ReassemblyScreen(book, "L1"), unit(cord, code="L1", hazards=[hazard()])) as pilot:
        await pilot.press("down")
        assert "WARNING mains: not proved safe." in text_on(pilot).replace("WARNING  ", "WARNING ")
        await pressed(pilot, "D", "1", *VOLTS, "enter", "enter", "enter", "escape")
        assert "mains: proved safe at" in text_on(pilot)


async def test_paper_and_build_record_say_what_proved_it_with_the_day(book: Session) -> None:
    cord = step("L01", "cord", hazards=[hazard("mains")])
    bare = unit(cord, code="L1", hazards=[hazard()])
    async with opened(book, DangersScreen(book, "L1"), bare) as pilot:
        for paper in (Paper.REASSEMBLY, Paper.RECORD):
            assert "not proved safe" in on_paper(book, paper).casefold()
        await pressed(pilot, "1", *VOLTS, "enter", "enter", "enter")
    for paper in (Paper.REASSEMBLY, Paper.RECORD):
        text = on_paper(book, paper)
        assert "0.2 V, meter, AB; on another day prove it again" in text
        assert "20 Mar 2026" in text
        assert "not proved safe" not in text.casefold()


def on_paper(book: Session, paper: Paper) -> str:
    made = make_paper(source_of(book, "L1", paper), Wish(paper, Form.TEXT))
    return " ".join(made.raw.decode().split())


async def test_the_danger_of_a_dead_phrase_is_asked_by_digit_on_enter(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "L1"), lamp()) as pilot:
        await typed(pilot, "cover, dead 0.2 V meter")
        await pilot.press("enter")
        assert "What was proved dead by 0.2 V meter?" in text_on(pilot)
        assert len(book.unit("L1").steps) == 1
        await pilot.press("2")
        kept = book.unit("L1").steps[-1]
        assert [(p.danger, p.reading, p.instrument, p.by) for p in kept.proofs] == [
            ("stored charge", "0.2 V", "meter", "AB")
        ]
        assert "PROVED stored charge safe at" in text_on(pilot)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_the_place_fits_every_terminal(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, DangersScreen(demo, "R1"), size=size) as pilot:
        assert not bad_cells(pilot)
        assert "prove one safe" in lines_on(pilot)[-1]
        await pilot.press("2")
        assert not bad_cells(pilot)
        assert "What was measured?" in text_on(pilot)


# --- how the warnings stand at the bench -----------------------------------------------------------------------


def in_the_pane(pilot: Pilot[None], pane: str = "#in-force") -> str:
    """What the pane beside the step says, with single blanks."""
    lines = pilot.app.screen.query_one(pane, Pane).lines
    return " ".join(" ".join(map(text_of, lines)).split())


async def test_at_a_wide_terminal_what_to_do_and_what_proves_it_stands_beside_without_a_key(book: Session) -> None:
    async with opened(book, BenchModeScreen(book, "L1"), lamp(), size=(120, 40)) as pilot:
        assert "WARNING mains voltage · stored charge not proved safe" in text_on(pilot)
        beside = in_the_pane(pilot)
        assert "WARNING mains voltage unplug" in beside
        assert "WARNING stored charge Bleed it. Prove: Below 10 V." in beside, "one whole sentence of each"
        assert "Wait, and measure again" not in beside


async def test_what_has_no_room_beside_the_step_is_counted(demo: Session) -> None:
    async with opened(demo, BenchModeScreen(demo, "R1"), size=(120, 40)) as pilot:
        pane = pilot.app.screen.query_one("#in-force", Pane)
        assert len(pane.lines) <= pane.size.height
        assert text_of(pane.lines[-1]).startswith("F7 in full: ")


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (100, 30), (120, 40)])
async def test_the_sentence_of_a_step_s_own_danger_stands_whole_before_it(book: Session, size: tuple[int, int]) -> None:
    half = "Stop if it is open, and no donor is here, and nobody can wait for one; else go on with care. Then wait."
    planned = step("L02", "barrel", planned=True, hazards=[hazard("spring", half)])
    of = lamp().model_copy(update={"steps": (*lamp().steps, planned)})
    async with opened(book, BenchModeScreen(book, "L1"), of, size=size) as pilot:
        await pilot.press("down")
        shown = " ".join(" ".join(map(text_of, pilot.app.screen.query_one("#dangers", Pane).lines)).split())
        assert shown.startswith("WARNING spring: not proved safe. Stop if it is open, and no donor")
        assert "else go on with care. WARNING mains voltage · stored charge not proved safe" in shown.replace(
            " F7 in full", ""
        )
        assert "Then wait" not in shown
        assert "line >" in text_on(pilot)
        assert not bad_cells(pilot)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (100, 30)])
async def test_with_many_dangers_the_line_stays_and_names_without_room_are_counted(
    book: Session, size: tuple[int, int]
) -> None:
    many = tuple(hazard(f"danger number {i} of many") for i in range(30))
    of = lamp().model_copy(update={"hazards": many})
    async with opened(book, BenchModeScreen(book, "L1"), of, size=size) as pilot:
        shown = text_on(pilot)
        assert "WARNING danger number 0 of many ·" in shown
        rows = pilot.app.screen.query_one("#dangers", Pane).lines
        dangers = " ".join(" ".join(map(text_of, rows)).replace("F7 in full", "").split())
        whole = dangers.count(" of many")
        assert dangers.count("danger number") == whole, "no name is cut"
        assert f"+{len(many) + 1 - whole}" in dangers, "with the danger of the step done"
        assert "F7 in full" in shown
        assert "line >" in shown
        assert "Enter keep" in lines_on(pilot)[-1]
        assert not bad_cells(pilot)
