"""Faults put into every effect on the disk, one at a time."""

from __future__ import annotations

import contextlib
import errno
from typing import TYPE_CHECKING, Any

from logbook import disk

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

DEATHS = ("before", "after", "half")
"""The process ends before the effect, after it, or in the middle of a write."""


class Death(BaseException):
    """The process ended here: no effect follows, whatever the program still tries."""


class Faults:
    """Numbers every effect. At number `at` the fault `what` happens, from then on always if it `stays`.

    A fault is one of `DEATHS`, or an error number, or `short`: half a write and then a full disk.
    """

    def __init__(self, at: int = 0, what: object = None, *, stays: bool = False) -> None:
        self.at, self.what, self.stays = at, what, stays
        self.count = 0
        self.dead = False
        self.names: list[str] = []

    def heal(self) -> None:
        """From now on every effect works."""
        self.at = 0

    def wrap(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def effect(*arguments: Any) -> Any:
            if self.dead:
                raise Death
            self.count += 1
            self.names.append(name)
            if not self.at or (self.count != self.at and not (self.stays and self.count > self.at)):
                return real(*arguments)
            if self.what in ("half", "short") and name == "write":
                descriptor, raw = arguments
                real(descriptor, bytes(raw)[: len(raw) // 2])
            if self.what == "after" or name == "close":  # a failing close has still closed
                with contextlib.suppress(OSError):
                    real(*arguments)
            if self.what in DEATHS:
                self.dead = True
                raise Death
            raise OSError(errno.ENOSPC if self.what == "short" else self.what, "injected")

        return effect

    @contextlib.contextmanager
    def on(self) -> Iterator[Faults]:
        real = {name: getattr(disk, name) for name in disk.EFFECTS}
        for name, function in real.items():
            setattr(disk, name, self.wrap(name, function))
        try:
            yield self
        finally:
            for name, function in real.items():
                setattr(disk, name, function)
