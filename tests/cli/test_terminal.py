"""The program on a real terminal: the interface opens, keeps, and leaves; text fits the terminal."""

from __future__ import annotations

import sys
from pathlib import Path

from logbook.model.words import Stage
from logbook.session import Session
from tests.builders import screws, step, unit
from tests.cli.conftest import NOW
from tests.terminal import Terminal

PROGRAM = [sys.executable, "-m", "logbook"]


def left_with(terminal: Terminal) -> int:
    """Wait for the program to end; what it left behind."""
    for _ in range(200):
        if not terminal.child.isalive():
            break
        terminal.read(0.1)
    return int(terminal.child.wait())


def test_demo_opens_the_interface_and_q_leaves(tmp_path: Path) -> None:
    with Terminal([*PROGRAM, "demo", "--book", str(tmp_path / "demo")]) as terminal:
        terminal.wait_for("4 units", 30)
        terminal.wait_for("table radio")
        terminal.press("q")
        assert left_with(terminal) == 0


def test_a_tick_is_on_disk_when_it_is_on_the_screen(tmp_path: Path) -> None:
    """The program is killed the moment the tick is shown; the next one has it."""
    with Session.open(tmp_path / "b", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "lid", fasteners=[screws()], bag="1"), stage=Stage.REASSEMBLY))
    with Terminal([*PROGRAM, "--book", str(tmp_path / "b"), "--by", "AB"]) as terminal:
        terminal.wait_for("table radio", 30)
        terminal.press("enter")
        terminal.wait_for("A01")
        terminal.press(" ")
        terminal.wait_for("[x] A01")
        terminal.kill()
    with Session.open(tmp_path / "b", create=False, read_only=True) as session:
        (state,) = session.unit("R1").refit.lines
        assert (state.line, state.done, state.initials) == ("check", True, "AB")


def test_a_new_book_is_begun_and_says_what_it_is_for(tmp_path: Path) -> None:
    with Terminal([*PROGRAM, "--book", str(tmp_path / "new")]) as terminal:
        terminal.wait_for("This book is empty.", 30)
        terminal.press("q")
        assert left_with(terminal) == 0
    assert (tmp_path / "new" / "book.json").exists()


def test_text_is_set_for_the_terminal(demo: Path) -> None:
    with Terminal([*PROGRAM, "--book", str(demo), "bom", "R1"], rows=200, columns=70) as terminal:
        assert left_with(terminal) == 0
        lines = terminal.text().splitlines()
        assert max(map(len, lines)) == 70
        assert any(set(line) == {"-"} for line in lines)


def test_an_exported_document_cannot_command_the_terminal(tmp_path: Path) -> None:
    with Session.open(tmp_path / "b", now=lambda: NOW) as session:
        session.add_unit(unit(name="radio\x9b2J\u202e end"))
    with Terminal([*PROGRAM, "--book", str(tmp_path / "b"), "export", "R1"], rows=200) as terminal:
        assert left_with(terminal) == 0
        assert '"name": "radio\\u009b2J\\u202e end"' in terminal.text()
