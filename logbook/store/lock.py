"""One writer per book, and who it is."""

from __future__ import annotations

import os
import socket
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import orjson

from logbook.files import read_file, replace_loosely
from logbook.model.moments import by_this_computer

if TYPE_CHECKING:
    from collections.abc import Callable

    from filelock import BaseFileLock


@dataclass(frozen=True, slots=True)
class Holder:
    """The program that writes in the book."""

    pid: int
    host: str
    since: datetime | None
    by: str = ""

    def __str__(self) -> str:
        who = f"{self.by}, " if self.by else ""
        since = f", since {by_this_computer(self.since)}" if self.since else ""
        return f"{who}process {self.pid} on {self.host}{since}"


class BookLock:
    """The lock of a book. It ends with the process that holds it, so a lock left behind never blocks.

    The card that says who holds it is a file of its own: taking a lock may empty the lock file.
    """

    def __init__(self, folder: str) -> None:
        self._path = os.path.join(folder, ".lock")
        self._card = os.path.join(folder, ".holder.json")
        self._lock: BaseFileLock | None = None
        self._mine: os.stat_result | None = None

    @property
    def held(self) -> bool:
        """Whether this program took the lock."""
        return self._lock is not None

    def take(self, by: str, now: Callable[[], datetime]) -> bool:
        """Try to take the lock without waiting; False if another program has it.

        Raises:
            OSError: the folder cannot be written at all.
        """
        from filelock import FileLock, Timeout  # 30 ms, not needed to read

        lock = FileLock(self._path, timeout=0, thread_local=False)
        try:
            lock.acquire()
        except Timeout:
            return False
        try:
            self._mine = os.stat(self._path)
        except OSError:  # the file was removed at this moment
            lock.release()
            raise
        self._lock = lock
        card = {"pid": os.getpid(), "host": socket.gethostname(), "since": now().astimezone(UTC).isoformat(), "by": by}
        with suppress(OSError):  # without the card the lock still holds; others only cannot say whose it is
            replace_loosely(self._card, orjson.dumps(card))
        return True

    def still_mine(self) -> bool:
        """Whether the lock file is still the one that was taken; deleting it would let a second writer in."""
        if self._mine is None:
            return False
        try:
            return os.path.samestat(os.stat(self._path), self._mine)
        except OSError:
            return False

    def holder(self) -> Holder | None:
        """Who holds the lock, as far as the card says."""
        try:
            card = orjson.loads(read_file(self._card))
            since = datetime.fromisoformat(card["since"])
            return Holder(int(card["pid"]), str(card["host"]), since, str(card.get("by", "")))
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def release(self) -> None:
        """Give the lock back; its file stays, because removing it would split those who wait for it."""
        if self._lock is not None:
            self._lock.release()
        self._lock = self._mine = None
