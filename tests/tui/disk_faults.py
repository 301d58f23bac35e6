"""Changes made by the keys of the real screens, with a fault at an effect on the disk: what is said to be kept is.

A few faults for each change are tried by `test_disk_faults.py`; `python -m tests.benchmarks.interface_faults` tries
every kind at every effect.
"""

from __future__ import annotations

import errno
import shutil
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any, NamedTuple

from textual.pilot import Pilot

from logbook.model.photo_edits import photos_of
from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.screen_frame import BookScreen, MessageLine
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.link_photos_screen import LinkScreen
from logbook.tui.screens.pile_screen import PileScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.screens.week_screen import WeekScreen
from tests.builders import at, operation, screws, step, unit
from tests.photos.pictures import photo
from tests.store.faults import Faults
from tests.tui.conftest import NOW, lines_on, opened, said, text_on, typed, until

KINDS: tuple[object, ...] = ("short", errno.ENOSPC, errno.EIO, errno.EACCES, errno.EROFS, errno.EMFILE, errno.EINTR)
"""What a disk can answer."""

Keys = Callable[[Pilot[Any], Path], Awaitable[None]]


class Change(NamedTuple):
    """What is done by keys."""

    place: Callable[[Session], BookScreen]
    keys: Keys
    is_done: Callable[[Session], bool]
    """Whether a book shows it."""
    before: Keys | None = None
    """What is pressed while the disk is still sound."""


async def _new_unit(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("n")
    await typed(pilot, "brass lamp")
    await pilot.press("enter", "enter", "enter")


async def _new_step(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("a")
    await typed(pilot, "knob")
    await pilot.press("enter")


async def _edited(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("down", "enter", "ctrl+u")
    await typed(pilot, "rear panel")
    await pilot.press("enter")


async def _ticked(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("space")


async def _at_the_bench(pilot: Pilot[Any], _: Path) -> None:
    await typed(pilot, "unscrewed knob, 2 screw M3x8")
    await pilot.press("enter")


async def _new_piece(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("a")
    await typed(pilot, "12 ply, 620 x 310, 5.5")
    await pilot.press("enter")


async def _looked_over(pilot: Pilot[Any], folder: Path) -> None:
    await typed(pilot, str(folder / "phone"))
    await pilot.press("enter")
    await until(pilot, lambda: "ticked" in text_on(pilot), "the pictures are looked at")
    await pilot.press("E")
    await typed(pilot, "+0:00")
    await pilot.press("enter")


async def _linked(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("K")
    await until(pilot, lambda: said(pilot) and "Copying" not in text_on(pilot), "the pictures are linked or refused")


async def _plan_is_there(pilot: Pilot[Any], _: Path) -> None:
    await until(pilot, lambda: getattr(pilot.app.screen, "_made", None) is not None, "the plan is made")


async def _plan_kept(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("K")
    await pilot.pause()


async def _undone(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("z")


async def _taken_out(pilot: Pilot[Any], _: Path) -> None:
    await pilot.press("x")


def _has(session: Session, what: str) -> bool:
    return any(s.what == what for s in session.unit("R1").steps)


CHANGES = {
    "a new unit": Change(BenchScreen, _new_unit, lambda s: len(s.codes()) == 2),
    "a unit taken out": Change(BenchScreen, _taken_out, lambda s: not s.codes()),
    "a new step": Change(lambda s: TeardownScreen(s, "R1"), _new_step, lambda s: _has(s, "knob")),
    "a step at the bench": Change(
        lambda s: BenchModeScreen(s, "R1"), _at_the_bench, lambda s: len(s.unit("R1").steps) == 3
    ),
    "an edit": Change(lambda s: FormScreen(s, "R1", ("steps", "T02")), _edited, lambda s: _has(s, "rear panel")),
    "a tick": Change(lambda s: ReassemblyScreen(s, "R1"), _ticked, lambda s: bool(s.unit("R1").refit.lines)),
    "a piece": Change(PileScreen, _new_piece, lambda s: len(s.shop.offcuts) == 1),
    "photos": Change(
        lambda s: LinkScreen(s, "R1"), _linked, lambda s: any(True for _ in photos_of(s.unit("R1"))), _looked_over
    ),
    "the plan": Change(WeekScreen, _plan_kept, lambda s: s.entries("")[-1].what == "plan kept", _plan_is_there),
    "an undo": Change(lambda s: TeardownScreen(s, "R1"), _undone, lambda s: not _has(s, "back panel")),
}
"""By what they do, in a book of one unit."""


def prepare(folder: Path) -> None:
    """A book of one unit with two steps, and the folder of a phone."""
    with Session.open(folder / "book", by="RB", now=lambda: NOW) as session:
        first = step("T01", "lid", fasteners=[screws(4)], at=at("2026-03-12 19:00"), photo_taken=True)
        session.add_unit(unit(first, operations=[operation("B01", "lay out", 30)]))
        second = step("T02", "back panel", at=at("2026-03-12 19:05"))
        session.apply("R1", "kept T02", lambda u: u.model_copy(update={"steps": (*u.steps, second)}))
    (folder / "phone").mkdir()
    (folder / "phone/a.jpg").write_bytes(photo(1, time="2026:03:12 19:00:10", offset="+00:00"))


async def once(made: Path, used: Path, name: str, faults: Faults) -> list[str]:
    """Make one change with one fault in a copy of the book; the names of the effects. Fails when a word is not true."""
    shutil.rmtree(used, ignore_errors=True)
    shutil.copytree(made, used)
    change = CHANGES[name]
    session = Session.open(used / "book", by="RB", now=lambda: NOW)
    where = (name, faults.at, faults.what, faults.stays)
    place = change.place(session)
    async with opened(session, None if isinstance(place, BenchScreen) else place) as pilot:
        deep = len(pilot.app.screen_stack)
        if change.before is not None:
            await change.before(pilot, used)
        with faults.on():
            await change.keys(pilot, used)
            await pilot.pause()
            assert isinstance(pilot.app, LogbookApp)
            assert pilot.app.is_running, where
            assert len(pilot.app.screen_stack) >= deep, (where, "the screen stays")
            is_refused = pilot.app.screen.query_one("#message", MessageLine).has_class("-error")
            assert faults.at or change.is_done(session), (where, "without a fault it is done")
            faults.heal()  # what is said was said; from here on the disk is looked at, and works
            _is_true(pilot, session, change, where, stays=faults.stays)
            pilot.app._look_around()
            await pilot.pause()
            assert session.unkept == (), (where, "once the disk takes it again, what waited is kept")
            in_memory = {code: session.unit(code) for code in session.codes()}
            is_whole = _on_disk(session) == (in_memory, session.shop)
            assert is_whole or (faults.stays and is_refused), where
    return faults.names


def _is_true(pilot: Pilot[Any], session: Session, change: Change, where: object, *, stays: bool) -> None:
    """What the screen says is so on the disk."""
    message = pilot.app.screen.query_one("#message", MessageLine)
    shown = (where, lines_on(pilot)[0], message.text)
    if session.unkept:
        assert "NOT KEPT" in lines_on(pilot)[0], shown
        assert message.has_class("-error"), shown
        return
    assert "NOT KEPT" not in lines_on(pilot)[0], shown
    in_memory = {code: session.unit(code) for code in session.codes()}
    # A disk that refuses on refuses also that what was half done is taken away again; it is said not to be kept then.
    assert (stays and message.has_class("-error")) or _on_disk(session) == (in_memory, session.shop), shown
    if not change.is_done(session):
        assert not message.has_class("-good"), (shown, "said to be done")


def _on_disk(session: Session) -> tuple[dict[str, Any], Any]:
    """The book as another program reads it from the disk now, with sound effects."""
    with Session.open(session.path, now=lambda: NOW, read_only=True) as other:
        return {code: other.unit(code) for code in other.codes()}, other.shop
