"""A loop for programs on the screen whose time passes only while nothing is left to do.

Timers fire in their order without anybody waiting for them, so that thousands of keys take as long as the work
they cause, and the same keys lead to the same screens each time.
"""

from __future__ import annotations

import asyncio
import selectors
from collections.abc import Callable, Coroutine, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar
from unittest.mock import patch

from textual.app import App

T = TypeVar("T")

THREAD_SECONDS = 30.0
"""How long work in a thread is waited for before time passes all the same."""


class _NoWaiting(selectors.DefaultSelector):
    """Looks for input without waiting; the time that would have been waited is told instead."""

    loop: QuickLoop

    def select(self, timeout: float | None = None) -> list[tuple[selectors.SelectorKey, int]]:
        """What is ready now."""
        ready = super().select(0)
        if ready or timeout == 0:
            return ready
        if self.loop.threads or timeout is None:
            ready = super().select(THREAD_SECONDS)
        if not ready and timeout is not None:
            self.loop.passed += timeout
        return ready


class QuickLoop(asyncio.SelectorEventLoop):
    """An event loop with a clock of its own."""

    def __init__(self) -> None:
        selector = _NoWaiting()
        selector.loop = self
        self.passed = 0.0
        """Seconds on the loop's clock."""
        self.threads = 0
        """Pieces of work under way in threads; the clock stands still meanwhile."""
        super().__init__(selector)

    def time(self) -> float:
        """The loop's clock."""
        return self.passed

    def run_in_executor(self, executor: Any, func: Callable[..., Any], *args: Any) -> asyncio.Future[Any]:
        """Work in a thread, which is waited for."""
        self.threads += 1
        work = super().run_in_executor(executor, func, *args)
        work.add_done_callback(self._thread_over)
        return work

    def _thread_over(self, _: object) -> None:
        self.threads -= 1


def run_quickly(work: Coroutine[Any, Any, T]) -> T:
    """Run what a test does with a program on the screen, without waiting for any timer."""
    loop = QuickLoop()
    try:
        with its_time(loop):
            return loop.run_until_complete(work)
    finally:
        close(loop)


def close(loop: QuickLoop) -> None:
    """End what is left over on it."""
    for task in asyncio.all_tasks(loop):
        task.cancel()
    loop.run_until_complete(loop.shutdown_asyncgens())
    loop.run_until_complete(loop.shutdown_default_executor())
    loop.close()


async def settled(app: App[Any], seconds: float = 0.06) -> None:
    """Wait, by the clock of the loop, until keys have had their effect and the screen is drawn."""
    await asyncio.sleep(seconds)
    if app._exception is not None:
        raise app._exception


@contextmanager
def its_time(loop: QuickLoop) -> Iterator[None]:
    """The library for screens reads the same clock."""
    with (
        patch("textual._time.get_time", loop.time),
        patch("textual.message_pump.time", loop.time),
        patch("textual.command.monotonic", loop.time),
    ):
        yield
