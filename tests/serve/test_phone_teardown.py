"""Taking apart with the phone, in a real browser beside the bench: what is said there is a row here at once."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from logbook.session import Session
from logbook.tui.screens.bench_mode_screen import BenchModeScreen
from tests.builders import hazard, step, unit
from tests.serve.at_the_bench import at_the_bench, opened
from tests.serve.browsing import HERE_IS_A_BROWSER, beside, find, gone, offline, press, seen, type_in, value_of
from tests.tui.conftest import text_on, until

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Any]:
    """The program in bench mode of a unit with one danger; the page for the phone stays open behind."""
    session = Session.open(tmp_path / "book", by="AB")
    session.add_unit(unit(step("T01", "plug"), hazards=[hazard("mains voltage", do="unplug", prove="read 0 V")]))
    async with at_the_bench(session, BenchModeScreen(session, "R1"), "tab") as pilot:
        yield pilot


def steps(bench: Any) -> list[str]:
    return [s.what for s in bench.app.session.unit("R1").steps]


async def test_a_spoken_line_is_read_below_and_is_a_row_at_the_bench(bench: Any, browser: Any) -> None:
    await bench.press("tab", *"dial glass")
    await opened(browser, bench, "apart")
    await seen(browser, "R1 .*step T02")
    await beside(
        lambda: type_in(browser, "line", "Back panel, unscrewed, four screws three point five by sixteen, bag one")
    )
    await seen(browser, r"4 screws 3.5x16, reuse")
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T02 kept: back panel")
    assert await beside(lambda: value_of(browser, "line")) == ""
    (kept,) = [s for s in bench.app.session.unit("R1").steps if s.code == "T02"]
    assert (kept.bag, kept.fasteners[0].kind, kept.by) == ("1", "screws 3.5x16", "AB")
    await until(bench, lambda: "back panel, unscrewed, bag 1" in text_on(bench))
    assert "dial glass" in text_on(bench), "what was half typed at the bench stays"
    assert "step T03" in text_on(bench)


async def test_it_is_taken_back_and_the_bench_sees_it(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "lid, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Take back step T02: lid")
    await beside(lambda: press(browser, "Take back step T02: lid"))
    await seen(browser, "Taken back: step T02: lid")
    assert steps(bench) == ["plug"]
    await gone(browser, "Take back step")


async def test_after_the_bench_wrote_more_the_phone_takes_nothing_back(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "lid, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Take back step T02: lid")
    await bench.press("tab", *"fan", "enter")
    await gone(browser, "Take back step")
    assert steps(bench) == ["plug", "lid", "fan"]


async def test_dangers_stand_above_the_field_and_follow_the_line(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    shown = await seen(browser, "WARNING mains voltage: not proved safe")
    assert shown.index("mains voltage") < shown.index("What came off, how")
    await beside(lambda: press(browser, "WARNING mains voltage"))
    await seen(browser, "unplug. Prove it safe: read 0 V")
    await beside(lambda: type_in(browser, "line", "cord, unplugged, dead zero point two volts"))
    await seen(browser, "0.2 V")
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "mains voltage: proved")


@pytest.mark.parametrize("line", ["felt ring, split, one way glued", "felt ring cut", "felt ring, drilled out"])
async def test_before_a_one_way_step_the_stop_question_is_asked_here_too(bench: Any, browser: Any, line: str) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", line))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "STOP: felt ring cannot be undone")
    assert steps(bench) == ["plug"]
    await beside(lambda: press(browser, "Is it measured?"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T02 kept: felt ring")
    kept = bench.app.session.unit("R1").step("T02")
    assert kept.one_way.measured
    assert not kept.one_way.traced


async def test_an_open_hold_point_is_answered_on_the_phone(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "earth strap, unscrewed, hold earth bond read resistance"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "HOLD H1 is open")
    await beside(lambda: type_in(browser, "line", "fan, unscrewed"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Nothing more comes off before it")
    await beside(lambda: type_in(browser, "hold_reading", "0.1 ohm"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Who did the check. Write the initials")
    assert await beside(lambda: value_of(browser, "hold_reading")) == "0.1 ohm", "what was written stays"
    await beside(lambda: type_in(browser, "hold_by", "CD"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T03 kept: fan")
    hold = bench.app.session.unit("R1").step("T02").hold
    assert (hold.reading, hold.initials) == ("0.1 ohm", "CD")


async def test_without_a_connection_lines_wait_on_the_phone_and_come_once(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await seen(browser, "step T02")
    await beside(lambda: offline(browser, True))
    for what in ("lid", "fan", "motor"):
        await beside(lambda what=what: type_in(browser, "line", f"{what}, lifted"))
        await beside(lambda: press(browser, "Keep"))
    await seen(browser, "No connection. 3 kept on this phone")
    assert steps(bench) == ["plug"]
    await beside(lambda: offline(browser, False))
    await seen(browser, "T04 kept: motor")
    assert steps(bench) == ["plug", "lid", "fan", "motor"]


async def test_a_line_whose_answer_is_lost_is_kept_once(bench: Any, browser: Any) -> None:
    """The first two answers never come back; the phone sends the same line again under the same name."""
    await opened(browser, bench, "apart")
    await beside(
        lambda: browser.execute_script(
            "const real = window.fetch; let lost = 2;"
            "window.fetch = async (...given) => { const answer = await real(...given);"
            " if (given[1] && String(given[1].body).includes('do=keep') && lost-- > 0) throw new TypeError('lost');"
            " return answer; };"
        )
    )
    await beside(lambda: type_in(browser, "line", "lid, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Kept already: step T02: lid")
    assert steps(bench) == ["plug", "lid"]


async def test_what_is_half_said_on_the_phone_stays_there(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "half a li"))
    await seen(browser, "came off: half a li")
    await beside(browser.refresh)
    await seen(browser, "came off: half a li")
    assert await beside(lambda: value_of(browser, "line")) == "half a li"


async def test_what_was_typed_is_never_markup(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "<img src=x onerror=document.title='hit'>, <b>lifted</b>"))
    await seen(browser, "came off: <img")
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T02 kept: <img")
    assert await beside(lambda: browser.title) != "hit"
    assert await beside(lambda: find(browser, "main img")) == []
    await asyncio.sleep(0)
