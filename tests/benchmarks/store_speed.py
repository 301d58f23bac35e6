"""What one durable edit and one opening cost, against yardsticks measured in the same run.

Run by hand: `python -m tests.benchmarks.store_speed [FOLDER]`. The folder should be on the disk in question; a
folder in memory makes flushing free and the ratios meaningless. Rounds are interleaved, medians are compared.
"""

from __future__ import annotations

import gc
import itertools
import json
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import orjson
from tinydb import TinyDB

from logbook.store import BookFolder
from tests.store.building import put

if TYPE_CHECKING:
    from collections.abc import Callable

UNITS, STEPS = 200, 100
ROUNDS, SLOW_ROUNDS = 300, 5


def step(unit: int, number: int) -> dict[str, Any]:
    """A teardown step of common length, about 700 bytes."""
    return {
        "id": f"T{number:03d}",
        "title": f"Unit {unit}: part {number} off, photographed from above and from the left",
        "how": "unscrewed",
        "after": [f"T{number - 1:03d}"] if number else [],
        "fasteners": [
            {"kind": "round-head wood screw 3.5x16", "holes": 6, "found": 5, "then": "reuse"},
            {"kind": "washer 4.3x9x0.8", "holes": 6, "found": 6, "then": "reuse"},
        ],
        "connections": [{"id": f"W{number}", "from": "terminal 3", "to": "lug 5", "colour": "brown"}],
        "bag": str(number % 40),
        "photos": [{"file": f"photos/{number:04d}.jpg", "caption": "before"}],
        "note": "the lower left one was a different length, kept apart" if number % 3 else "",
    }


def code_of(number: int) -> str:
    return f"U{number:03d}"


def make_book(path: Path, units: int) -> BookFolder:
    """A book whose first unit is edited; closed and opened, so that its documents are as they are at rest."""
    book = opened(path)
    for number in range(units):
        state = {"code": code_of(number), "v": 0, "steps": [step(number, n) for n in range(STEPS)]}
        book.add_unit(code_of(number), state, "arrived")
        book.units[code_of(number)].keep_summary({"stage": "teardown", "steps": STEPS})
    book.close()
    return opened(path)


def opened(path: Path) -> BookFolder:
    return BookFolder.open(path, by="Ana", now=lambda: datetime.now(UTC))


def editor(book: BookFolder) -> Callable[[], None]:
    """One durable edit of a step's note in the first unit."""
    unit, numbers = book.units[code_of(0)], itertools.count(1)
    path = "/steps/50/note"

    def edit() -> None:
        old = unit.state["steps"][50]["note"]
        unit.change("note", *put(f"note {next(numbers)}", old, path))

    edit()
    return edit


def tinydb_default(folder: Path) -> Callable[[], None]:
    """TinyDB as it comes, all steps in one file; it does not even flush."""
    steps = {str(u * STEPS + n + 1): step(u, n) for u in range(UNITS) for n in range(STEPS)}
    (folder / "all.json").write_text(json.dumps({"steps": steps}))
    table, numbers = TinyDB(folder / "all.json").table("steps"), itertools.count(1)
    return lambda: table.update({"note": f"note {next(numbers)}"}, doc_ids=[51]) and None


def sqlite_wal(folder: Path) -> Callable[[], None]:
    """One insert of a line like ours, write-ahead log, synchronous=FULL: as durable as ours."""
    database = sqlite3.connect(folder / "all.db", isolation_level=None)
    database.execute("pragma journal_mode=wal")
    database.execute("pragma synchronous=full")
    database.execute("create table history (n integer primary key, line text)")
    numbers = itertools.count(1)

    def insert() -> None:
        number = next(numbers)
        line = {"n": number, "at": datetime.now(UTC).isoformat(), "by": "Ana", "what": "note", "kind": "change"}
        do, undo = put(f"note {number}", f"note {number - 1}", "/steps/50/note")
        database.execute("insert into history values (?, ?)", (number, orjson.dumps(line | {"do": do, "undo": undo})))

    return insert


def milliseconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1000


def compare_edits(folder: Path) -> BookFolder:
    large, small = make_book(folder / "large", UNITS), make_book(folder / "small", 2)
    works = {
        "edit, 200 units": editor(large),
        "edit, 2 units": editor(small),
        "SQLite insert": sqlite_wal(folder),
    }
    times: dict[str, list[float]] = {name: [] for name in works}
    for order in itertools.islice(itertools.cycle(itertools.permutations(works)), ROUNDS):
        for name in order:  # who comes first after another's flush waits longer
            times[name].append(milliseconds(works[name]))
    slow = tinydb_default(folder)
    times["TinyDB as it comes"] = [milliseconds(slow) for _ in range(SLOW_ROUNDS)]
    middle = {name: statistics.median(found) for name, found in times.items()}
    for name, found in times.items():
        high = sorted(found)[int(len(found) * 0.95)]
        print(f"{name:20}  median {middle[name]:9.3f} ms   95 of 100 below {high:9.3f} ms")
    mine = middle["edit, 200 units"]
    say("edit / TinyDB as it comes", mine / middle["TinyDB as it comes"], 0.01)
    say("edit / SQLite insert", mine / middle["SQLite insert"], 1.0)
    quick = {name: sorted(found)[len(found) // 10] for name, found in times.items()}
    say("  the same, quickest tenth", quick["edit, 200 units"] / quick["SQLite insert"], 1.0)
    say("edit in 200 units / in 2 units", mine / middle["edit, 2 units"], 1.1)
    small.close()
    return large


def say(what: str, value: float, bound: float) -> None:
    print(f"{what:36} {value:8.4f}   wanted at most {bound:g}   {'yes' if value <= bound else 'NO'}")


def processor(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def compare_openings(path: Path) -> None:
    books: list[BookFolder] = []

    def everything() -> None:
        book = opened(path)
        books.append(book)
        assert sum(len(unit.state["steps"]) for unit in book.units.values()) == UNITS * STEPS

    def overview() -> None:
        book = opened(path)
        books.append(book)
        assert sum(unit.summary["steps"] for unit in book.units.values() if unit.summary) == UNITS * STEPS

    for name, work, bound in (("every unit read", everything, 0.5), ("summaries only", overview, 0.5)):
        found = []
        for _ in range(5):
            gc.collect()
            found.append(processor(work))
            books.pop().close()
        say(f"opening, {name}, s of processor", statistics.median(found), bound)


def main() -> None:
    folder = Path(tempfile.mkdtemp(dir=sys.argv[1] if len(sys.argv) > 1 else None))
    try:
        book = compare_edits(folder)
        for unit in book.units.values():
            if unit.summary is None:
                unit.keep_summary({"stage": "teardown", "steps": STEPS})
        book.close()
        compare_openings(folder / "large")
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
