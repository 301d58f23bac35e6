"""What is in memory only is never lost silently, and a book that vanishes or changes takes no screen with it."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from logbook import disk
from logbook.model.edits import change_step, keep_step
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.session.faults import fault_file
from logbook.tui.app import LogbookApp
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from tests.builders import screws, step, unit
from tests.tui.conftest import NOW, lines_on, opened, said, text_on, until
from tests.tui.every_screen import SCREENS


def full_disk(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def changed(session: Session, code: str = "T90") -> None:
    """One more step, with words that must not be lost."""
    new = step(code, "clock spring", fasteners=[screws(3)], note="the blue bag is the small one")
    session.apply("R1", f"kept {code}", partial(keep_step, step=new))


def app_of(pilot: Any) -> LogbookApp:
    assert isinstance(pilot.app, LogbookApp)
    return pilot.app


async def test_leaving_asks_and_what_is_not_kept_goes_into_a_file_elsewhere(
    book: Session, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        monkeypatch.setattr(disk, "fdatasync", full_disk)
        changed(book)
        await pilot.press("q")
        await pilot.pause()
        assert "1 change is only in memory" in text_on(pilot)
        assert "the disk is full" in text_on(pilot)
        await pilot.press("q")
        assert "Choose:" in said(pilot)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, BenchScreen)
        assert pilot.app.is_running
        await pilot.press("q", "e")
        await pilot.press("ctrl+u", *str(tmp_path / "elsewhere.txt"), "enter")
        await until(pilot, lambda: not pilot.app.is_running, "it left")
    text = (tmp_path / "elsewhere.txt").read_text("utf-8")
    assert "kept T90" in text
    assert "the blue bag is the small one" in text
    assert "clock spring" in text


async def test_a_file_that_is_there_is_not_written_over_and_the_question_stays(
    book: Session, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        monkeypatch.setattr(disk, "fdatasync", full_disk)
        changed(book)
        await pilot.press("q", "e", "ctrl+u", *str(tmp_path / "letter.txt"), "enter")
        await pilot.pause()
        assert "There is already a file" in text_on(pilot)
        assert (tmp_path / "letter.txt").read_text() == "mine"
        await pilot.press("escape", "X")
        await until(pilot, lambda: not pilot.app.is_running, "it left")


async def test_when_the_disk_has_room_again_trying_again_leaves(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        with monkeypatch.context() as patch:
            patch.setattr(disk, "fdatasync", full_disk)
            changed(book)
            await pilot.press("q", "K")
            assert "the disk is full" in said(pilot)
        await pilot.press("K")
        await until(pilot, lambda: not pilot.app.is_running, "it left")
        assert book.unkept == ()


# A book that vanishes or changes


def renamed(book: Path) -> None:
    book.rename(book.with_name("elsewhere"))


def removed(book: Path) -> None:
    shutil.rmtree(book)


def without_units(book: Path) -> None:
    (book / "units").rename(book / "units-away")
    (book / "units").write_text("a file where the folder was")


def unit_gone(book: Path) -> None:
    shutil.rmtree(book / "units/R1")


def older_state(book: Path) -> None:
    """As version control puts an older state in place: other files, a unit that was not there yet."""
    for name in ("units", "shop"):
        shutil.rmtree(book / name)
        shutil.copytree(book.with_name("older") / name, book / name)


HAPPENS: tuple[Callable[[Path], None], ...] = (renamed, removed, without_units, unit_gone, older_state)


@pytest.mark.parametrize("happens", HAPPENS, ids=lambda f: f.__name__)
async def test_a_book_that_vanishes_or_changes_takes_no_screen_with_it(
    demo: Session, happens: Callable[[Path], None]
) -> None:
    shutil.copytree(demo.path, demo.path.with_name("older"))
    if happens is older_state:
        shutil.rmtree(demo.path.with_name("older") / "units/C1")
        changed(demo)
    async with opened(demo) as pilot:
        for make in SCREENS.values():
            await pilot.app.push_screen(make(demo))
        await pilot.pause()
        happens(demo.path)
        deep = len(pilot.app.screen_stack)
        app_of(pilot)._look_around()
        await pilot.pause()
        assert len(pilot.app.screen_stack) == deep, "every screen stays"
        changed(demo, "T91")
        await pilot.pause()
        assert [u.what for u in demo.unkept] == ["kept T91"], "what was typed stays in memory"
        for _ in SCREENS:
            app_of(pilot)._look_around()
            assert "NOT KEPT" in lines_on(pilot)[0]
            await pilot.press("escape")
            await pilot.pause()
        assert [s.what for s in demo.unit("R1").steps if s.code == "T91"] == ["clock spring"]


async def test_a_book_that_comes_back_takes_in_what_waited(book: Session) -> None:
    async with opened(book, None, unit(step("T01", "plug"))) as pilot:
        away = book.path.with_name("elsewhere")
        book.path.rename(away)
        app_of(pilot)._look_around()
        await pilot.pause()
        assert "cannot be looked at" in said(pilot)
        assert "BOOK NOT THERE" in lines_on(pilot)[0]
        changed(book)
        assert len(book.unkept) == 1
        away.rename(book.path)
        app_of(pilot)._look_around()
        await pilot.pause()
        assert said(pilot) == "Now everything is kept."
    with Session.open(book.path, read_only=True) as again:
        assert [s.code for s in again.unit("R1").steps] == ["T01", "T90"]


async def test_after_a_change_from_outside_ones_own_goes_on_top(tmp_path: Path) -> None:
    path = tmp_path / "book"
    with Session.open(path, by="AB", now=lambda: NOW) as first:
        first.add_unit(unit(step("T01", "plug")))
    shutil.copytree(path, tmp_path / "older")
    session = Session.open(path, by="AB", now=lambda: NOW)
    session.apply("R1", "kept T02", partial(keep_step, step=step("T02", "back panel")))
    async with opened(session, TeardownScreen(session, "R1")) as pilot:
        older_state(path)
        app_of(pilot)._look_around()
        await pilot.pause()
        assert "! says how to go on" in said(pilot)
        changed(session)
        assert len(session.unkept) == 1
        await pilot.press("escape", "exclamation_mark", "R")
        await pilot.pause()
        assert said(pilot).startswith(("Read again: R1", "Read again: the shop, R1")), (
            "as the files happen to be stamped"
        )
        assert session.unkept == () or "does not fit" in said(pilot)
        steps = [s.code for s in session.unit("R1").steps]
        assert "T02" not in steps, "the older state is what is on the disk now"


def from_elsewhere(path: Path, edit: Callable[[Unit], Unit]) -> None:
    """Another computer changed the unit, and its state is checked out under the program."""
    other = path.with_name("other")
    shutil.copytree(path, other)
    (other / ".lock").unlink()
    with Session.open(other, by="CD", now=lambda: NOW + timedelta(hours=1)) as session:
        session.apply("R1", "elsewhere", edit)
    for file in (other / "units/R1").glob("unit.*"):
        shutil.copyfile(file, path / "units/R1" / file.name)


@pytest.fixture
def of_three(tmp_path: Path) -> Iterator[Session]:
    """A unit of three steps, and a clock that goes on."""
    minutes = count()
    session = Session.open(tmp_path / "book", by="AB", now=lambda: NOW + timedelta(minutes=next(minutes)))
    session.add_unit(unit(step("T01", "plug"), step("T02", "back panel"), step("T03", "dial")))
    yield session
    session.close()


def _noted(u: Unit) -> Unit:
    return change_step(u, step("T02", "back panel", note="taped"))


def test_what_waited_goes_on_top_of_what_another_changed_beside_it(of_three: Session) -> None:
    from_elsewhere(of_three.path, lambda u: change_step(u, step("T01", "mains plug")))
    of_three.apply("R1", "changed T02", _noted)
    assert len(of_three.unkept) == 1
    assert of_three.read_again() == "Read again: R1. Everything is kept."
    assert [(s.what, s.note) for s in of_three.unit("R1").steps] == [
        ("mains plug", ""),
        ("back panel", "taped"),
        ("dial", ""),
    ]
    of_three.undo("R1")
    assert [s.note for s in of_three.unit("R1").steps] == ["", "", ""]


def test_what_waited_never_lands_in_another_thing(of_three: Session) -> None:
    """Another took the first step out, so that another one stands where the change was made."""
    from_elsewhere(of_three.path, lambda u: u.model_copy(update={"steps": u.steps[1:]}))
    of_three.apply("R1", "changed T02", _noted)
    assert "not kept" in of_three.read_again()
    assert [(s.code, s.note) for s in of_three.unit("R1").steps] == [("T02", ""), ("T03", "")]
    (change,) = of_three.unkept
    assert "does not fit" in change.why


async def test_a_change_that_no_longer_fits_is_told_and_holds_up_nothing(tmp_path: Path) -> None:
    path = tmp_path / "book"
    with Session.open(path, by="AB", now=lambda: NOW) as first:
        first.add_unit(unit(step("T01", "plug")))
    shutil.copytree(path, tmp_path / "older")
    session = Session.open(path, by="AB", now=lambda: NOW)
    for number in range(2, 6):
        session.apply("R1", f"kept T0{number}", partial(keep_step, step=step(f"T0{number}", "panel")))
    older_state(path)
    session.poll()
    changed(session)
    assert "does not fit" in session.read_again()
    assert [u.fits for u in session.unkept] == [False]
    session.apply("R1", "kept T02", partial(keep_step, step=step("T02", "lid")))
    assert [s.code for s in session.unit("R1").steps] == ["T01", "T02"]
    assert len(session.unkept) == 1
    session.close()


async def test_a_fault_of_the_program_ends_it_with_a_sentence_and_says_what_was_not_kept(
    book: Session, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    book.add_unit(unit(step("T01", "plug"), name="secret name"))
    monkeypatch.setattr(disk, "fdatasync", full_disk)
    changed(book)
    app = LogbookApp(book)
    app._exception = ValueError("secret name")
    app._fatal_error()
    words = "".join(segment.text for shown in app._exit_renderables for segment in shown.segments)
    assert words.startswith("This is a fault of the program")
    assert "Traceback" not in words
    assert "the blue bag is the small one" in words
    assert "secret" not in fault_file().read_text()
