"""Edits that touch everything the store does, with what the book must say after each."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING, Any

from tests.store.building import SMALL, Clock, opened, put, radio

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from logbook.store import BookFolder

Model = dict[str, Any]
"""The states by code; `removed` counts the folders of removed units."""
Step = tuple["Callable[[BookFolder], object]", Model]


def observed(book: BookFolder) -> Model:
    """What a book says, in the terms of the model; an overview may be missing, and never says another thing."""
    told = {code: document.summary for code, document in book.units.items()}
    states = {code: document.state for code, document in book.units.items()}
    for code, summary in told.items():  # believed before the record was read, and after
        assert summary in (None, {"v": states[code]["v"]})
        assert book.units[code].summary in (None, {"v": states[code]["v"]})
    return states | {"shop": book.shop.state, "removed": len(book.removed())}


def script(edits: int = 50) -> Iterator[Step]:
    """The steps: a thing to do and the model after it."""
    model: Model = {"shop": {}, "removed": 0}

    def step(do: Callable[[BookFolder], object], **after: Any) -> Step:
        model.update(after)
        for code in [code for code, state in model.items() if state is None]:
            del model[code]
        return do, copy.deepcopy(model)

    def at(v: int) -> dict[str, Any]:
        return radio() | {"v": v}

    yield step(lambda book: book.add_unit("R1", radio(), "R1 arrived"), R1=radio())
    yield step(lambda book: book.shop.begin({"v": 0}, "shop begun"), shop={"v": 0})
    v = shop = 0
    for n in range(1, edits + 1):
        if n == 9:
            yield step(lambda book: book.add_unit("G1", radio(), "G1 arrived"), G1=radio())
        elif n == 12:
            yield step(lambda book: book.remove_unit("G1"), G1=None, removed=1)
        elif n == 14:
            yield step(lambda book: book.put_back(book.removed()[0]), G1=radio(), removed=0)
        elif n % 10 == 7:
            yield step(lambda book: book.units["R1"].undo(), R1=at(v - 1))
        elif n % 10 == 8:
            yield step(lambda book: book.units["R1"].redo(), R1=at(v))
        elif n % 10 == 5:
            v, shop = v + 1, shop + 1
            yield step(both(v, shop), R1=at(v), shop={"v": shop})
        else:
            v += 1
            yield step(one(v), R1=at(v))


def one(v: int) -> Callable[[BookFolder], object]:
    def change(book: BookFolder) -> None:
        document = book.units["R1"]
        document.change(f"v is {v}", *put(v, v - 1))
        document.keep_summary({"v": v})
        if v % 20 == 3:
            book.write_overviews()

    return change


def both(v: int, shop: int) -> Callable[[BookFolder], object]:
    return lambda book: book.change_together(
        f"v is {v}", [(book.units["R1"], *put(v, v - 1)), (book.shop, *put(shop, shop - 1))]
    )


def book_for(path: Path | str) -> BookFolder:
    return opened(path, limits=SMALL, clock=Clock())
