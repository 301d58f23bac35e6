"""The sealed document as a storage of TinyDB."""

from __future__ import annotations

import copy
import errno
import json
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tinydb import TinyDB, where

from logbook.errors import InputError, ReadOnlyError
from logbook.store.storage import (
    Damaged,
    DocumentHead,
    Sealed,
    SealedStorage,
    encode,
    read_sealed,
    read_unsealed,
    state_of,
    tables_of,
)
from tests.store.building import radio, with_radio
from tests.store.faults import Faults

if TYPE_CHECKING:
    from pathlib import Path

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63), 2**64 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXT,
    lambda v: st.lists(v, max_size=3) | st.dictionaries(TEXT, v, max_size=3),
    max_leaves=8,
)
RECORDS = st.lists(st.dictionaries(TEXT, VALUES, max_size=3), max_size=12)
STATES = st.dictionaries(TEXT | st.sampled_from(["unit", "steps"]), VALUES | RECORDS, max_size=5)


@settings(max_examples=200, deadline=None)
@given(state=STATES)
def test_every_record_comes_back_as_it_went_in(state: dict[str, Any]) -> None:
    """Floats, big numbers, any script, empty lists, and a field called like the table of single fields."""
    was = copy.deepcopy(state)
    raw = Sealed(DocumentHead("unit", "R1", version=3), state).raw
    found = read_sealed(raw, "unit")
    assert found.state == was
    assert found.head == DocumentHead("unit", "R1", version=3)
    assert read_sealed(found.raw, "unit") == found
    assert json.loads(raw)["data"] == tables_of(was, "unit"), "any JSON reader agrees"
    assert read_unsealed(raw, "unit") == was
    assert state == was


def test_records_stay_in_the_order_of_their_numbers() -> None:
    steps = [{"id": n} for n in range(25)]
    tables = tables_of({"steps": steps}, "unit")
    shuffled = {
        "steps": dict(sorted(tables["steps"].items())),
        "unit": {"1": {}},
    }  # 1, 10, 11, ... as a text editor sorts
    assert state_of(shuffled, "unit") == {"steps": steps}


@pytest.mark.parametrize(
    "tables",
    [None, [], {"unit": []}, {"unit": {"1": {}, "2": {}}}, {"steps": {"x": {}}}, {"steps": {"1": 5}}, {"steps": [1]}],
)
def test_what_has_not_the_shape_of_tables_is_damage(tables: object) -> None:
    with pytest.raises(Damaged):
        state_of(tables, "unit")


@pytest.mark.parametrize(
    ("field", "value"), [("version", "3"), ("version", True), ("kind", 5), ("position", [1]), ("position", ["a", "b"])]
)
def test_a_head_with_wrong_values_is_damage(field: str, value: object) -> None:
    with pytest.raises(Damaged):
        DocumentHead.from_json(DocumentHead("unit").as_json() | {field: value})


@pytest.mark.parametrize(
    "value", [float("nan"), float("inf"), -float("inf"), 2**64, -(2**63) - 1, "\udc80", {1, 2}, b"x"]
)
def test_what_json_would_change_is_refused(value: object) -> None:
    with pytest.raises(InputError):
        encode({"deep": [{"in": value}]})


def sealed_file(path: Path) -> str:
    with_radio(path).close()
    return str(path / "units/R1/unit.json")


def test_tinydb_queries_and_writes_the_document(tmp_path: Path) -> None:
    file = sealed_file(tmp_path / "book")
    with TinyDB(file, storage=SealedStorage) as database:
        assert [step["id"] for step in database.table("steps").all()] == ["T01", "T02"]
        database.table("steps").update({"title": "cloth off"}, where("id") == "T02")
        database.table("steps").insert({"id": "T03", "title": "baffle"})
    with open(file, "rb") as opened:
        found = read_sealed(opened.read(), "unit")
    assert [step["title"] for step in found.state["steps"]] == ["step 1", "cloth off", "baffle"]
    assert found.head.version == 1, "the head stays"


def test_tables_for_reading_only_refuse_writes(tmp_path: Path) -> None:
    database = TinyDB(sealed_file(tmp_path / "book"), storage=SealedStorage, read_only=True)
    with pytest.raises(ReadOnlyError):
        database.table("steps").insert({})
    assert len(database.table("steps")) == 2


def test_after_a_failed_write_memory_shows_what_the_file_holds(tmp_path: Path) -> None:
    database = TinyDB(sealed_file(tmp_path / "book"), storage=SealedStorage)
    steps = database.table("steps", cache_size=0)
    steps.all()
    failed = []
    for at in range(1, 12):
        with Faults(at, errno.ENOSPC, stays=True).on():
            try:
                steps.insert({"id": f"at {at}"})
            except OSError:
                failed.append(at)
        fresh = TinyDB(database.storage.path, storage=SealedStorage).table("steps").all()
        assert steps.all() == fresh
    assert len(failed) > 5


def test_a_damaged_document_is_not_an_empty_one(tmp_path: Path) -> None:
    file = sealed_file(tmp_path / "book")
    with open(file, "r+b") as opened:
        opened.seek(200)
        opened.write(b"X")
    with pytest.raises(Damaged, match="checksum"):
        SealedStorage(file).read()
    assert SealedStorage(str(tmp_path / "none.json")).read() is None


def test_the_state_of_a_new_unit_is_what_was_given(tmp_path: Path) -> None:
    with open(sealed_file(tmp_path / "book"), "rb") as opened:
        assert read_sealed(opened.read(), "unit").state == radio()
