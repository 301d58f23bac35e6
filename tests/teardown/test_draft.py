"""Single keys on a step that is not kept yet: they and the line say the same."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from pydantic import ValidationError

from logbook.model.step import Step
from logbook.model.words import Action, Certainty, SignalWord, Then
from logbook.teardown.bench_line import read_line
from logbook.teardown.complete_line import completions, suggestions
from logbook.teardown.draft import (
    FLAG_LETTERS,
    Flag,
    StopAnswer,
    changed_line,
    flags_of,
    new_draft,
    toggle_flag,
    toggled_order,
    with_action,
    with_answer,
    with_found,
    with_hazard,
    with_photo,
    with_same,
    with_stop_skipped,
    with_then,
    with_wires,
    without_fastener,
)
from logbook.teardown.write import write_line
from tests.builders import fastener, lump, part_set, renewed, step, unit

RADIO = unit(
    step("T01", fasteners=[fastener("hex bolt M5x35", 4), fastener("washer 25", 4)], bag="1", viewed_from="below"),
    step("T02", "valves", box="1"),
    step("T03", fasteners=[fastener("bolt M4x10")], bag="2"),
    sets=[part_set()],
    sub_assemblies=[lump("S1", "T02")],
)

KEYS: list[tuple[str, Callable[[Step], Step], str]] = [
    ("how", lambda s: with_action(s, Action.SLID), ", slid"),
    ("same", lambda s: with_same(s, fastener("washer 25", 4)), ", 4 washer 25"),
    ("same, fewer", lambda s: with_same(s, fastener("washer 25", 4), 2), ", 2 washer 25"),
    ("same, renewed", lambda s: with_same(s, renewed("bush", 8)), ", 8 bush renew"),
    ("photo", with_photo, ", photo"),
    ("wires", lambda s: with_wires(s, 2), ", wires 2"),
    ("hazard", lambda s: toggle_flag(s, Flag.HAZARD), ", warning"),
    ("hazard named", lambda s: with_hazard(s, "gas", SignalWord.DANGER), ", danger gas"),
    ("one-way", lambda s: toggle_flag(s, Flag.ONE_WAY), ", one-way"),
    ("stop answer", lambda s: with_answer(s, StopAnswer.TRACED), ", one-way traced"),
    ("stop skipped", lambda s: with_stop_skipped(s, "no tape"), ", one-way because no tape"),
    ("guess", lambda s: toggle_flag(s, Flag.GUESS), ", guess"),
    ("think so", lambda s: toggle_flag(s, Flag.THINK_SO), ", think so"),
    ("left-hand", lambda s: toggle_flag(s, Flag.LEFT_HAND), ", left-hand"),
    ("wrong", lambda s: toggle_flag(s, Flag.WRONG), ", wrong"),
    ("planned", lambda s: toggle_flag(s, Flag.PLANNED), ", planned"),
]


@pytest.mark.parametrize(("name", "change", "line"), KEYS, ids=[name for name, _, _ in KEYS])
def test_what_a_key_says_the_line_says_too(name: str, change: Callable[[Step], Step], line: str) -> None:
    draft = change(new_draft(RADIO))
    assert write_line(draft, unit=RADIO) == line
    assert read_line(line, RADIO).step == draft
    assert changed_line("", RADIO, change) == line


def test_a_key_changes_the_line_and_leaves_the_rest_of_it() -> None:
    line = "lid, cut, bag 3, after T01, better after T02, stiff"
    changed = changed_line(line, RADIO, with_photo)
    assert changed == "lid, cut, bag 3, after T01, better after T02, photo, note stiff"
    assert changed_line(changed, RADIO, with_photo) == "lid, cut, bag 3, after T01, better after T02, note stiff"


def test_a_step_named_in_the_order_and_named_again_is_gone() -> None:
    once = toggled_order("lid, cut, stiff", RADIO, "T02")
    assert once == "lid, cut, after T02, note stiff"
    twice = toggled_order(once, RADIO, "T01")
    assert twice == "lid, cut, after T02 T01, note stiff"
    assert toggled_order(twice, RADIO, "T02") == "lid, cut, after T01, note stiff"
    better = toggled_order(once, RADIO, "T03", better=True)
    assert better == "lid, cut, after T02, better after T03, note stiff"
    assert toggled_order(better, RADIO, "T03", better=True) == once


@pytest.mark.parametrize("flag", Flag)
def test_every_flag_has_a_key_and_pressed_twice_is_gone(flag: Flag) -> None:
    draft = new_draft(RADIO)
    once = toggle_flag(draft, flag)
    assert flags_of(draft) == ()
    assert flags_of(once) == (flag,)
    assert toggle_flag(once, flag) == draft
    assert [f for f in FLAG_LETTERS.values() if f is flag] == [flag]


def test_guess_and_think_so_take_each_others_place() -> None:
    draft = toggle_flag(toggle_flag(new_draft(RADIO), Flag.GUESS), Flag.THINK_SO)
    assert draft.certainty is Certainty.THINK_SO
    assert flags_of(draft) == (Flag.THINK_SO,)


def test_a_digit_pressed_twice_does_no_harm_and_another_count_takes_the_place_of_the_first() -> None:
    bolt = fastener("bolt", 4)
    once = with_same(new_draft(RADIO), bolt)
    assert with_same(once, bolt) == once
    assert with_same(once, bolt, 3).fasteners == (fastener("bolt", 3),)
    kept = with_then(once, 0, Then.RENEW)
    assert with_same(kept, bolt, 2).fasteners == (renewed("bolt", 2),)


def test_numbers_and_ends_of_one_kind_change_without_the_others() -> None:
    draft = with_same(with_same(new_draft(RADIO), fastener("a", 6)), fastener("b", 2))
    assert with_found(draft, 0, 5).fasteners == (fastener("a", 6, 5), fastener("b", 2))
    turned = [with_then(draft, 1)]
    turned += [with_then(turned[0], 1)]
    turned += [with_then(turned[1], 1)]
    turned += [with_then(turned[2], 1)]
    assert [d.fasteners[1].then for d in turned] == ["renew", "scrap", "lost", "reuse"]
    assert without_fastener(draft, 0).fasteners == (fastener("b", 2),)
    for beyond in (lambda: with_found(draft, 2, 1), lambda: with_then(draft, 2), lambda: without_fastener(draft, 2)):
        with pytest.raises(IndexError):
            beyond()
    with pytest.raises(ValidationError):
        with_found(draft, 0, -1)


def test_twin_entries_of_one_kind_are_told_apart() -> None:
    twin = fastener("screw", 4)
    draft = step(fasteners=[twin, twin])
    assert without_fastener(draft, 0).fasteners == (twin,)
    assert with_found(draft, 1, 3).fasteners == (twin, fastener("screw", 4, 3))


def test_a_named_hazard_takes_the_place_of_the_bare_flag() -> None:
    flagged = toggle_flag(new_draft(RADIO), Flag.HAZARD)
    named = with_hazard(flagged, "stored charge")
    assert [h.what for h in named.hazards] == ["stored charge"]
    assert [h.what for h in with_hazard(named, "glass").hazards] == ["stored charge", "glass"]


def test_an_answer_is_taken_back_by_its_key() -> None:
    draft = with_answer(with_answer(new_draft(RADIO), StopAnswer.MEASURED), StopAnswer.MEASURED)
    assert draft.one_way is not None
    assert not draft.one_way.answered


def test_suggestions_are_the_units_own_words_each_once_and_every_one_is_understood() -> None:
    offered = suggestions(RADIO)
    assert offered[:3] == ("bolt M4x10", "hex bolt M5x35", "washer 25")
    assert len(set(offered)) == len(offered)
    for word in (
        "bag 3",
        "bag 2",
        "bag 1",
        "box 2",
        "from below",
        "each D",
        "in S1",
        "after T03",
        "unsoldered",
        "photo",
    ):
        assert word in offered
    waits = tuple(phrase for phrase in offered if phrase.startswith(("dead", "proved")))
    assert waits == ("dead ", "proved "), "a reading is never offered: it is taken"
    for phrase in offered[3:]:
        if phrase not in waits:
            assert read_line(f"lid, {phrase}", RADIO).unknown == (), phrase


@pytest.mark.parametrize(
    ("typed", "lines"),
    [
        ("lid, 4 he", ("lid, 4 hex bolt M5x35",)),
        ("lid, 4 w", ("lid, 4 washer 25",)),
        ("lid, 4 nai", ("lid, 4 nail",)),
        ("lid, 4 bra", ("lid, 4 bracket", "lid, 4 brad")),
        ("lid, 4 hex bolt M5x35", ()),
        ("lid, unso", ("lid, unsoldered",)),
        ("lid, af", ("lid, after T03", "lid, after T02", "lid, after T01")),
        ("lid, FR", ("lid, FRom below",)),
        ("lid, in", ("lid, in S1",)),
        ("lid, 4 ", ()),
        ("lid, 4", ()),
        ("lid", ()),
        ("", ()),
        ('lid, "af', ()),
        ("lid, note af", ()),
        ("lid, zzz", ()),
        ("after", ()),
    ],
)  # fmt: skip
def test_a_phrase_is_completed_and_what_is_typed_is_never_changed(typed: str, lines: tuple[str, ...]) -> None:
    assert completions(typed, RADIO) == lines
    assert all(line.startswith(typed) for line in lines)


def test_no_more_lines_are_offered_than_asked_for() -> None:
    assert completions("lid, af", RADIO, limit=2) == ("lid, after T03", "lid, after T02")
