"""The README is read in two minutes, and what it names is there."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import unquote

from logbook.cli.arguments import COMMANDS
from logbook.tui.actions import EVERYWHERE, Act
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.screens.teardown_screen import TeardownScreen

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
MOST_LINES = 110
MOST_COMMANDS = 12


def test_it_is_short() -> None:
    assert len(README.splitlines()) <= MOST_LINES
    assert README.count("](tests/tui/__snapshots__") == 3
    assert README.count("```sh") == 2


def test_its_pictures_are_there() -> None:
    for address in re.findall(r"!\[[^]]+\]\(([^)]+)\)", README):
        assert (ROOT / unquote(address)).is_file(), address


def test_its_table_of_commands_is_short_and_true() -> None:
    rows = [line for line in README.splitlines() if line.startswith("| `logbook")]
    assert 0 < len(rows) <= MOST_COMMANDS
    for row in rows:
        for words in re.findall(r"`([^`]+)`", row.split("|")[1]):
            name = words.removeprefix("logbook").split()[:1]
            assert not name or name[0] in COMMANDS, words


def test_the_keys_of_its_five_steps_are_those_of_the_places() -> None:
    assert key(BenchScreen, "bench.new") == "n"
    assert key(BenchScreen, "bench.mode") == "b"
    assert key(ArrivalScreen, "arrival.class") == "c"
    assert key(ArrivalScreen, "section.teardown") == "2"
    assert key(TeardownScreen, "desk.missing") == "m"
    assert key(ArrivalScreen, "section.reassembly") == "5"
    assert key(ReassemblyScreen, "refit.tick") == "Space"
    assert key(ReassemblyScreen, "refit.why") == "w"
    assert key(ReassemblyScreen, "unit.paper") == "e"
    common = {act.id: act.key for act in EVERYWHERE}
    assert [common[i] for i in ("undo", "keys", "guide", "back", "leave")] == ["z", "?", "F1", "Esc", "q"]
    steps = README[README.index("## Five steps") : README.index("## Safety")]
    for shown in ("n", "b", "c", "2", "m", "5", "Space", "w", "e", "z", "?", "F1", "Esc", "q"):
        assert f"`{shown}`" in steps, shown


def key(place: type, action: str) -> str:
    """The first key of an action at a place."""
    acts: tuple[Act, ...] = place.all_acts()  # type: ignore[attr-defined]
    return next(act.key for act in acts if act.id == action)
