"""The yardstick: TinyDB's own file storage under the same deaths as this store, in the same run.

Every effect of a save is made to end the process before it, after it and in the middle of a write. What TinyDB has
written by then is what its file object was told to write; bytes that it still held in memory die with the process.
"""

from __future__ import annotations

import contextlib
import json
from pathlib import Path
from typing import Any

import pytest
from tinydb.storages import JSONStorage

from logbook.store import BookFolder
from tests.store.building import SMALL, Clock, opened, put, radio
from tests.store.faults import DEATHS, Death, Faults

EDITS = 20


class MortalFile:
    """The file object of a storage: it counts its effects, and one of them is the last."""

    def __init__(self, file: Any, at: int, how: str) -> None:
        self._file, self._at, self._how = file, at, how
        self._held: list[str] = []
        self.count = 0

    def seek(self, *place: int) -> None:
        self._file.seek(*place)

    def write(self, text: str) -> None:
        self._held.append(text)

    def fileno(self) -> int:
        return int(self._file.fileno())

    def flush(self) -> None:
        text = "".join(self._held)
        self._held.clear()
        self._effect(lambda: self._out(text), lambda: self._out(text[: len(text) // 2]))

    def truncate(self) -> None:
        self._effect(self._file.truncate, lambda: None)

    def _out(self, text: str) -> None:
        self._file.write(text)
        self._file.flush()

    def _effect(self, whole: Any, half: Any) -> None:
        self.count += 1
        if self.count != self._at:
            whole()
            return
        if self._how == "after":
            whole()
        elif self._how == "half":
            half()
        raise Death


def written(number: int) -> dict[str, Any]:
    """What the file says after so many edits: texts of changing length, as in a real record."""
    return {"unit": {"1": {"v": number, "note": "x" * (40 + 17 * (number % 5))}}}


def tinydb_dies(path: Path, at: int, how: str) -> tuple[int, int]:
    """Edits acknowledged before the death, and effects seen."""
    storage = JSONStorage(str(path))
    file = MortalFile(storage._handle, at, how)
    storage._handle = file  # type: ignore[assignment]
    acknowledged = 0
    with contextlib.suppress(Death):
        for number in range(1, EDITS + 1):
            storage.write(written(number))
            acknowledged = number
    file._file.close()
    return acknowledged, file.count


def tinydb_lost(path: Path) -> tuple[int, int, int]:
    """Deaths tried, files that cannot be read afterwards, and acknowledged edits that are gone."""
    _, effects = tinydb_dies(path, 0, "")
    tried = unreadable = lost = 0
    for at in range(1, effects + 1):
        for how in DEATHS:
            path.unlink()
            acknowledged, _ = tinydb_dies(path, at, how)
            tried += 1
            try:
                says = json.loads(path.read_text() or "{}").get("unit", {}).get("1", {}).get("v", 0)
            except json.JSONDecodeError:
                unreadable += 1
                continue
            lost += says < acknowledged
    return tried, unreadable, lost


def this_store_dies(path: Path, at: int, how: str) -> tuple[int, int]:
    faults, acknowledged = Faults(at, how), 0
    with contextlib.suppress(Death), faults.on():
        book = opened(path, limits=SMALL, clock=Clock())
        unit = book.units.get("R1") or book.add_unit("R1", radio(), "R1 arrived")
        for number in range(1, EDITS + 1):
            unit.change(f"edit {number}", *put(number, number - 1))
            acknowledged = number
        book.close()
    return acknowledged, faults.count


def says_now(book: BookFolder) -> int:
    return int(book.units["R1"].state["v"]) if "R1" in book.units else 0


def test_tinydb_as_it_comes_loses_where_this_store_does_not(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tried, unreadable, lost = tinydb_lost(tmp_path / "all.json")
    _, effects = this_store_dies(tmp_path / "count", 0, "")
    ours = wrong = 0
    for at in range(1, effects + 1, 3):
        for how in DEATHS:
            path = tmp_path / f"{at}-{how}"
            acknowledged, _ = this_store_dies(path, at, how)
            with contextlib.closing(opened(path, limits=SMALL, clock=Clock())) as book:
                ours += 1
                wrong += not acknowledged <= says_now(book) <= acknowledged + 1
    with capsys.disabled():
        print(f"\nTinyDB's own storage: {unreadable} of {tried} deaths leave an unreadable file, {lost} lose an edit;")
        print(f"this store: {wrong} of {ours} (a third of all effects; the whole is in test_faults.py)")
    assert unreadable > 0, "the yardstick must be able to lose"
    assert wrong == 0
