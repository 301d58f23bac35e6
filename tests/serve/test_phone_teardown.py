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
from tests.photos.pictures import photo
from tests.serve.at_the_bench import at_the_bench, opened
from tests.serve.browsing import (
    HERE_IS_A_BROWSER,
    beside,
    came,
    find,
    gone,
    in_first_screen,
    offline,
    press,
    seen,
    type_in,
    value_of,
)
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


def photos_at(bench: Any, code: str) -> int:
    return len(bench.app.session.unit("R1").step(code).photos)


async def test_a_photo_that_is_said_and_not_there_stays_asked_for(bench: Any, browser: Any, tmp_path: Path) -> None:
    picture = tmp_path / "lid.jpg"
    picture.write_bytes(photo(3))
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "lid, lifted, photo"))
    await seen(browser, r"photo taken\s+No picture is here yet")
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T02 kept: lid. No picture is here yet.*T02 lid photo said, no picture yet")
    await beside(lambda: find(browser, "#camera")[0].send_keys(str(picture)))
    await came(lambda: photos_at(bench, "T02") == 1)
    await gone(browser, "photo said, no picture yet")


async def test_a_picture_goes_to_the_step_just_kept_unless_the_next_one_is_begun(
    bench: Any, browser: Any, tmp_path: Path
) -> None:
    for number in range(3):
        (tmp_path / f"{number}.jpg").write_bytes(photo(number))
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "lid, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, r"A picture goes to\s+T02 lid, kept last\s+T03, the step being written")
    await beside(lambda: find(browser, "#camera")[0].send_keys(str(tmp_path / "0.jpg")))
    await came(lambda: photos_at(bench, "T02") == 1)
    await beside(lambda: type_in(browser, "line", "fan, unscrewed"))
    assert await beside(find(browser, "#to [data-to=next]")[0].is_selected)
    await beside(lambda: find(browser, "#camera")[0].send_keys(str(tmp_path / "1.jpg")))
    await came(lambda: any(photo.for_next for photo in bench.app.session.unit("R1").photos))
    await beside(lambda: press(browser, "T02 lid, kept last"))
    await beside(lambda: find(browser, "#camera")[0].send_keys(str(tmp_path / "2.jpg")))
    await came(lambda: photos_at(bench, "T02") == 2)
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T03 kept: fan")
    assert photos_at(bench, "T03") == 1


async def test_what_is_on_its_way_stands_at_the_top_also_when_the_page_is_scrolled(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await seen(browser, "step T02")
    await beside(lambda: offline(browser, True))
    await seen(browser, "No connection")
    await beside(lambda: type_in(browser, "line", "lid, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, r"No connection\. 1 kept on this phone\.")
    await beside(lambda: browser.execute_script("window.scrollTo(0, document.body.scrollHeight)"))
    (state,) = await beside(lambda: find(browser, "#state"))
    top = await beside(lambda: browser.execute_script("return arguments[0].getBoundingClientRect().top", state))
    assert 0 <= top < 20
    assert state.get_attribute("aria-live") == "polite"
    await beside(lambda: offline(browser, False))
    await seen(browser, "T02 kept: lid")
    await gone(browser, "No connection")


async def test_what_is_taken_back_stands_in_the_field_again(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "lid, lifted, bag three"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Take back step T02: lid")
    await beside(lambda: press(browser, "Take back step T02: lid"))
    await seen(browser, "Taken back: step T02: lid")
    assert await beside(lambda: value_of(browser, "line")) == "lid, lifted out, bag 3"
    await seen(browser, "came off: lid")
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T02 kept: lid")
    assert steps(bench) == ["plug", "lid"]


async def test_words_said_meanwhile_are_not_put_away_by_taking_back(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "lid, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Take back step T02: lid")
    await beside(lambda: type_in(browser, "line", "fan, unscr"))
    await beside(lambda: press(browser, "Take back step T02: lid"))
    await seen(browser, "Taken back: step T02: lid")
    assert await beside(lambda: value_of(browser, "line")) == "fan, unscr"


async def test_keep_is_in_the_first_screen_with_four_dangers(bench: Any, browser: Any) -> None:
    session: Session = bench.app.session
    dangers = [hazard(f"danger number {n} of the chassis", do="gloves on first. Then wait.") for n in range(4)]
    session.apply("R1", "dangers", lambda u: u.model_copy(update={"hazards": tuple(dangers)}))
    await opened(browser, bench, "apart")
    shown = await seen(browser, "WARNING danger number 0.*danger number 3")
    assert "gloves on" not in shown, "the rest is one touch away"
    assert await beside(lambda: in_first_screen(browser, "Keep")) == {"320x640": True, "360x740": True}


async def test_the_ends_of_counted_wires_are_said_on_the_phone(bench: Any, browser: Any) -> None:
    await opened(browser, bench, "apart")
    await beside(lambda: type_in(browser, "line", "cord, unplugged, two wires"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "T02: 2 wires counted, 0 connections written.*like “W1 brown cord to switch 1”")
    await beside(lambda: type_in(browser, "line", "w1 brown cord to switch 1"))
    await seen(browser, "wire W1 brown from cord to switch 1 at T02")
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "Kept: wire W1 brown from cord to switch 1 at T02.*2 wires counted, 1 connection written")
    await beside(lambda: type_in(browser, "line", "W2 blue cord to switch 2"))
    await beside(lambda: press(browser, "Keep"))
    await gone(browser, "Ends of wires are missing")
    assert steps(bench) == ["plug", "cord"]
    assert [wire.end for wire in bench.app.session.unit("R1").step("T02").connections] == ["switch 1", "switch 2"]
    await beside(lambda: press(browser, "Take back wire W2"))
    await seen(browser, "Taken back: wire W2")
    assert await beside(lambda: value_of(browser, "line")) == "wire W2 blue from cord to switch 2"


async def test_the_photo_page_offers_the_step_kept_last_and_follows_the_bench(
    bench: Any, browser: Any, tmp_path: Path
) -> None:
    picture = tmp_path / "plug.jpg"
    picture.write_bytes(photo(4))
    await opened(browser, bench, "")
    await seen(browser, r"R1 T02, the step being written\s+Or to the step kept last\s+As above\s+T01 plug, kept last")
    await bench.press("tab", *"fan", "enter")
    await seen(browser, r"R1 T03, the step being written.*T02 fan, kept last")
    await beside(lambda: press(browser, "T02 fan, kept last"))
    await beside(lambda: find(browser, "#camera")[0].send_keys(str(picture)))
    await came(lambda: photos_at(bench, "T02") == 1)
    assert bench.app.session.unit("R1").photos == ()


async def test_a_picture_of_a_line_that_waits_on_the_phone_goes_to_the_step_that_it_becomes(
    bench: Any, browser: Any, tmp_path: Path
) -> None:
    """The line, its picture and one more wait; at the bench a step was kept meanwhile, so that the numbers move."""
    picture = tmp_path / "lid.jpg"
    picture.write_bytes(photo(6))
    await opened(browser, bench, "apart")
    await seen(browser, "step T02")
    await beside(lambda: offline(browser, True))
    await beside(lambda: type_in(browser, "line", "lid, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await seen(browser, "lid, lifted, kept on this phone")
    await beside(lambda: find(browser, "#camera")[0].send_keys(str(picture)))
    await seen(browser, r"1 picture kept on this phone")
    await beside(lambda: type_in(browser, "line", "motor, lifted"))
    await beside(lambda: press(browser, "Keep"))
    await bench.press("tab", *"fan", "enter")
    await beside(lambda: offline(browser, False))
    await came(lambda: steps(bench) == ["plug", "fan", "lid", "motor"])
    await came(lambda: photos_at(bench, "T03") == 1)
