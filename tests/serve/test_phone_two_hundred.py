"""Two hundred lines kept by the phone and at the bench in turn, none lost and none doubled.

A real program in a terminal and a real browser: the connection is cut for stretches, and the program is killed twice
and started again while lines wait on the phone.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from logbook.serve.address import KeptAddress
from logbook.session import Session
from tests.builders import unit
from tests.serve.browsing import HERE_IS_A_BROWSER, offline, press, type_in, words_on
from tests.terminal import Terminal

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")

ROUNDS = 100
CUT = (*range(20, 30), *range(60, 70))
"""Rounds in which the phone has no connection."""
KILLED = (25, 80)
"""Before these rounds the program is killed; at the first the phone has lines waiting."""
LONGEST_SECONDS = 120.0


def started(book: Path) -> Terminal:
    """The program at the bench of R1, the page for the phone opened on the address that the book had before."""
    words = [sys.executable, "-m", "logbook", "--book", str(book), "--by", "AB"]
    terminal = Terminal(words, LOGBOOK_SETTINGS=str(book.parent / "none.toml"))
    terminal.wait_for("R1", LONGEST_SECONDS)
    terminal.press("b")
    terminal.wait_for("line >", LONGEST_SECONDS)
    terminal.press("tab", "P")
    terminal.wait_for("open it on this machine alone", LONGEST_SECONDS)
    terminal.press("2")
    terminal.wait_for("Point the phone", LONGEST_SECONDS)
    terminal.press("escape")
    terminal.wait_for("flags", LONGEST_SECONDS)  # the step as it is being written
    terminal.press("tab")
    terminal.wait_for("line >", LONGEST_SECONDS)
    return terminal


def waiting(browser: Any) -> list[dict[str, Any]]:
    """What the phone has not been told is kept."""
    return list(browser.execute_script("return outbox.all()"))


def test_two_hundred_lines_in_turn_with_the_line_cut_and_the_program_killed(
    tmp_path: Path, browser: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    book = tmp_path / "book"
    with Session.open(book, by="AB") as session:
        session.add_unit(unit(name="table radio"))
    terminal = started(book)
    try:
        kept = KeptAddress(book)
        browser.get(f"http://127.0.0.1:{kept.port}/{kept.token}/apart/R1")
        for number in range(ROUNDS):
            if number in KILLED:
                terminal.kill()
                terminal = started(book)
            offline(browser, cut=number in CUT)
            type_in(browser, "line", f"phone {number}, lifted")
            press(browser, "Keep")
            terminal.press(f"bench {number}, lifted", "enter")
            terminal.wait_for(f"bench {number}", LONGEST_SECONDS)
            _told_kept(terminal, f"bench {number}")
        _all_sent(browser, terminal)
    finally:
        offline(browser, cut=False)
        terminal.kill()
    with Session.open(book, by="AB") as session:
        said = Counter(step.what for step in session.unit("R1").steps)
        assert session.problems == ()
    wanted = {f"{who} {number}" for who in ("phone", "bench") for number in range(ROUNDS)}
    assert set(said) == wanted
    assert set(said.values()) == {1}


def _told_kept(terminal: Terminal, what: str) -> None:
    """Wait until the bench has the step: it stands above the line then, or something that came after it does."""
    end = time.monotonic() + LONGEST_SECONDS
    while f"> {what}" in " ".join(terminal.text().split()):
        assert time.monotonic() < end, terminal.text()
        terminal.read()


def _all_sent(browser: Any, terminal: Terminal) -> None:
    end = time.monotonic() + LONGEST_SECONDS
    while waiting(browser):
        assert time.monotonic() < end, f"{waiting(browser)}\n{words_on(browser)}"
        terminal.read()
