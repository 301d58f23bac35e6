"""Files that are truncated, flipped, foreign, renamed or missing: what can be recovered is, what cannot is named."""

from __future__ import annotations

import gzip
import json
import os
import shutil
from typing import TYPE_CHECKING

import pytest

from logbook.errors import ReadOnlyError, StoreError
from logbook.store import BookFolder, KeepingLimits
from tests.store.building import SMALL, Clock, count_up, opened, put, radio, with_radio

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

CLOCK = Clock()
LAST = 12
"""Value of `v` in the book of these tests; version 13, document at version 13, a good copy of an earlier one."""


@pytest.fixture
def unit(tmp_path: Path) -> Path:
    """The folder of R1 in a closed book beside a sound unit G1."""
    path = tmp_path / "book"
    book = with_radio(path, clock=CLOCK, limits=KeepingLimits(save_every=5, copies=2, copy_age=SMALL.copy_age))
    book.add_unit("G1", radio(), "G1 arrived")
    count_up(book.units["R1"], LAST)
    book.close()
    folder = path / "units/R1"
    assert sorted(p.name for p in folder.iterdir()) == ["copies", "unit.history.jsonl", "unit.json"]
    return folder


def reopened(unit: Path, **settings: object) -> BookFolder:
    book = opened(unit.parents[1], clock=CLOCK, **settings)
    assert book.units["G1"].state == radio(), "the rest of the book opens"
    assert book.units["G1"].problem is None
    return book


def document(unit: Path) -> Path:
    return unit / "unit.json"


def history(unit: Path) -> Path:
    return unit / "unit.history.jsonl"


def cut(share: float) -> Callable[[Path], None]:
    def damage(path: Path) -> None:
        raw = path.read_bytes()
        path.write_bytes(raw[: int(len(raw) * share)])

    damage.__name__ = f"cut to {share:.0%}"
    return damage


def empty(path: Path) -> None:
    path.write_bytes(b"")


def zeros(path: Path) -> None:
    path.write_bytes(bytes(path.stat().st_size))


def foreign(path: Path) -> None:
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 4)


def other_json(path: Path) -> None:
    path.write_text('{"hello": [1, 2, 3]}\n')


def wrong_encoding(path: Path) -> None:
    path.write_bytes(path.read_text("utf-8").encode("utf-16"))


def other_line_ends(path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))


def missing(path: Path) -> None:
    path.unlink()


def half_renamed(path: Path) -> None:
    os.rename(path, path.with_name(f".{path.name}.new"))


def doubled(path: Path) -> None:
    path.write_bytes(path.read_bytes() * 2)


DAMAGES = [empty, cut(0.1), cut(0.5), cut(0.97), zeros, foreign, other_json, wrong_encoding, other_line_ends]
DAMAGES += [missing, half_renamed, doubled]


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.__name__)
def test_a_damaged_document_is_rebuilt_from_the_history(unit: Path, damage: Callable[[Path], None]) -> None:
    damage(document(unit))
    bad = document(unit).read_bytes() if document(unit).exists() else b""
    book = reopened(unit)
    r1 = book.units["R1"]
    assert r1.state == radio() | {"v": LAST}
    assert "unit.json" in r1.problem or "document of R1" in r1.problem
    r1.change("goes on", *put(LAST + 1, LAST))
    book.close()
    again = reopened(unit)
    assert again.units["R1"].state["v"] == LAST + 1
    assert again.units["R1"].problem is None
    assert len(again.units["R1"].entries()) == LAST + 2
    if bad:
        assert bad in [p.read_bytes() for p in (unit / "aside").iterdir()], "damaged bytes are kept"


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.__name__)
def test_a_damaged_history_is_put_together_from_the_document(unit: Path, damage: Callable[[Path], None]) -> None:
    damage(history(unit))
    bad = history(unit).read_bytes() if history(unit).exists() else b""
    book = reopened(unit)
    r1 = book.units["R1"]
    r1.entries()  # the older part is only read when the story is asked for
    assert r1.state == radio() | {"v": LAST}
    assert "history of R1" in r1.problem
    r1.change("goes on", *put(LAST + 1, LAST))
    assert r1.undo().what == "goes on"
    r1.redo()
    book.close()
    again = reopened(unit)
    assert again.units["R1"].state["v"] == LAST + 1
    assert again.units["R1"].state_at(again.units["R1"].kept_at) == again.units["R1"].state
    assert again.units["R1"].problem is None
    if bad:
        assert bad in [p.read_bytes() for p in (unit / "aside").iterdir()], "damaged bytes are kept"


@pytest.mark.parametrize("damage", DAMAGES, ids=lambda damage: damage.__name__)
def test_damaged_document_and_history_fall_back_on_a_good_copy(unit: Path, damage: Callable[[Path], None]) -> None:
    damage(history(unit))
    damage(document(unit))
    book = reopened(unit)
    r1 = book.units["R1"]
    assert r1.problem
    if damage is doubled:
        assert r1.state["v"] == LAST
    else:
        assert r1.state["v"] in range(4, LAST + 1), "a good copy and what of the history is readable"
    r1.change("goes on", *put(100, r1.state["v"]))
    book.close()
    assert reopened(unit).units["R1"].state["v"] == 100


@pytest.mark.parametrize("damage", [empty, cut(0.1), zeros, foreign, other_json, wrong_encoding])
def test_with_nothing_readable_the_unit_is_named_and_left_alone(unit: Path, damage: Callable[[Path], None]) -> None:
    damage(history(unit))
    damage(document(unit))
    shutil.rmtree(unit / "copies")
    before = {p.name: p.read_bytes() for p in unit.iterdir() if p.is_file()}
    book = reopened(unit)
    r1 = book.units["R1"]
    assert r1.broken
    assert "backup" in r1.problem
    assert r1.problem in book.problems
    with pytest.raises(StoreError, match="Nothing of R1 can be read"):
        _ = r1.state
    with pytest.raises(ReadOnlyError):
        r1.change("no", *put(1, 0))
    book.close()
    assert {p.name: p.read_bytes() for p in unit.iterdir() if p.is_file()} == before


def test_every_flipped_bit_of_the_document_is_recognised(unit: Path) -> None:
    raw = document(unit).read_bytes()
    for at in range(0, len(raw), 13):
        for bit in (0, 5):
            document(unit).write_bytes(raw[:at] + bytes([raw[at] ^ (1 << bit)]) + raw[at + 1 :])
            book = reopened(unit, read_only=True)
            assert book.units["R1"].state["v"] == LAST
            assert book.units["R1"].problem, at


def test_every_flipped_bit_of_the_history_is_recognised_and_nothing_is_lost(unit: Path) -> None:
    raw = history(unit).read_bytes()
    for at in range(0, len(raw) - 1, 7):
        bit = at % 8
        history(unit).write_bytes(raw[:at] + bytes([raw[at] ^ (1 << bit)]) + raw[at + 1 :])
        book = reopened(unit, read_only=True)
        r1 = book.units["R1"]
        story = r1.entries()
        assert r1.state == radio() | {"v": LAST}
        assert "history of R1 was damaged" in r1.problem, at
        assert len(story) >= LAST, at


def test_a_damaged_line_is_replaced_by_the_difference_it_made(unit: Path) -> None:
    raw = history(unit).read_bytes()
    history(unit).write_bytes(raw.replace(b"v is 5", b"v is 6", 1))
    book = reopened(unit)
    r1 = book.units["R1"]
    entries = r1.entries()
    assert [entry.n for entry in entries] == list(range(1, LAST + 2))
    assert [entry.kind for entry in entries].count("recovered") == 1
    recovered = entries[5]
    assert (recovered.kind, recovered.do) == ("recovered", [{"op": "replace", "path": "/v", "value": 5}])
    for entry in entries:
        assert r1.state_at(entry.at)["v"] == entry.n - 1
    while r1.undo():
        pass
    assert r1.state["v"] == 5, "undo stops at what was put together"


def test_changes_after_a_damaged_line_that_no_document_covers_are_named(unit: Path) -> None:
    raw = history(unit).read_bytes()
    history(unit).write_bytes(raw.replace(b'"what":"v is 9"', b'"what":"v is 8"', 1))
    shutil.rmtree(unit / "copies")
    document(unit).unlink()
    book = reopened(unit)
    r1 = book.units["R1"]
    assert r1.state["v"] == 8
    assert "3 later changes could not be put back" in r1.problem
    assert "“v is 12”" in r1.problem
    assert (unit / "aside").is_dir()
    book.close()
    assert reopened(unit).units["R1"].problem is None


@pytest.mark.parametrize("index_too", [False, True], ids=["closed before", "nothing remembers"])
def test_what_was_rebuilt_says_how_far_it_reaches_and_never_that_nothing_is_lost(
    tmp_path: Path, *, index_too: bool
) -> None:
    """Of thirty changes the last fourteen are gone without a trace, and the document with them."""
    path = tmp_path / "book"
    book = with_radio(path, clock=CLOCK)
    count_up(book.units["R1"], 29)
    book.close()
    folder = path / "units/R1"
    lines = history(folder).read_bytes().splitlines(keepends=True)
    history(folder).write_bytes(b"".join(lines[:-14]))
    document(folder).unlink()
    shutil.rmtree(folder / "copies", ignore_errors=True)
    if index_too:
        (path / ".index.json").unlink()
    book = opened(path, clock=CLOCK)
    r1 = book.units["R1"]
    assert r1.state["v"] == 15
    said = " ".join([r1.problem, *book.problems])
    assert "R1 was missing and was rebuilt from its history: 16 changes up to number 16, “v is 15” (" in said
    assert "Look whether that is the last one you made." in said
    assert "lost" not in said
    if not index_too:
        assert "had 30 changes when the book was last closed and has 16 now" in said


def test_a_history_that_became_shorter_since_the_last_closing_is_noticed(unit: Path) -> None:
    """Cut at a line end, with an older document beside it, the files look sound."""
    lines = history(unit).read_bytes().splitlines(keepends=True)
    history(unit).write_bytes(b"".join(lines[:10]))
    document(unit).unlink()
    shutil.rmtree(unit / "copies")
    r1 = reopened(unit).units["R1"]
    assert r1.state["v"] == 8
    assert "had 13 changes when the book was last closed and has 9 now" in r1.problem


def test_a_document_that_was_edited_by_hand_is_kept_and_can_be_compared(unit: Path) -> None:
    edited = document(unit).read_text("utf-8").replace("table radio", "kitchen radio")
    document(unit).write_text(edited, "utf-8")
    r1 = reopened(unit).units["R1"]
    assert r1.state["name"] == "table radio"
    assert "changed outside" in r1.problem
    (stranger,) = r1.strangers()
    do, undo = r1.compare(stranger)
    assert do == [{"op": "replace", "path": "/name", "value": "kitchen radio"}]
    r1.change("name as written by hand", do, undo)
    assert r1.state["name"] == "kitchen radio"


def test_a_document_written_by_hand_without_history_is_taken_in(tmp_path: Path) -> None:
    path = tmp_path / "book"
    opened(path).close()
    (path / "units/L1").mkdir()
    text = json.dumps(
        {"unit": {"1": {"code": "L1", "v": 3}}, "steps": {"2": {"id": "b"}, "10": {"id": "c"}, "1": {"id": "a"}}}
    )
    (path / "units/L1/unit.json").write_text(text)
    book = opened(path)
    lamp = book.units["L1"]
    assert lamp.state == {"code": "L1", "v": 3, "steps": [{"id": "a"}, {"id": "b"}, {"id": "c"}]}
    assert "taken in as it stood" in lamp.problem
    assert "lost" not in lamp.problem
    count_up(lamp, 1, start=3)
    book.close()
    assert opened(path).units["L1"].state["v"] == 4


def test_damaged_packed_history_costs_only_the_older_story(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path, limits=SMALL)
    count_up(book.units["R1"], 100)
    book.close()
    first = sorted((path / "units/R1/history").iterdir())[0]
    first.write_bytes(first.read_bytes()[:50])
    book = opened(path, limits=SMALL)
    r1 = book.units["R1"]
    assert r1.state["v"] == 100
    assert r1.entries()[-1].what == "v is 100"
    assert r1.undo().what == "v is 100"
    assert "Older history" in r1.problem


def test_packed_history_is_plain_lines(tmp_path: Path) -> None:
    path = tmp_path / "book"
    book = with_radio(path, limits=SMALL)
    count_up(book.units["R1"], 40)
    book.close()
    lines = gzip.decompress(sorted((path / "units/R1/history").iterdir())[0].read_bytes()).splitlines()
    assert json.loads(lines[0])["kind"] == "base"
    assert json.loads(lines[1])["what"] == "R1 arrived"


def test_foreign_things_among_the_units_are_named_and_left_alone(unit: Path) -> None:
    units = unit.parent
    (units / "old pictures").mkdir()
    (units / "note.txt").write_text("hello")
    (units / "L1").symlink_to(unit)
    (units / "C1").mkdir()
    (units / "C1/photo.jpg").write_bytes(b"x")
    (units / "B1").mkdir()
    book = reopened(unit)
    assert set(book.units) == {"C1", "G1", "R1"}
    assert book.units["C1"].broken
    assert "holds no record" in book.units["C1"].problem
    text = " ".join(book.problems)
    assert all(name in text for name in ("old pictures", "note.txt", "units/L1"))


def test_a_damaged_head_of_the_book_is_written_anew(unit: Path) -> None:
    head = unit.parents[1] / "book.json"
    head.write_bytes(b"\xff\xfe")
    book = reopened(unit)
    assert any("book.json" in said for said in book.problems)
    book.close()
    assert reopened(unit).problems == []


def test_a_folder_that_is_something_else_is_refused(tmp_path: Path) -> None:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters/a.txt").write_text("x")
    with pytest.raises(StoreError, match="is not a book"):
        opened(tmp_path / "letters")
    with pytest.raises(StoreError, match="is a file"):
        opened(tmp_path / "letters/a.txt")
    with pytest.raises(StoreError, match="no book"):
        opened(tmp_path / "none", create=False)
    assert not (tmp_path / "none").exists()
    assert sorted(p.name for p in (tmp_path / "letters").iterdir()) == ["a.txt"]


def test_a_document_of_another_unit_is_not_taken_for_this_one(unit: Path) -> None:
    shutil.copy(unit.parent / "G1/unit.json", document(unit))
    r1 = reopened(unit).units["R1"]
    assert r1.state["v"] == LAST
    assert "another line of changes" in r1.problem
    assert len(r1.strangers()) == 1


def test_looking_through_finds_damage_to_older_history(unit: Path) -> None:
    raw = history(unit).read_bytes()
    book = reopened(unit)
    assert book.units["R1"].look_through() == ()
    assert book.shop.look_through() == ()
    book.close()
    history(unit).write_bytes(raw.replace(b"v is 3", b"v is 4", 1))
    book = reopened(unit)
    assert book.units["R1"].problem is None, "opening reads no more than the end"
    (said,) = book.units["R1"].look_through()
    assert "history of R1 was damaged" in said
    book.close()
    assert reopened(unit).units["R1"].look_through() == ()


def test_a_file_that_cannot_be_read_now_is_not_taken_for_damage(unit: Path) -> None:
    raw = document(unit).read_bytes()
    document(unit).unlink()
    document(unit).mkdir()
    book = reopened(unit)
    r1 = book.units["R1"]
    assert r1.broken
    assert "a folder where a file should be" in r1.problem
    with pytest.raises(StoreError, match="could not be read"):
        _ = r1.state
    document(unit).rmdir()
    document(unit).write_bytes(raw)
    assert not r1.broken
    assert r1.state["v"] == LAST
    assert r1.problem is None


def test_a_name_that_is_no_text_can_be_said(unit: Path) -> None:
    os.mkdir(os.fsencode(unit.parent) + b"/\xff\xfe")
    assert any("\\udcff" in said for said in reopened(unit).problems)
    assert " ".join(reopened(unit, read_only=True).problems).encode("utf-8")


def test_a_history_of_another_line_of_changes_of_the_same_length_is_recognised(tmp_path: Path) -> None:
    """Two computers went on from the same book, and a file-sync program brought the history of one to the other."""
    first, second = tmp_path / "first", tmp_path / "second"
    book = with_radio(first, clock=CLOCK)
    book.close()
    shutil.copytree(first, second)
    for path, v in ((first, 5), (second, 6)):
        book = opened(path, clock=CLOCK)
        book.units["R1"].change("set", *put(v, 0))
        book.close()
    theirs, ours = (path / "units/R1/unit.history.jsonl" for path in (second, first))
    assert theirs.stat().st_size == ours.stat().st_size
    shutil.copy(theirs, ours)
    book = opened(first, clock=CLOCK)
    r1 = book.units["R1"]
    assert r1.state["v"] == 6, "the history is what counts"
    assert "another line of changes" in r1.problem
    (ours_aside,) = r1.strangers()
    assert r1.compare(ours_aside)[0] == put(5, 6)[0], "what we had is there to compare"
    r1.change("goes on", *put(7, 6))
    book.close()
    assert opened(first, clock=CLOCK).units["R1"].problem is None


@pytest.mark.parametrize("live", ["missing", "first line damaged"])
def test_packed_history_is_what_the_rest_is_put_together_on(tmp_path: Path, live: str) -> None:
    path = tmp_path / "book"
    book = with_radio(path, clock=CLOCK, limits=SMALL)
    count_up(book.units["R1"], 40)
    book.close()
    folder = path / "units/R1"
    document(folder).unlink()
    shutil.rmtree(folder / "copies")
    lines = history(folder).read_bytes().splitlines(keepends=True)
    if live == "missing":
        history(folder).unlink()
    else:
        history(folder).write_bytes(b"".join([lines[0].replace(b"radio", b"clock"), *lines[1:]]))
    book = opened(path, clock=CLOCK, limits=SMALL)
    r1 = book.units["R1"]
    assert r1.state["v"] == (40 if live != "missing" else 40 - (len(lines) - 1))
    assert r1.state["name"] == "table radio"
    assert [entry.n for entry in r1.entries()] == list(range(1, r1.version + 1))
    assert "history of R1" in r1.problem
    assert ("later changes are lost" in r1.problem) == (live == "missing")


def test_a_line_of_another_line_of_changes_is_not_taken_for_the_next(tmp_path: Path) -> None:
    """Two histories spliced so that the numbers fit: a file-sync program may put blocks of both together."""
    first, second = tmp_path / "first", tmp_path / "second"
    with_radio(first, clock=CLOCK).close()
    shutil.copytree(first, second)
    for path, v in ((first, 5), (second, 7)):
        book = opened(path, clock=CLOCK)
        book.units["R1"].change("one", *put(v, 0))
        book.units["R1"].change("two", *put(v + 1, v))
        book.close()
    ours, theirs = (path / "units/R1/unit.history.jsonl" for path in (first, second))
    spliced = b"".join(
        ours.read_bytes().splitlines(keepends=True)[:3] + theirs.read_bytes().splitlines(keepends=True)[3:]
    )
    ours.write_bytes(spliced)
    book = opened(first, clock=CLOCK)
    r1 = book.units["R1"]
    assert r1.state["v"] == 5, "what leads on from the beginning"
    assert "1 later changes could not be put back: “two”" in r1.problem
    assert spliced in [p.read_bytes() for p in (first / "units/R1/aside").iterdir()]
    offered = [operation for path in r1.strangers() for operation in r1.compare(path)[0]]
    assert offered == put(6, 5)[0], "our own document is there to compare"
