"""20,000 mutated pictures through the reader and through the page for the phone: no crash, nothing outside its folder.

    python -m tests.benchmarks.photos_fuzz [HOW_MANY]

Every second one goes to the reader alone (header, small picture, copy without the place), every second one is sent
to a real server, one in ten of those under a wrong address or with a strange name. Each is a picture or a sentence.
Prints how many of each, and the slowest.
"""

from __future__ import annotations

import asyncio
import itertools
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import aiohttp

from logbook.errors import InputError
from logbook.photos.picture_file import look, small
from logbook.photos.private import without_place
from logbook.serve.door import Door
from logbook.serve.incoming import NOWHERE, Incoming
from tests.benchmarks.store_fuzz import mutated
from tests.photos.pictures import photo

STRANGE = ("../../unit.json", "%2e%2e%2f", "", "a" * 500, "0123456789abcdef\0")


def read(raw: bytes) -> str:
    """What the reader makes of it."""
    try:
        look(raw, "x")
        small(raw, "x", (64, 64))
        without_place(raw, "x")
    except InputError:
        return "refused"
    return "read"


async def send(client: aiohttp.ClientSession, door: Door, raw: bytes, n: int, chance: random.Random) -> str:
    """What the page for the phone answers."""
    token, ident = door.token, f"number{n:08}"
    if chance.random() < 0.1:
        token, ident = chance.choice([(token[:-1], ident), (token, chance.choice(STRANGE)), ("", ident)])
    base = door.address.rsplit("/", 1)[0]
    async with client.post(f"{base}/{token}/photo", params={"id": ident}, data=raw) as answer:
        await answer.read()
        assert answer.status in (200, 400, 403, 404, 405, 413, 415, 429), answer.status
        return f"answered {answer.status}"


async def main() -> None:
    """Mutate, send, count."""
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    chance, found, slowest = random.Random(11), Counter[str](), 0.0
    seeds = [
        photo(n, form, orientation=1 + n % 8, time="2026:03:12 20:41:07", offset="+01:00", place=True)
        for n, form in enumerate(("JPEG", "PNG", "WEBP", "HEIF") * 2)
    ]
    with tempfile.TemporaryDirectory() as name:
        incoming = Incoming(Path(name, "book"))
        incoming.folder.parent.mkdir()
        incoming.begin()
        minutes = itertools.count(0.0, 61.0)
        door = Door(incoming, lambda: NOWHERE, clock=lambda: next(minutes))
        await door.open()
        async with aiohttp.ClientSession() as client:
            for n in range(many):
                raw = mutated(chance.choice(seeds), chance)
                started = time.perf_counter()
                found[read(raw) if n % 2 else await send(client, door, raw, n, chance)] += 1
                slowest = max(slowest, time.perf_counter() - started)
                for one in incoming.waiting():
                    incoming.done(one)
        await door.close()
        outside = [p for p in Path(name).rglob("*") if p.is_file() and incoming.folder not in p.parents]
    assert not outside, outside
    print(f"{many} mutated pictures: {dict(sorted(found.items()))}, slowest {slowest * 1000:.0f} ms, none outside")


if __name__ == "__main__":
    asyncio.run(main())
