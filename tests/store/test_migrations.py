"""Records of older and newer forms."""

from __future__ import annotations

import json
import shutil
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from logbook.errors import ReadOnlyError, StoreError
from logbook.store import KeepingLimits
from tests.store.building import START, Clock, opened, put, with_radio

SAMPLE = Path(__file__).parent / "samples" / "form1"
WITH_TURNS = SAMPLE.with_name("form1-turns")
"""The same form since each change names its turn in the book; a program that knows no turns reads it as well."""
"""A book as the first form of the store wrote it, with a unit R1 whose steps name one bag."""


def bags(unit: dict[str, Any]) -> dict[str, Any]:
    """From form 1 to 2: a step's one bag becomes a list of bags."""
    for step in unit["steps"]:
        bag = step.pop("bag")
        step["bags"] = [bag] if bag else []
    return unit


def length(unit: dict[str, Any]) -> dict[str, Any]:
    """From form 2 to 3: whole millimetres become a length with the text as typed."""
    unit["width"] = {"ticks": unit.pop("width_mm") * 80_000, "text": "340"}
    return unit


TWO = {"unit": {1: bags}}
THREE = {"unit": {1: bags, 2: length}}


@pytest.fixture
def old(tmp_path: Path) -> Path:
    shutil.copytree(SAMPLE, tmp_path / "book")
    return tmp_path / "book"


def test_an_older_record_is_brought_up_step_by_step(old: Path) -> None:
    before = json.loads((old / "units/R1/unit.json").read_text())
    book = opened(old, migrations=THREE, clock=Clock())
    unit = book.units["R1"]
    assert [step["bags"] for step in unit.state["steps"]] == [["4"], [], ["5"]]
    assert unit.state["width"] == {"ticks": 27_200_000, "text": "340"}
    assert [(entry.kind, entry.schema) for entry in unit.entries()[-2:]] == [("migrated", 2), ("migrated", 3)]
    assert unit.undo() is None, "what was kept in the older form cannot be undone in the newer"
    kept = json.loads((old / "units/R1/copies/unit-before-form-2.json").read_text())
    assert kept["data"] == before["data"], "a copy was kept before"
    assert unit.problem is None
    unit.change("goes on", *put("341", "340", "/width/text"))
    book.close()
    again = opened(old, migrations=THREE)
    assert again.units["R1"].version == unit.version
    assert again.units["R1"].undo().what == "goes on"
    assert json.loads((old / "units/R1/unit.json").read_text())["schema"] == 3


def test_what_it_said_before_is_told_in_the_present_form(old: Path) -> None:
    unit = opened(old, migrations=THREE, clock=Clock(START + timedelta(days=90))).units["R1"]
    first = unit.state_at(unit.entries()[0].at + timedelta(seconds=1))
    assert first["steps"] == []
    assert first["width"]["ticks"] == 27_200_000


def test_a_reading_program_brings_up_in_memory_and_writes_nothing(old: Path) -> None:
    before = {p: p.read_bytes() for p in old.rglob("*") if p.is_file()}
    unit = opened(old, migrations=TWO, read_only=True).units["R1"]
    assert unit.state["steps"][0]["bags"] == ["4"]
    with pytest.raises(ReadOnlyError):
        unit.change("no", *put("x", "table radio", "/name"))
    assert {p: p.read_bytes() for p in old.rglob("*") if p.is_file()} == before


def test_a_record_of_a_newer_program_opens_for_reading_only(old: Path) -> None:
    book = opened(old, migrations=THREE)
    book.units["R1"].save()
    book.close()
    before = (old / "units/R1/unit.json").read_bytes()
    book = opened(old, migrations=TWO, read_only=False)
    unit = book.units["R1"]
    assert unit.newer
    assert unit.state["name"] == "table radio"
    assert "newer version" in unit.problem
    with pytest.raises(ReadOnlyError, match="newer version"):
        unit.change("no", *put("x", "table radio", "/name"))
    assert unit.undo() is None
    book.add_unit("G1", {"v": 0}, "the rest of the book can be written")
    book.close()
    assert (old / "units/R1/unit.json").read_bytes() == before


def test_a_newer_book_opens_for_reading_only(tmp_path: Path) -> None:
    with_radio(tmp_path / "book").close()
    (tmp_path / "book/book.json").write_text('{"form": 99}')
    book = opened(tmp_path / "book")
    assert book.read_only
    assert "newer version" in book.problems[0]
    assert book.units["R1"].state["name"] == "table radio"
    with pytest.raises(ReadOnlyError, match="newer version"):
        book.add_unit("G1", {}, "no")
    assert not book.take_over()


def test_a_step_that_does_not_fit_leaves_the_record_as_it_is(old: Path) -> None:
    def failing(unit: dict[str, Any]) -> dict[str, Any]:
        raise KeyError("bag")

    before = {p: p.read_bytes() for p in (old / "units/R1").iterdir() if p.is_file()}
    book = opened(old, migrations={"unit": {1: failing}})
    unit = book.units["R1"]
    assert unit.broken
    assert "could not be brought to the next" in unit.problem
    with pytest.raises(StoreError):
        _ = unit.state
    book.close()
    assert {p: p.read_bytes() for p in (old / "units/R1").iterdir() if p.is_file()} == before
    assert opened(old, migrations=TWO).units["R1"].state["steps"][2]["bags"] == ["5"]


def test_a_missing_number_is_an_error_not_a_guess(old: Path) -> None:
    unit = opened(old, migrations={"unit": {2: length}}).units["R1"]
    assert "Nothing leads from form 1" in unit.problem


def test_rebuilding_from_the_history_alone_passes_the_older_forms(old: Path) -> None:
    book = opened(old, migrations=THREE)
    state = book.units["R1"].state
    book.close()
    (old / "units/R1/unit.json").unlink()
    shutil.rmtree(old / "units/R1/copies")
    assert opened(old, migrations=THREE).units["R1"].state == state


def test_the_sample_is_what_the_store_writes_today(tmp_path: Path) -> None:
    """If the form of the files changes, a new sample stands beside this one and FORM goes up."""
    make_sample(tmp_path / "book")
    for name in ("units/R1/unit.json", "units/R1/unit.history.jsonl"):
        assert (tmp_path / "book" / name).read_bytes() == (WITH_TURNS / name).read_bytes()


def test_turns_change_nothing_of_what_is_said(tmp_path: Path) -> None:
    shutil.copytree(SAMPLE, tmp_path / "without")
    shutil.copytree(WITH_TURNS, tmp_path / "with")
    one, other = (opened(tmp_path / name).units["R1"] for name in ("without", "with"))
    assert one.state == other.state
    assert [e.turn for e in one.entries()] == [0, 0, 0, 0]
    assert [e.turn for e in other.entries()] == [1, 2, 3, 4]
    assert other.end.turn == 4


def make_sample(path: Path) -> None:
    """Write the sample: `python -c "from tests.store.test_migrations import *; make_sample(WITH_TURNS)"`."""
    clock = Clock(step=timedelta(0))
    book = opened(path, clock=clock, new_identity=lambda: "00000000000000a1", limits=KeepingLimits(save_every=2))
    unit = book.add_unit("R1", {"code": "R1", "name": "table radio", "width_mm": 340, "steps": []}, "R1 arrived")
    for number, (title, bag) in enumerate([("back panel", "4"), ("valves", ""), ("knobs", "5")]):
        clock.moment += timedelta(minutes=1)
        step = {"id": f"T{number + 1:02d}", "title": title, "bag": bag}
        unit.change(
            f"{title} off",
            [{"op": "add", "path": f"/steps/{number}", "value": step}],
            [{"op": "remove", "path": f"/steps/{number}"}],
        )
    book.close()
