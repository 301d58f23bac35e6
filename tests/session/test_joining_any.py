"""Random edits in two copies of a real book: joined in either order, taken back, and killed at any write."""

from __future__ import annotations

import shutil
import tempfile
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.unit import Unit
from logbook.session import Session
from logbook.session.joining import keep, propose
from tests.joining.edits import START, Edit, before, edits
from tests.store.faults import Death, Faults


class Clock:
    """Each look at it is a second later."""

    def __init__(self, minutes: int) -> None:
        self._at = START + timedelta(minutes=minutes)

    def __call__(self) -> datetime:
        self._at += timedelta(seconds=1)
        return self._at


def opened(book: Path, by: str, minutes: int) -> Session:
    (book / ".lock").unlink(missing_ok=True)  # of a process that was killed, which here lives on
    return Session.open(book, by=by, now=Clock(minutes), at_once=True)


def written(book: Path, by: str, minutes: int, made: list[Edit]) -> None:
    with opened(book, by, minutes) as session:
        for number, edit in enumerate(made):
            when = START + timedelta(minutes=minutes + 10 * number)
            session.apply("R1", edit.name, lambda u, n=number, e=edit, w=when: e.of(u, f"{by} wrote {n}", w))


def record_of(book: Path) -> Unit:
    with Session.open(book, now=lambda: datetime(2026, 5, 1, tzinfo=UTC), read_only=True) as session:
        return session.unit("R1")


def join(book: Path, other: Path) -> None:
    with opened(book, "EF", 9000) as session:
        keep(session, propose(session, other))


def two_books(folder: Path, here: list[Edit], there: list[Edit], later: int) -> tuple[Path, Path]:
    bench, desk = folder / "bench", folder / "desk"
    with Session.open(bench, by="AB", now=Clock(-60)) as session:
        session.add_unit(before())
    shutil.copytree(bench, desk)
    written(bench, "bench", 0, here)
    written(desk, "desk", later, there)
    return bench, desk


@settings(max_examples=20, deadline=None)
@given(here=edits(), there=edits(), later=st.integers(0, 40))
def test_either_order_comes_to_the_same_and_undo_restores(here: list[Edit], there: list[Edit], later: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        bench, desk = two_books(Path(name), here, there, later)
        alone = record_of(bench)
        join(bench, desk)
        join(desk, bench)
        together = record_of(bench)
        assert record_of(desk) == together
        with opened(bench, "EF", 9500) as session:
            if together != alone:
                assert session.undo("R1") is not None
                assert session.unit("R1") == alone
                session.redo("R1")
            assert session.unit("R1") == together
            assert session.look_through() == ()
            assert not propose(session, desk).report(session.on_shop_clock).changes, (
                "joined back, nothing is new on either side"
            )


@settings(max_examples=20, deadline=None)
@given(here=edits(), there=edits(), later=st.integers(0, 40))
def test_both_join_the_other_apart_and_say_the_same(here: list[Edit], there: list[Edit], later: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        bench, desk = two_books(Path(name), here, there, later)
        bench_was, desk_was = Path(name) / "bench was", Path(name) / "desk was"
        shutil.copytree(bench, bench_was)
        shutil.copytree(desk, desk_was)
        join(bench, desk_was)
        join(desk, bench_was)
        assert record_of(bench) == record_of(desk)
        join(bench, desk)
        assert record_of(bench) == record_of(desk)


@settings(max_examples=20, deadline=None)
@given(here=edits(), there=edits(), data=st.data())
def test_a_kill_leaves_one_of_the_two_states(here: list[Edit], there: list[Edit], data: st.DataObject) -> None:
    with tempfile.TemporaryDirectory() as name:
        bench, desk = two_books(Path(name), here, there, 5)
        work = Path(name) / "work"
        alone = record_of(bench)
        shutil.copytree(bench, work)
        counted = Faults()
        with counted.on():
            join(work, desk)
        together = record_of(work)
        at = data.draw(st.integers(1, counted.count), label="the effect at which it is killed")
        shutil.rmtree(work)
        shutil.copytree(bench, work)
        with Faults(at, "half").on(), suppress(Death):
            join(work, desk)
        with opened(work, "EF", 9500) as session:
            assert session.unit("R1") in (alone, together)
            assert session.look_through() == ()
        join(work, desk)
        assert record_of(work) == together
