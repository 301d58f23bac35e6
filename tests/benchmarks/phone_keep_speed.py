"""From Keep on the phone to the row at the bench: `python -m tests.benchmarks.phone_keep_speed [LINES] [STEPS]`.

A real browser presses Keep; the moment is that of its click. The row is there when the bench has drawn it. Beside it,
as the yardstick of the same run, Enter at the bench for a line of the same kind. Both in ms, in a unit that has STEPS
steps already.
"""

from __future__ import annotations

import asyncio
import shutil
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median
from typing import Any

from logbook.session import Session
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from tests.builders import steps, unit
from tests.serve.at_the_bench import at_the_bench
from tests.serve.browsing import beside
from tests.tui.conftest import text_on

CLICK = """
document.getElementById('line').value = arguments[0];
const at = Date.now();
document.querySelector('button[value=keep]').click();
return at;
"""
LONGEST_SECONDS = 20.0


async def main(lines: int, before: int) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        session = Session.open(Path(folder) / "book", by="AB")
        session.add_unit(unit(*steps(before)))
        async with at_the_bench(session, BenchModeScreen(session, "R1"), "tab") as pilot:
            await pilot.press("tab")
            browser = await beside(_browser)
            try:
                await beside(lambda: browser.get(f"{pilot.app.door.address}/apart/R1"))
                phone = [await _by_phone(pilot, browser, f"phone {n}") for n in range(lines)]
            finally:
                await beside(browser.quit)
            bench = [await _at_the_bench(pilot, f"bench {n}") for n in range(lines)]
    print(f"{lines} lines each, {before} steps before them")
    print(f"Keep on the phone to the row at the bench  {_figures(phone)}")
    print(f"Enter at the bench to the same row         {_figures(bench)}")
    print(f"ratio of the medians                       {median(phone) / median(bench):.1f}")


async def _by_phone(pilot: Any, browser: Any, what: str) -> float:
    pressed = asyncio.ensure_future(beside(lambda: browser.execute_script(CLICK, f"{what}, lifted")))
    shown = await _row(pilot, what)
    return shown - float(await pressed)


async def _at_the_bench(pilot: Any, what: str) -> float:
    pilot.app.screen.set_line(f"{what}, lifted")
    begun = time.time() * 1000
    await pilot.press("enter")
    return await _row(pilot, what) - begun


async def _row(pilot: Any, what: str) -> float:
    """When the step stands above the line at the bench, in ms."""
    end = time.monotonic() + LONGEST_SECONDS
    while f"{what}, lifted out" not in text_on(pilot):
        if time.monotonic() > end:
            raise TimeoutError(what)
        await asyncio.sleep(0.002)
    return time.time() * 1000


def _browser() -> Any:
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    for word in ("--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--window-size=390,844"):
        options.add_argument(word)
    return webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))


def _figures(found: Sequence[float]) -> str:
    ordered = sorted(found)
    most_of_them = ordered[int(len(ordered) * 0.95)]
    return f"median {median(ordered):4.0f} ms, 95 % {most_of_them:4.0f} ms, most {ordered[-1]:4.0f} ms"


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    asyncio.run(main(*(given + [40, 30][len(given) :])))
