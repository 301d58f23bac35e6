"""The page for the phone: only with its token, pictures only, nothing twice, nothing outside its folder."""

from __future__ import annotations

import asyncio
import errno
import hashlib
import itertools
import os
import random
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import aiohttp
import pytest

from logbook import disk
from logbook.errors import StoreError
from logbook.model.photo_edits import Spot, at_step, photos_of
from logbook.model.words import LinkBasis
from logbook.serve.address import KeptAddress
from logbook.serve.door import KEPT, MOST_A_MINUTE, WRONG_A_MINUTE, Door, Rate
from logbook.serve.incoming import NOWHERE, Bench, Incoming
from logbook.serve.listening import HEADER_SECONDS, MOST_CONNECTIONS, Listening
from logbook.serve.taking import take_in
from logbook.session import Session
from tests.builders import step, unit
from tests.photos.pictures import photo
from tests.store.power import Cuts, lay_out

HERE = Bench("R1", at_step("T02"), "R1 T02 back panel")
ID = "0123456789abcdef"


class Phone:
    """A client that sends what a phone, or somebody else, might send."""

    def __init__(self, door: Door, client: aiohttp.ClientSession) -> None:
        self.door, self._client = door, client

    async def ask(self, method: str, path: str, **more: Any) -> tuple[int, str, Any]:
        url = self.door.address.rsplit("/", 1)[0] + path
        async with self._client.request(method, url, **more) as answer:
            return answer.status, (await answer.text()).strip(), answer.headers

    async def send(self, raw: bytes, ident: str = ID) -> tuple[int, str]:
        status, words, _ = await self.ask("POST", f"/{self.door.token}/photo?id={ident}", data=raw)
        return status, words


@asynccontextmanager
async def a_phone(incoming: Incoming, bench: Callable[[], Bench] = lambda: HERE, **more: Any) -> AsyncIterator[Phone]:
    incoming.begin()
    door = Door(incoming, bench, **more)
    await door.open()
    try:
        async with aiohttp.ClientSession() as client:
            yield Phone(door, client)
    finally:
        await door.close()


@pytest.fixture
def incoming(tmp_path: Path) -> Incoming:
    return Incoming(tmp_path)


def files(incoming: Incoming) -> list[str]:
    return sorted(p.name for p in incoming.folder.iterdir() if not p.name.endswith(".json"))


async def test_a_picture_is_on_disk_when_the_phone_is_told(incoming: Incoming) -> None:
    raw = photo(1)
    async with a_phone(incoming) as phone:
        assert await phone.send(raw) == (200, "Kept: R1 T02 back panel.")
        assert files(incoming) == [hashlib.sha256(raw).hexdigest() + ".jpg"]
        (one,) = incoming.waiting()
        assert one.path.read_bytes() == raw
        assert one.bench == HERE


async def test_the_page_is_whole_and_nothing_else_may_run(incoming: Incoming) -> None:
    async with a_phone(incoming) as phone:
        status, text, headers = await phone.ask("GET", f"/{phone.door.token}")
        assert status == 200
        assert "Take a picture" in text
        nonce = text.split('nonce="')[1].split('"')[0]
        assert f"script-src 'nonce-{nonce}'" in headers["Content-Security-Policy"]
        assert "default-src 'none'" in headers["Content-Security-Policy"]
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Cache-Control"] == "no-store"
        assert "http" not in text.replace("http-equiv", "")
        assert (await phone.ask("GET", f"/{phone.door.token}/where"))[1] == HERE.words


WRONG_ADDRESSES = [
    "/",
    "/x",
    "/x/photo?id=" + ID,
    "/%2e%2e/unit.json",
    "/..%2f..%2fetc%2fpasswd",
    "/x/where",
    "/\u00e9",
]


@pytest.mark.parametrize("path", WRONG_ADDRESSES)
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "DELETE"])
async def test_without_its_token_nothing_answers(incoming: Incoming, path: str, method: str) -> None:
    async with a_phone(incoming) as phone:
        status, words, headers = await phone.ask(method, path, data=photo(1))
        assert status in (403, 404, 405)
        assert words.endswith(".")
        assert "photo" not in words.casefold() or "address" in words
        assert headers["X-Frame-Options"] == "DENY"
        assert files(incoming) == []


ELSEWHERE = [
    ("GET", "/photo", 405),
    ("PUT", f"/photo?id={ID}", 405),
    ("DELETE", "", 405),
    ("GET", "/photos/", 404),
    ("GET", "/%2e%2e%2f%2e%2e%2fetc", 404),
]


@pytest.mark.parametrize(("method", "path", "wanted"), ELSEWHERE)
async def test_who_has_the_token_is_not_told_that_the_address_is_wrong(
    incoming: Incoming, method: str, path: str, wanted: int
) -> None:
    async with a_phone(incoming) as phone:
        for _ in range(WRONG_A_MINUTE + 1):
            status, words, _ = await phone.ask(method, f"/{phone.door.token}{path}", data=photo(1))
            assert (status, words) == (
                wanted,
                "That cannot be done here." if wanted == 405 else "There is nothing here.",
            )
        assert files(incoming) == []


async def test_with_nothing_open_the_phone_is_told_that_the_picture_waits(incoming: Incoming) -> None:
    async with a_phone(incoming, lambda: NOWHERE) as phone:
        assert await phone.send(photo(1)) == (200, "Kept. It waits until a unit is opened at the bench.")


async def test_the_address_is_the_same_after_a_restart_until_a_person_ends_it(incoming: Incoming) -> None:
    async with a_phone(incoming, address=KeptAddress(incoming.folder)) as phone:
        first = phone.door.address
    async with a_phone(incoming, address=KeptAddress(incoming.folder)) as phone:
        assert phone.door.address == first
        assert (await phone.send(photo(1)))[0] == 200
        await phone.door.end()
    async with a_phone(incoming, address=KeptAddress(incoming.folder)) as phone:
        old, new = first.rsplit("/", 1), phone.door.address.rsplit("/", 1)
        assert new[0] == old[0], "the port stays, for what still waits on the phone"
        assert new[1] != old[1]
        assert (await phone.ask("GET", f"/{old[1]}"))[0] == 403


def test_the_address_is_private_and_comes_with_no_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    book = tmp_path / "book"
    address = KeptAddress(book)
    address.opened_on(40001)
    (file,) = (tmp_path / "state").rglob("*.json")
    assert (file.stat().st_mode & 0o777, file.parent.stat().st_mode & 0o777) == (0o600, 0o700)
    assert not book.exists(), "nothing of it lies in the book"
    assert (KeptAddress(book).token, KeptAddress(book).port) == (address.token, 40001)
    assert KeptAddress(tmp_path / "other").token != address.token
    file.chmod(0o644)
    assert KeptAddress(book).token != address.token, "what others can read holds no more"
    file.chmod(0o600)
    for crafted in (b"", b"[]", b'{"token": "x", "port": 1}', b'{"token": 7}', b"\xff", b'{"token": "' + b"x" * 5000):
        file.write_bytes(crafted)
        assert len(KeptAddress(book).token) >= 20


async def test_when_another_program_has_the_port_the_page_opens_on_another(incoming: Incoming) -> None:
    address = KeptAddress(incoming.folder)
    async with a_phone(incoming, address=address) as one, a_phone(incoming, address=address) as other:
        assert one.door.address != other.door.address
        assert (await other.send(photo(1)))[0] == 200


async def test_only_a_picture_that_is_kept_is_named_as_kept(incoming: Incoming) -> None:
    async with a_phone(incoming) as phone:
        path = f"/{phone.door.token}/photo?id={ID}"
        status, _, headers = await phone.ask("POST", path, data=b"no picture")
        assert (status, headers.get(KEPT)) == (415, None)
        for _ in range(2):
            status, _, headers = await phone.ask("POST", path, data=photo(1))
            assert (status, headers.get(KEPT)) == (200, ID)


# Who fills up the door


def port_of(phone: Phone) -> int:
    return int(phone.door.address.split(":")[2].split("/")[0])


async def test_connections_that_ask_for_nothing_shut_nobody_out(incoming: Incoming) -> None:
    """1,100 half-open connections: no more than so many are held, and they end when they had their time."""
    time = [0.0]
    app = Door(incoming, lambda: HERE).application()
    listening = Listening(app, clock=lambda: time[0])
    port = await listening.open("127.0.0.1", 0)
    held = []
    try:
        for number in range(1100):
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            if number % 2:
                writer.write(b"GET / HTTP/1.1\r\nHost: x\r\n")
            held.append((reader, writer))
        await asyncio.sleep(0.05)
        assert listening.connections <= MOST_CONNECTIONS
        time[0] = HEADER_SECONDS + 1
        listening.sweep()
        await asyncio.sleep(0.05)
        assert listening.connections == 0
        async with aiohttp.ClientSession() as client, client.get(f"http://127.0.0.1:{port}/x") as answer:
            assert answer.status == 403
    finally:
        for _, writer in held:
            writer.close()
        await listening.close()


async def test_uploads_that_never_end_are_not_gathered_in_memory(incoming: Incoming) -> None:
    """Thirty begun uploads: two are received at a time, each ends when it had its time, and the next one is taken."""
    async with a_phone(incoming, body_seconds=0.3) as phone:
        head = f"POST /{phone.door.token}/photo?id=%s HTTP/1.1\r\nHost: 127.0.0.1:{port_of(phone)}\r\n"
        begun = []
        for number in range(30):
            reader, writer = await asyncio.open_connection("127.0.0.1", port_of(phone))
            writer.write((head % f"begun{number:010d}" + "Content-Length: 60000000\r\n\r\n").encode() + b"x" * 1000)
            begun.append((reader, writer))
        said = await asyncio.gather(*(reader.read(4000) for reader, _ in begun))
        assert all(b" 408 " in words for words in said)
        for _, writer in begun:
            writer.close()
        phone.door._pictures = Rate(10)
        assert (await phone.send(photo(1)))[0] == 200


STRANGE = [
    b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
    b"GET / HTTP/1.1\r\n\r\n",
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",
    b"GET /" + b"a" * 20_000 + b" HTTP/1.1\r\nHost: a\r\n\r\n",
    b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: -1\r\n\r\n",
    b"POST / HTTP/1.1\r\nHost: a\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
    b"GET / HTTP/9.9\r\n\r\n",
    b"\r\n\r\n\0\0\0",
]


@pytest.mark.parametrize("raw", STRANGE, ids=range(len(STRANGE)))
async def test_a_strange_request_prints_nothing_into_the_terminal(
    incoming: Incoming, raw: bytes, capfd: pytest.CaptureFixture[str]
) -> None:
    async with a_phone(incoming) as phone:
        reader, writer = await asyncio.open_connection("127.0.0.1", port_of(phone))
        writer.write(raw)
        writer.write_eof()
        answer = await asyncio.wait_for(reader.read(10_000), 5)
        writer.close()
        assert b"Traceback" not in answer
        assert b"Kept" not in answer
        assert (await phone.send(photo(1)))[0] == 200
    shown = capfd.readouterr()
    assert shown.out + shown.err == ""


def test_the_folder_of_another_account_holds_up_nothing(incoming: Incoming, monkeypatch: pytest.MonkeyPatch) -> None:
    incoming.begin()

    def refuse(self: Path) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refuse)
    assert list(incoming.waiting()) == []
    with pytest.raises(StoreError, match="cannot be used: Permission denied"):
        incoming.begin()


def test_a_folder_that_leads_elsewhere_is_not_used(incoming: Incoming, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / f"{64 * 'a'}.jpg").write_bytes(photo(1))
    incoming.folder.symlink_to(elsewhere)
    assert list(incoming.waiting()) == []
    with pytest.raises(StoreError, match="leads elsewhere"):
        incoming.begin()


def test_only_pictures_wait(incoming: Incoming) -> None:
    import os

    incoming.begin()
    os.mkfifo(incoming.folder / f"{64 * 'b'}.jpg")
    (incoming.folder / "notes.txt").write_text("x")
    (incoming.folder / f"{64 * 'c'}.jpg").mkdir()
    assert list(incoming.waiting()) == []


async def test_another_name_for_this_machine_is_refused(incoming: Incoming) -> None:
    async with a_phone(incoming) as phone:
        status, words, _ = await phone.ask("GET", f"/{phone.door.token}", headers={"Host": "evil.example"})
        assert status == 403
        assert "only under the address" in words


REFUSED = [
    (b"", 415, "empty"),
    (b"#!/bin/sh\nrm -rf /\n", 415, "no JPEG, PNG, WebP or HEIF"),
    (b"<svg onload=alert(1)>", 415, "no JPEG, PNG, WebP or HEIF"),
    (photo(1)[:400], 415, "damaged or cut short"),
    (b"\xff\xd8\xff" + b"x" * 5000, 415, "damaged"),
]


@pytest.mark.parametrize(("raw", "status", "said"), REFUSED)
async def test_what_is_no_picture_is_refused_in_plain_words(
    incoming: Incoming, raw: bytes, status: int, said: str
) -> None:
    async with a_phone(incoming) as phone:
        answer = await phone.send(raw)
        assert answer[0] == status
        assert said in answer[1]
        assert files(incoming) == []
        assert (await phone.send(photo(2), "another0id"))[0] == 200


async def test_too_large_is_refused_before_it_is_all_there(incoming: Incoming) -> None:
    async with a_phone(incoming, limit=200_000) as phone:
        status, words = await phone.send(b"\xff\xd8\xff" + b"x" * 1_000_000)
        assert status == 413
        assert "too large" in words
        assert files(incoming) == []


@pytest.mark.parametrize(
    "ident",
    ["", "short", "../../../etc/passwd", "a" * 65, "\u0663\u0663\u0663\u0663\u0663\u0663\u0663\u0663", "a/b/c/d/e/f"],
)
async def test_no_name_or_path_of_a_client_is_used(incoming: Incoming, ident: str) -> None:
    async with a_phone(incoming) as phone:
        path = f"/{phone.door.token}/photo"
        status, words, _ = await phone.ask("POST", path, params={"id": ident}, data=photo(1))
        assert status == 400
        assert words == "The page is an old one. Load it again."
        assert files(incoming) == []


async def test_sent_again_it_is_kept_once(incoming: Incoming) -> None:
    async with a_phone(incoming) as phone:
        first = await phone.send(photo(1))
        assert await phone.send(photo(1)) == first
        assert (await phone.send(photo(1), "another0id"))[1] == "That picture was sent before; it is kept once."
        assert len(files(incoming)) == 1
    async with a_phone(incoming) as phone:  # the program was started again: the same picture still waits
        assert (await phone.send(photo(1)))[1] == "That picture was sent before; it is kept once."
        assert len(files(incoming)) == 1


async def test_only_so_many_in_a_minute(incoming: Incoming) -> None:
    now = [0.0]
    async with a_phone(incoming, clock=lambda: now[0]) as phone:
        for n in range(MOST_A_MINUTE):
            await phone.send(b"no picture", f"number{n:04}")
        assert (await phone.send(photo(1)))[0] == 429
        now[0] = 61.0
        assert (await phone.send(photo(1)))[0] == 200


async def test_guessing_the_address_is_slowed_down(incoming: Incoming) -> None:
    now = [0.0]
    async with a_phone(incoming, clock=lambda: now[0]) as phone:
        statuses = [(await phone.ask("GET", f"/guess{n}"))[0] for n in range(WRONG_A_MINUTE + 5)]
        assert statuses[:WRONG_A_MINUTE] == [403] * WRONG_A_MINUTE
        assert set(statuses[WRONG_A_MINUTE:]) == {429}
        assert (await phone.send(photo(1)))[0] == 200  # who has the right one is not held up


def test_a_rate_forgets_after_a_minute() -> None:
    now = [0.0]
    rate = Rate(2, lambda: now[0])
    assert [rate.allows() for _ in range(3)] == [True, True, False]
    now[0] = 60.5
    assert rate.allows()


async def test_a_full_disk_is_said_and_the_phone_keeps_the_picture(
    incoming: Incoming, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with a_phone(incoming) as phone:

        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(disk, "fsync", full)
        status, words = await phone.send(photo(1))
        assert status == 507  # a server's trouble: the page keeps the picture and sends it again
        assert "No space left" in words
        monkeypatch.undo()
        assert (await phone.send(photo(1)))[0] == 200


def test_a_picture_of_which_the_phone_was_told_outlasts_a_power_cut(tmp_path: Path) -> None:
    book, told = tmp_path / "book", list[bool]()
    book.mkdir()
    cuts = Cuts(book, lambda: bool(told))
    with cuts.on():
        incoming = Incoming(book)
        incoming.begin()
        told.append(incoming.put(photo(1), ".jpg", HERE))
    for number, (said, left) in enumerate(cuts.in_turn()):
        place = tmp_path / f"cut{number}"
        lay_out(left, place)
        waiting = [(one.path.read_bytes(), one.bench.words) for one in Incoming(place / "book").waiting()]
        assert waiting == [(photo(1), HERE.words)] or not (said or waiting)


async def test_many_at_once(incoming: Incoming) -> None:
    async with a_phone(incoming) as phone:
        answers = await asyncio.gather(*(phone.send(photo(n), f"number{n:04}") for n in range(12)))
        assert {status for status, _ in answers} == {200}
        assert len(files(incoming)) == 12


async def test_two_hundred_mutated_pictures(incoming: Incoming) -> None:
    """The benchmark folder sends many more; here a few so that every run does."""
    chance = random.Random(7)
    seeds = [photo(n, form) for n, form in enumerate(("JPEG", "PNG", "WEBP", "HEIF"))]
    minutes = itertools.count(0.0, 61.0)
    async with a_phone(incoming, clock=lambda: next(minutes)) as phone:
        for n in range(200):
            raw = bytearray(chance.choice(seeds))
            for _ in range(chance.randint(1, 20)):
                raw[chance.randrange(len(raw))] = chance.randrange(256)
            status, words = await phone.send(bytes(raw[: chance.randint(0, len(raw))]), f"number{n:04}")
            assert status in (200, 415)
            assert words


# Taking in


@pytest.fixture
def book(tmp_path: Path) -> Any:
    with Session.open(tmp_path / "book") as session:
        session.add_unit(unit(step("T01", "plug"), step("T02", "back panel")))
        yield session


def test_it_lands_where_the_bench_was(book: Session) -> None:
    incoming = Incoming(book.path)
    incoming.begin()
    incoming.put(photo(1), ".jpg", HERE)
    incoming.put(photo(2), ".jpg", Bench("R1", at_step("T99"), "a step that is gone"))
    said = take_in(book, incoming)
    assert [s for s, _ in said] == ["Photo from the phone: R1 T02.", "Photo from the phone: R1 the whole unit."]
    assert [(p.spot, p.photo.linked) for p in photos_of(book.unit("R1"))] == [
        (Spot(), LinkBasis.PHONE),
        (at_step("T02"), LinkBasis.PHONE),
    ]
    assert files(incoming) == []
    incoming.put(photo(1), ".jpg", HERE)
    assert take_in(book, incoming) == [("The picture from the phone is at R1 T02 already.", True)]
    assert len(list(photos_of(book.unit("R1")))) == 2


def test_with_nothing_open_the_only_unit_takes_it_and_else_it_waits(book: Session) -> None:
    incoming = Incoming(book.path)
    incoming.begin()
    incoming.put(photo(1), ".jpg", NOWHERE)
    assert take_in(book, incoming)[0][1]
    book.add_unit(unit(code="G1"))
    incoming.put(photo(2), ".jpg", NOWHERE)
    told: set[Path] = set()
    ((sentence, went_well),) = take_in(book, incoming, told=told)
    assert not went_well
    assert "no unit is open" in sentence
    assert len(files(incoming)) == 1
    assert take_in(book, incoming, told=told) == []


def test_what_waits_for_a_unit_holds_up_no_other_and_goes_to_the_unit_opened_next(book: Session) -> None:
    book.add_unit(unit(code="G1"))
    incoming = Incoming(book.path)
    incoming.begin()
    for n in range(7):
        incoming.put(photo(n), ".jpg", NOWHERE if n else Bench("Q9", words="a unit that is gone"))
    incoming.put(photo(8), ".jpg", HERE)
    told: set[Path] = set()
    said = take_in(book, incoming, told=told)
    assert ("Photo from the phone: R1 T02.", True) in said
    assert len(files(incoming)) == 7
    assert len(take_in(book, incoming, Bench("G1"), told)) == 5
    assert len(take_in(book, incoming, Bench("G1"), told)) == 2
    assert files(incoming) == []
    assert len(list(photos_of(book.unit("G1")))) == 7


def test_a_picture_whose_place_the_disk_refuses_waits_until_it_is_kept(
    book: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    incoming = Incoming(book.path)
    incoming.begin()
    incoming.put(photo(1), ".jpg", HERE)
    incoming.put(photo(2), ".jpg", HERE)

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(disk, "fdatasync", full)
        ((sentence, went_well),) = take_in(book, incoming)
        assert sentence.startswith("A picture from the phone waits:")
        assert not went_well
        assert take_in(book, incoming) == []
        assert len(files(incoming)) == 2
    assert book.retry()
    assert all(went_well for _, went_well in take_in(book, incoming))
    assert files(incoming) == []
    assert len(list(photos_of(book.unit("R1")))) == 2


def test_after_a_crash_what_was_told_kept_is_still_taken_in(book: Session) -> None:
    incoming = Incoming(book.path)
    incoming.begin()
    incoming.put(photo(1), ".jpg", HERE)
    (incoming.folder / ".in-half").write_bytes(b"half")
    again = Incoming(book.path)
    again.begin()
    assert not (again.folder / ".in-half").exists()
    assert take_in(book, again)[0] == ("Photo from the phone: R1 T02.", True)


def test_the_place_is_told_to_a_page_in_another_process(book: Session) -> None:
    incoming = Incoming(book.path)
    assert incoming.bench() == NOWHERE
    incoming.begin()
    incoming.say_bench(HERE)
    assert incoming.bench() == HERE
    (incoming.folder / ".bench").write_text("{")
    assert incoming.bench() == NOWHERE
