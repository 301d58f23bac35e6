"""The whole interface in a browser, for a tablet at the bench: one program for each tab, behind one token.

Any web page that the tablet opens could otherwise reach this server, so the name it is asked under, the page a
connection comes from and the token are all looked at.
"""

from __future__ import annotations

import asyncio
import hmac
import os
import secrets
import shlex
import signal
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from logbook.errors import InputError
from logbook.model.templates import template_folder
from logbook.serve.address import KeptAddress
from logbook.serve.door import WRONG_A_MINUTE, Door, Rate
from logbook.serve.incoming import SERVED, Incoming
from logbook.serve.listening import Listening

NOT_ENCRYPTED = "Nothing is encrypted: whoever is in this network can read along and use the addresses."
COOKIE = "logbook"


class Served:
    """What is served: the interface, and the page for the phone beside it."""

    def __init__(self, book: Path, host: str, port: int) -> None:
        self.book, self.host, self.port = book, host, port
        self.incoming = Incoming(book)
        self.door = Door(self.incoming, self.incoming.bench, address=KeptAddress(book))
        self.door.trust(f"{host}:{port}")
        self.token = secrets.token_urlsafe(24)
        self._wrong = Rate(WRONG_A_MINUTE)
        self.base = f"http://{host}:{port}"

    @property
    def address(self) -> str:
        """What the tablet opens; the token goes into a cookie and out of the address line."""
        return f"{self.base}/?token={self.token}"

    @property
    def phone_address(self) -> str:
        """What the phone opens."""
        return f"{self.base}/phone/{self.door.token}"

    async def application(self) -> Any:
        """The web application.

        Raises:
            InputError: the libraries are not installed.
        """
        web, server = self._server()

        async def guard(request: Any, handler: Callable[[Any], Awaitable[Any]]) -> Any:
            return await self._guard(request, handler)

        app = web.Application(middlewares=[web.middleware(guard)])
        import aiohttp_jinja2
        import jinja2

        aiohttp_jinja2.setup(app, loader=jinja2.FileSystemLoader(template_folder("browser")))
        app.add_routes(
            [
                web.get("/", server.handle_index, name="index"),
                web.get("/ws", server.handle_websocket, name="websocket"),
                web.static("/static", server.statics_path, show_index=False, name="static"),
            ]
        )
        app.add_subapp("/phone", self.door.application())
        return app

    def _server(self) -> tuple[Any, Any]:
        try:
            from aiohttp import web
            from textual_serve.server import Server
        except ImportError as error:
            raise InputError(
                "The interface in a browser needs libraries that are not installed: "
                "pip install 'restorers-logbook[serve,photos]'."
            ) from error
        command = "exec " + shlex.join([sys.executable, "-m", "logbook", "--book", str(self.book)])
        return web, Server(command, host=self.host, port=self.port, title="Logbook", public_url=self.base)

    async def _guard(self, request: Any, handler: Callable[[Any], Awaitable[Any]]) -> Any:
        from aiohttp import web

        if request.path.startswith("/phone/"):
            return await handler(request)  # the door looks for itself
        if request.host != f"{self.host}:{self.port}":
            return _say(403, "This page answers only under the address that the logbook shows.")
        if request.path == "/ws" and request.headers.get("Origin") != self.base:
            return _say(403, "Another page may not reach the logbook.")
        in_address = request.query.get("token", "")
        given = in_address or request.cookies.get(COOKIE, "")
        if not hmac.compare_digest(given.encode("utf-8", "replace"), self.token.encode()):
            return self._wrong_address()
        if in_address:
            answer = web.Response(status=302, headers={"Location": "/", "Referrer-Policy": "no-referrer"})
            answer.set_cookie(COOKIE, self.token, httponly=True, samesite="Strict")
            return answer
        answer = await handler(request)
        if not answer.prepared:
            answer.headers.setdefault("X-Content-Type-Options", "nosniff")
            answer.headers.setdefault("X-Frame-Options", "DENY")
            answer.headers.setdefault("Referrer-Policy", "no-referrer")
        return answer

    def _wrong_address(self) -> Any:
        if not self._wrong.allows():
            return _say(429, "Too many wrong addresses. Wait a minute, then open the one that the logbook shows.")
        return _say(403, "This address is wrong, or old. Open the one that the logbook shows now.")

    def run(self, say: Callable[[str], None]) -> None:
        """Serve until interrupted.

        Args:
            say: told what to open, once it can be opened.

        Raises:
            InputError: the address cannot be had, or a library is missing.
        """
        self._server()
        self.incoming.begin()
        os.environ[SERVED] = "1"
        try:
            asyncio.run(self._serve(lambda: say(self._words())))
        except OSError as error:
            raise InputError(f"{self.base} cannot be had: {error.strerror or error}. Try another --port.") from error

    def _words(self) -> str:
        words = f"On the tablet open {self.address}\nOn the phone open  {self.phone_address}\n"
        if self.host != "127.0.0.1":
            words += f"{NOT_ENCRYPTED}\n"
        return f"{words}Ctrl+C ends both.\n"

    async def _serve(self, opened: Callable[[], object]) -> None:
        """Serve until the process is asked to end. Raises OSError when the address cannot be had."""
        listening = Listening(await self.application())
        await listening.open(self.host, self.port)
        asked_to_end = asyncio.Event()
        for number in (signal.SIGINT, signal.SIGTERM):
            asyncio.get_running_loop().add_signal_handler(number, asked_to_end.set)
        try:
            opened()
            await asked_to_end.wait()
        finally:
            await listening.close()


def _say(status: int, words: str) -> Any:
    from aiohttp import web

    headers = {"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cache-Control": "no-store"}
    return web.Response(status=status, text=words + "\n", content_type="text/plain", headers=headers)
