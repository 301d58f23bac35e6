"""The door between screens and disk: what is kept, what is taken back, what is said when the disk refuses."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import pytest

from logbook import disk
from logbook.errors import InputError, ReadOnlyError
from logbook.model.edits import keep_step
from logbook.model.unit import Unit
from logbook.session import RecordNews, Session
from tests.builders import step, unit


class Clock:
    """A clock that moves on by a second at each look."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 17, 18, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(seconds=1)
        return self.at


def opened(path: Path, **more: object) -> Session:
    return Session.open(path, by="AB", now=Clock(), **more)  # type: ignore[arg-type]


def keeping(code: str, what: str) -> Callable[[Unit], Unit]:
    return partial(keep_step, step=step(code, what))


def kept_codes(session: Session, unit_code: str = "R1") -> list[str]:
    return [s.code for s in session.unit(unit_code).steps]


@contextmanager
def full_disk(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """No byte can be written while this lasts."""

    def refuse(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(disk, "write", refuse)
        yield


def test_an_edit_is_there_for_the_next_program(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        session.apply("R1", "kept T01", keeping("T01", "back panel"))
        before = session.unit("R1")
    with opened(tmp_path) as session:
        assert session.unit("R1") == before
        assert session.kept("R1").version == 2
        assert [e.what for e in session.entries("R1")][-1] == "kept T01"


def test_an_edit_stamps_when_the_unit_was_touched(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        first = session.unit("R1").touched
        session.apply("R1", "kept T01", keeping("T01", "back panel"))
        assert first is not None
        assert session.unit("R1").touched is not None
        assert session.unit("R1").touched > first  # type: ignore[operator]


def test_an_edit_that_changes_nothing_is_no_entry(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        session.apply("R1", "nothing", lambda u: u)
        assert session.kept("R1").version == 1


def test_a_refused_edit_changes_nothing(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
        with pytest.raises(InputError, match="already has a step T01"):
            session.apply("R1", "twice", keeping("T01", "again"))
        with pytest.raises(InputError, match="code cannot change"):
            session.apply("R1", "renamed", lambda u: u.model_copy(update={"code": "R2"}))
        assert session.kept("R1").version == 1


def test_undo_and_redo_go_on_after_a_restart(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        session.apply("R1", "kept T01", keeping("T01", "plug"))
        session.apply("R1", "kept T02", keeping("T02", "back panel"))
    with opened(tmp_path) as session:
        assert session.undo("R1") == "kept T02"
        assert kept_codes(session) == ["T01"]
    with opened(tmp_path) as session:
        assert session.redo("R1") == "kept T02"
        assert kept_codes(session) == ["T01", "T02"]
        assert session.redo("R1") is None


def test_undo_on_the_bench_takes_back_what_was_done_last_in_any_unit(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        session.add_unit(unit(code="G1", name="grinder"))
        session.apply("R1", "kept T01", keeping("T01", "plug"))
        session.apply("G1", "kept T01 of G1", keeping("T01", "shields"))
        assert session.undo() == "kept T01 of G1"
        assert session.undo() == "kept T01"
        assert kept_codes(session, "G1") == kept_codes(session) == []


def test_a_unit_taken_out_is_put_back_by_undo(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
        session.remove_unit("R1")
        assert session.codes() == ()
        assert "taken out" in (session.undo() or "")
        assert kept_codes(session) == ["T01"]


def test_unknown_units_are_named_with_the_known_ones(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        with pytest.raises(InputError, match=r"no unit R9 .* It has R1"):
            session.unit("R9")


def test_a_second_program_reads_and_follows_but_does_not_write(tmp_path: Path) -> None:
    with opened(tmp_path) as writer:
        writer.add_unit(unit())
        with opened(tmp_path) as reader:
            assert reader.read_only
            assert str(os.getpid()) in reader.why_read_only
            with pytest.raises(ReadOnlyError):
                reader.apply("R1", "kept T01", keeping("T01", "plug"))
            with pytest.raises(ReadOnlyError):
                reader.undo()
            heard: list[RecordNews] = []
            reader.subscribe(heard.append)
            assert kept_codes(reader) == []
            writer.apply("R1", "kept T01", keeping("T01", "plug"))
            assert reader.poll() == ("R1",)
            assert kept_codes(reader) == ["T01"]
            assert [(c.code, c.from_outside) for c in heard] == [("R1", True)]


def test_the_second_program_takes_over_when_the_first_is_gone(tmp_path: Path) -> None:
    writer = opened(tmp_path)
    writer.add_unit(unit())
    reader = opened(tmp_path)
    assert not reader.take_over()
    writer.close()
    assert reader.take_over()
    reader.apply("R1", "kept T01", keeping("T01", "plug"))
    assert kept_codes(reader) == ["T01"]
    reader.close()


def test_what_the_disk_refuses_stays_on_screen_and_is_kept_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        with full_disk(monkeypatch):
            session.apply("R1", "kept T01", keeping("T01", "plug"))
            session.apply("R1", "kept T02", keeping("T02", "back panel"))
            assert kept_codes(session) == ["T01", "T02"]
            assert [u.what for u in session.unkept] == ["kept T01", "kept T02"]
            assert "the disk is full" in session.unkept[0].why
            assert session.kept("R1").version == 1
            assert not session.retry()
        assert session.retry()
        assert session.unkept == ()
        assert session.kept("R1").version == 3
    with opened(tmp_path) as session:
        assert kept_codes(session) == ["T01", "T02"]


def test_undo_while_the_disk_refuses_takes_back_what_was_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
        with full_disk(monkeypatch):
            session.apply("R1", "kept T02", keeping("T02", "back panel"))
            assert session.undo("R1") == "kept T02"
            assert kept_codes(session) == ["T01"]
            assert session.unkept == ()


def test_a_change_of_unit_and_shop_is_one_change(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        rate = session.shop.settings.model_copy(update={"currency": "€"})
        session.apply_together(
            "R1",
            "two at once",
            lambda u, s: (keep_step(u, step("T01", "plug")), s.model_copy(update={"settings": rate})),
        )
        assert session.shop.settings.currency == "€"
    with opened(tmp_path) as session:
        assert kept_codes(session) == ["T01"]
        assert session.shop.settings.currency == "€"


def test_a_half_typed_line_is_kept_as_a_draft(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.keep_draft("R1/line", "chassis bo")
    with opened(tmp_path) as session:
        assert session.draft("R1/line") == "chassis bo"
        session.keep_draft("R1/line", "")
        assert session.draft("R1/line") == ""


def test_what_did_it_say_then(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        session.apply("R1", "kept T01", keeping("T01", "plug"))
        then = session.now
        session.apply("R1", "kept T02", keeping("T02", "back panel"))
        assert [s.code for s in session.unit_at("R1", then).steps] == ["T01"]


def test_listeners_hear_each_change_until_they_leave(tmp_path: Path) -> None:
    heard: list[str] = []
    with opened(tmp_path) as session:
        leave = session.subscribe(lambda change: heard.append(change.what))
        session.add_unit(unit(), "arrived")
        session.apply("R1", "kept T01", keeping("T01", "plug"))
        leave()
        session.apply("R1", "kept T02", keeping("T02", "back panel"))
    assert heard == ["arrived", "kept T01"]


def test_taking_over_spares_what_the_disk_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit())
        session.add_unit(unit(code="G1"))
        with full_disk(monkeypatch):
            session.apply("R1", "kept T01", keeping("T01", "plug"))
        monkeypatch.setattr(session._folder, "take_over", lambda: True)
        before = session.unit("G1")
        assert session.take_over()
        assert kept_codes(session) == ["T01"]
        assert session.unit("G1") is not before
        assert session.retry()
        assert session.unkept == ()
    with opened(tmp_path) as again:
        assert kept_codes(again) == ["T01"]
