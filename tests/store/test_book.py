"""The everyday use of a book on disk."""

from __future__ import annotations

import json
import subprocess
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from logbook.errors import InputError, ReadOnlyError, StoreError
from tests.store.building import SMALL, START, Clock, count_up, opened, put, radio, with_radio

if TYPE_CHECKING:
    from pathlib import Path


def test_a_change_is_there_after_closing_and_opening(tmp_path: Path) -> None:
    book = with_radio(tmp_path / "book")
    book.units["R1"].change("price known", *put("14.00", "12.50", "/price"))
    book.close()
    again = opened(tmp_path / "book")
    assert again.units["R1"].state == radio() | {"price": "14.00"}
    assert again.units["R1"].version == 2
    assert again.problems == []


def test_a_change_is_there_without_closing(tmp_path: Path) -> None:
    book = with_radio(tmp_path / "book")
    count_up(book.units["R1"], 7)
    book._lock.release()  # as if the process had ended here
    again = opened(tmp_path / "book")
    assert again.units["R1"].state["v"] == 7
    assert again.problems == []


def test_undo_and_redo_work_across_restarts(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    count_up(book.units["R1"], 3)
    assert book.units["R1"].undo().what == "v is 3"
    book.close()
    book = opened(path)
    unit = book.units["R1"]
    assert unit.undo().kind == "undo"
    assert unit.state["v"] == 1
    book.close()
    book = opened(path)
    unit = book.units["R1"]
    assert unit.redo().of == 3
    assert unit.redo().what == "v is 3"
    assert unit.redo() is None
    assert unit.state["v"] == 3
    for _ in range(3):
        unit.undo()
    assert unit.undo() is None  # the beginning stays
    assert unit.state == radio()


def test_version_control_leaves_alone_what_is_of_the_running_program(tmp_path: Path) -> None:
    """An older state can be put in place under an open book: no file of the program stands in its way."""
    path = tmp_path / "book"

    def git(*words: str) -> str:
        who = ("-c", "user.name=AB", "-c", "user.email=ab@example.org", "-c", "init.defaultBranch=book")
        done = subprocess.run(["git", *who, *words], cwd=path, capture_output=True, text=True, check=True)
        return done.stdout

    book = with_radio(path)
    (path / ".incoming").mkdir()
    (path / ".incoming/a.jpg").write_bytes(b"waits")
    git("init", "-q")
    git("add", "-A")
    git("commit", "-q", "-m", "one")
    assert {".lock", ".holder.json"} <= {p.name for p in path.iterdir()}
    kept = set(git("ls-files").split())
    offered = {".gitignore", ".gitattributes"}
    assert kept == {*offered, "book.json", *(name for name in kept if name.startswith(("units/R1/", "shop/")))}
    book.units["R1"].change("v is 1", *put(1, 0))
    book.close()
    assert (path / ".index.json").exists()
    git("add", "-A")
    git("commit", "-q", "-m", "two")
    book = opened(path)
    git("checkout", "-q", "HEAD~1")
    book._lock.release()
    assert opened(path).units["R1"].state["v"] == 0


def test_a_persons_own_list_for_version_control_is_left_as_it_is(tmp_path: Path) -> None:
    with_radio(tmp_path / "book").close()
    (tmp_path / "book/.gitignore").write_text("mine\n")
    opened(tmp_path / "book").close()
    assert (tmp_path / "book/.gitignore").read_text() == "mine\n"


def test_a_new_change_ends_redo(tmp_path: Path) -> None:
    unit = with_radio(tmp_path / "book").units["R1"]
    count_up(unit, 2)
    unit.undo()
    unit.change("other", *put(9, 1))
    assert unit.next_redo is None
    assert unit.redo() is None
    assert unit.state["v"] == 9
    unit.undo()
    assert unit.state["v"] == 1


@pytest.mark.parametrize("code", ["r1", "", "../R1", "R-1", "R123456789", "R1\n", "1R", "CON", "COM1", "Ä"])
def test_codes_that_cannot_name_a_folder_are_refused(tmp_path: Path, code: str) -> None:
    book = opened(tmp_path / "book")
    with pytest.raises(InputError, match="cannot name a unit"):
        book.add_unit(code, radio(), "arrived")
    assert book.units == {}


def test_a_unit_cannot_begin_twice(tmp_path: Path) -> None:
    book = with_radio(tmp_path / "book")
    with pytest.raises(InputError, match="already"):
        book.add_unit("R1", radio(), "again")


def test_the_state_at_a_moment(tmp_path: Path) -> None:
    clock = Clock(step=timedelta(days=1))
    unit = with_radio(tmp_path / "book", clock=clock).units["R1"]
    count_up(unit, 30)
    entries = unit.entries()
    assert unit.state_at(START - timedelta(days=1)) == {}
    for entry in entries:
        assert unit.state_at(entry.at)["v"] == entry.n - 1
        assert unit.state_at(entry.at + timedelta(hours=1))["v"] == entry.n - 1
    assert unit.state_at(START + timedelta(days=9999)) == unit.state


def test_the_story_stays_whole_when_older_history_is_packed(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path, limits=SMALL)
    count_up(book.units["R1"], 200)
    book.close()
    packed = list((path / "units/R1/history").iterdir())
    assert len(packed) > 3
    assert (path / "units/R1/unit.history.jsonl").stat().st_size < 4_000 + 5 * 400
    book = opened(path, limits=SMALL)
    unit = book.units["R1"]
    entries = unit.entries()
    assert [entry.n for entry in entries] == list(range(1, 202))
    assert [entry.what for entry in entries] == ["R1 arrived", *(f"v is {v}" for v in range(1, 201))]
    assert unit.state_at(entries[50].at)["v"] == 50
    for _ in range(200):
        assert unit.undo() is not None
    assert unit.state == radio()
    assert book.problems == []


def test_opening_and_closing_does_not_grow_anything(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    count_up(book.units["R1"], 3)
    book.close()
    opened(path).close()

    def contents() -> dict[str, bytes]:
        return {str(p): p.read_bytes() for p in path.rglob("*") if p.is_file() and p.name != ".holder.json"}

    before = contents()
    for _ in range(5):
        book = opened(path)
        assert book.units["R1"].state["v"] == 3
        assert len(book.units["R1"].entries()) == 4
        book.close()
    assert contents() == before


def test_the_document_is_readable_and_any_tinydb_opens_its_data(tmp_path: Path) -> None:
    from tinydb import TinyDB, where

    path = tmp_path / "book"
    with_radio(path, limits=SMALL).close()
    document = path / "units/R1/unit.json"
    whole = json.loads(document.read_text("utf-8"))
    assert whole["version"] == 1
    assert document.read_text("utf-8").count("\n") > 20
    plain = tmp_path / "plain.json"
    plain.write_text(json.dumps(whole["data"]))
    with TinyDB(plain) as database:
        assert database.table("steps").get(where("id") == "T02")["title"] == "step 2"
        assert database.table("unit").all()[0]["labels"] == ["mains", "valves"]
        assert len(database.table("bags")) == 0


def test_a_second_program_reads_follows_and_takes_over(tmp_path: Path) -> None:
    import os

    path = tmp_path / "book"
    writer = with_radio(path, limits=SMALL)
    reader = opened(path, limits=SMALL, by="Ben")
    assert reader.read_only
    assert reader.holder.pid == os.getpid()
    assert reader.holder.by == "Ana"
    assert reader.units["R1"].state["v"] == 0
    with pytest.raises(ReadOnlyError, match="another program"):
        reader.units["R1"].change("no", *put(1, 0))
    assert reader.poll() == set()
    for v in range(1, 60):
        writer.units["R1"].change(f"v is {v}", *put(v, v - 1))
        assert reader.poll() == {"R1"}
        assert reader.units["R1"].state["v"] == v
    writer.add_unit("G1", radio(), "G1 arrived")
    assert reader.poll() == {"G1"}
    assert not reader.take_over()
    writer.close()
    reader.poll()
    assert reader.take_over()
    assert not reader.read_only
    reader.units["R1"].change("mine", *put(100, 59))
    assert reader.problems == []
    reader.close()
    assert opened(path).units["R1"].state["v"] == 100


def test_a_change_over_two_documents_is_undone_as_one(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    unit, shop = book.units["R1"], book.shop
    shop.begin({"v": 0}, "shop begun")
    book.change_together("board taken", [(unit, *put(1, 0)), (shop, *put(5, 0))])
    assert (unit.state["v"], shop.state["v"]) == (1, 5)
    assert not (path / ".together.json").exists()
    shop.undo()
    assert (unit.state["v"], shop.state["v"]) == (0, 0)
    unit.redo()
    assert (unit.state["v"], shop.state["v"]) == (1, 5)
    shop.change("other", *put(6, 5))
    with pytest.raises(InputError, match="also changed the shop"):
        unit.undo()
    shop.undo()
    assert unit.undo().what == "board taken"
    assert (unit.state["v"], shop.state["v"]) == (0, 0)


def test_a_removed_unit_can_be_put_back(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    count_up(book.units["R1"], 3)
    old = book.units["R1"]
    removed = book.remove_unit("R1")
    assert book.units == {}
    with pytest.raises(StoreError):
        old.change("no", *put(4, 3))
    assert [r.code for r in book.removed()] == ["R1"]
    book.add_unit("R1", radio(), "another")
    with pytest.raises(InputError, match="another unit"):
        book.put_back(removed)
    book.remove_unit("R1")
    book.put_back(removed)
    assert book.units["R1"].state["v"] == 3
    book.close()
    assert opened(path).units["R1"].undo().what == "v is 3"


def test_drafts_outlive_the_program(tmp_path: Path) -> None:
    book = opened(tmp_path / "book")
    book.set_draft("R1 line", "chassis bolts, uns")
    book.set_draft("gone", "x")
    book.set_draft("gone", "")
    book.close()
    book = opened(tmp_path / "book")
    assert book.get_draft("R1 line") == "chassis bolts, uns"
    assert book.get_draft("gone") == ""


def test_summaries_hold_until_the_record_changes(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path)
    book.units["R1"].keep_summary({"stage": "teardown"})
    book.close()
    book = opened(path)
    unit = book.units["R1"]
    assert unit.summary == {"stage": "teardown"}
    assert not unit.is_loaded
    unit.change("more", *put(1, 0))
    assert unit.summary is None
    unit.keep_summary({"stage": "rebuild"})
    book._lock.release()  # the process ends without writing the index
    assert opened(path).units["R1"].summary is None


def test_values_are_not_shared_with_the_caller(tmp_path: Path) -> None:
    unit = with_radio(tmp_path / "book").units["R1"]
    before = unit.state
    step = {"id": "T03", "title": "cloth off", "fasteners": [{"kind": "tack", "holes": 12}]}
    unit.change("T03", [{"op": "add", "path": "/steps/-", "value": step}], [{"op": "remove", "path": "/steps/2"}])
    step["title"] = "changed by the caller"
    unit.change("title", *put("cloth off, kept", "cloth off", "/steps/2/title"))
    assert len(before["steps"]) == 2
    assert unit.entries()[1].do[0]["value"]["title"] == "cloth off"
    assert unit.undo() is not None
    assert unit.undo() is not None
    assert unit.redo() is not None
    assert unit.state["steps"][2]["title"] == "cloth off"


@pytest.mark.parametrize(
    ("do", "undo", "says"),
    [
        ([{"op": "replace", "path": "/nothing", "value": 1}], [], "does not fit"),
        ([{"op": "replace", "path": "/v", "value": 1}], [], "does not lead back"),
        ([{"op": "turn", "path": "/v"}], [], "does not fit"),
        ([{"path": "/v"}], [], "does not fit"),
        ([{"op": "add", "path": "/steps/9", "value": {}}], [], "does not fit"),
        ([{"op": "replace", "path": "", "value": [1]}], [], "does not lead back"),
        ([{"op": "replace", "path": "/v", "value": float("nan")}], [], "not finite"),
        ([{"op": "replace", "path": "/v", "value": 2**70}], [], "cannot be written"),
        ([{"op": "replace", "path": "/v", "value": "\ud800"}], [], "cannot be written"),
        ([{"op": "replace", "path": "/v", "value": object()}], [], "cannot be written"),
    ],
)
def test_a_change_that_does_not_fit_changes_nothing(tmp_path: Path, do: list, undo: list, says: str) -> None:
    unit = with_radio(tmp_path / "book").units["R1"]
    with pytest.raises(InputError, match=says):
        unit.change("bad", do, undo)
    assert (unit.version, unit.state) == (1, radio())
    unit.change("good", *put(1, 0))
    assert unit.state["v"] == 1
