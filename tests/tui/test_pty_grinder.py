"""A bench grinder recorded from an empty book on a real terminal, by keystrokes alone, across a power cut."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import pytest

from logbook.model.unit import Unit
from logbook.model.words import Stage
from logbook.tui.typed_on import TypedOn
from tests.terminal import Terminal

Keys = tuple[str, ...]

A_LOOK = 2 * TypedOn.TOGETHER_SECONDS
"""Behind the digit of a choice a person looks what it did; keys that come at once are held back as a text."""

MAINS, BURST, CHARGE = "2", "1", "3"
"""Digits of the dangers of a bench grinder in the list that the hazard flag opens."""

AS_PLANNED = ("f6", "f4", "s", "enter")
GREY = "grey: "
"""Before the right arrow: what has to stand in grey behind the cursor."""

STEPS: tuple[tuple[str, Keys], ...] = (
    ("plug out", ("plug out", "f3", "r", "f4", "h", MAINS, "f5", "enter")),
    ("eye shields", ("eye shields, 4 sc", GREY + "4 screw", " M6, 4 knurled nut", "f6", "enter")),
    ("rests", ("rests, 4 bo", GREY + "4 bolt", " M8x16, 4 wa", GREY + "4 washer", " M8", "f6", "enter")),
    ("guard covers", ("guard covers, 6 s", GREY + "6 screw M6", "backspace", "5x12", "f6", "enter")),
    ("L wheel", ("L wheel, 1 left-hand nut, 1 flange, 2 blotter, 1 wheel", "f4", "l", "f4", "h", BURST, "f6", "enter")),
    ("R wheel", ("R wheel, 1 nut", "tab", "2", "3", "4", "f", "h", BURST, "b", "enter")),
    ("inner guards", ("inner guards, 6 s", GREY + "6 screw M5x12", "backspace", "0", "f6", "enter")),
    ("base", ("base, 4 screw M4x8, 4 foot", "f6", "enter")),
    ("label W1-W7", ("label W1-W7", "f3", "m", "tab", *"ccccccc", "p", "enter")),
    ("run capacitor", ("run capacitor", "f3", "p", "f4", "h", CHARGE, "tab", "c", "c", "p", "enter")),
    ("switch", ("switch, 2 screw M3x6", "f6", "f4", "s", "enter")),
    ("end bells", ("end bells, 4 through-bolt M5x150, 4 washer M5, 4 nut M5, after 4 5 6 7 8 9 10", *AS_PLANNED)),
    ("rotor", ("rotor, 1 wave washer, after 12", "f3", "s", *AS_PLANNED)),
)
"""What came off, and the keys pressed for it; the last three are only planned."""

LEAST_BEFORE_THE_CUT = 6


def logbook(*words: str) -> list[str]:
    return [sys.executable, "-m", "logbook", *words]


def shown(book: Path, *words: str) -> str:
    env = {**os.environ, "LOGBOOK_SETTINGS": str(book / "none.toml"), "COLUMNS": "80"}
    done = subprocess.run(
        logbook("--book", str(book), *words), capture_output=True, text=True, check=False, env=env, timeout=60
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def opened(book: Path) -> Terminal:
    return Terminal(logbook("--book", str(book), "--by", "AB"), LOGBOOK_SETTINGS=str(book / "none.toml"))


def to_bench_mode(terminal: Terminal) -> None:
    terminal.wait_for("G1")
    terminal.press("enter")
    terminal.wait_for("[")
    terminal.press("2")
    terminal.wait_for("[2 teardown]")
    terminal.press("b")
    terminal.wait_for("line >")


def recorded(terminal: Terminal, first: int, last: int) -> list[int]:
    """Record these steps; the keystrokes of each."""
    counts = []
    for number, (what, keys) in enumerate(STEPS[first:last], first + 1):
        before = terminal.pressed
        for key in keys:
            if key.startswith(GREY):
                terminal.wait_for(key.removeprefix(GREY))
            terminal.press("right" if key.startswith(GREY) else key)
            if key in (MAINS, BURST, CHARGE):
                time.sleep(A_LOOK)
        counts.append(terminal.pressed - before)
        terminal.wait_for(f"T{number:02d} kept: {what}")
    return counts


@pytest.fixture(scope="module")
def grinder(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[int]]:
    """The book with the grinder recorded, and the keystrokes of each step."""
    book = tmp_path_factory.mktemp("grinder") / "book"
    with opened(book) as terminal:
        terminal.wait_for("Press n")
        terminal.press("n")
        terminal.wait_for("What")
        terminal.press("bench grinder", "enter")
        terminal.wait_for("Its code")
        terminal.press("enter")
        terminal.wait_for("an empty record")
        terminal.press("empty", "enter")
        terminal.wait_for("[1 arrival]")
        terminal.press("c")
        terminal.wait_for("type a few letters")
        terminal.press("bench gr")
        terminal.wait_for("▌bench grinder")
        terminal.press("enter")
        terminal.wait_for("[1 arrival]")
        terminal.press("2")
        terminal.wait_for("[2 teardown]")
        terminal.press("b")
        terminal.wait_for("line >")
        counts = recorded(terminal, 0, LEAST_BEFORE_THE_CUT)
        terminal.press("inner gua")
        terminal.wait_for("inner gua")
        terminal.kill()
    with opened(book) as terminal:
        to_bench_mode(terminal)
        terminal.wait_for("T06  R wheel")
        terminal.press(*["backspace"] * 9)
        terminal.wait_for("what came off, how")
        counts += recorded(terminal, LEAST_BEFORE_THE_CUT, len(STEPS))
        terminal.press("escape", "escape")
        terminal.wait_for("[2 teardown]")
        terminal.press("q")
        assert terminal.wait_for_end() == 0
    return book, counts


def test_a_step_takes_no_more_than_25_keystrokes_in_the_middle(
    grinder: tuple[Path, list[int]], capsys: pytest.CaptureFixture[str]
) -> None:
    _, counts = grinder
    with capsys.disabled():
        print(f"\nkeystrokes a step: {counts}, median {median(counts)}, done ones {median(counts[:10])}")
    assert len(counts) == len(STEPS)
    assert median(counts) <= 25


def record(book: Path) -> Unit:
    return Unit.model_validate_json(json.dumps(json.loads(shown(book, "export", "G1"))["unit"]))


def test_nothing_acknowledged_is_lost_by_the_power_cut(grinder: tuple[Path, list[int]]) -> None:
    unit = record(grinder[0])
    assert [s.what for s in unit.steps] == [what for what, _ in STEPS]
    assert [s.planned for s in unit.steps] == [False] * 10 + [True] * 3
    assert {s.by for s in unit.steps[:10]} == {"AB"}
    assert [s.wires for s in unit.steps[8:10]] == [7, 2]
    assert [s.photo_taken for s in unit.steps[:10]] == [True, *[False] * 7, True, True]
    assert unit.stage is Stage.TEARDOWN


def test_the_record_counts_46_pieces_in_bags(grinder: tuple[Path, list[int]]) -> None:
    done = [s for s in record(grinder[0]).steps if s.bag and not s.planned]
    bags = {s.bag: sum(f.found for f in s.fasteners) for s in done}
    assert bags == {"1": 8, "2": 8, "3": 6, "4": 5, "5": 5, "6": 6, "7": 8}
    assert sum(bags.values()) == 46


def test_the_order_of_what_is_planned_was_typed(grinder: tuple[Path, list[int]]) -> None:
    pairs = {(r.earlier, r.later) for r in record(grinder[0]).relations}
    assert pairs == {*((f"T{i:02d}", "T12") for i in range(4, 11)), ("T12", "T13")}


def test_the_way_back_is_the_reverse_with_every_warning_before_its_step(grinder: tuple[Path, list[int]]) -> None:
    text = shown(grinder[0], "reassembly", "G1")
    lines = [(m[1], m.start()) for m in re.finditer(r"^\[ \] A[0-9]+ .*\((T[0-9]+)\)$", text, re.MULTILINE)]
    assert [code for code, _ in lines] == ["T10", "T08", "T07", "T06", "T05", "T04", "T03", "T02"]
    place = dict(lines)
    assert text.index("WARNING  stored charge") < place["T10"] < text.index("tug it")
    assert text.rindex("WARNING  wheel burst", 0, place["T05"]) > place["T06"]
    advice = " ".join(text[text.rindex("WARNING  stored charge", 0, place["T10"]) : place["T10"]].split())
    assert "Prove it: Measure across each capacitor: below 10 V" in advice
    assert place["T05"] < text.index("LEFT-HAND THREAD: it tightens anticlockwise") < place["T04"]
    assert "46 from the bags and 0 new make 46 refitted; difference 0." in text
    for bag, total in (("1", 8), ("2", 8), ("3", 6), ("4", 5), ("5", 5), ("6", 6), ("7", 8)):
        assert f"Bag {bag}, {total} in all" in text
