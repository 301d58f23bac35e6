"""A program on a real pseudo-terminal, its screen kept by a terminal emulator."""

from __future__ import annotations

import os
import select
import signal
import time
from types import TracebackType

import ptyprocess
import pyte

KEYS = {
    "enter": "\r",
    "escape": "\x1b",
    "tab": "\t",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "f1": "\x1bOP",
    "f2": "\x1bOQ",
    "f3": "\x1bOR",
    "f4": "\x1bOS",
    "f5": "\x1b[15~",
    "f6": "\x1b[17~",
    "backspace": "\x7f",
    "delete": "\x1b[3~",
    "pageup": "\x1b[5~",
    "pagedown": "\x1b[6~",
    "home": "\x1b[H",
    "end": "\x1b[F",
    "ctrl+c": "\x03",
}
"""What a terminal sends for keys that are no character (xterm, as in its control sequences document)."""


class Terminal:
    """Start `argv` in a terminal of that size; `press` keys, `wait_for` text, `kill` it."""

    def __init__(self, argv: list[str], rows: int = 24, columns: int = 80, **env: str) -> None:
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        base = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS", "LINES")}
        self.child = ptyprocess.PtyProcess.spawn(
            argv, dimensions=(rows, columns), env={**base, "TERM": "xterm-256color", **env}
        )
        self._text: str | None = None
        """The screen as it was read last; putting it together takes longer than most of what is asked of it."""
        self.pressed = 0
        """Keys pressed so far; each character of a text is one."""

    def press(self, *keys: str) -> None:
        """Press keys one after another: a name of `KEYS`, or text that is typed character by character."""
        for key in keys:
            self.pressed += 1 if key in KEYS else len(key)
            self.child.write(KEYS.get(key, key).encode())

    def read(self, seconds: float = 0.05) -> None:
        """Take in what the program wrote within that time."""
        if select.select([self.child.fd], [], [], seconds)[0]:
            try:
                written = os.read(self.child.fd, 65536)
            except OSError:
                return  # the program has ended
            self._stream.feed(written)
            self._text = None

    def text(self) -> str:
        """The screen, line by line."""
        if self._text is None:
            self._text = "\n".join(line.rstrip() for line in self.screen.display)
        return self._text

    def wait_for(self, wanted: str, seconds: float = 20.0) -> None:
        """Read until the text stands on the screen; AssertionError with the screen when it does not come."""
        end = time.monotonic() + seconds
        while wanted not in self.text():
            if time.monotonic() > end:
                raise AssertionError(f"{wanted!r} not on the screen:\n{self.text()}")
            self.read()

    def wait_for_end(self, seconds: float = 20.0) -> int:
        """Read until the program has ended; what it left behind."""
        end = time.monotonic() + seconds
        while self.child.isalive():
            if time.monotonic() > end:
                raise AssertionError(f"it has not ended:\n{self.text()}")
            self.read()
        return int(self.child.exitstatus)

    def kill(self) -> None:
        """End it as a power cut would."""
        self.child.kill(signal.SIGKILL)
        self.child.wait()

    def __enter__(self) -> Terminal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.child.close(force=True)
