"""Overviews kept beside the records: a book is opened without reading its units, and the record alone is believed."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from logbook.model.shop import Consumable
from logbook.model.unit import Unit
from logbook.session import Session, overviews
from tests.builders import estimate, part, step, unit
from tests.tui.conftest import NOW

INDEX = ".index.json"


def opened(path: Path, now: datetime = NOW, **more: Any) -> Session:
    return Session.open(path, by="AB", now=lambda: now, **more)


def read_ones(session: Session) -> list[str]:
    """The units that were read from the disk."""
    return [code for code, document in session._folder.units.items() if document.is_loaded]


def named(name: str) -> Callable[[Unit], Unit]:
    return lambda u: u.model_copy(update={"name": name})


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A book of three units, closed as a person closes it."""
    with opened(tmp_path / "book") as session:
        for code in ("B1", "R1", "R2"):
            session.add_unit(unit(step("T01", "plug"), code=code, parts=(part(price=estimate("6")),)))
    return tmp_path / "book"


def names(session: Session) -> list[str]:
    return [line.name for line in session.lines()]


def test_a_book_is_opened_without_reading_its_units(path: Path) -> None:
    with opened(path) as session:
        assert session.codes() == ("B1", "R1", "R2")
        assert [line.code for line in session.lines()] == ["B1", "R1", "R2"]
        assert [s.code for s in session.whole().standings] == ["B1", "R1", "R2"]
        assert session.kept("R1").version == 1
        assert session.problems == ()
        assert session.left_out() == {}
        assert read_ones(session) == []


def test_what_is_remembered_is_what_the_record_says(path: Path) -> None:
    with opened(path) as session:
        remembered, whole = session.lines(), session.whole()
    (path / INDEX).unlink()
    with opened(path) as session:
        assert session.lines() == remembered
        assert session.whole() == whole


def test_records_read_for_their_overview_are_let_go(path: Path) -> None:
    (path / INDEX).unlink()
    with opened(path) as session:
        for code in session.codes():
            session.overviews.standing(code)
        assert session.read_units == {}
        assert read_ones(session) == []
        assert session.lines() is not None
        assert read_ones(session) == [], "and are not read again"


def test_a_kill_leaves_older_overviews_which_are_made_anew(path: Path) -> None:
    session = opened(path)
    session.apply("R1", "name", named("box"))
    session._folder._lock.release()  # the process ends without closing
    with opened(path) as again:
        assert names(again) == ["table radio", "box", "table radio"]
        assert read_ones(again) == ["R1"], "its document is behind, and is renewed at closing"


def test_a_change_by_another_program_is_seen_while_the_book_is_open(path: Path) -> None:
    with opened(path) as writer, opened(path, read_only=True) as reader:
        assert names(reader) == ["table radio"] * 3
        writer.apply("R2", "name", named("lamp"))
        assert reader.poll() == ("R2",)
        assert names(reader) == ["table radio", "table radio", "lamp"]


@pytest.mark.parametrize("harm", ["cut short", "edited", "no JSON", "rows of nonsense"])
def test_a_damaged_index_is_never_believed(path: Path, harm: str) -> None:
    raw = (path / INDEX).read_bytes()
    if harm == "rows of nonsense":
        from logbook.store.storage import seal

        rows = {"1": {"code": "R1", "summary": {"line": 5}}, "2": {"code": 7}, "3": {"code": "R2", "summary": []}}
        body = json.dumps({"kind": "index", "data": {"records": rows}}).encode()
        raw = seal(b"{\n" + body[1:])
    harmed = {"cut short": raw[: len(raw) // 2], "edited": raw.replace(b"table", b"chair"), "no JSON": b"\x00"}
    (path / INDEX).write_bytes(harmed.get(harm, raw))
    with opened(path) as session:
        assert names(session) == ["table radio"] * 3


def test_another_program_makes_them_anew(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(overviews, "program", lambda: "another one")
    asked: list[str] = []
    made = overviews.Overviews._make
    monkeypatch.setattr(overviews.Overviews, "_make", lambda self, code: (asked.append(code), made(self, code))[1])
    with opened(path) as session:
        session.lines()
        assert asked == ["B1", "R1", "R2"]


def test_a_document_changed_by_hand_is_not_taken_for_the_one_remembered(path: Path) -> None:
    file = path / "units" / "R1" / "unit.json"
    file.write_bytes(file.read_bytes().replace(b"table", b"chair"))
    with opened(path) as session:
        assert any("R1" in problem for problem in session.problems)
        assert "R1" in [line.code for line in session.lines()]


def test_stock_that_is_past_its_life_is_bought_anew_on_the_day(tmp_path: Path) -> None:
    from tests.builders import shop
    from tests.example_records import SHOP, UNITS

    path = tmp_path / "book"
    glue = next(c for c in SHOP.shelf if any(c.name == use.consumable for use in UNITS["R1"].consumables))
    kept = glue.model_copy(update={"opened_on": date(2026, 3, 1), "keeps_months": 1, "stock": glue.stock * 0 + 500})
    with opened(path) as session:
        session.apply_shop("shop", lambda _: shop(shelf=(kept,)))
        session.add_unit(UNITS["R1"])
        before = session.lines()[0].expected
    with opened(path, NOW + timedelta(days=60)) as session:
        after = session.lines()[0]
        assert read_ones(session) == []
    assert isinstance(kept, Consumable)
    assert after.expected is not None
    assert after.expected != before or after.unpriced, "what was on the shelf is bought anew"


def test_what_it_waits_for_is_told_by_the_day(tmp_path: Path) -> None:
    from logbook.model.work import Waiting

    path, due = tmp_path / "book", NOW.date() + timedelta(days=2)
    with opened(path) as session:
        session.add_unit(unit(waiting=(Waiting(what="bearings", expected=due),)))
        assert session.lines()[0].next.startswith("WAITS bearings, due")
    with opened(path, NOW + timedelta(days=5)) as session:
        line = session.lines()[0]
        assert line.next.startswith("WAITS bearings, LATE, was due")
        assert line.days == 5
        assert read_ones(session) == []


def test_undo_over_the_book_finds_the_latest_change_without_reading_the_others(path: Path) -> None:
    with opened(path) as session:
        session.apply("R2", "lamp", named("lamp"))
        session.apply("B1", "box", named("box"))
    with opened(path, NOW - timedelta(days=400)) as session:  # a clock that lost the time
        assert read_ones(session) == []
        assert session.undo() == "box"
        assert read_ones(session) == ["B1"]


def test_a_change_after_opening_comes_after_all_others_also_without_an_index(path: Path) -> None:
    with opened(path) as session:
        session.apply("R2", "lamp", named("lamp"))
    (path / INDEX).unlink()
    with opened(path, NOW - timedelta(days=400)) as session:
        session.apply("B1", "box", named("box"))
        assert session.undo() == "box"
        assert session.undo() == "lamp"


def test_what_is_not_kept_is_shown_and_never_remembered(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import errno

    from logbook import disk

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, "full")

    session = opened(path)
    with monkeypatch.context() as patched:
        patched.setattr(disk, "write", full)
        session.apply("R1", "name", named("box"))
        assert names(session) == ["table radio", "box", "table radio"]
        assert session._folder.units["R1"].summary is None or session.unkept
        session._folder.close()
    with opened(path) as again:
        assert names(again) == ["table radio"] * 3


def test_what_is_next_is_worked_out_anew_while_a_wait_runs_and_remembered_when_it_is_over(tmp_path: Path) -> None:
    from logbook.model.words import Stage, WorkState
    from logbook.model.work import Operation, Wait

    def remembered_after(hours: int) -> tuple[str, bool]:
        later = NOW + timedelta(hours=hours)
        with opened(path, later, read_only=True) as session:
            remembered = session.overviews.is_at_hand("R1")
            return session.lines()[0].next, remembered

    path = tmp_path / "book"
    glue = Operation(
        code="B01", name="press the top", state=WorkState.DONE, done_at=NOW, wait=Wait(what="glue", earliest=600)
    )
    trim = Operation(code="B02", name="trim the top", after=("B01",))
    with opened(path) as session:
        session.add_unit(unit(stage=Stage.REBUILD, next_action="B02 trim the top", operations=(glue, trim)))
    assert "not yet: glue until" in remembered_after(2)[0]
    assert remembered_after(11) == ("next: B02 trim the top", False)
    with opened(path, NOW + timedelta(hours=12)) as session:
        session.lines()
    assert remembered_after(13) == ("next: B02 trim the top", True)
