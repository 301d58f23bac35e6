"""The door for the phone: off unless opened, one random token that holds until a person closes it.

Through it come pictures and, when a book is open behind it, the lines, ticks and purchases of `phone_routes.py`.

What a client sends is never a path, a name or markup here: a picture is kept under its checksum, and every
answer is one plain sentence.
"""

from __future__ import annotations

import asyncio
import hmac
import secrets
import socket
import time
from collections import deque
from collections.abc import Awaitable, Callable
from typing import TYPE_CHECKING, Any

from logbook.errors import InputError, LogbookError
from logbook.model.edits import next_step_code
from logbook.model.photo_edits import WHOLE_UNIT, at_step
from logbook.photos.picture_file import ENDINGS, look, small
from logbook.photos.pillow import MOST_BYTES
from logbook.render.plain import clean
from logbook.serve.address import KeptAddress
from logbook.serve.incoming import Bench, Incoming
from logbook.serve.listening import Listening
from logbook.serve.phone_page import page
from logbook.serve.phone_picture_places import PicturePlace, kept_last
from logbook.serve.phone_routes import PhoneRoutes, base_of, send_file
from logbook.session import Session

if TYPE_CHECKING:
    from aiohttp import web

MOST_A_MINUTE = 60
"""Pictures taken in one minute; a burst of a phone is less."""

CHANGES_A_MINUTE = 120
"""Lines, ticks and the like kept in one minute; what comes faster is sent again."""

READINGS_A_MINUTE = 600
"""A line is read while it is typed: by two phones, five times a second."""

WRONG_A_MINUTE = 30
"""Wrong addresses answered in one minute, after which nothing is answered for a while."""

AT_ONCE = 2
"""Pictures received and looked at at the same time; each may take a hundred megabytes while it is decoded."""

BODY_SECONDS = 60.0
"""A picture must be here within this time; the phone sends it again."""

KEPT = "Logbook-Kept"
"""The header that names a picture which is on the disk. Only then may the phone forget it."""

_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


class Rate:
    """So many in a minute and no more."""

    def __init__(self, most: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._clock = most, clock
        self._times: deque[float] = deque()

    def allows(self) -> bool:
        """Whether one more may come now; counts it when it may."""
        now = self._clock()
        while self._times and now - self._times[0] > 60:
            self._times.popleft()
        if len(self._times) >= self._most:
            return False
        self._times.append(now)
        return True


class Door:
    """A small server for one page. Open it in a running event loop; close it to end it."""

    def __init__(
        self,
        incoming: Incoming,
        bench: Callable[[], Bench],
        *,
        limit: int = MOST_BYTES,
        clock: Callable[[], float] = time.monotonic,
        address: KeptAddress | None = None,
        body_seconds: float = BODY_SECONDS,
        session: Session | None = None,
        told: Callable[[str], None] = lambda _: None,
    ) -> None:
        """Make the door.

        Args:
            incoming: where pictures are kept until they are taken in.
            bench: says where the bench is now.
            limit: bytes of one picture at most.
            clock: seconds, for the limits by the minute.
            address: the token and port that this book's page had before; None makes a token for this run.
            body_seconds: how long a picture may take to come in.
            session: the open book, where lines and ticks from the phone go; None takes pictures alone.
            told: told in a sentence what the phone kept.
        """
        self._incoming, self._bench, self._limit = incoming, bench, limit
        self._address, self._body_seconds = address, body_seconds
        self.token = address.token if address is not None else secrets.token_urlsafe(16)
        self._pictures, self._wrong = Rate(MOST_A_MINUTE, clock), Rate(WRONG_A_MINUTE, clock)
        self._changes, self._readings = Rate(CHANGES_A_MINUTE, clock), Rate(READINGS_A_MINUTE, clock)
        self._session, self._told = session, told
        self._seen: dict[str, str] = {}
        self._looking = asyncio.Semaphore(AT_ONCE)
        self._listening: Listening | None = None
        self._hosts: frozenset[str] = frozenset()
        self.address = ""
        """What the phone opens; empty while the door is closed."""
        self.taken = 0
        """Pictures kept since it was opened."""

    async def open(self, host: str = "127.0.0.1", port: int = 0) -> str:
        """Open it on one address of this machine; gives what the phone opens.

        Without a port it is the one that the book's page had before, when that is free.

        Raises:
            InputError: the library is not installed, or the address cannot be had.
        """
        _library()
        before = self._address.port if self._address is not None and not port else 0
        try:
            try:
                port = await self._listen(host, before or port)
            except OSError:
                if not before:
                    raise
                port = await self._listen(host, 0)  # another program has the port now
        except OSError as error:
            raise InputError(f"The page cannot be opened on {host}: {error.strerror or error}.") from error
        if self._address is not None:
            self._address.opened_on(port)
        self.trust(f"{host}:{port}")
        self.address = f"http://{host}:{port}/{self.token}"
        return self.address

    async def _listen(self, host: str, port: int) -> int:
        listening = Listening(self.application())
        had = await listening.open(host, port)
        self._listening = listening
        return had

    def trust(self, *hosts: str) -> None:
        """Say under which names this machine may be asked; any other name is refused (DNS rebinding)."""
        self._hosts = frozenset(hosts)

    def application(self) -> Any:
        """The web application with its addresses."""
        web = _library()
        app = web.Application(client_max_size=self._limit, middlewares=[self._guard()])
        app.router.add_get("/{token}", self._page)
        app.router.add_get("/{token}/", self._page)
        app.router.add_get("/{token}/where", self._where)
        app.router.add_post("/{token}/photo", self._photo)
        app.router.add_get("/{token}/file/{name}", send_file)
        if self._session is not None:
            self._routes(self._session).add_to(app)
        else:
            for place in BOOK_PLACES:
                app.router.add_get(f"/{{token}}/{place}", self._only_pictures)
        return app

    def _routes(self, session: Session) -> PhoneRoutes:
        return PhoneRoutes(
            session,
            bench=lambda: self._bench().unit,
            told=self._told,
            allows_reading=self._readings.allows,
            allows_change=self._changes.allows,
            say=self._say,
            kept_header=KEPT,
            body_seconds=self._body_seconds,
        )

    async def _only_pictures(self, request: web.Request) -> Any:  # noqa: ARG002 - what a handler is given
        return self._say(404, "This page takes only pictures. Press P in the logbook itself, and open that one.")

    async def close(self) -> None:
        """Close it; opened again, also in another run, it has the same address."""
        self.address = ""
        if self._listening is not None:
            await self._listening.close()
            self._listening = None

    async def end(self) -> None:
        """Close it for good: whoever still has the address cannot come in with it any more."""
        await self.close()
        if self._address is not None:
            self._address.end()
            self.token = self._address.token

    # Who may come in

    def _guard(self) -> Any:
        web = _library()

        async def guard(request: Any, handler: Callable[[Any], Awaitable[Any]]) -> Any:
            try:
                answer = self._refused(request) or await handler(request)
            except web.HTTPRequestEntityTooLarge:
                answer = self._say(413, f"That is too large: a photo has at most {self._limit // 2**20} MB.")
            except web.HTTPException as error:
                answer = self._say(error.status, _HTTP_WORDS.get(error.status, "That is not possible here."))
            for name, value in _HEADERS.items():
                answer.headers.setdefault(name, value)
            return answer

        return web.middleware(guard)

    def _refused(self, request: web.Request) -> Any:
        """The answer to somebody who may not come in; None for who may."""
        if self._hosts and request.host not in self._hosts:
            return self._say(403, "This page answers only under the address that the logbook shows.")
        # Looked for among all parts of the address: what is no address of the page names no token of its own.
        token = self.token.encode()
        if any(hmac.compare_digest(part.encode("utf-8", "replace"), token) for part in request.path.split("/")):
            return None
        if not self._wrong.allows():
            return self._say(429, "Too many wrong addresses. Wait a minute, then open the one that the logbook shows.")
        return self._say(403, "This address is wrong, or old. Open the one that the logbook shows now.")

    def _say(self, status: int, words: str) -> Any:
        return _library().Response(status=status, text=clean(words, limit=500) + "\n", content_type="text/plain")

    # What there is

    async def _page(self, request: web.Request) -> Any:
        nonce = secrets.token_urlsafe(16)
        policy = (
            f"default-src 'none'; script-src 'nonce-{nonce}'; style-src 'nonce-{nonce}'; connect-src 'self'; "
            "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        )
        values = {"alone": self._session is None, "kept_last": self._kept_last()}
        text = page("picture", base_of(request), nonce, values)
        return _library().Response(text=text, content_type="text/html", headers={"Content-Security-Policy": policy})

    async def _where(self, request: web.Request) -> Any:  # noqa: ARG002 - what a handler is given
        return self._say(200, self._bench().words)

    async def _photo(self, request: web.Request) -> Any:
        ident = request.query.get("id", "")
        if not (ident.isascii() and ident.isalnum() and 8 <= len(ident) <= 64):
            return self._say(400, "The page is an old one. Load it again.")
        if ident in self._seen:  # the answer was lost on the way; the picture was not
            return self._say_kept(ident, self._seen[ident])
        if not self._pictures.allows():
            return self._say(429, "Too many pictures in one minute.")
        return await self._received(request, ident)

    def _kept_last(self) -> PicturePlace | None:
        """The step kept last, while the next one is being written at the bench; None when no other place is near."""
        bench = self._bench()
        if self._session is None or not bench.for_next or bench.unit not in self._session.codes():
            return None
        return kept_last(self._session.unit(bench.unit))

    def _place(self, to: str) -> Bench:
        """Where a picture goes: to the step that the phone names, or to what is open at the bench.

        Args:
            to: “R1/T02” for a step that was kept, “R1/” for the one that is being written.
        """
        code, _, step = to.partition("/")
        if self._session is None or code not in self._session.codes():
            return self._bench()
        unit = self._session.unit(code)
        if not step:
            here = f"{code} {next_step_code(unit)}, the step being written"
            return Bench(code, WHOLE_UNIT, here, for_next=True)
        kept = unit.step(step)
        if kept is None:
            return self._bench()
        return Bench(code, at_step(kept.code), f"{code} {kept.code} {clean(kept.what, limit=40)}")

    async def _received(self, request: web.Request, ident: str) -> Any:
        try:
            async with asyncio.timeout(self._body_seconds), self._looking:  # no more than two are in memory
                raw = await request.read()
                bench = self._place(request.query.get("to", ""))
                new = await asyncio.to_thread(self._kept, raw, bench)
        except TimeoutError:
            return self._say(408, "The picture did not come in time.")
        except InputError as error:
            return self._say(415, str(error))
        except LogbookError as error:
            return self._say(507, str(error))
        where = f"Kept: {bench.words}." if bench.unit else "Kept. It waits until a unit is opened at the bench."
        words = where if new else "That picture was sent before; it is kept once."
        self.taken += new
        self._seen[ident] = words
        while len(self._seen) > 2000:
            del self._seen[next(iter(self._seen))]
        return self._say_kept(ident, words)

    def _say_kept(self, ident: str, words: str) -> Any:
        answer = self._say(200, words)
        answer.headers[KEPT] = ident
        return answer

    def _kept(self, raw: bytes, bench: Bench) -> bool:
        """Look at every point of the picture, so that nothing broken is called kept; then put it on disk."""
        name = "The picture"
        picture = look(raw, name)
        small(raw, name, (64, 64))
        return self._incoming.put(raw, ENDINGS[picture.format], bench)


BOOK_PLACES = ("apart", "back", "saw", "buy")
"""The pages about the book that is open behind the door."""

_HTTP_WORDS = {
    404: "There is nothing here.",
    405: "That cannot be done here.",
}


def _library() -> Any:
    """The web library. Raises InputError when it is not installed."""
    try:
        from aiohttp import web
    except ImportError as error:
        raise InputError(
            "The page for the phone needs a library that is not installed: "
            "pip install 'restorers-logbook[serve,photos]'."
        ) from error
    return web


def local_address() -> str:
    """This machine's own address on the local network; 127.0.0.1 when it has none. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address for documentation, never routed
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
