"""A bench grinder recorded from an empty book on a real terminal, by keystrokes alone, across a power cut."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from statistics import median

import pytest

from tests.terminal import Terminal

Keys = tuple[str, ...]

STEPS: tuple[tuple[str, Keys], ...] = (
    ("plug out", ("plug out", "f3", "r", "f4", "h", "f5", "enter")),
    ("eye shields", ("eye shields, 4 sc", "right", " M6, 4 knurled nut", "f6", "enter")),
    ("rests", ("rests, 4 bo", "right", " M8x16, 4 wa", "right", " M8", "f6", "enter")),
    ("guard covers", ("guard covers, 6 s", "right", "backspace", "5x12", "f6", "enter")),
    ("L wheel", ("L wheel, 1 left-hand nut, 1 flange, 2 blotter, 1 wheel", "f4", "l", "f6", "enter")),
    ("R wheel", ("R wheel, 1 nut", "tab", "2", "3", "4", "b", "enter")),
    ("inner guards", ("inner guards, 6 s", "right", "backspace", "0", "f6", "enter")),
    ("base", ("base, 4 screw M4x8, 4 foot", "f6", "enter")),
    ("label W1-W7", ("label W1-W7", "f3", "m", "tab", *"ccccccc", "p", "enter")),
    ("run capacitor", ("run capacitor", "f3", "p", "f4", "h", "tab", "c", "c", "p", "enter")),
    ("switch", ("switch, 2 screw M3x6", "f6", "f4", "d", "enter")),
    ("end bells", ("end bells, 4 through-bolt M5x150, 4 washer M5, 4 nut M5, after 4-10", "f6", "f4", "d", "enter")),
    ("rotor", ("rotor, 1 wave washer, after 12", "f3", "s", "f6", "f4", "d", "enter")),
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
            terminal.press(key)
            if key == "right":
                continue
            if "right" in keys:
                terminal.read(0.2)
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
        for _ in range(200):
            if not terminal.child.isalive():
                break
            terminal.read()
        assert terminal.child.exitstatus == 0
    return book, counts


def test_a_step_takes_no_more_than_25_keystrokes_in_the_middle(
    grinder: tuple[Path, list[int]], capsys: pytest.CaptureFixture[str]
) -> None:
    _, counts = grinder
    with capsys.disabled():
        print(f"\nkeystrokes a step: {counts}, median {median(counts)}, done ones {median(counts[:10])}")
    assert len(counts) == len(STEPS)
    assert median(counts) <= 25


def test_nothing_acknowledged_is_lost_by_the_power_cut(grinder: tuple[Path, list[int]]) -> None:
    book, _ = grinder
    unit = json.loads(shown(book, "export", "G1"))["unit"]
    assert [s["what"] for s in unit["steps"]] == [what for what, _ in STEPS]
    assert [s["planned"] for s in unit["steps"]] == [False] * 10 + [True] * 3
    assert {s["by"] for s in unit["steps"][:10]} == {"AB"}
    assert [s["wires"] for s in unit["steps"][8:10]] == [7, 2]
    assert unit["stage"] == "teardown"


def test_the_record_counts_46_pieces_in_bags(grinder: tuple[Path, list[int]]) -> None:
    book, _ = grinder
    unit = json.loads(shown(book, "export", "G1"))["unit"]
    bags = {s["bag"]: sum(f["found"] for f in s["fasteners"]) for s in unit["steps"] if s["bag"] and not s["planned"]}
    assert bags == {"1": 8, "2": 8, "3": 6, "4": 5, "5": 5, "6": 6, "7": 8}
    assert sum(bags.values()) == 46


def test_the_way_back_is_the_reverse_with_every_warning_before_its_step(grinder: tuple[Path, list[int]]) -> None:
    book, _ = grinder
    text = shown(book, "reassembly", "G1")
    done = [f"T{i:02d}" for i in range(10, 0, -1)]
    lines = [re.search(rf"A[0-9]+ .*\b{code}\b", text) for code in done if code not in ("T09", "T01")]
    places = [m.start() for m in lines if m is not None]
    assert len(places) == 8
    assert places == sorted(places)
    left, right = text.index("T05"), text.index("T06")
    assert right < left
    assert "LEFT-HAND" in text
