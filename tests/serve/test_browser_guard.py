"""The whole interface in a browser: who has no token stays out, and cannot guess for long."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from aiohttp.test_utils import TestClient, TestServer
from textual.pilot import Pilot
from textual.widgets import Static

from logbook.serve.browser import NOT_ENCRYPTED, Served
from logbook.serve.door import WRONG_A_MINUTE
from logbook.session import Session
from logbook.tui.screens import phone_screen
from logbook.tui.screens.phone_screen import PhoneScreen
from tests.tui.conftest import NOW, opened, text_on, until


@pytest.fixture
def book(tmp_path: Path) -> Session:
    return Session.open(tmp_path / "book", by="AB", now=lambda: NOW)


@pytest.mark.parametrize(("host", "is_said"), [("127.0.0.1", False), ("192.0.2.7", True)])
def test_that_nothing_is_encrypted_is_said_where_others_can_read_along(
    tmp_path: Path, host: str, *, is_said: bool
) -> None:
    served = Served(tmp_path / "book", host, 8000)
    assert (NOT_ENCRYPTED in served._words()) == is_said


def words(pilot: Pilot[Any]) -> str:
    """What stands beside the code."""
    return str(pilot.app.screen.query_one("#words", Static).render())


async def test_that_nothing_is_encrypted_is_said_before_the_page_for_the_phone_is_opened_and_while_it_is(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(phone_screen, "local_address", lambda: "0.0.0.0")
    async with opened(book, PhoneScreen(book, "")) as pilot:
        assert "Nothing is encrypted: whoever is in the network can read along" in text_on(pilot)
        await pilot.press("1")
        await until(pilot, lambda: "came so far" in words(pilot))
        assert "Nothing is encrypted" in words(pilot)
        await pilot.press("x", "2")
        await until(pilot, lambda: "came so far" in words(pilot))
        assert "Nothing is encrypted" not in words(pilot)
        await pilot.press("x")


async def test_wrong_tokens_are_refused_in_plain_words_and_only_so_many_are_heard(tmp_path: Path) -> None:
    served = Served(tmp_path / "book", "127.0.0.1", 8000)
    here = {"Host": "127.0.0.1:8000"}
    async with TestClient(TestServer(await served.application())) as tablet:
        guesses = [{"token": f"guess{n}"} for n in range(WRONG_A_MINUTE + 3)]
        answers = [await tablet.get("/", params=guess, headers=here) for guess in guesses]
        assert [a.status for a in answers] == [403] * WRONG_A_MINUTE + [429] * 3
        assert "This address is wrong, or old" in await answers[0].text()
        assert "Too many wrong addresses" in await answers[-1].text()
        for answer in (answers[0], answers[-1]):
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            assert answer.headers["Cache-Control"] == "no-store"
        right = await tablet.get("/", params={"token": served.token}, headers=here, allow_redirects=False)
        assert (right.status, right.headers["Location"]) == (302, "/"), "who has the token is never kept out"
        elsewhere = await tablet.get("/", params={"token": served.token}, headers={"Host": "other.example"})
        assert (elsewhere.status, "only under the address" in await elsewhere.text()) == (403, True)
