"""The attack list over every address of the phone that reads or changes the book: token, type, size, rate, path, host,
foreign page. And the same addresses as a plain form, which is what they are without a script.
"""

from __future__ import annotations

import asyncio
import itertools
import re
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import quote

import aiohttp
import pytest

from logbook.errors import StoreError
from logbook.serve.door import CHANGES_A_MINUTE, KEPT, READINGS_A_MINUTE, WRONG_A_MINUTE, Door
from logbook.serve.incoming import Bench, Incoming
from logbook.serve.phone_form import MOST_FORM_BYTES
from logbook.serve.phone_page import FILES
from logbook.session import Session
from tests.builders import step, unit
from tests.hostile import HOSTILE
from tests.photos.pictures import photo

NAME = "0123456789abcdef"
SHOWN = [
    "/apart", "/apart/R1", "/apart/R1?line=lid%2C%20%3Cb%3Ehit", "/back", "/back/R1", "/back/R1?line=T01", "/buy",
    "/saw", "/saw/R1", "/saw/R1?kind=x&piece=y",
    "/version", "/version/R1", *(f"/file/{name}" for name in FILES),
]  # fmt: skip
"""Addresses that are read."""
SENT = ["/apart/R1", "/back/R1", "/buy", "/saw/R1"]
"""Addresses that a form is sent to."""
LINE = {"line": "lid, lifted", "do": "keep"}


class Phone:
    """A client that sends what a phone, or somebody else, might send."""

    def __init__(self, door: Door, client: aiohttp.ClientSession, session: Session, told: list[str]) -> None:
        self.door, self._client, self.session, self.told = door, client, session, told

    async def ask(self, method: str, path: str, *, token: str | None = None, **more: Any) -> tuple[int, str, Any]:
        token = self.door.token if token is None else token
        url = f"{self.door.address.rsplit('/', 1)[0]}/{token}{path}"
        async with self._client.request(method, url, **{"allow_redirects": False, **more}) as answer:
            return answer.status, unescape((await answer.text()).strip()), answer.headers

    async def send(self, path: str, name: str = NAME, **fields: str) -> tuple[int, str, Any]:
        return await self.ask("POST", path, data={"id": name, **fields})

    @property
    def steps(self) -> list[str]:
        return [s.what for s in self.session.unit("R1").steps]


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Session]:
    with Session.open(tmp_path / "book", by="AB") as session:
        session.add_unit(unit(step("T01", "plug")))
        yield session


@asynccontextmanager
async def a_phone(session: Session, **more: Any) -> AsyncIterator[Phone]:
    incoming = Incoming(session.path)
    incoming.begin()
    told: list[str] = []
    door = Door(incoming, lambda: Bench("R1"), session=session, told=told.append, **more)
    await door.open()
    try:
        async with aiohttp.ClientSession() as client:
            yield Phone(door, client, session, told)
    finally:
        await door.close()


async def test_every_page_is_whole_and_nothing_else_may_run(book: Session) -> None:
    async with a_phone(book) as phone:
        for path in SHOWN:
            status, text, headers = await phone.ask("GET", path)
            assert status in (200, 303)
            assert headers["X-Content-Type-Options"] == "nosniff"
            assert headers["X-Frame-Options"] == "DENY"
            assert headers["Cache-Control"] == "no-store"
            if headers.get("Content-Type", "").startswith("text/html"):
                nonce = text.split('nonce="')[1].split('"')[0]
                assert f"script-src 'nonce-{nonce}'" in headers["Content-Security-Policy"]
                assert "default-src 'none'" in headers["Content-Security-Policy"]
                assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
                assert not re.search(r"""(?:src|href|action)=["']?(?:https?:)?//""", text), "nothing from outside"
                assert not re.search(r"<script(?![^>]*\ssrc=)", text), "no script stands in the page"


@pytest.mark.parametrize("token", ["x", "", "..%2f", "\u00e9", "0" * 22])
async def test_without_the_token_nothing_answers(book: Session, token: str) -> None:
    async with a_phone(book) as phone:
        for path in (*SHOWN, *SENT):
            for method in ("GET", "POST", "PUT", "DELETE"):
                phone.door._wrong._times.clear()
                status, words, _ = await phone.ask(method, path, token=token, data={"id": NAME, **LINE})
                assert status in (403, 404, 405)
                assert words.endswith(".")
                assert "plug" not in words
        assert phone.steps == ["plug"]


async def test_guessing_the_token_is_slowed_down_at_the_new_addresses_too(book: Session) -> None:
    async with a_phone(book, clock=lambda: 0.0) as phone:
        statuses = [(await phone.ask("GET", "/apart/R1", token=f"guess{n}"))[0] for n in range(WRONG_A_MINUTE + 5)]
        assert statuses[:WRONG_A_MINUTE] == [403] * WRONG_A_MINUTE
        assert set(statuses[WRONG_A_MINUTE:]) == {429}
        assert (await phone.send("/apart/R1", **LINE))[0] == 303


@pytest.mark.parametrize("path", SENT)
@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1", "http://127.0.0.1:1"])
async def test_a_form_of_a_foreign_page_is_refused(book: Session, path: str, origin: str) -> None:
    async with a_phone(book) as phone:
        status, words, _ = await phone.ask("POST", path, data={"id": NAME, **LINE}, headers={"Origin": origin})
        assert (status, words) == (403, "Another page may not reach the logbook.")
        assert phone.steps == ["plug"]


@pytest.mark.parametrize("path", [*SHOWN, *SENT])
async def test_another_name_for_this_machine_is_refused(book: Session, path: str) -> None:
    async with a_phone(book) as phone:
        for method in ("GET", "POST"):
            status, words, _ = await phone.ask(
                method, path, headers={"Host": "evil.example"}, data={"id": NAME, **LINE}
            )
            assert status == 403
            assert "only under the address" in words
        assert phone.steps == ["plug"]


@pytest.mark.parametrize("to", [*HOSTILE, "R1/T99", "R9/T01", "../R1/T01", "R1/../../x", "/", "R1/T01/x", "a" * 4000])
async def test_a_picture_sent_to_a_place_that_is_not_there_lies_where_the_bench_is(book: Session, to: str) -> None:
    async with a_phone(book) as phone:
        raw = photo(1)
        path = f"/photo?id={NAME}&to={quote(to, safe='')}"
        status, _, headers = await phone.ask("POST", path, data=raw)
        assert (status, headers[KEPT]) == (200, NAME)
        incoming = Incoming(book.path)
        (one,) = incoming.waiting()
        assert one.bench.unit == "R1"
        assert one.bench.spot.code == ""
        assert sorted(path.suffix for path in incoming.folder.iterdir()) == [".jpg", ".json"]
        assert book.unit("R1").photos == ()


async def test_without_a_script_what_is_taken_back_stands_in_the_field_again(book: Session) -> None:
    async with a_phone(book) as phone:
        await phone.send("/apart/R1", line="lid & <b>knob</b>, lifted, bag 3", do="keep")
        status, _, headers = await phone.send("/apart/R1", "takenback1", do="back", of=NAME)
        assert (status, phone.steps) == (303, ["plug"])
        status, text, _ = await phone.ask("GET", headers["Location"].partition(phone.door.token)[2])
        assert status == 200
        assert ">lid & <b>knob</b>, lifted out, bag 3</textarea>" in text, "unescaped here by the test alone"


BAD_BODIES: list[tuple[bytes, str, int]] = [
    (b"", "application/x-www-form-urlencoded", 400),
    (b"id=short&line=lid", "application/x-www-form-urlencoded", 400),
    (b"id=../../../../etc&line=lid", "application/x-www-form-urlencoded", 400),
    (b"id=" + b"a" * 65 + b"&line=lid", "application/x-www-form-urlencoded", 400),
    (b"line=lid&do=keep", "application/x-www-form-urlencoded", 400),
    (b"\xff\xfe\x00", "application/x-www-form-urlencoded", 400),
    (b"id=0123456789abcdef&line=%ff%fe", "application/x-www-form-urlencoded", 400),
    (b"&".join(b"f%d=1" % n for n in range(200)), "application/x-www-form-urlencoded", 400),
    (b"id=0123456789abcdef&line=lid&do=keep", "text/plain", 415),
    (b'{"id": "0123456789abcdef", "line": "lid"}', "application/json", 415),
    (b"id=0123456789abcdef&line=lid&do=keep", "multipart/form-data; boundary=x", 415),
    (b"id=0123456789abcdef&line=" + b"x" * MOST_FORM_BYTES, "application/x-www-form-urlencoded", 413),
]


@pytest.mark.parametrize("path", SENT)
@pytest.mark.parametrize(("raw", "kind", "wanted"), BAD_BODIES, ids=range(len(BAD_BODIES)))
async def test_what_is_no_form_of_the_page_is_refused(
    book: Session, path: str, raw: bytes, kind: str, wanted: int
) -> None:
    async with a_phone(book) as phone:
        status, words, headers = await phone.ask("POST", path, data=raw, headers={"Content-Type": kind})
        assert status == wanted
        assert words.endswith(".")
        assert KEPT not in headers
        assert phone.steps == ["plug"]


async def test_a_form_that_never_ends_does_not_hold_the_door(book: Session) -> None:
    async with a_phone(book, body_seconds=0.3) as phone:
        port = int(phone.door.address.split(":")[2].split("/")[0])
        head = (
            f"POST /{phone.door.token}/apart/R1 HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n"
            "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 5000\r\n\r\nid=0123456789abcdef"
        )
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(head.encode())
        assert b" 408 " in await asyncio.wait_for(reader.read(4000), 10)
        writer.close()
        assert (await phone.send("/apart/R1", **LINE))[0] == 303


async def test_only_so_many_changes_and_readings_in_a_minute(book: Session) -> None:
    now = [0.0]
    async with a_phone(book, clock=lambda: now[0]) as phone:
        for n in range(CHANGES_A_MINUTE):
            await phone.send("/apart/R1", f"number{n:04}", line="", do="keep")
        assert (await phone.send("/apart/R1", **LINE))[0] == 429
        for n in range(READINGS_A_MINUTE):
            await phone.send("/apart/R1", f"number{n:04}", line="a", do="read")
        assert (await phone.send("/apart/R1", line="a", do="read"))[0] == 429
        assert phone.steps == ["plug"]
        now[0] = 61.0
        assert (await phone.send("/apart/R1", **LINE))[0] == 303


PATHS = [
    "/apart/%2e%2e%2f%2e%2e%2fetc%2fpasswd", "/apart/Q9", "/apart/R1/extra", "/file/..%2f..%2fpyproject.toml",
    "/file/base.html", "/file/", "/version/..%2fR1", "/version/Q9", "/apart/shop", "/apart/\u00e9", "/nothing",
    "/back/..%2fR1", "/back/Q9", "/picture/R1/..%2f..%2fshop.json", "/picture/R1/unit.json",
    "/picture/Q9/x.jpg",
]  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
async def test_no_name_or_path_of_a_client_leads_anywhere(book: Session, path: str) -> None:
    async with a_phone(book) as phone:
        for method in ("GET", "POST"):
            status, words, _ = await phone.ask(method, path, data={"id": NAME, **LINE})
            assert status in (303, 400, 404, 405, 409)
            assert "root:" not in words
            assert "[project]" not in words
        assert phone.steps == ["plug"]


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
async def test_what_is_typed_is_shown_and_never_markup(book: Session, text: str) -> None:
    clock = itertools.count(0.0, 61.0)
    async with a_phone(book, clock=lambda: next(clock)) as phone:
        raw = {"id": NAME, "line": text, "do": "read"}
        url = f"{phone.door.address}/apart/R1"
        async with phone._client.post(url, data=raw) as answer:
            page = await answer.text()
            assert answer.status in (200, 409, 413)
        assert "<script>" not in page
        assert not re.search(r"<img|<svg|onerror=[^&]*>", page)
        assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\u202e\u2066]", page)


# Without a script


async def test_a_line_is_kept_by_the_form_alone_and_loading_again_sends_nothing(book: Session) -> None:
    async with a_phone(book) as phone:
        status, page, _ = await phone.ask("GET", "/apart/R1")
        assert status == 200
        name = re.search(r'name="id" value="([0-9a-f]{32})"', page)
        assert name is not None
        status, _, headers = await phone.send("/apart/R1", name[1], line="Lid, lifted", do="keep")
        assert (status, headers["Location"]) == (303, f"/{phone.door.token}/apart/R1")
        assert headers[KEPT] == name[1]
        status, page, _ = await phone.ask("GET", "/apart/R1")
        assert "T02 lid" in " ".join(page.split())
        assert (await phone.send("/apart/R1", name[1], line="Lid, lifted", do="keep"))[0] == 303  # pressed twice
        assert phone.steps == ["plug", "lid"]
        assert phone.told == ["From the phone: T02 kept: lid."]


async def test_a_line_is_read_and_asked_about_by_the_form_alone(book: Session) -> None:
    async with a_phone(book) as phone:
        status, page, _ = await phone.send("/apart/R1", line="felt, split, one way", do="read")
        assert status == 200
        assert "came off: felt" in page
        status, page, headers = await phone.send("/apart/R1", line="felt, split, one way", do="keep")
        assert status == 409
        assert KEPT not in headers
        assert "STOP: felt cannot be undone" in page
        assert 'value="measured"' in page
        assert "felt, split, one way</textarea>" in page, "what was said stands in the field again"
        status, _, _ = await phone.send(
            "/apart/R1", line="felt, split, one way", do="keep", stop_because="another one lies there"
        )
        assert status == 303
        kept = phone.session.unit("R1").step("T02")
        assert kept is not None
        assert kept.one_way is not None
        assert kept.one_way.skipped_because == "another one lies there"


async def test_an_answer_that_says_nothing_is_asked_again(book: Session) -> None:
    async with a_phone(book) as phone:
        status, page, _ = await phone.send("/apart/R1", line="  ", do="keep")
        assert status == 409
        assert "What came off?" in page


async def test_what_the_disk_refuses_is_said_and_may_be_sent_again(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with a_phone(book) as phone:
        apply: Callable[..., Any] = book.apply

        def full(*_: object, **__: object) -> None:
            raise StoreError("The change of R1 was not kept: the disk is full. Free some space and try again.")

        monkeypatch.setattr(book, "apply", full)
        status, words, headers = await phone.send("/apart/R1", **LINE)
        assert (status, KEPT in headers) == (507, False)
        assert "the disk is full" in words
        monkeypatch.setattr(book, "apply", apply)
        assert (await phone.send("/apart/R1", **LINE))[0] == 303
        assert phone.steps == ["plug", "lid"]


async def test_a_page_that_another_process_serves_takes_pictures_alone(tmp_path: Path) -> None:
    incoming = Incoming(tmp_path)
    incoming.begin()
    door = Door(incoming, Bench)
    await door.open()
    try:
        async with aiohttp.ClientSession() as client, client.get(f"{door.address}/apart") as answer:
            assert answer.status == 404
            assert "Press P in the logbook itself" in await answer.text()
    finally:
        await door.close()


@pytest.mark.survives_faults
@pytest.mark.parametrize("path", SENT)
async def test_a_fault_of_one_page_ends_nothing_and_says_no_more_than_that_it_was(
    book: Session, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret")

    async with a_phone(book) as phone:
        with monkeypatch.context() as patch:
            patch.setattr("logbook.serve.phone_routes.PhoneRoutes._answered", broken)
            status, words, headers = await phone.send(path, **LINE)
        assert (status, KEPT in headers) == (500, False)
        assert "Traceback" not in words
        assert "secret" not in words
        assert (await phone.send("/apart/R1", **LINE))[0] == 303
