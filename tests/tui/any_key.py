"""Any key: random keys and words pressed over all screens, with everything looked at after each.

A run is made of a seed: which book, how large a screen, where it begins and what is pressed. The clock, the
identities and the time of the screens are the run's own, so the same seed presses the same keys and meets the same
fault. After each key the program must stand, the screen must be whole, and no more was kept than the key says. At
the end everything is taken back, and the documents must be as they were.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import io
import os
import shutil
import tempfile
import traceback
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import count
from pathlib import Path
from random import Random
from typing import Any, NamedTuple
from unittest.mock import patch

import orjson
from rich.cells import cell_len
from textual import events
from textual.widgets import Input

from logbook.errors import InputError, LogbookError
from logbook.layout.layout_search import search
from logbook.model.document import ShopDocument, UnitDocument
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.render.plain import clean
from logbook.session import Session, as_json
from logbook.session.opened import SHOP
from logbook.session.papers import Form, make_paper
from logbook.session.record_states import to_state
from logbook.store import BookFolder
from logbook.tui.app import LogbookApp
from logbook.tui.screen_frame import BookScreen, KeyLine, MessageLine, TitleLine
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.letter_menu import Letters
from logbook.tui.widgets.pick import Pick
from tests.nothing_outside import nothing_outside
from tests.tui.any_key_words import ARROWS, Pressed, next_press, one_key
from tests.tui.every_screen import SCREENS
from tests.tui.quick_loop import QuickLoop, close, its_time

SIZES = ((60, 20), (80, 24), (120, 40))
BOOKS = ("demo", "empty", "demo", "bare")
"""Which book a seed begins with: the demo, an empty one, or one unit of which nothing is written yet."""
START = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)
SETTLE_SECONDS = 0.06
"""By the clock of the loop: long enough for a key to have its effect and for the screen to be drawn."""
LONGEST_SECONDS = 5.0
"""By the same clock: a key whose effect takes longer is a fault."""
LAST_KEYS = 20
MOST_UNDOS = 5000

ONLY_MOVE = frozenset((*ARROWS, "tab", "shift+tab", "f1", "f2", "backspace", "delete", "ctrl+u"))
"""Keys that move, or change only what is being typed: they keep nothing."""
ONLY_OPEN = ("find", "keys", "palette", "copy", "history", "section", "beside", "bench_mode", "which_screw")
"""Actions that only show something: they keep nothing."""


LONGEST_AT_A_PLACE = 14
"""Keys at one kind of place, after which the way back is looked for."""
Watch = Callable[[int, str, list[str]], None]
"""Told the number of a key, its name, and the kind of place with its lines after it."""


class Fault(NamedTuple):
    """What went wrong, when, and how it looked."""

    seed: int
    number: int
    """Of the key after which it was seen, from 1."""
    what: str
    keys: tuple[str, ...]
    """The last ones, up to that key."""
    screen: str

    def __str__(self) -> str:
        return (
            f"seed {self.seed}, key {self.number}: {self.what}\n"
            f"last keys: {'  '.join(self.keys)}\n{self.screen}\n"
            f"replay: python -m tests.benchmarks.any_key --seed {self.seed}"
        )


@dataclass
class Told:
    """What a run was."""

    seed: int
    keys: int = 0
    kept: int = 0
    """Lines that the histories grew by."""
    places: Counter[str] = field(default_factory=Counter)
    """How many keys were pressed at each kind of place."""
    fault: Fault | None = None


class Wrong(Exception):  # noqa: N818 - a finding, not an error of the run itself
    """Something that must not be."""


class Clock:
    """Moves on by a minute with each key, and by a millionth of a second with each look."""

    def __init__(self) -> None:
        self.moment = START

    def __call__(self) -> datetime:
        self.moment += timedelta(microseconds=1)
        return self.moment

    def next_key(self) -> None:
        """A minute later."""
        self.moment += timedelta(minutes=1)


# The book


@cache
def base_folder(kind: str) -> Path:
    """A book in which nothing can be taken back, made once for all runs of a process."""
    folder = Path(tempfile.mkdtemp(prefix="any-key-"))
    book = BookFolder.open(folder / "book", by="AB", now=Clock())
    documents = demo_documents() if kind == "demo" else ()
    for document in documents:
        if isinstance(document, ShopDocument):
            book.shop.begin(to_state(document.shop), "the shop was begun")
        elif isinstance(document, UnitDocument):
            book.add_unit(document.unit.code, to_state(document.unit), "arrived")
    if kind == "bare":
        book.add_unit("U1", to_state(Unit(code="U1", name="crate")), "arrived")
    book.close()
    return folder / "book"


def documents_of(session: Session) -> dict[str, bytes]:
    """Every record as it stands in its document, in one canonical form."""
    records: dict[str, Any] = {SHOP: as_json(session.shop)}
    for code in session.codes():
        records[code] = as_json(session.unit(code))
    return {code: orjson.dumps(record, option=orjson.OPT_SORT_KEYS) for code, record in records.items()}


def _history_lines(session: Session) -> dict[str, int]:
    """How many lines the history of each record has."""
    return {code: session.kept(code).version for code in (SHOP, *session.codes())}


# What takes long, or leads out of the program, is answered here


class NoDoor:
    """A page for the phone that cannot be opened."""

    def __init__(self, *_: object, **more: object) -> None:
        self.address = ""

    async def open(self, _: str) -> str:
        """Refused: nothing may be reached over a network."""
        raise InputError("The page cannot be opened here.")

    async def close(self) -> None:
        """Nothing is open."""


def _short_search(parts: Any, pieces: Any, rules: Any, progress: Any = None, stop: Any = None) -> Any:
    """The same search, ended after a few rounds and not by the time of day."""
    return search(parts, pieces, replace(rules, rounds=20, seconds=None), progress, stop)


def _quick_paper(source: Any, wish: Any) -> Any:
    """The same document, as text instead of as print."""
    return make_paper(source, replace(wish, form=Form.TEXT) if wish.form is Form.PDF else wish)


def _nothing_drawn(compositor: Any, **_: object) -> None:
    """There is no terminal; what is looked at after each key is drawn for that."""
    compositor._dirty_regions.clear()


@contextlib.contextmanager
def _by_itself(loop: QuickLoop, folder: Path) -> Iterator[None]:
    """No network, no search by the time of day, the same identities each time, a home of its own."""
    numbers = count(1)
    home = {name: str(folder) for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME")}
    before = Path.cwd()
    os.chdir(folder)
    with (
        its_time(loop),
        patch.dict(os.environ, {**home, "XDG_CACHE_HOME": str(folder), "DISPLAY": "", "WAYLAND_DISPLAY": ""}),
        patch("logbook.store.document_context.secrets.token_hex", lambda _: f"{next(numbers):016x}"),
        patch("textual._compositor.Compositor.render_update", _nothing_drawn),
        patch("logbook.tui.screens.phone_screen.Door", NoDoor),
        patch("logbook.tui.screens.phone_screen.local_address", lambda: "127.0.0.1"),
        patch("logbook.tui.layout_worker.search", _short_search),
        patch("logbook.tui.screens.paper_screen.make_paper", _quick_paper),
        patch("logbook.tui.planner.better_plan", lambda made, *_: made),
        patch("logbook.tui.planner.solver_installed", lambda: False),
        patch("logbook.tui.screens.bench_screen.FILL_SECONDS", 1e9),
        patch("logbook.tui.typed_on.TypedOn.TOGETHER_SECONDS", 0),
    ):
        try:
            yield
        finally:
            os.chdir(before)


# A run


class Run:
    """One seed at work."""

    def __init__(self, seed: int, keys: int, folder: Path, watch: Watch | None) -> None:
        self.told = Told(seed)
        self._most = keys
        self._watch = watch
        self._chance = Random(seed)
        self._kind = BOOKS[seed // len(SIZES) % len(BOOKS)]
        self._size = SIZES[seed % len(SIZES)]
        self._path = folder / "book"
        self._clock = Clock()
        self._last: list[str] = []
        self._lines: list[str] = []
        """The screen as it was last looked at."""
        self._seen: dict[str, int] = {}
        """How many lines the history of each record has had."""
        self._restarted = False
        self._outside: list[str] = []
        shutil.copytree(base_folder(self._kind), self._path)

    async def go(self, outside: list[str]) -> None:
        """Press all keys, take everything back, and look at the book once more from the disk."""
        self._outside = outside
        session = self._open()
        before = documents_of(session)
        self._seen = _history_lines(session)
        begin = self._chance.choice(sorted(SCREENS)) if self._kind == "demo" and self._chance.random() < 0.7 else ""
        while True:
            await self._in_the_program(session, begin, before)
            if self.told.fault is not None or self.told.keys >= self._most:
                break
            self._restarted, begin = True, ""
            session = self._open()
            self._seen |= _history_lines(session)  # what the keys that led out have kept, too
        if self.told.fault is None:
            with self._open() as again:
                self._compare(before, documents_of(again), "read again from the disk")
                self._look_through(again)

    def _open(self) -> Session:
        return Session.open(self._path, by="AB", now=self._clock)

    async def _in_the_program(self, session: Session, begin: str, before: dict[str, bytes]) -> None:
        app = LogbookApp(session)
        quiet = io.StringIO()
        with contextlib.redirect_stdout(quiet), contextlib.redirect_stderr(quiet), contextlib.suppress(Exception):
            async with app.run_test(size=self._size):
                try:
                    await self._settle(app)
                    if begin:
                        app.push_screen(SCREENS[begin](session))
                        await self._settle(app)
                    self._look(app)
                    await self._press_all(app, session)
                    if self.told.keys >= self._most:
                        await self._take_all_back(app, session, before)
                except Wrong as wrong:
                    self._found(str(wrong))
                except Exception as error:  # noqa: BLE001 - whatever the program lets out is what is looked for
                    words = "".join(traceback.format_exception(error)[-10:])
                    self._found(f"{type(error).__name__}: {error}\n{words}")
        if app._exception is not None and self.told.fault is None:
            words = "".join(traceback.format_exception(app._exception)[-10:])
            self._found(f"on leaving, {type(app._exception).__name__}: {app._exception}\n{words}")

    async def _press_all(self, app: LogbookApp, session: Session) -> None:
        same, place = 0, ""
        while self.told.keys < self._most and not app._exit:
            self._clock.next_key()
            here = type(app.screen).__name__
            same, place = (same + 1 if here == place else 0), here
            away = same > LONGEST_AT_A_PLACE and self._chance.random() < 0.2
            press = one_key("escape") if away else next_press(self._chance, app.screen)
            self.told.keys += 1
            self.told.places[here] += 1
            self._last = [*self._last[1 - LAST_KEYS :], press.name]
            shown, quiet = [here, *self._lines[1:]], _keeps_nothing(app.screen, press)
            self._send(app, press)
            await self._settle(app)
            if app._exit:
                return
            self._look(app)
            if self._watch is not None:
                self._watch(self.told.keys, press.name, [type(app.screen).__name__, *self._lines])
            self._what_was_kept(app, session, press, quiet, shown)

    def _send(self, app: LogbookApp, press: Pressed) -> None:
        for key in press.keys:
            character = {"space": " "}.get(key, key if len(key) == 1 else _character_of(key))
            app.post_message(events.Key(key, character))
        if not press.keys:
            app.post_message(events.Paste(press.text))

    async def _settle(self, app: LogbookApp) -> None:
        """Wait until the keys have had their effect."""
        for _ in range(int(LONGEST_SECONDS / SETTLE_SECONDS)):
            await asyncio.sleep(SETTLE_SECONDS)
            if app._exception is not None:
                raise app._exception
            if app._exit or not (app._busy or app._held):
                return
        raise Wrong(f"the key has not had its effect within {LONGEST_SECONDS:g} seconds")

    # What must hold after each key

    def _look(self, app: LogbookApp) -> None:
        self._lines = [strip.text for strip in app.screen._compositor.render_strips()]
        if self._outside:
            raise Wrong(f"outside of its folder: {'; '.join(self._outside[:3])}")
        for line in self._lines:
            if cell_len(line) != self._size[0]:
                raise Wrong(f"a line is {cell_len(line)} cells wide and not {self._size[0]}: {line!r}")
            if not line.isprintable() and any(obeyed(character) for character in line):
                raise Wrong(f"a line has characters that a terminal could obey: {line!r}")
        if isinstance(app.screen, BookScreen):
            self._look_at_the_frame(app.screen)

    def _look_at_the_frame(self, screen: BookScreen) -> None:
        for kind in (TitleLine, MessageLine, KeyLine):
            shown = screen.query_one(kind)
            if not (screen.region.contains_region(shown.region) and shown.region.height):
                raise Wrong(f"the {kind.__name__} is not on the screen: {shown.region} of {screen.region}")
        first = clean(screen.place(), limit=300).split(" ")[0]
        if not self._lines[0].strip().startswith(first[: self._size[0] // 3]):
            raise Wrong(f"the title does not say “{screen.place()}”: {self._lines[0]!r}")
        if not str(screen.query_one(KeyLine).render()).strip():
            raise Wrong("the key line is empty")
        focused = screen.focused
        if focused is not None and not screen.region.overlaps(focused.region):
            raise Wrong(f"what has the focus is not on the screen: {focused!r} at {focused.region}")

    def _what_was_kept(self, app: LogbookApp, session: Session, press: Pressed, quiet: str, shown: list[str]) -> None:
        lines = _history_lines(session)
        grown = {code: more for code, count in lines.items() if (more := count - self._seen.get(code, 0)) > 0}
        self._seen.update(lines)
        self.told.kept += sum(grown.values())
        if not grown:
            return
        what = [f"{code or 'the shop'}: {session.entries(code)[-1].what}" for code in grown]
        if quiet:
            raise Wrong(f"{quiet} kept something: {what}")
        if max(grown.values()) > max(1, len(press.keys)):
            raise Wrong(f"one key kept {grown}: {what}")
        if len(press.keys) == 1 and shown == [type(app.screen).__name__, *self._lines[1:]]:
            raise Wrong(f"it kept something, and nothing on the screen says so: {what}")

    # At the end

    async def _take_all_back(self, app: LogbookApp, session: Session, before: dict[str, bytes]) -> None:
        for _ in range(MOST_UNDOS):
            try:
                done = session.undo()
            except LogbookError as error:
                raise Wrong(f"a change cannot be taken back: {error}") from error
            if done is None:
                break
        else:
            raise Wrong(f"{MOST_UNDOS} changes were taken back, and there are still more")
        if self._restarted:
            self._take_back_moves(session, before)
        await self._settle(app)
        self._look(app)
        self._compare(before, documents_of(session), "after everything was taken back")

    def _take_back_moves(self, session: Session, before: dict[str, bytes]) -> None:
        """Units that came or went before the program was left and begun again stay so: nothing takes that back."""
        for code in session.codes():
            if code not in before:
                session.remove_unit(code)
        for removed in session.removed():
            if removed.code in before and removed.code not in session.codes():
                session.put_back(removed)
        for code in (SHOP, *session.codes()):
            while session.undo(code) is not None:
                continue

    def _compare(self, before: dict[str, bytes], after: dict[str, bytes], when: str) -> None:
        if before.keys() != after.keys():
            raise Wrong(f"{when}: the book had {sorted(before)} and has {sorted(after)}")
        for code, record in before.items():
            if record != after[code]:
                at = next(i for i, pair in enumerate(zip(record, after[code], strict=False)) if pair[0] != pair[1])
                was, now = record[max(0, at - 60) : at + 60], after[code][max(0, at - 60) : at + 60]
                raise Wrong(f"{when}: {code or 'the shop'} is not as it was: {was!r} became {now!r}")

    def _look_through(self, session: Session) -> None:
        if said := session.look_through():
            raise Wrong(f"the book is not whole at the end: {said[:3]}")

    def _found(self, what: str) -> None:
        if self.told.fault is None:
            screen = "\n".join(self._lines)
            self.told.fault = Fault(self.told.seed, self.told.keys, what, tuple(self._last), screen)


def obeyed(character: str) -> bool:
    """Whether a terminal could obey a character, or turn or hide what stands beside it."""
    return unicodedata.category(character) in ("Cc", "Cs") or character in "\u202e\u2066\u200b"


def _character_of(key: str) -> str | None:
    names = {
        "question_mark": "?", "slash": "/", "exclamation_mark": "!", "plus": "+", "minus": "-", "equals_sign": "=",
        "full_stop": ".", "comma": ",", "dollar_sign": "$",
    }  # fmt: skip
    return names.get(key)


def _keeps_nothing(screen: Any, press: Pressed) -> str:
    """Why nothing may be kept by this press, in words; empty when something may."""
    focused = screen.focused
    if isinstance(focused, Input):
        only_text = not press.keys or all(len(key) == 1 or key == "space" for key in press.keys)
        if only_text:
            return "typing"
    if len(press.keys) != 1:
        return ""
    key = press.keys[0]
    if isinstance(focused, Pick | Letters):
        return ""
    if key in ONLY_MOVE and not _other_meaning(screen, key):
        return f"the key {key}"
    if not isinstance(screen, BookScreen) or isinstance(focused, Input | Pick | Letters):
        return ""
    if any(ask.is_open for ask in screen.query(Ask)):
        return ""
    for act in screen.acts():
        if key in act.keys.split(",") and act.action.partition("(")[0] in ONLY_OPEN:
            return f"the key {key} ({act.label})"
    return ""


def _other_meaning(screen: Any, key: str) -> bool:
    """Whether a key that usually moves does something of its own at this place."""
    if not isinstance(screen, BookScreen):
        return False
    return any(key in act.keys.split(",") for act in screen.ACTS)


def run_seed(seed: int, keys: int = 300, watch: Watch | None = None) -> Told:
    """Press `keys` keys as the seed says; `watch` is told each of them."""
    folder = Path(tempfile.mkdtemp(prefix=f"any-key-{seed}-"))
    loop = QuickLoop()
    gc.disable()  # what a run leaves behind is taken away once, at its end
    try:
        run = Run(seed, keys, folder, watch)
        with _by_itself(loop, folder), nothing_outside(folder) as outside:
            try:
                loop.run_until_complete(run.go(outside))
            except Wrong as wrong:
                run.told.fault = run.told.fault or Fault(seed, run.told.keys, str(wrong), tuple(run._last), "")
        return run.told
    finally:
        close(loop)
        gc.enable()
        gc.collect()
        shutil.rmtree(folder, ignore_errors=True)
