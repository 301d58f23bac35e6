"""A long run by hand: where it begins, how far it is every minute, and one line at the end.

Every such run takes `HOW_MANY FIRST MINUTES`, all optional: it goes through that many numbers from `FIRST` on, or until
so many minutes are over, and its last line names the number with which the next run goes on. A number always stands for
the same attempt.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

EVERY = 60.0
"""Seconds between two lines that say how far it is."""


class LongRun:
    """Counts what was tried and what went wrong."""

    def __init__(self, what: str, how_many: int, first: int = 0) -> None:
        """What is tried, how often, and the first number, unless the command line says otherwise."""
        given = [float(word) for word in sys.argv[1:4]]
        wanted = [float(how_many), float(first), float("inf")]
        count, begin, minutes = given + wanted[len(given) :]
        self.what, self.how_many, self.first = what, int(count), int(begin)
        self.done = self.wrong = 0
        self.more = ""
        """What else the lines are to say, such as what was kept."""
        self._began = self._told = time.monotonic()
        self._end = self._began + 60 * minutes

    def numbers(self, step: int = 1) -> Iterator[int]:
        """The numbers in turn, every so many of them, until enough are done or the time is over."""
        while self.done < self.how_many and time.monotonic() < self._end:
            yield self.first + self.done
            self.done += min(step, self.how_many - self.done)
            if time.monotonic() - self._told >= EVERY:
                self._told = time.monotonic()
                print(self._line(), flush=True)

    def went_wrong(self, told: str) -> None:
        """Say at once what went wrong, and count it."""
        self.wrong += 1
        print(told, flush=True)

    def end(self) -> None:
        """The line that sums it up; the exit code says whether anything went wrong."""
        print(f"{self._line()}; go on from {self.first + self.done}", flush=True)
        sys.exit(1 if self.wrong else 0)

    def _line(self) -> str:
        more = f", {self.more}" if self.more else ""
        seconds = time.monotonic() - self._began
        return f"{self.done} of {self.how_many} {self.what}, {self.wrong} went wrong{more}, {seconds:.0f} s"


def place_in_memory() -> Path:
    """A folder for books, in memory where there is such a place, with the account's own folders in it."""
    folder = Path(tempfile.mkdtemp(dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None))
    os.environ.update(
        {f"XDG_{name}_HOME": str(folder / "home" / name) for name in ("STATE", "DATA", "CONFIG", "CACHE")}
    )
    return folder
