"""The program with the page for the phone opened by its keys, as tests with a browser begin."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.screens.phone_screen import PhoneScreen
from tests.serve.browsing import beside
from tests.tui.conftest import until


@asynccontextmanager
async def at_the_bench(session: Session, screen: Any, *keys: str) -> AsyncIterator[Any]:
    """The program at a place, the page open behind it.

    Args:
        session: the open book.
        screen: where the program stands.
        keys: pressed before `P`, as Tab where letters are text.
    """
    app = LogbookApp(session)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await app.push_screen(screen)
        await pilot.pause()
        await pilot.press(*keys, "P")
        await until(pilot, lambda: isinstance(app.screen, PhoneScreen))
        await pilot.press("o")
        await until(pilot, lambda: app.door is not None and app.door.address)
        await pilot.press("escape")
        await until(pilot, lambda: app.screen is screen)
        yield pilot


async def opened(browser: Any, bench: Any, place: str) -> None:
    """The page of a place, with nothing left on the phone from before."""
    await beside(lambda: browser.get(bench.app.door.address))
    await beside(lambda: browser.execute_script("localStorage.clear()"))
    await beside(lambda: browser.get(f"{bench.app.door.address}/{place}"))
