"""At the saw with the phone, in a real browser: the piece to scale, its cuts in order, Cut and Spoilt."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from logbook.session import Session
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from tests.example_records import SHOP, UNITS
from tests.serve.at_the_bench import at_the_bench, opened
from tests.serve.browsing import HERE_IS_A_BROWSER, beside, find, press, seen
from tests.tui.conftest import opened as opened_app

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Any]:
    """The radio of the example with the layout of its panels kept: three pieces, five panels, sixteen cuts."""
    session = Session.open(tmp_path / "book", by="AB")
    session.apply_shop("the example", lambda _: SHOP)
    session.add_unit(UNITS["R1"])
    async with opened_app(session, LayoutScreen(session, "R1")) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.press("enter")
    again = Session.open(tmp_path / "book", by="AB")
    async with at_the_bench(again, TeardownScreen(again, "R1")) as pilot:
        yield pilot


def done(bench: Any) -> tuple[int, ...]:
    (layout,) = bench.app.session.unit("R1").layouts
    return tuple(layout.done)


async def test_the_next_cut_stands_large_and_each_cut_brings_the_one_after(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "saw")
    shown = await seen(browser, "O01 12 ply.*980 x 260")
    assert shown.index("WARNING the saw") < shown.index("O01 12 ply")
    large = await beside(lambda: find(browser, ".next-cut")[0].text)
    assert large.startswith("1:")
    await beside(lambda: press(browser, "Cut"))
    await seen(browser, "cut 1 on O01 made")
    assert done(bench) == (1,)
    large = await beside(lambda: find(browser, ".next-cut")[0].text)
    assert not large.startswith("1:")
    await seen(browser, r"1 of 16 cuts made")
    await beside(lambda: press(browser, "Take back R1: cut 1 on O01 made"))
    await seen(browser, "Taken back: R1: cut 1 on O01 made")
    assert done(bench) == ()


async def test_the_drawing_is_to_scale_and_can_be_read_in_words(bench: Any, browser: Any) -> None:
    """O01 is 980 x 260 mm; on a screen of any width its sides are as 980 to 260, but for the edge of 6 mm."""
    await opened(browser, bench, "saw/R1?piece=O01")
    await seen(browser, "O01")

    def sides() -> tuple[float, float]:
        box = find(browser, "svg .board")[0].rect
        return box["width"], box["height"]

    long, short = await beside(sides)
    assert long / short == pytest.approx(980 / 260, rel=0.02)
    words = await beside(lambda: find(browser, "svg")[0].get_attribute("aria-label"))
    assert words.startswith("O01 12 ply 11.8")
    assert "P1" in words
    assert len(await beside(lambda: find(browser, "svg line.next"))) == 1


async def test_a_spoilt_part_has_the_rest_laid_out_again(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "saw/R1?piece=O01")
    for number in range(1, 17):
        await beside(lambda: press(browser, "Cut"))
        said = await seen(browser, rf"{number} of 16 cuts made")
        if "made: P" in said:
            break
    before = bench.app.session.unit("R1").layouts[0]
    await beside(lambda: press(browser, "A part is spoilt"))
    await beside(lambda: press(browser, "Spoilt"))
    for _ in range(300):
        if bench.app.session.unit("R1").layouts[0] != before:
            break
        await asyncio.sleep(0.1)
    (after,) = bench.app.session.unit("R1").layouts
    assert len(after.spoilt) == 1
    await seen(browser, "spoilt;.*laid out again")


async def test_a_cut_is_made_once_whoever_sends_it_and_however_often(bench: Any) -> None:
    """The bench's own tick takes a cut back when it is ticked again; what the phone sends twice must not."""
    address = bench.app.door.address
    async with aiohttp.ClientSession() as phone:

        async def send(name: str, line: str, **more: str) -> tuple[int, str]:
            data = {"id": name, "do": "cut", "kind": "panels", "line": line, **more}
            async with phone.post(f"{address}/saw/R1", data=data, headers={"Logbook-Sent": "1"}) as answer:
                return answer.status, " ".join((await answer.text()).split())

        assert [(await send("phoneone01", "1"))[0] for _ in range(2)] == [200, 200]
        assert done(bench) == (1,)
        status, page = await send("phonetwo01", "1")
        assert status == 409
        assert "Cut 1 is made already." in page
        for line in ("99", "x", "", "-1", "1e3", "\u0663"):
            assert (await send(f"phone{len(line)}bad0{ord((line or 'q')[0])}", line))[0] == 409
        assert (await send("phonethree", "2", kind="<b>"))[0] == 409
        assert done(bench) == (1,)
