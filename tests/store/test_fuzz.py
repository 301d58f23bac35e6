"""Whatever lies in a unit's folder, the book opens: the unit says something, or says that nothing can be read."""

from __future__ import annotations

import os
import shutil
import tempfile
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import orjson
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from logbook.errors import LogbookError
from tests.store.building import SMALL, Clock, count_up, opened, radio, with_radio

if TYPE_CHECKING:
    from collections.abc import Iterator

CLOCK = Clock()
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers(-2, 40)
    | st.sampled_from(["", "base", "begun", "2025-03-01T09:00:00Z", "/v"])
)
KEYS = st.sampled_from(
    ["unit", "steps", "data", "kind", "n", "mark", "at", "schema", "identity", "code", "state", "after", "do", "undo"]
)
JSON = st.recursive(
    SCALARS, lambda v: st.lists(v, max_size=3) | st.dictionaries(KEYS | st.just("1"), v, max_size=8), max_leaves=20
)
OPERATIONS = st.lists(
    st.dictionaries(
        st.sampled_from(["op", "path", "value", "from"]), SCALARS | st.sampled_from(["add", "replace"]), max_size=4
    )
    | JSON,
    max_size=2,
)
ENTRIES = st.fixed_dictionaries(
    {
        "after": st.sampled_from(["00000000", "ffffffff"]) | SCALARS,
        "n": st.integers(-1, 3) | SCALARS,
        "at": st.just("2025-03-01T09:00:00Z") | SCALARS,
        "by": st.just("Ana") | SCALARS,
        "what": st.just("x") | SCALARS,
        "kind": st.sampled_from(["begun", "change", "undo", "recovered", "migrated"]) | SCALARS,
        "do": OPERATIONS | SCALARS,
        "undo": OPERATIONS | SCALARS,
    },
    optional={"schema": SCALARS, "of": SCALARS, "stands_for": SCALARS, "partners": JSON, "together": SCALARS},
)
BASES = st.fixed_dictionaries(
    {
        "kind": st.just("base"),
        "n": st.integers(0, 3) | SCALARS,
        "mark": st.just("00000000") | SCALARS,
        "at": st.just("2025-03-01T09:00:00Z") | SCALARS,
        "schema": st.just(1) | SCALARS,
        "identity": st.just("a") | SCALARS,
        "code": st.just("R1") | SCALARS,
        "state": st.just({}) | st.just({"v": 0}) | JSON,
    }
)


def line(value: Any) -> bytes:
    """A line whose checksum is right, whatever it says."""
    rest = orjson.dumps(value)[1:]
    return b'{"crc":"%08x",%s\n' % (zlib.crc32(rest), rest)


BEGUN = {
    "kind": "base", "n": 1, "mark": "00000000", "at": "2025-03-01T09:00:00Z", "schema": 1, "identity": "a",
    "code": "R1", "state": {},
}  # fmt: skip
LINES = st.lists((ENTRIES | BASES).map(line) | st.binary(max_size=20), max_size=5).map(b"".join)
DOCUMENTS = st.binary(max_size=40) | JSON.map(orjson.dumps) | st.just(b"")


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    where = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    path = Path(tempfile.mkdtemp(dir=where))
    yield path
    shutil.rmtree(path)


@settings(max_examples=300, deadline=None)
@given(document=st.none() | DOCUMENTS, history=st.none() | LINES)
@example(document=b'{"data":{"unit":{"1":{}},"steps":[1]}}', history=None)
@example(document=b"typed by hand \x00", history=line(BEGUN))
def test_the_book_opens_whatever_a_unit_holds(folder: Path, document: bytes | None, history: bytes | None) -> None:
    path = folder / "book"
    shutil.rmtree(path, ignore_errors=True)
    unit = path / "units/R1"
    unit.mkdir(parents=True)
    for name, raw in (("unit.json", document), ("unit.history.jsonl", history)):
        if raw is not None:
            (unit / name).write_bytes(raw)
    book = opened(path, clock=CLOCK)
    try:
        for r1 in book.units.values():
            if r1.broken:
                assert r1.problem
                continue
            state = dict(r1.state)
            r1.entries()
            r1.state_at(CLOCK())
            r1.look_through()
            if r1.newer:
                continue
            r1.change("x", [{"op": "add", "path": "/w", "value": 1}], [undone(state)])
            assert r1.undo() is not None
            assert r1.state == state
    except LogbookError:
        pass  # a sentence, not a crash
    finally:
        book.close()
    kept = [p.read_bytes() for p in path.rglob("*") if p.is_file()]
    assert any((document or b"") in raw for raw in kept), "the document is there or aside"
    lines = (history or b"")[: (history or b"").rfind(b"\n") + 1]
    assert any(lines in raw for raw in kept), "so is the history, but for a torn end"


def undone(state: dict[str, Any]) -> dict[str, Any]:
    return {"op": "replace", "path": "/w", "value": state["w"]} if "w" in state else {"op": "remove", "path": "/w"}


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_any_mixture_of_damage_to_a_sound_unit_opens(folder: Path, data: st.DataObject) -> None:
    """Cuts, flips, doubled and moved pieces in every file at once; what opens was said at some time, or is nothing."""
    sound = folder / "sound"
    if not sound.exists():
        book = with_radio(sound, limits=SMALL, clock=CLOCK)
        count_up(book.units["R1"], 30)
        book.close()
    path = folder / "mixed"
    shutil.rmtree(path, ignore_errors=True)
    shutil.copytree(sound, path)
    for file in sorted((path / "units").rglob("*")):
        if file.is_file() and data.draw(st.booleans()):
            raw = file.read_bytes()
            a, b = sorted(data.draw(st.tuples(*[st.integers(0, len(raw))] * 2)))
            how = data.draw(st.sampled_from(["cut", "out", "twice", "flip", "zeros"]))
            file.write_bytes(
                {
                    "cut": raw[:a],
                    "out": raw[:a] + raw[b:],
                    "twice": raw[:b] + raw[a:b] + raw[b:],
                    "flip": raw[:a] + bytes(x ^ 4 for x in raw[a : a + 1]) + raw[a + 1 :],
                    "zeros": raw[:a] + bytes(b - a) + raw[b:],
                }[how]
            )
    book = opened(path, limits=SMALL, clock=CLOCK)
    r1 = book.units["R1"]
    if not r1.broken:
        said = r1.state
        assert said == radio() | {"v": said["v"]}
        assert said["v"] in range(31)
        assert said["v"] == 30 or r1.problem
        r1.look_through()
        r1.entries()
        assert r1.state == said
        r1.change("x", [{"op": "add", "path": "/w", "value": 1}], [{"op": "remove", "path": "/w"}])
    book.close()
    if not r1.broken:
        again = opened(path, limits=SMALL, clock=CLOCK)
        assert again.units["R1"].state == said | {"w": 1}
        again.close()
