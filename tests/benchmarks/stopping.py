"""How long Esc takes while a layout, a plan or photos are worked on, and by how much `--seconds` is exceeded.

python -m tests.benchmarks.stopping

Prints seconds as measured, beside the time of the processor that went by meanwhile; wanted are at most 0.2 s for Esc
and 1 s for `--seconds`. What a busy computer leaves to others is in the first number and not in the second.
"""

from __future__ import annotations

import asyncio
import shutil
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from threading import Timer
from typing import Any

from textual.pilot import Pilot

from logbook.layout.cut_records import Rules
from logbook.layout.layout_search import search
from logbook.model.document import ShopDocument
from logbook.model.templates import demo_documents
from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.screen_frame import BookScreen, MessageLine
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.link_photos_screen import LinkScreen
from logbook.tui.screens.week_screen import WeekScreen
from tests.benchmarks.long_run import place_in_memory
from tests.layout.test_stopping import asked
from tests.photos.pictures import photo
from tests.tui.conftest import NOW

AFTER = (0.05, 0.3, 1.0, 2.0)
"""Seconds of work before Esc is pressed."""

Ready = Callable[[Pilot[Any]], Awaitable[None]]


def _layouts() -> None:
    for kinds, pieces, large in ((100, 100, 1), (1000, 100, 1), (1000, 1000, 1), (1000, 1000, 3), (9, 1000, 1)):
        parts, pile = asked(kinds, pieces, large)
        for seconds in (1, 3):
            began, worked = time.monotonic(), time.process_time()
            search(parts, pile, Rules(seconds=seconds, rounds=None))
            took, worked = time.monotonic() - began, time.process_time() - worked
            over = f"over by {took - seconds:.2f} s, {worked:.2f} s of the processor in all"
            print(f"--seconds {seconds}, {kinds} kinds on {pieces} pieces: {over}", flush=True)
        told: list[tuple[float, float]] = []

        def tell(told: list[tuple[float, float]] = told) -> None:
            told.append((time.monotonic(), time.process_time()))

        timer = Timer(1.5, tell)
        timer.start()
        search(parts, pile, Rules(seconds=None, rounds=None), stop=lambda told=told: bool(told))
        timer.join()
        since, worked = time.monotonic() - told[0][0], time.process_time() - told[0][1]
        print(
            f"told to stop, {kinds} kinds on {pieces} pieces: {since:.2f} s, {worked:.2f} s of the processor",
            flush=True,
        )


async def _screens(book: Path, pictures: Path) -> None:
    async def looks(pilot: Pilot[Any]) -> None:
        await pilot.press(*str(pictures), "enter")

    async def works(_: Pilot[Any]) -> None:
        """It begins by itself."""

    async def lays_out(pilot: Pilot[Any]) -> None:
        await pilot.press("L")

    places: dict[str, tuple[Callable[[Session], BookScreen], Ready]] = {
        "a layout": (lambda s: LayoutScreen(s, "R1"), lays_out),
        "a plan": (WeekScreen, works),
        "photos": (lambda s: LinkScreen(s, "R1"), looks),
    }
    for name, (place, ready) in places.items():
        for after in AFTER:
            session = Session.open(book, by="RB", now=lambda: NOW)
            app = LogbookApp(session)
            async with app.run_test(size=(80, 24)) as pilot:
                await app.push_screen(place(session))
                await ready(pilot)
                await asyncio.sleep(after)
                screen, message = app.screen, app.screen.query_one("#message", MessageLine)
                before = message.text
                began, worked = time.monotonic(), time.process_time()
                app.simulate_key("escape")
                while app.screen is screen and message.text == before:
                    await asyncio.sleep(0)
                took, worked = time.monotonic() - began, time.process_time() - worked
                print(f"Esc after {after} s of {name}: {took:.3f} s, {worked:.3f} s of the processor", flush=True)
            session.close()


def main() -> None:
    folder = place_in_memory()
    try:
        with Session.open(folder / "book", by="RB", now=lambda: NOW) as session:
            for document in demo_documents(NOW.date()):
                if isinstance(document, ShopDocument):
                    session.apply_shop("the shop", lambda _, shop=document.shop: shop)
                else:
                    session.add_unit(document.unit)
        (folder / "phone").mkdir()
        for number in range(60):
            (folder / f"phone/{number}.jpg").write_bytes(photo(number))
        asyncio.run(_screens(folder / "book", folder / "phone"))
        _layouts()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    main()
