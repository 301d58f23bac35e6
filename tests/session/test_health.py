"""What lies beside the records: noticed, named, compared, taken in, and never mixed up with the record."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import pytest

from logbook.errors import InputError, StoreError
from logbook.model.edits import keep_step
from logbook.session import Session
from tests.builders import step, unit

NOW = datetime(2026, 3, 17, 18, 0, tzinfo=UTC)


def opened(path: Path) -> Session:
    return Session.open(path, by="AB", now=lambda: NOW)


@pytest.fixture
def conflict(tmp_path: Path) -> Path:
    """A book whose R1 has two steps, with a copy beside it from when it had one."""
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
    folder = tmp_path / "units" / "R1"
    shutil.copy(folder / "unit.json", folder / "unit (conflict copy).json")
    with opened(tmp_path) as session:
        session.apply("R1", "kept T02", partial(keep_step, step=step("T02", "back panel")))
    return tmp_path


def test_a_conflict_copy_is_named_compared_and_taken_in(conflict: Path) -> None:
    with opened(conflict) as session:
        (copy,) = session.strangers()
        assert copy.code == "R1"
        assert not copy.aside
        assert "unit (conflict copy).json is another copy of the record" in copy.sentence
        said = " ".join(session.compared(copy))
        assert "T02" in said
        assert "back panel" in said
        assert [s.code for s in session.unit("R1").steps] == ["T01", "T02"], "comparing changes nothing"
        session.take_in(copy)
        assert [s.code for s in session.unit("R1").steps] == ["T01"]
        assert session.undo("R1") == "taken in from unit (conflict copy).json"
        assert [s.code for s in session.unit("R1").steps] == ["T01", "T02"]


def test_a_copy_that_says_the_same_has_no_differences(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
    folder = tmp_path / "units" / "R1"
    shutil.copy(folder / "unit.json", folder / "same.json")
    with opened(tmp_path) as session:
        assert session.compared(session.strangers("R1")[0]) == ()


def test_a_foreign_file_beside_a_record_cannot_be_taken_in(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
    (tmp_path / "units" / "R1" / "notes.json").write_text('{"mine": 1}')
    with opened(tmp_path) as session:
        before = session.unit("R1")
        with pytest.raises(InputError):
            session.take_in(session.strangers("R1")[0])
        assert session.unit("R1") == before


def test_a_folder_copied_under_another_name_is_not_shown_as_another_unit(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
    shutil.copytree(tmp_path / "units" / "R1", tmp_path / "units" / "R2")
    with opened(tmp_path) as session:
        assert session.codes() == ("R1",)
        assert "holds the record of R1" in session.broken()["R2"]
        assert any("Rename the folder to R1" in p for p in session.problems)
        with pytest.raises(StoreError, match="copied or renamed by hand"):
            session.unit("R2")
        assert session.book().units.keys() == {"R1"}


def test_a_unit_taken_out_can_be_put_back_in_a_later_session(tmp_path: Path) -> None:
    with opened(tmp_path) as session:
        session.add_unit(unit(step("T01", "plug")))
        session.remove_unit("R1")
    with opened(tmp_path) as session:
        (gone,) = session.removed()
        session.put_back(gone)
        assert [s.code for s in session.unit("R1").steps] == ["T01"]
        assert session.removed() == ()


def test_the_book_is_looked_through_with_what_lies_beside_it(conflict: Path) -> None:
    with opened(conflict) as session:
        assert [s for s in session.look_through() if "conflict copy" in s]
        assert [s for s in session.look_through("R1") if "conflict copy" in s]
