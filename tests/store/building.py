"""Builders for the tests of the store: a clock, a book, a unit that grows, and patches that set one number."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import count
from typing import TYPE_CHECKING, Any

from logbook.store import BookFolder, KeepingLimits

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

START = datetime(2025, 3, 1, 9, 0, tzinfo=UTC)


class Clock:
    """Moves on by a minute with every look; can be set."""

    def __init__(self, start: datetime = START, step: timedelta = timedelta(minutes=1)) -> None:
        self.moment, self.step = start, step

    def __call__(self) -> datetime:
        self.moment += self.step
        return self.moment


def identities() -> Callable[[], str]:
    numbers = count(1)
    return lambda: f"{next(numbers):016x}"


def radio(steps: int = 2) -> dict[str, Any]:
    """A unit like R1: single fields, lists of records, a list of words."""
    return {
        "code": "R1",
        "name": "table radio",
        "v": 0,
        "labels": ["mains", "valves"],
        "price": "12.50",
        "steps": [{"id": f"T{n:02d}", "title": f"step {n}", "fasteners": []} for n in range(1, steps + 1)],
        "bags": [],
    }


def opened(path: Path | str, *, clock: Callable[[], datetime] | None = None, **settings: Any) -> BookFolder:
    """Open a book with a clock of its own."""
    settings.setdefault("by", "Ana")
    return BookFolder.open(path, now=clock or Clock(), **settings)


def with_radio(path: Path | str, **settings: Any) -> BookFolder:
    """A new book with the unit R1."""
    book = opened(path, **settings)
    book.add_unit("R1", radio(), "R1 arrived")
    return book


def put(new: Any, old: Any, path: str = "/v") -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """The patch that sets one value, and the one back."""
    return [{"op": "replace", "path": path, "value": new}], [{"op": "replace", "path": path, "value": old}]


def count_up(document: Any, times: int, start: int = 0) -> None:
    """So many changes, each setting `v` one higher."""
    for v in range(start + 1, start + times + 1):
        document.change(f"v is {v}", *put(v, v - 1))


SMALL = KeepingLimits(save_every=5, copies=2, copy_age=timedelta(minutes=5), live_bytes=2_500)
"""Limits with which everything that is rare happens within fifty changes."""
