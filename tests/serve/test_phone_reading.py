"""The phone's pages in bright sun, with gloves, on 320 px, to a screen reader: measured in a real browser.

Contrast is worked out as WCAG 2.2 says it (relative luminance of sRGB, 1.4.3): at least 7 to 1 for every word, on light
and on dark paper. A target is at least 48 px high and wide; what is pressed all the time at least 76 px, which is 12 mm
on a phone whose CSS pixel is 1/160 inch.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from logbook.session import Session
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from tests.example_records import SHOP, UNITS
from tests.serve.at_the_bench import at_the_bench, opened
from tests.serve.browsing import HERE_IS_A_BROWSER, beside, seen, type_in
from tests.tui.conftest import opened as opened_app

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")

PAGES = ["", "apart/G1", "apart?all", "back/R1", "back/R1?line=T18", "saw/R1", "buy"]
LEAST_CONTRAST = 7.0
OPEN_ALL = "document.querySelectorAll('details').forEach(each => each.open = true)"
LEAST_TARGET, MAIN_TARGET = 48, 76

MEASURE = Path(__file__).with_name("measure.js").read_text(encoding="utf-8")


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Any]:
    """The example book with the layout of the radio's panels kept, so that every page has something on it."""
    session = Session.open(tmp_path / "book", by="AB")
    session.apply_shop("the example", lambda _: SHOP)
    for of in UNITS.values():
        session.add_unit(of)
    async with opened_app(session, LayoutScreen(session, "R1")) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.press("enter")
    again = Session.open(tmp_path / "book", by="AB")
    async with at_the_bench(again, TeardownScreen(again, "R1")) as pilot:
        yield pilot


@pytest.mark.parametrize("scheme", ["light", "dark"])
async def test_every_page_can_be_read_and_pressed(bench: Any, browser: Any, scheme: str) -> None:
    size = {"width": 320, "height": 640, "deviceScaleFactor": 1, "mobile": True}
    media = {"features": [{"name": "prefers-color-scheme", "value": scheme}]}
    await opened(browser, bench, "")
    await beside(lambda: browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size))
    await beside(lambda: browser.execute_cdp_cmd("Emulation.setEmulatedMedia", media))
    try:
        for place in PAGES:
            await beside(lambda place=place: browser.get(f"{bench.app.door.address}/{place}"))
            if place.startswith("apart/"):
                await beside(
                    lambda: type_in(browser, "line", "guard, unscrewed, smells of tar, 4 screws 3 by 16, danger live")
                )
                await seen(browser, "DANGER live")
            await beside(
                lambda: browser.execute_script("document.querySelectorAll('details').forEach(d => d.open = true)")
            )
            found = await beside(lambda: browser.execute_script(MEASURE, LEAST_CONTRAST, LEAST_TARGET, MAIN_TARGET))
            bad = {
                name: value for name, value in found.items() if name in ("poor", "small", "unnamed", "twice") and value
            }
            assert bad == {}, f"{place} on {scheme}: {bad}"
            assert found["wide"] <= 0, f"{place} scrolls sideways"
            assert (found["headings"], found["lang"]) == (1, "en"), place
            assert found["live"] >= 1, place
    finally:
        await beside(lambda: browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {}))
        await beside(lambda: browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []}))
