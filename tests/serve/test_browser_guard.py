"""The whole interface in a browser: who has no token stays out, and cannot guess for long."""

from __future__ import annotations

from pathlib import Path

from aiohttp.test_utils import TestClient, TestServer

from logbook.serve.browser import Served
from logbook.serve.door import WRONG_A_MINUTE


async def test_wrong_tokens_are_refused_in_plain_words_and_only_so_many_are_heard(tmp_path: Path) -> None:
    served = Served(tmp_path / "book", "127.0.0.1", 8000)
    here = {"Host": "127.0.0.1:8000"}
    async with TestClient(TestServer(await served.application())) as tablet:
        guesses = [{"token": f"guess{n}"} for n in range(WRONG_A_MINUTE + 3)]
        answers = [await tablet.get("/", params=guess, headers=here) for guess in guesses]
        assert [a.status for a in answers] == [403] * WRONG_A_MINUTE + [429] * 3
        assert "This address does not hold" in await answers[0].text()
        assert "Too many wrong addresses" in await answers[-1].text()
        for answer in (answers[0], answers[-1]):
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            assert answer.headers["Cache-Control"] == "no-store"
        right = await tablet.get("/", params={"token": served.token}, headers=here, allow_redirects=False)
        assert (right.status, right.headers["Location"]) == (302, "/"), "who has the token is never kept out"
        elsewhere = await tablet.get("/", params={"token": served.token}, headers={"Host": "other.example"})
        assert (elsewhere.status, "only under the address" in await elsewhere.text()) == (403, True)
