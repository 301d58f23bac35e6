"""Putting back with the phone, in a real browser: the line that is next, its pieces, its hold point, its tick."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from logbook.model.edits import change_step, keep_step, with_changes
from logbook.model.photo_edits import Placed, at_step, with_photos
from logbook.model.step import Fastener
from logbook.model.unit import LineState
from logbook.model.words import LinkBasis
from logbook.session import Session
from logbook.session.unit_photos import keep_bytes
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from tests.builders import hazard, hold, step, unit
from tests.photos.pictures import photo
from tests.serve.at_the_bench import at_the_bench, opened
from tests.serve.browsing import (
    HERE_IS_A_BROWSER,
    beside,
    find,
    gone,
    in_first_screen,
    offline,
    press,
    seen,
    swipe,
    type_in,
    value_of,
)
from tests.tui.conftest import text_on, until

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Any]:
    """Four steps to put back: the last off goes on first. The strap wants a reading before anything covers it."""
    session = Session.open(tmp_path / "book", by="AB")
    screws = Fastener(kind="screw 3.5x16", holes=6, found=5)
    session.add_unit(
        unit(
            step("T01", "back panel", fasteners=[screws], bag="1"),
            step("T02", "fan", hazards=[hazard("sharp blades", do="gloves on", prove="")]),
            step("T03", "earth strap", refit={"hold": hold("H1", "earth bond", reading_of="resistance")}),
        )
    )
    kept = keep_bytes(session.path, "R1", photo(1), "the picture", at=session.now, basis=LinkBasis.PHONE)
    session.apply("R1", "photo", lambda u: with_photos(u, [Placed(at_step("T03"), kept)]))
    async with at_the_bench(session, ReassemblyScreen(session, "R1")) as pilot:
        yield pilot


def states(bench: Any) -> dict[str, LineState]:
    return {s.line: s for s in bench.app.session.unit("R1").refit.lines}


async def check_done(browser: Any, bench: Any) -> None:
    """The opening check is the first line of every list."""
    await opened(browser, bench, "back")
    await seen(browser, "A01 .*READY")
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "A01 .*ticked")


async def test_a_tick_on_the_phone_is_a_tick_at_the_bench_and_the_next_line_comes(bench: Any, browser: Any) -> None:
    await check_done(browser, bench)
    assert states(bench)["check"].initials == "AB"
    await seen(browser, "A02 refit earth strap")
    await until(bench, lambda: "1 of 5" in text_on(bench) or "1/5" in text_on(bench) or "A01" in text_on(bench))
    assert "line=T03" in await beside(lambda: browser.current_url)


async def test_a_hold_point_wants_its_reading_and_initials_here_too(bench: Any, browser: Any) -> None:
    await check_done(browser, bench)
    await seen(browser, "HOLD H1.*earth bond")
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "hold point H1.*write the reading of resistance first")
    await beside(lambda: type_in(browser, "reading-1", "0.1 ohm"))
    await beside(lambda: type_in(browser, "initials-1", "CD"))
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "A02 refit earth strap.*: ticked")
    assert (states(bench)["T03"].reading, states(bench)["T03"].initials) == ("0.1 ohm", "CD")


async def test_a_line_that_is_not_ready_asks_why_it_is_done_all_the_same(bench: Any, browser: Any) -> None:
    await check_done(browser, bench)
    await beside(lambda: browser.get(f"{bench.app.door.address}/back/R1?line=T02"))
    shown = await seen(browser, "sharp blades")
    assert shown.index("sharp blades") < shown.index("A03"), "the warning stands before the line"
    assert "WAITS" in shown
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "HOLD|hold point|not ready")
    assert "T02" not in states(bench)


async def test_a_danger_is_proved_safe_where_the_tick_is_refused_for_it(bench: Any, browser: Any) -> None:
    session: Session = bench.app.session
    mains = hazard("mains voltage", do="unplug", prove="read 0 V")
    session.apply("R1", "danger", lambda u: u.model_copy(update={"hazards": (mains,)}))
    await opened(browser, bench, "back/R1?line=check")
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "A01 [^.]*: mains voltage is not proved safe. Prove it first, or say why")
    assert "check" not in states(bench)
    await beside(lambda: type_in(browser, "measured-1", "0.2 V"))
    session.apply("R1", "elsewhere", lambda u: u.model_copy(update={"notes": "written at the bench"}))
    await asyncio.sleep(3)  # news of the bench come every two seconds
    assert await beside(lambda: value_of(browser, "measured-1")) == "0.2 V", "what is asked waits for its answer"
    await beside(lambda: press(browser, "Keep the reading"))
    await seen(browser, "mains voltage proved safe: 0.2 V, meter")
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "A01 .*ticked")
    (proof,) = session.unit("R1").proofs
    assert (proof.danger, proof.reading, proof.by) == ("mains voltage", "0.2 V", "AB")


async def test_a_live_reading_is_kept_and_the_line_is_not_ticked(bench: Any, browser: Any) -> None:
    session: Session = bench.app.session
    mains = hazard("mains voltage", do="unplug", prove="read 0 V")
    session.apply("R1", "danger", lambda u: u.model_copy(update={"hazards": (mains,)}))
    await opened(browser, bench, "back/R1?line=check")
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "Prove it safe: mains voltage")
    await beside(lambda: type_in(browser, "measured-1", "230 V"))
    await beside(lambda: press(browser, "Keep the reading"))
    await seen(browser, "mains voltage is NOT safe. Make it safe, then measure again")
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "mains voltage is not proved safe")
    assert "check" not in states(bench)


async def test_pieces_are_ticked_one_by_one_and_stay_ticked_on_this_phone(bench: Any, browser: Any) -> None:
    await check_done(browser, bench)
    await beside(lambda: browser.get(f"{bench.app.door.address}/back/R1?line=T01"))
    await seen(browser, "5 screw 3.5x16, bag 1")
    await beside(lambda: press(browser, "5 screw 3.5x16, bag 1"))
    await beside(browser.refresh)
    await seen(browser, "5 screw 3.5x16, bag 1")
    assert [piece.is_selected() for piece in find(browser, "#pieces input")][:2] == [True, False]


async def test_what_differs_is_written_and_a_tick_is_taken_back(bench: Any, browser: Any) -> None:
    await check_done(browser, bench)
    await beside(lambda: browser.get(f"{bench.app.door.address}/back/R1?line=check"))
    await seen(browser, "A01 is ticked")
    await beside(lambda: type_in(browser, "differs", "one <b>washer</b> short"))
    await beside(lambda: press(browser, "Differs"))
    await seen(browser, "A01 .*: differs")
    assert states(bench)["check"].differs == "one <b>washer</b> short"
    await beside(lambda: press(browser, "Take the tick of A01 back"))
    await seen(browser, "tick taken back")
    assert not states(bench)["check"].done


async def test_the_photo_of_the_step_is_shown(bench: Any, browser: Any) -> None:
    await check_done(browser, bench)
    await seen(browser, "A02 refit earth strap")
    (image,) = await beside(lambda: find(browser, "figure img"))
    for _ in range(100):
        if await beside(lambda: browser.execute_script("return arguments[0].naturalWidth", image)):
            return
        await asyncio.sleep(0.05)
    raise AssertionError("the photo was not shown")


async def test_arrows_and_swipes_go_to_the_next_ready_line(bench: Any, browser: Any) -> None:
    """With the strap read and ticked, the fan and then the back panel are ready in turn."""
    session: Session = bench.app.session
    from functools import partial

    from logbook.reassembly import tick

    for key, reading in (("check", ""), ("T03", "0.1")):
        edit = partial(tick, key=key, at=session.shop_now, initials="AB", reading=reading, override="seen")
        session.apply("R1", key, edit)
    await opened(browser, bench, "back/R1?line=check")
    await seen(browser, "A01")
    await beside(lambda: find(browser, "body")[0].send_keys("\ue014"))  # the right arrow
    await seen(browser, "A03 refit fan")
    await beside(browser.back)
    await seen(browser, "A01 is ticked")
    await beside(lambda: swipe(browser, "left"))
    await seen(browser, "A03 refit fan")


async def test_a_tick_at_the_bench_comes_to_the_phone_by_itself(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "back/R1?line=check")
    await seen(browser, "A01 .*READY")
    await bench.press("space")
    await seen(browser, "A01 is ticked")


async def test_two_phones_and_the_bench_tick_at_once_and_nothing_is_lost(bench: Any) -> None:
    """Two phones send the same tick and one more each, all at once: each is there once."""
    session: Session = bench.app.session
    before = len(session.entries("R1"))
    address = bench.app.door.address
    async with aiohttp.ClientSession() as one, aiohttp.ClientSession() as other:

        async def send(phone: aiohttp.ClientSession, name: str, line: str, **more: str) -> int:
            data = {"id": name, "line": line, **more}
            async with phone.post(f"{address}/back/R1", data=data, headers={"Logbook-Sent": "1"}) as answer:
                return answer.status

        statuses = await asyncio.gather(
            send(one, "phoneone01", "check", do="done"),
            send(other, "phonetwo01", "T01", do="differs", differs="short"),
            send(one, "phoneone01", "check", do="done"),
            send(other, "phonetwo02", "T02", do="differs", differs="bent"),
            send(other, "phonetwo01", "T01", do="differs", differs="short"),
        )
    assert set(statuses) == {200}
    assert states(bench)["check"].done
    assert (states(bench)["T01"].differs, states(bench)["T02"].differs) == ("short", "bent")
    assert len(session.entries("R1")) == before + 3


async def test_ticks_wait_on_the_phone_while_there_is_no_connection(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "back/R1?line=check")
    await seen(browser, "A01 .*READY")
    await beside(lambda: offline(browser, True))
    await beside(lambda: press(browser, "Done"))
    await seen(browser, "1 kept on this phone")
    assert "check" not in states(bench)
    await beside(lambda: offline(browser, False))
    await seen(browser, "A01 .*ticked")
    await gone(browser, "kept on this phone")
    assert states(bench)["check"].done


async def test_four_dangers_leave_room_for_done_and_the_rest_of_each_is_a_touch_away(bench: Any, browser: Any) -> None:
    await check_done(browser, bench)
    session: Session = bench.app.session
    dangers = tuple(hazard(f"sharp edge {n} of the cabinet", do="gloves on first. Then wait.") for n in range(4))
    session.apply("R1", "dangers", lambda u: change_step(u, with_changes(u.step("T02"), hazards=dangers)))
    await beside(lambda: browser.get(f"{bench.app.door.address}/back/R1?line=T02"))
    shown = await seen(browser, "WARNING sharp edge 0 of the cabinet.*sharp edge 3 of the cabinet.*refit fan")
    assert "gloves on" not in shown
    assert await beside(lambda: in_first_screen(browser, "Done")) == {"320x640": True, "360x740": True}
    await beside(lambda: press(browser, "WARNING sharp edge 2"))
    await seen(browser, "gloves on first. Then wait.")


async def test_a_line_that_got_another_number_is_named_as_it_was_seen(bench: Any) -> None:
    """The strap was A02 on the page; since then one more step came off at the bench, which goes on first."""
    session: Session = bench.app.session
    session.apply("R1", "one more", lambda u: keep_step(u, step("T04", "dial")))
    async with aiohttp.ClientSession() as phone:

        async def pressed(line: str, seen: str) -> tuple[int, str]:
            data = {"id": "phoneseen1", "line": line, "do": "done", "seen": seen}
            address = f"{bench.app.door.address}/back/R1"
            async with phone.post(address, data=data, headers={"Logbook-Sent": "1"}) as answer:
                return answer.status, await answer.text()

        status, page = await pressed("T03", "A02 refit earth strap")
        assert status == 409
        assert "A02 refit earth strap, now A03, is hold point H1 (earth bond): write the reading" in page
        status, page = await pressed("T09", "A07 refit <b>knob</b>")
        assert status == 409
        assert "A07 refit &lt;b&gt;knob&lt;/b&gt; is no line of the list any more" in page
    assert states(bench) == {}
