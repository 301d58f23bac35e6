"""What others do to the folder while the book is open, and who may write."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import textwrap
from typing import TYPE_CHECKING

import pytest

from logbook.errors import InputError, ReadOnlyError, StoreError
from tests.store.building import SMALL, Clock, count_up, opened, put, radio, with_radio

if TYPE_CHECKING:
    from pathlib import Path


def test_a_folder_copied_in_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    count_up(book.units["R1"], 3)
    shutil.copytree(path / "units/R1", path / "units/R2")
    assert book.poll() == {"R2"}
    copy = book.units["R2"]
    assert copy.state["v"] == 3
    assert "was kept as R1" in copy.problem
    copy.change("code", *put("R2", "R1", "/code"))
    copy.save()
    assert copy.problem is None
    assert book.units["R1"].state["code"] == "R1"
    assert book.poll() == set()


def test_a_folder_renamed_by_hand_is_noticed_and_not_written_again(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    unit = book.units["R1"]
    count_up(unit, 3)
    (path / "units/R1").rename(path / "units/R7")
    assert book.poll() == {"R1", "R7"}
    assert "moved or removed" in unit.problem
    with pytest.raises(StoreError, match="moved or removed"):
        unit.change("no", *put(4, 3))
    assert book.units["R7"].state["v"] == 3
    book.close()
    assert sorted(p.name for p in (path / "units").iterdir()) == ["R7"]


def test_a_folder_removed_by_hand_before_anybody_looked(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    unit = book.units["R1"]
    shutil.rmtree(path / "units/R1")
    with pytest.raises(StoreError, match="no longer there"):
        unit.change("no", *put(1, 0))
    assert unit.state["v"] == 0
    assert not (path / "units/R1").exists()
    assert book.poll() == {"R1"}
    assert any("R1 was moved or removed" in said for said in book.problems)


def test_a_folder_that_went_between_two_openings_is_named(tmp_path: Path) -> None:
    path = tmp_path / "book"
    with_radio(path).close()
    shutil.rmtree(path / "units/R1")
    book = opened(path)
    assert any("R1 was there when the book was last closed" in said for said in book.problems)
    book.close()
    assert opened(path).problems == []


def test_a_unit_taken_out_just_before_the_program_ended_did_not_go_by_itself(tmp_path: Path) -> None:
    """What the index remembers is then older than the taking out; of a later unit of that code it is not."""
    path, clock = tmp_path / "book", Clock()
    with_radio(path, clock=clock).close()
    book = opened(path, clock=clock)
    book.remove_unit("R1")
    cut = tmp_path / "cut"
    shutil.copytree(path, cut)
    assert opened(cut, clock=clock).problems == []
    book.add_unit("R1", radio(), "another R1")
    book.close()
    shutil.rmtree(path / "units/R1")
    assert any("R1 was there when the book was last closed" in said for said in opened(path, clock=clock).problems)


def test_a_document_edited_while_the_book_is_open_is_kept_aside(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    unit = book.units["R1"]
    unit.change("v", *put(1, 0))
    file = path / "units/R1/unit.json"
    file.write_text(file.read_text("utf-8").replace("step 2", "cloth off"), "utf-8")
    edited = file.read_bytes()
    assert book.poll() == {"R1"}
    assert book.poll() == set(), "said once"
    assert "changed outside" in unit.problem
    unit.change("v", *put(2, 1))
    book.close()
    assert opened(path).units["R1"].state["v"] == 2
    (kept,) = (path / "units/R1/aside").iterdir()
    assert kept.read_bytes() == edited
    do, _ = unit.compare(str(kept))
    assert {"op": "replace", "path": "/steps/1/title", "value": "cloth off"} in do


@pytest.mark.parametrize("how", ["longer", "shorter", "replaced"])
def test_a_history_changed_while_the_book_is_open_is_not_appended_to(tmp_path: Path, how: str) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    unit = book.units["R1"]
    count_up(unit, 5)
    file = path / "units/R1/unit.history.jsonl"
    raw = file.read_bytes()
    if how == "replaced":
        other = file.with_suffix(".other")
        other.write_bytes(raw)
        other.rename(file)
    else:
        file.write_bytes(raw + b"{}\n" if how == "longer" else raw[:-200])
    outside = file.read_bytes()
    with pytest.raises(StoreError, match="changed outside"):
        unit.change("no", *put(6, 5))
    assert unit.state["v"] == 5
    assert file.read_bytes() == outside
    assert book.poll() == {"R1"}
    assert "changed outside" in unit.problem
    unit.reopen()
    if how == "shorter":
        assert unit.state["v"] == 4
        assert any(unit.compare(stranger)[0] == put(5, 4)[0] for stranger in unit.strangers()), "our line is kept too"
    else:
        assert unit.state["v"] == 5
    unit.change("goes on", *put(9, unit.state["v"]))
    book.close()
    assert opened(path).units["R1"].state["v"] == 9


def test_a_conflict_copy_is_offered_for_comparison(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    unit = book.units["R1"]
    unit.save()
    text = (path / "units/R1/unit.json").read_text("utf-8")
    count_up(unit, 1)
    conflict = path / "units/R1/unit (copy of the other computer).json"
    conflict.write_text(text, "utf-8")
    history = path / "units/R1/unit.history (copy of the other computer).jsonl"
    shutil.copy(path / "units/R1/unit.history.jsonl", history)
    (path / "units/R1/notes.txt").write_text("x")
    (path / "units/R1/other.json").write_text("{}")
    assert unit.strangers() == [str(path / "units/R1/other.json"), str(conflict), str(history)]
    assert unit.compare(str(conflict))[0] == put(0, 1)[0]
    assert unit.compare(str(history))[0] == []
    with pytest.raises(InputError, match="holds no record"):
        unit.compare(str(path / "units/R1/other.json"))


HOLD = """
import sys, time
from datetime import datetime, timezone
from logbook.store import BookFolder
book = BookFolder.open(sys.argv[1], by="Ben", now=lambda: datetime.now(timezone.utc))
print(book.read_only, flush=True)
time.sleep(60)
"""


def holding(path: Path) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(HOLD), str(path)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout.readline() == "False\n"
    return process


def test_a_killed_writer_never_blocks(tmp_path: Path) -> None:
    path = tmp_path / "book"
    with_radio(path).close()
    process = holding(path)
    try:
        book = opened(path)
        assert book.read_only
        assert (book.holder.pid, book.holder.by) == (process.pid, "Ben")
        assert str(process.pid) in book.problems[0]
        assert not book.take_over()
    finally:
        process.kill()
        process.wait()
    assert book.take_over()
    assert book.problems == []
    book.units["R1"].change("mine now", *put(1, 0))
    assert book.holder is None


def test_a_lock_left_behind_never_blocks(tmp_path: Path) -> None:
    path = tmp_path / "book"
    with_radio(path).close()
    (path / ".lock").write_text("left behind")
    (path / ".holder.json").write_text('{"pid": 1, "host": "elsewhere", "since": "2020-01-01T00:00:00+00:00"}')
    assert not opened(path).read_only


@pytest.mark.parametrize("card", ["", "[]", '{"pid": "x"}', '{"pid": 1, "host": "h", "since": "never"}', "\x00"])
def test_a_damaged_card_of_the_holder_is_no_error(tmp_path: Path, card: str) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    (path / ".holder.json").write_text(card)
    reader = opened(path)
    assert reader.read_only
    assert reader.holder is None
    assert "another program writes in it" in reader.problems[0]
    book.close()


def test_a_removed_lock_file_is_taken_again(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    (path / ".lock").unlink()
    count_up(book.units["R1"], 1)
    assert opened(path).read_only, "the lock is held again"


def test_a_lock_lost_to_another_program_ends_writing(tmp_path: Path) -> None:
    path = tmp_path / "book"
    first = with_radio(path)
    (path / ".lock").unlink()
    second = opened(path, by="Ben")
    assert not second.read_only
    second.units["R1"].change("second", *put(5, 0))
    with pytest.raises(ReadOnlyError, match="Ben"):
        first.units["R1"].change("first", *put(1, 0))
    assert first.read_only
    assert first.poll() == {"R1"}
    assert first.units["R1"].state["v"] == 5
    second.close()


@pytest.mark.skipif(os.getuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_may_not_be_written_opens_for_reading(tmp_path: Path) -> None:
    path = tmp_path / "book"
    with_radio(path).close()
    path.chmod(0o500)
    book = opened(path)
    path.chmod(0o700)
    assert book.read_only
    assert book.units["R1"].state == radio()


def test_a_reader_follows_while_older_history_is_packed(tmp_path: Path) -> None:
    path = tmp_path / "book"
    writer = with_radio(path, limits=SMALL)
    reader = opened(path, limits=SMALL)
    reader.units["R1"].entries()
    for v in range(1, 150):
        writer.units["R1"].change(f"v is {v}", *put(v, v - 1))
        if v % 7 == 0:
            reader.poll()
            assert reader.units["R1"].state["v"] == v
            assert len(reader.units["R1"].entries()) == v + 1
    assert reader.units["R1"].problem is None


def test_a_closed_book_refuses_changes(tmp_path: Path) -> None:
    book = with_radio(tmp_path / "book")
    unit = book.units["R1"]
    book.close()
    book.close()
    with pytest.raises(StoreError, match="closed"):
        unit.change("no", *put(1, 0))
