"""Shopping with the phone, in a real browser: ticked in the shop where no network reaches, and each exactly once."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from logbook.costing.buying import arrived
from logbook.model.photo_edits import photos_of
from logbook.model.words import Supply
from logbook.session import Session
from logbook.session.buying_list import list_of
from logbook.tui.screens.teardown_screen import TeardownScreen
from tests.builders import estimate, part, step, unit
from tests.photos.pictures import photo
from tests.serve.at_the_bench import at_the_bench, opened
from tests.serve.browsing import HERE_IS_A_BROWSER, beside, find, gone, offline, press, seen, type_in, words_on
from tests.tui.conftest import until

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Any]:
    """Three parts from two sellers, for two units."""
    session = Session.open(tmp_path / "book", by="AB")
    session.add_unit(
        unit(
            step("T01", "plug"),
            parts=[
                part("N1", "mains cord", price=estimate("6.50"), seller="corner shop"),
                part("N2", "fuse 1 A", price=estimate("0.80"), seller="corner shop"),
            ],
        )
    )
    session.add_unit(
        unit(code="G1", name="grinder", parts=[part("N1", "bearing", 2, price=estimate("4"), seller="depot")])
    )
    async with at_the_bench(session, TeardownScreen(session, "R1")) as pilot:
        yield pilot


def supply(bench: Any, code: str, of: str) -> Supply:
    return next(p.supply for p in bench.app.session.unit(code).parts if p.code == of)


def paid(bench: Any) -> list[str]:
    """What was paid for parts, of all units."""
    units = bench.app.session.book().units.values()
    return [str(part.paid) for of in units for part in of.parts if part.paid is not None]


async def test_what_is_to_buy_stands_by_seller_and_is_ticked_with_what_was_paid(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "buy")
    shown = await seen(browser, "corner shop.*mains cord.*fuse 1 A.*depot.*bearing|depot.*bearing.*corner shop.*mains")
    assert "6.50" in shown
    await beside(lambda: type_in(browser, "paid-1-1", "7.20"))
    await beside(lambda: press(browser, "Got it"))
    await seen(browser, "here, paid 7.20")
    here = [
        (u.code, p.name, p.paid) for u in bench.app.session.book().units.values() for p in u.parts if p.paid is not None
    ]
    assert [str(paid) for _, _, paid in here] == ["7.20"]
    await beside(lambda: press(browser, "Take back"))
    await seen(browser, "Taken back")
    assert paid(bench) == []


async def test_without_a_network_ticks_wait_and_come_once(bench: Any, browser: Any) -> None:
    session: Session = bench.app.session
    before = len(session.entries("G1"))
    await opened(browser, bench, "buy")
    await seen(browser, "mains cord")
    await beside(lambda: offline(browser, True))
    for what in ("mains cord", "fuse 1 A", "bearing"):
        await beside(lambda what=what: press(browser, f"Got it: {what}"))
        await seen(browser, f"Got it: {what}: kept on this phone")
    await seen(browser, "No connection")
    assert supply(bench, "R1", "N1") is Supply.NEEDED
    await beside(lambda: offline(browser, False))
    await seen(browser, "Nothing to buy")
    await gone(browser, "kept on this phone")
    assert {supply(bench, *of) for of in (("R1", "N1"), ("R1", "N2"), ("G1", "N1"))} == {Supply.HERE}
    assert len(session.entries("G1")) == before + 1
    assert [e.what for e in session.entries("R1") if e.sent_as] == [
        "mains cord: here, paid: not known",
        "fuse 1 A: here, paid: not known",
    ]


async def test_a_tick_and_a_picture_wait_while_the_workshop_is_out_of_reach(
    bench: Any, browser: Any, tmp_path: Path
) -> None:
    """Nothing answers any more at the address; later the same page does again."""
    picture = tmp_path / "price-tag.jpg"
    picture.write_bytes(photo(5))
    session: Session = bench.app.session
    await opened(browser, bench, "buy")
    await seen(browser, "mains cord")
    await bench.app.door.close()
    await beside(lambda: press(browser, "Got it: mains cord"))
    await seen(browser, "Got it: mains cord: kept on this phone")
    await beside(lambda: find(browser, "#camera")[0].send_keys(str(picture)))
    await seen(browser, "No connection")
    await bench.app.door.open()
    await gone(browser, "Got it: mains cord")
    for _ in range(400):  # the picture is sent at the page's next look, and taken in at the program's next turn
        if list(photos_of(session.unit("R1"))):
            break
        await asyncio.sleep(0.05)
    waits = [path.name for path in (session.path / ".incoming").iterdir()]
    shown = await beside(lambda: words_on(browser))
    assert len(list(photos_of(session.unit("R1")))) == 1, f"{waits} in {shown}"
    assert supply(bench, "R1", "N1") is Supply.HERE
    assert len([e for e in session.entries("R1") if e.sent_as]) == 1


async def test_ticks_kept_offline_outlast_a_page_that_is_loaded_again(bench: Any, browser: Any) -> None:
    """The browser is closed in the shop and the page opened again at home: what was ticked is sent then."""
    await opened(browser, bench, "buy")
    await seen(browser, "mains cord")
    await beside(lambda: offline(browser, True))
    await beside(lambda: press(browser, "Got it: mains cord"))
    await seen(browser, "1 kept on this phone")
    await beside(lambda: browser.get("about:blank"))
    await beside(lambda: offline(browser, False))
    await beside(lambda: browser.get(f"{bench.app.door.address}/apart/R1"))
    await gone(browser, "kept on this phone")
    await until(bench, lambda: supply(bench, "R1", "N1") is Supply.HERE)


async def test_what_was_bought_at_the_bench_meanwhile_is_not_bought_twice(bench: Any, browser: Any) -> None:
    session: Session = bench.app.session
    await opened(browser, bench, "buy")
    await seen(browser, "bearing")
    await beside(lambda: offline(browser, True))
    await beside(lambda: press(browser, "Got it: bearing"))
    await seen(browser, "1 kept on this phone")
    (bearing,) = [p for p in list_of(session).purchases if p.name == "bearing"]
    session.apply_over(["G1"], "bearing: here", lambda units, of: arrived(bearing, None, units, of, session.today))
    await beside(lambda: offline(browser, False))
    await seen(browser, "not on the list any more")
    assert len([e for e in session.entries("G1") if "bearing" in e.what]) == 1


async def test_what_to_do_is_said_for_the_phone_and_no_key_of_the_desk_is_named(bench: Any, browser: Any) -> None:
    session: Session = bench.app.session
    for code in ("R1", "G1"):
        session.apply(code, "no prices", lambda u: u.model_copy(update={"parts": without_prices(u)}))
    await opened(browser, bench, "buy")
    shown = await seen(browser, "none has a price yet: write under Paid what a thing costs")
    assert "$ to say" not in shown


def without_prices(of: Any) -> tuple[Any, ...]:
    return tuple(part.model_copy(update={"price": None}) for part in of.parts)
