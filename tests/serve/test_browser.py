"""The page in a real browser: a picture from the camera lands at the step that is open, also after the line was cut."""

from __future__ import annotations

import asyncio
import re
import socket
import sys
import time
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest

from logbook.model.photo_edits import photos_of
from logbook.serve.address import KeptAddress
from logbook.serve.door import Door
from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.screens.phone_screen import PhoneScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from tests.builders import step, unit
from tests.photos.pictures import photo
from tests.serve.browsing import HERE_IS_A_BROWSER, beside, gone, seen, words_on
from tests.terminal import Terminal
from tests.tui.conftest import said, text_on, until

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")


@pytest.fixture
def camera(tmp_path: Path) -> Path:
    """A file as a phone's camera gives it to the page."""
    path = tmp_path / "image.jpg"
    path.write_bytes(photo(3, time="2026:03:12 19:03:00", offset="+00:00", place=True))
    return path


@pytest.fixture
async def bench(tmp_path: Path) -> AsyncIterator[Any]:
    """The program at step T02 of a unit, with the page for the phone opened by key."""
    session = Session.open(tmp_path / "book")
    session.add_unit(unit(step("T01", "plug"), step("T02", "back panel")))
    app = LogbookApp(session)
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await app.push_screen(TeardownScreen(session, "R1"))
        await pilot.pause()
        await pilot.press("end", "P")
        await until(pilot, lambda: isinstance(app.screen, PhoneScreen))
        await pilot.press("2")
        await until(pilot, lambda: app.door is not None and app.door.address)
        yield pilot


def choose(browser: Any, path: Path) -> None:
    from selenium.webdriver.common.by import By

    browser.find_element(By.ID, "camera").send_keys(str(path))


async def test_a_photo_lands_at_the_open_step_without_being_asked(bench: Any, browser: Any, camera: Path) -> None:
    app = bench.app
    session: Session = app.session
    assert "█" in text_on(bench)
    await beside(lambda: browser.get(app.door.address))
    await seen(browser, r"R1 T02 back panel")
    await beside(lambda: choose(browser, camera))
    await seen(browser, r"Kept: R1 T02 back panel")
    for _ in range(500):  # the page is answered first; the program takes the picture in on its next turn
        if list(photos_of(session.unit("R1"))):
            break
        await asyncio.sleep(0.02)
    (placed,) = photos_of(session.unit("R1"))
    assert placed.spot.code == "T02"
    assert said(bench) == "Photo from the phone: R1 T02."
    kept = session.path / "units" / "R1" / "photos" / placed.photo.file
    assert kept.read_bytes() == camera.read_bytes()
    await bench.press("escape")
    await bench.pause()
    assert "phone page open" in text_on(bench)


async def until_said(bench: Any, words: str) -> None:
    """Wait until the terminal says something."""
    for _ in range(100):
        if words in said(bench):
            return
        await asyncio.sleep(0.05)
    raise AssertionError(said(bench))


async def test_the_line_is_cut_and_comes_back(bench: Any, browser: Any, camera: Path) -> None:
    app = bench.app
    door: Door = app.door
    await beside(lambda: browser.get(door.address))
    await seen(browser, "R1 T02")
    port, token = int(re.search(r":(\d+)/", door.address)[1]), door.token  # type: ignore[index]
    await door.close()
    await beside(lambda: choose(browser, camera))
    await seen(browser, r"No connection\. 1 picture kept on this phone")
    assert not list(photos_of(app.session.unit("R1")))
    again = Door(app.incoming, app.photo_bench)
    again.token = token
    await again.open("127.0.0.1", port)
    app.door = again
    await seen(browser, r"Kept: R1 T02 back panel")
    await until(bench, lambda: len(list(photos_of(app.session.unit("R1")))) == 1)
    await beside(lambda: choose(browser, camera))
    await until_said(bench, "is at R1 T02 already")
    assert len(list(photos_of(app.session.unit("R1")))) == 1


async def restarted(bench: Any) -> None:
    """The program is left and started again: the page is open as it was, under the address that the book keeps."""
    app = bench.app
    app.door = Door(app.incoming, app.photo_bench, address=KeptAddress(app.session.path))
    await app.door.open("127.0.0.1")


async def test_what_waits_on_the_phone_arrives_after_a_restart(bench: Any, browser: Any, camera: Path) -> None:
    app = bench.app
    await beside(lambda: browser.get(app.door.address))
    await seen(browser, "R1 T02")
    await app.close_door()
    await beside(lambda: choose(browser, camera))
    await seen(browser, r"No connection\. 1 picture kept on this phone")
    await restarted(bench)
    await seen(browser, r"Kept: R1 T02 back panel")
    await until(bench, lambda: len(list(photos_of(app.session.unit("R1")))) == 1)


async def test_a_page_whose_address_ended_keeps_its_pictures_until_the_new_one_is_opened(
    bench: Any, browser: Any, camera: Path
) -> None:
    app = bench.app
    await beside(lambda: browser.get(app.door.address))
    await seen(browser, "R1 T02")
    await app.close_door(for_good=True)
    await restarted(bench)
    await beside(lambda: choose(browser, camera))
    await seen(browser, r"is wrong, or old.* 1 picture kept on this phone")
    assert list(photos_of(app.session.unit("R1"))) == []
    await beside(lambda: browser.get(app.door.address))
    await seen(browser, r"Kept: R1 T02 back panel")
    await until(bench, lambda: len(list(photos_of(app.session.unit("R1")))) == 1)


async def test_what_the_logbook_refuses_stays_on_the_phone_until_it_is_forgotten(
    bench: Any, browser: Any, camera: Path, tmp_path: Path
) -> None:
    from selenium.webdriver.common.by import By

    app = bench.app
    wrong = tmp_path / "wrong.jpg"
    wrong.write_bytes(b"#!/bin/sh")
    await beside(lambda: browser.get(app.door.address))
    await seen(browser, "R1 T02")
    await beside(lambda: choose(browser, wrong))
    await seen(browser, "no JPEG, PNG, WebP or HEIF")
    await beside(lambda: choose(browser, camera))
    await seen(browser, r"Kept: R1 T02 back panel")
    await beside(browser.refresh)
    await seen(browser, r"no JPEG, PNG, WebP or HEIF.*Forget it")
    await beside(lambda: browser.find_element(By.TAG_NAME, "button").click())
    await gone(browser, "Forget it")
    await beside(browser.refresh)
    await seen(browser, "R1 T02")
    assert "Forget it" not in await beside(lambda: words_on(browser))


async def test_what_is_no_photo_is_refused_in_the_page(bench: Any, browser: Any, tmp_path: Path) -> None:
    app = bench.app
    wrong = tmp_path / "..%2f..%2funit.json.jpg"
    wrong.write_bytes(b"#!/bin/sh")
    large = tmp_path / "large.jpg"
    with large.open("wb") as out:
        out.write(b"\xff\xd8\xff")
        out.truncate(200 * 2**20)
    await beside(lambda: browser.get(app.door.address))
    await seen(browser, "R1 T02")
    await beside(lambda: choose(browser, wrong))
    await seen(browser, "no JPEG, PNG, WebP or HEIF")
    await beside(lambda: choose(browser, large))
    await seen(browser, "too large|No connection")
    await beside(lambda: browser.get(app.door.address[:-3] + "xyz"))
    await seen(browser, "This address is wrong, or old")
    assert not list(photos_of(app.session.unit("R1")))
    assert not [p for p in app.session.path.rglob("*") if p.is_file() and p.suffix in (".jpg", ".part")]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_the_whole_interface_in_a_browser_behind_the_same_command(tmp_path: Path, browser: Any, camera: Path) -> None:
    book = tmp_path / "book"
    with Session.open(book) as session:
        session.add_unit(unit(step("T01", "plug")))
    port = free_port()
    command = [sys.executable, "-m", "logbook", "--book", str(book), "serve", "--browser", "--port", str(port)]
    with Terminal(command, columns=120) as terminal:
        terminal.wait_for("Ctrl+C ends both")
        tablet = re.search(r"http://127\.0\.0\.1:\d+/\?token=[\w-]+", terminal.text())
        phone = re.search(r"http://127\.0\.0\.1:\d+/phone/[\w-]+", terminal.text())
        assert tablet
        assert phone
        browser.get(f"http://127.0.0.1:{port}/")
        assert "This address is wrong, or old" in words_on(browser)
        browser.get(tablet[0])
        wait(lambda: "-first-byte" in (browser.execute_script("return document.body.className") or ""))
        assert "token" not in browser.current_url
        from selenium.webdriver import ActionChains

        time.sleep(1)
        ActionChains(browser).send_keys("\ue007").perform()  # Enter: the unit under the cursor
        wait(lambda: '"R1"' in (book / ".incoming" / ".bench").read_text())
        browser.switch_to.new_window("tab")
        browser.get(phone[0])
        wait(lambda: "R1" in words_on(browser))
        choose(browser, camera)
        wait(lambda: "Kept" in words_on(browser))
        wait(lambda: list((book / "units" / "R1").glob("photos/*.jpg")))
        browser.close()
        browser.switch_to.window(browser.window_handles[0])
        browser.get("about:blank")
        terminal.press("ctrl+c")
        assert terminal.wait_for_end() in (0, 130)


def wait(check: Any, seconds: float = 10) -> None:
    ended = time.monotonic() + seconds
    while time.monotonic() < ended:
        try:
            if check():
                return
        except OSError:
            pass
        time.sleep(0.1)
    raise AssertionError("it did not happen")
