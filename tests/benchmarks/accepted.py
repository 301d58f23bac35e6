"""Documents pushed to their limits that are accepted, each followed by every command and every screen.

    python -m tests.benchmarks.accepted [HOW_MANY [FIRST [MINUTES]]]

Says each fault, each answer that took more than five seconds, and the slowest of all. A number is a seed. An answer
counts by the time of the processor, which other programs do not lengthen.
"""

from __future__ import annotations

import asyncio
import random
import shutil
import time
from datetime import UTC, datetime
from pathlib import Path

from logbook.model.document import ShopDocument
from logbook.model.shop import Shop
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui import planner
from logbook.tui.app import LogbookApp
from tests.benchmarks.long_run import LongRun, place_in_memory
from tests.limits import COMMANDS, asked, is_taken, pushed
from tests.tui.every_screen import SCREENS

NOW = datetime(2026, 3, 17, 19, 30, tzinfo=UTC)
SLOW = 5.0
SHARES = (0.003, 0.01, 0.03, 0.1, 0.4)


def records(seed: int) -> tuple[Shop, list[Unit]]:
    """The demo's records, pushed until each would be taken in."""
    chance = random.Random(seed)
    shop, units = Shop(), []
    for document in demo_documents(NOW.date()):
        record = document.shop if isinstance(document, ShopDocument) else document.unit
        made = record
        for _ in range(20):
            made = pushed(record, chance, chance.choice(SHARES))
            if is_taken(made):
                break
        else:
            made = record
        if isinstance(made, Shop):
            shop = made
        else:
            units.append(made)
    return shop, units


def book_of(folder: Path, seed: int) -> Path:
    shop, units = records(seed)
    with Session.open(folder / "book", by="RB", now=lambda: NOW) as session:
        settings = shop.settings.model_copy(update={"currency": session.shop.settings.currency})
        session.apply_shop("the shop", lambda _: shop.model_copy(update={"settings": settings}))
        for unit in units:
            session.add_unit(unit)
    return folder / "book"


async def screens(book: Path, told: list[tuple[float, str]]) -> None:
    """Every screen once, each told with the seconds that it took; the plan is improved in one round instead of twelve.

    The twelve go on beside the screen, so that they are no part of its answer; `plan --seconds` goes through as many.
    """
    planner.ROUNDS = 1
    session = Session.open(book, by="RB", now=lambda: NOW)
    app = LogbookApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for name, make in SCREENS.items():
            start = time.process_time()
            try:
                screen = make(session)
            except (AssertionError, LookupError, StopIteration):  # what it shows is not in this book any more
                continue
            await app.push_screen(screen)
            await pilot.pause()
            told.append((time.process_time() - start, name))
            await app.pop_screen()


def main() -> None:
    place = place_in_memory()
    run = LongRun("accepted books", 2000)
    slowest: tuple[float, str] = (0.0, "")
    slow = 0
    for seed in run.numbers():
        folder = place / str(seed)
        folder.mkdir()
        told: list[tuple[float, str]] = []
        book = book_of(folder, seed)
        for words in COMMANDS:
            code, wrong, seconds = asked(book, words, NOW)
            told.append((seconds, " ".join(words)))
            if code not in (0, 1) and ("Traceback" in wrong or "fault of the program" in wrong):
                run.went_wrong(f"{seed} {' '.join(words)}: {wrong[:300]}")
        try:
            asyncio.run(screens(book, told))
        except Exception as fault:  # noqa: BLE001 - every fault is told
            run.went_wrong(f"{seed} screens after {told[-1][1]}: {type(fault).__name__}: {str(fault)[:200]}")
        slow += sum(seconds > SLOW for seconds, _ in told)
        for seconds, name in told:
            if seconds > SLOW:
                run.went_wrong(f"{seed} {name}: {seconds:.1f} s")
        slowest = max([slowest, *told])
        run.more = f"{slow} answers over {SLOW:.0f} s, slowest {slowest[1]} with {slowest[0]:.1f} s"
        shutil.rmtree(folder)
    shutil.rmtree(place)
    run.end()


if __name__ == "__main__":
    main()
