"""A hand at the keyboard that presses nothing but what the screen names.

A key may be pressed when it stands in the key line with that label, in the strip of sections, in a sentence of the
screen, or on the help screen of the place (`?`), which is then really opened the first time. An option of a menu is
chosen by the digit that stands beside it. Every wait is for words; a time-out only ends a journey that has gone wrong.
"""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from types import TracebackType

from tests.terminal import KEYS, Terminal

LONGEST_SECONDS = 60.0
"""How long a screen may take on a machine that is busy with something else."""
PAINTING_SECONDS = 0.05
"""A pause in what the program writes that ends a painting; only what is said of a wrong screen depends on it."""
WHOLE_SECONDS = 0.3
"""The same where what is read next decides which key is pressed."""
END_OF_A_LIST_SECONDS = 5.0
"""After that the cursor is taken to be at the end of its list, and is moved the other way."""
STARTER = Path(__file__).with_name("at_a_time.py")
CALLED = {
    "Enter": "enter",
    "Esc": "escape",
    "Space": " ",
    "Tab": "tab",
    "Up": "up",
    "Down": "down",
    "Left": "left",
    "Right": "right",
    "Del": "delete",
    "PgDn": "pagedown",
    "Home": "home",
    "End": "end",
    "Backspace": "backspace",
    **{f"F{i}": f"f{i}" for i in range(1, 7)},
}
"""Keys as the screen calls them, and as the terminal does."""
LAST_KEYS = 40
MOST_STEPS = 80
"""So far the cursor is moved in search of a line."""
CURSORS = (">", "▌")
"""Before the line that the cursor stands on."""
BEGINNING = 24
"""So many columns of a line tell it from others."""
HELP_COLUMNS = 12
COLUMNS, ROWS = (int(number) for number in os.environ.get("JOURNEYS_AT", "80x24").split("x"))
"""How large the terminal is; `JOURNEYS_AT=120x40` walks the same journeys with panes beside each other."""
PANE = re.compile(r"│([^│]*)(?=│)")
"""What stands between two borders of a row."""
NOT_NOW = "(not now)"


LAST_KEY_OF_ALL = "Leave the program"
"""What the last entry of every help says."""


class Hand:
    """One start of the program on a book, at a time that is set; a context that leaves nothing running."""

    def __init__(
        self, book: Path, at: str, *, rows: int = ROWS, columns: int = COLUMNS, command: str = "", **environment: str
    ) -> None:
        """Begin.

        Args:
            book: folder of the book; need not exist.
            at: what the clock says, as `set_clock` takes it.
            rows: height of the terminal.
            columns: its width.
            command: word of the command line; empty opens the book.
            environment: more variables for the program.
        """
        book.parent.mkdir(parents=True, exist_ok=True)
        self._clock = book.parent / f"{book.name}.clock"
        self.set_clock(at)
        words = [sys.executable, str(STARTER), str(self._clock), "--book", str(book), "--by", "AB"]
        words += [command] if command else []
        usual = {"LOGBOOK_SETTINGS": str(book.parent / "none.toml"), "TZ": "UTC", "LC_ALL": "C.UTF-8"}
        self.terminal = Terminal(words, rows, columns, **{**usual, **environment})
        self._known: dict[str, list[tuple[str, str]]] = {}
        self._pressed: list[str] = []
        self.looked_up = 0
        """How many of the keys only opened, turned and closed the help."""

    def __enter__(self) -> Hand:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if isinstance(error, AssertionError):
            error.add_note(f"The last keys: {' '.join(self._pressed[-LAST_KEYS:])}\nThe screen:\n{self.screen}")
        self.terminal.__exit__(kind, error, trace)

    def set_clock(self, at: str) -> None:
        """Let the program's clock stand at a moment of Greenwich time: `2026-03-02 18:00`."""
        moment = datetime.fromisoformat(at).replace(tzinfo=UTC)
        new = self._clock.with_suffix(".new")
        new.write_text(moment.isoformat(), encoding="ascii")
        new.replace(self._clock)  # in one go: the program may be reading it

    # What is on the screen

    @property
    def keys(self) -> int:
        """Keys pressed so far; each character of a text is one."""
        return self.terminal.pressed

    @property
    def screen(self) -> str:
        """The screen, line by line."""
        return self.terminal.text()

    @property
    def lines(self) -> list[str]:
        """The lines of the screen; where the cursor stands in a pane, its rows are those of that pane."""
        whole = self.screen.split("\n")
        pane = next((m for line in whole for m in PANE.finditer(line) if m[1].startswith(CURSORS)), None)
        if pane is None:
            return whole
        return [line[slice(*pane.span(1))] if _has_borders(line, pane) else line for line in whole]

    @property
    def words(self) -> str:
        """The screen as one line, however its sentences were broken; then what each pane says, one after another."""
        panes: dict[tuple[int, int], list[str]] = {}
        for line in self.screen.split("\n"):
            for pane in PANE.finditer(line):
                panes.setdefault(pane.span(1), []).append(pane[1])
        return " ".join(" ".join([self.screen, *(line for pane in panes.values() for line in pane)]).split())

    @property
    def place(self) -> str:
        """What the title says, without what is kept; numbers of steps and the like make no other place."""
        return re.sub(r"[0-9]+", "#", re.split(r"\s{2,}", self.lines[0].strip())[0])

    def see(self, *wanted: str) -> None:
        """Wait until all of these words stand on the screen, wherever its lines are broken."""
        for words in wanted:
            self._wait(lambda: words in self.words, f"{words!r} is not on the screen")  # noqa: B023 - called at once

    def see_gone(self, words: str) -> None:
        """Wait until these words stand there no longer, and what comes in their place stands whole."""
        self._wait(lambda: words not in self.words, f"{words!r} is still on the screen")
        self.see_it_whole()

    def see_it_whole(self) -> None:
        """Wait until nothing is painted any more: what is read next decides which key is pressed."""
        self._take_in(WHOLE_SECONDS)

    def see_other_row(self, words: str, before: str) -> None:
        """Wait until the row that has these words says something else than before, and stands whole."""

        def is_another() -> bool:
            return any(words in line and line.strip() != before.strip() for line in self.lines)

        self._wait(is_another, f"the row with {words!r} is still {before.strip()!r}")
        self.see_it_whole()

    def see_other_place(self, before: str) -> None:
        """Wait until the title no longer says this place."""
        self._wait(lambda: self.place != before, f"this is still {before!r}")
        self._take_in()

    def see_figure(self, label: str, *figures: str) -> None:
        """Wait for a line that has a label and these figures, each as a whole number and not as part of one."""

        def whole(line: str) -> bool:
            return all(re.search(rf"(?<![\d.,]){re.escape(figure)}(?![\d]|[.,]\d)", line) for figure in figures)

        def folded() -> list[str]:
            lines = self.lines  # a narrow pane folds a row of a table in two
            return [*lines, *(f"{line} {below}" for line, below in pairwise(lines))]

        self._wait(
            lambda: any(label in line and whole(line) for line in folded()),
            f"no line has {label!r} with {', '.join(figures)}",
        )

    def see_under_the_cursor(self, words: str) -> None:
        """Wait until the line that the cursor stands on has these words."""

        def stands_there() -> bool:
            at = self._cursor_row()
            return at is not None and words in self.lines[at]

        self._wait(stands_there, f"the cursor is on no line with {words!r}")
        self._take_in()

    def line_with(self, words: str) -> str:
        """The first line of the screen that has these words."""
        self._wait(lambda: any(words in line for line in self.lines), f"no line has {words!r}")
        return next(line for line in self.lines if words in line)

    # What is done

    def press(self, key: str, word: str, *, then: str = "") -> None:
        """Press a key that the screen names with this word, and wait for what should come of it."""
        self._wait(lambda: self._named_here(key, word) or self._named_in_the_help(key, word), self._missing(key, word))
        before = self.screen
        self._send(f"{key} ({word})", CALLED.get(key, key))
        self._come(then)
        if key == "Esc":  # with another key close behind it, it would be Alt and that key
            self._wait(lambda: self.screen != before, "Esc changed nothing")
            self._take_in()

    def choose(self, option: str, *, then: str = "") -> None:
        """Choose an option of a menu by the digit or letter that stands beside it."""
        beside = re.compile(rf"(?:^|[\s\[(>])([0-9a-z])[\])]? +{re.escape(option)}(?![\w-])", re.MULTILINE)
        self._wait(lambda: beside.search(self.screen) is not None, f"no digit stands beside {option!r}")
        found = beside.search(self.screen)
        assert found is not None
        self._send(f"{found[1]} ({option})", found[1])
        self._come(then)

    def type(self, text: str, *, then: str = "") -> None:
        """Type text; it must be seen where it is typed."""
        self._send(f"“{text}”", text)
        tail = " ".join(text.split())[-12:]
        self._come(then or tail)

    def answer(self, text: str, *, then: str = "") -> None:
        """Type text and press Enter, as a question wants it."""
        self.type(text)
        self.enter(then=then)

    def enter(self, *, then: str = "") -> None:
        """Press Enter, which the key line names whenever something is typed."""
        self._wait(lambda: any(e.startswith("Enter ") for e in self._key_line()), "Enter is not named in the key line")
        self._send("Enter", "enter")
        self._come(then)

    def clear(self, count: int) -> None:
        """Take back so many characters of what stands in a line."""
        for _ in range(count):
            self._send("Backspace", "backspace")

    def go_to(self, words: str) -> None:
        """Move the cursor with the arrows to the line that has these words, wherever it is in the list.

        How far the columns of the list stand apart does not matter.
        """
        wanted = re.compile(r" {2,}".join(map(re.escape, re.split(r" {2,}", words))))
        self._go(lambda line: wanted.search(line) is not None, words)

    def go_to_field(self, label: str) -> None:
        """Move the cursor to the field of a form that has this label."""
        self._go(lambda line: re.match(rf".{re.escape(label)}(?:  |$)", line) is not None, label)

    def _go(self, wanted: Callable[[str], bool], called: str) -> None:
        way = "down"
        for _ in range(MOST_STEPS):
            at = self._cursor_row()
            if at is not None and wanted(self.lines[at]):
                return
            seen = next((i for i, line in enumerate(self.lines) if wanted(line) and i != at), None)
            if seen is not None and at is not None:
                way = "down" if seen > at else "up"
            before = self._cursor_line()
            self._send(way.title(), way)
            if not self._cursor_moves(before):
                way = "up" if way == "down" else "down"
        raise AssertionError(f"the cursor found no line with {called!r}.")

    def end(self) -> None:
        """Leave the program; nothing is asked."""
        self.press("q", "Leave the program")
        assert self.terminal.wait_for_end(LONGEST_SECONDS) == 0

    # How it is done

    def _cursor_row(self) -> int | None:
        """The row of the screen that the cursor stands on; None when no list has one."""
        return next((i for i, line in enumerate(self.lines) if line.startswith(CURSORS)), None)

    def _cursor_line(self) -> tuple[int | None, str]:
        """Where the cursor is, and how the line there begins."""
        at = self._cursor_row()
        return at, "" if at is None else self.lines[at][1:BEGINNING]

    def _cursor_moves(self, before: tuple[int | None, str]) -> bool:
        """Wait for the cursor to move; it does not when the list has ended.

        It has moved when it stands elsewhere and the line that it left is there without it: a line that is only
        painted anew is no movement.
        """

        def moved() -> bool:
            left = any(line[:BEGINNING] == f" {before[1]}" for line in self.lines)
            return left and self._cursor_line() not in (before, (None, ""))

        end = time.monotonic() + END_OF_A_LIST_SECONDS
        while not moved() and time.monotonic() < end:
            self.terminal.read()
        self._take_in()
        return self._cursor_line() != before

    def _send(self, called: str, key: str) -> None:
        assert key in KEYS or key.isprintable(), f"{key!r} is no key of a keyboard"
        self._pressed.append(called)
        self.terminal.press(key)

    def _come(self, words: str) -> None:
        if words:
            self.see(words)
            self._take_in()

    def _take_in(self, pause: float = PAINTING_SECONDS) -> None:
        """Read on while the screen is still being painted, so that nothing of the one before is taken for it."""
        before = ""
        while self.screen != before:
            before = self.screen
            self.terminal.read(pause)

    def _wait(self, until: Callable[[], bool], otherwise: str, seconds: float = LONGEST_SECONDS) -> None:
        end = time.monotonic() + seconds
        while not until():
            if time.monotonic() > end:
                raise AssertionError(f"{otherwise}.")
            self.terminal.read()

    def _missing(self, key: str, word: str) -> str:
        return f"neither the screen nor its help names a key {key} with {word!r}"

    def _key_line(self) -> list[str]:
        """Each key of the key line with its label."""
        return [entry.strip() for entry in self.lines[-1].split("   ") if entry.strip()]

    def _named_here(self, key: str, word: str) -> bool:
        """Whether the key line, the strip of sections or a sentence names the key."""
        if f"{key} {word}" in self._key_line():
            return True
        strip = self.lines[1]
        if re.search(rf"(?:^|[\s\[]){re.escape(key)} {re.escape(word)}(?:\]|\s|$)", strip):
            return True
        sentences = " ".join(" ".join(self.lines[1:-1]).split())
        return re.search(rf"(?<![\w]){re.escape(key)}[:]? {re.escape(word)}", sentences) is not None and len(word) > 3

    def _named_in_the_help(self, key: str, word: str) -> bool:
        """Whether the help of this place names it as something that can be done now.

        The help is opened the first time it is asked, and again where something could not be done then.
        """
        found = self._said_of(key, word)
        if found is None or found.endswith(NOT_NOW):
            opens = next((k for k in ("? keys", "? more", "F1 help") if k in self._key_line()), "")
            if not opens or (found is None and self.place in self._known):
                return False
            self._read_help(by_guide=opens == "F1 help")
            found = self._said_of(key, word)
        return found is not None and not found.endswith(NOT_NOW)

    def _said_of(self, key: str, word: str) -> str | None:
        """What the help of this place says of a key, as far as it was read and has this word."""
        entries = self._known.get(self.place, ())
        return next((said for keys, said in entries if key in keys.split() and word in said), None)

    def _read_help(self, *, by_guide: bool) -> None:
        """Read all of the help screen, page by page, and go back; where letters are typed the guide leads to it."""
        pressed, here = self.keys, self.place
        if by_guide:
            self._send("F1", "f1")
            self._wait(lambda: re.search(r"\? (?:keys|more)$", self.lines[-1].strip()) is not None, "no help came")
            self._take_in()
        self._send("?", "?")
        self.see("Keys at:")
        self._take_in()
        of = self.place.removeprefix("Keys at: ")
        lines = self._help_lines()
        while not any(LAST_KEY_OF_ALL in line for line in lines):
            self._turn_the_help("PgDn")
            lines = joined(lines, self._help_lines())
        self._send("Esc", "escape")
        self.see_gone("Keys at:")
        if by_guide:
            self._take_in()
            self._send("Esc", "escape")
            self._wait(lambda: self.place == here, "the guide did not close")
        self._take_in()
        self._known[of] = entries_of(lines)
        self.looked_up += self.keys - pressed

    def _turn_the_help(self, key: str) -> None:
        before = self._cursor_line()
        self._send(key, CALLED[key])
        self._wait(lambda: self._cursor_row() is not None and self._cursor_line() != before, "the help does not go on")
        self._take_in()

    def _help_lines(self) -> list[str]:
        """The lines of the help on the screen, without cursor and scroll bar, and without the task of a lesson."""
        scroll_bar = self.terminal.screen.columns - 1
        lesson = next((i for i, line in enumerate(self.lines) if line.startswith("  LESSON ")), -1)
        shown = [line for line in self.lines[1 : lesson - 1] if line.strip() and not line.startswith("─")]
        return [line[1:scroll_bar].rstrip() for line in shown]


def _has_borders(line: str, pane: re.Match[str]) -> bool:
    """Whether a row of the screen is one of this pane's."""
    left, right = pane.start(1) - 1, pane.end(1)
    return line[left : left + 1] == "│" and line[right : right + 1] == "│"


def overlap(above: list[str], below: list[str]) -> int:
    """How many lines at the end of one screenful are those at the beginning of another."""
    return next((n for n in range(min(len(above), len(below)), 0, -1) if above[-n:] == below[:n]), 0)


def joined(above: list[str], below: list[str]) -> list[str]:
    """Two screenfuls of one list as one."""
    return [*above, *below[overlap(above, below) :]]


def entries_of(lines: list[str]) -> list[tuple[str, str]]:
    """Keys and what they do, each entry whole: a line without a key goes on with the one before."""
    entries: list[tuple[str, str]] = []
    for line in lines:
        keys, said = line[:HELP_COLUMNS].strip(), line[HELP_COLUMNS:].strip()
        if keys or not entries:
            entries.append((keys, said))
        else:
            entries[-1] = (entries[-1][0], f"{entries[-1][1]} {said}")
    return entries
