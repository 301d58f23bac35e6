"""Commands load what they need and nothing else: above all no screens."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

SCREENS = ("textual", "logbook.tui")
HEAVY = (
    *SCREENS,
    "pydantic",
    "tinydb",
    "orjson",
    "rich",
    "filelock",
    "platformdirs",
    "logbook.model",
    "logbook.session",
)


def loaded_after(code: str) -> set[str]:
    """The modules that are loaded in a fresh interpreter after running some code."""
    whole = f"import sys, json\n{code}\nprint('\\n' + json.dumps(sorted(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", whole], capture_output=True, text=True, check=True, stdin=subprocess.DEVNULL, timeout=60
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_the_command_line_itself_is_light() -> None:
    assert not loaded_after("import logbook.cli, logbook.__main__").intersection(HEAVY)


def test_help_is_light() -> None:
    assert not loaded_after("from logbook.__main__ import main; main(['--help'])").intersection(HEAVY)


@pytest.mark.parametrize(
    "words",
    [
        ["demo"],
        ["bench"],
        ["reassembly", "R1"],
        ["bom", "R1"],
        ["cost", "R1"],
        ["check"],
        ["export", "R1"],
        ["schema"],
        [],
    ],
    ids=lambda words: words[0] if words else "interface without a terminal",
)
def test_no_command_loads_the_screens(demo: Path, words: list[str]) -> None:
    arguments = ["--book", str(demo), *words]
    loaded = loaded_after(f"from logbook.__main__ import main; main({arguments!r})")
    assert not loaded.intersection(SCREENS)
    if words and words != ["schema"]:
        assert "logbook.session" in loaded  # the command did run
