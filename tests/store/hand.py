"""A program that edits a book and says what it keeps; run by the tests as a process of its own."""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from logbook.errors import StoreError
from logbook.store import BookFolder, KeepingLimits
from tests.store.building import put

if TYPE_CHECKING:
    from collections.abc import Callable

LIMITS = KeepingLimits(save_every=7, copies=2, copy_age=timedelta(0), live_bytes=6_000)


def opened(path: str) -> BookFolder:
    """The book, as soon as this program may write in it."""
    while True:
        book = BookFolder.open(path, by="hand", now=lambda: datetime.now(UTC), limits=LIMITS)
        if not book.read_only:
            return book
        book.close()
        time.sleep(0.002)


def edit(path: str, report: Callable[[int], object]) -> None:
    """Count up without end, in the unit and every fifth time in the shop too; report each number once it is kept."""
    book = opened(path)
    unit, shop = book.units["R1"], book.shop
    while True:
        v, w = unit.state["v"], shop.state["v"]
        if v % 5 == 4:
            book.change_together("both", [(unit, *put(v + 1, v)), (shop, *put(w + 1, w))])
        else:
            unit.change("unit", *put(v + 1, v))
        report(v + 1)


def take_turns(path: str, times: int, name: str, turn: int) -> None:
    """Append `times` entries of its own, `turn` at a time, giving the book away in between."""
    done = 0
    while done < times:
        book = opened(path)
        unit = book.units["R1"]
        for _ in range(min(turn, times - done)):
            bags = unit.state["bags"]
            bag = {"id": f"{name}{done}"}
            where = f"/bags/{len(bags)}"
            unit.change(bag["id"], [{"op": "add", "path": where, "value": bag}], [{"op": "remove", "path": where}])
            done += 1
        book.close()


if __name__ == "__main__":
    where, count, hand, turn = sys.argv[1:]
    try:
        take_turns(where, int(count), hand, int(turn))
    except StoreError as error:
        sys.exit(str(error))
