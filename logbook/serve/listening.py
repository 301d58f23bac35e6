"""A listening server that nobody can fill up: so many connections, each so long until it has asked for something."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from aiohttp import web

MOST_CONNECTIONS = 64
"""At the same time. A phone keeps two or three, a browser six."""
HEADER_SECONDS = 10.0
"""From the connection until a whole request came, or it is closed."""
IDLE_SECONDS = 15.0
"""How long a connection is kept open for another request."""

_quiet = logging.getLogger("logbook.serve.http")
_quiet.addHandler(logging.NullHandler())
_quiet.propagate = False  # what a stranger sends must not be printed into the terminal


class _Full(asyncio.Protocol):
    """Ends a connection at once."""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """There is no room for it."""
        if isinstance(transport, asyncio.Transport):
            transport.abort()


class Listening:
    """Serves a web application on one address of this machine."""

    def __init__(self, app: Any, *, most: int = MOST_CONNECTIONS, clock: Callable[[], float] = time.monotonic) -> None:
        self._most, self._clock = most, clock
        self._came: dict[Any, float] = {}
        """Connections that have not asked for anything yet, and since when."""
        self._runner = _runner(app, self._asked)
        self._server: asyncio.Server | None = None
        self._sweeping: asyncio.Task[None] | None = None

    async def open(self, host: str, port: int) -> int:
        """Listen; the port that was had. Raises OSError."""
        await self._runner.setup()
        loop = asyncio.get_running_loop()
        try:
            self._server = await loop.create_server(self._connection, host, port, backlog=128)
        except OSError:
            await self._runner.cleanup()
            raise
        self._sweeping = loop.create_task(self._sweep())
        had: int = self._server.sockets[0].getsockname()[1]
        return had

    async def close(self) -> None:
        """Stop listening and end what is open."""
        if self._sweeping is not None:
            self._sweeping.cancel()
        if self._server is not None:
            self._server.close()
        await self._runner.cleanup()

    @property
    def connections(self) -> int:
        """How many there are now."""
        server = self._runner.server
        return 0 if server is None else len(server.connections)

    def _connection(self) -> asyncio.Protocol:
        server = self._runner.server
        if server is None or self.connections >= self._most:
            return _Full()
        handler: asyncio.Protocol = server()
        self._came[handler] = self._clock()
        return handler

    def _asked(self, handler: Any) -> None:
        self._came.pop(handler, None)

    async def _sweep(self) -> None:
        while True:
            await asyncio.sleep(1)
            self.sweep()

    def sweep(self) -> None:
        """Close every connection that has had its time and asked for nothing."""
        too_old = self._clock() - HEADER_SECONDS
        for handler, since in list(self._came.items()):
            if since > too_old:
                continue
            del self._came[handler]
            transport = getattr(handler, "transport", None)
            if transport is not None:
                transport.abort()


def _runner(app: Any, asked: Callable[[Any], None]) -> web.AppRunner:
    from aiohttp import web

    @web.middleware
    async def noticed(request: Any, handler: Any) -> Any:
        asked(request.protocol)
        return await handler(request)

    app.middlewares.insert(0, noticed)
    return web.AppRunner(
        app, access_log=None, logger=_quiet, handle_signals=False, keepalive_timeout=IDLE_SECONDS, shutdown_timeout=2.0
    )
