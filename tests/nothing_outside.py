"""Watches that a test writes nowhere but in its own folder, starts no program and connects to nothing."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

_WRITING = frozenset({"os.remove", "os.rename", "os.mkdir", "os.rmdir", "os.link", "os.symlink", "os.truncate"})
_NEVER = frozenset({"subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "socket.connect", "socket.bind"})


class _Watch:
    """What the audit hook knows; a hook cannot be taken away again, so it looks here whether it is wanted."""

    folder = ""
    found: list[str] = []
    hooked = False


def _audit(event: str, arguments: tuple[Any, ...]) -> None:
    if not _Watch.folder:
        return
    if event in _NEVER:
        _Watch.found.append(f"{event} {arguments!r:.200}")
    elif (event == "open" and _writes(arguments[1], arguments[2])) or event in _WRITING:
        _look_at(event, arguments[0])


def _writes(mode: object, flags: object) -> bool:
    if isinstance(mode, str):
        return any(sign in mode for sign in "wax+")
    return isinstance(flags, int) and bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))


def _look_at(event: str, path: object) -> None:
    if not isinstance(path, str | bytes | os.PathLike):
        return  # a file that is open already
    where = os.path.abspath(os.fsdecode(path))
    if not (where.startswith(_Watch.folder) or where == os.devnull or "__pycache__" in where):
        _Watch.found.append(f"{event} {where}")


@contextmanager
def nothing_outside(folder: Path) -> Iterator[list[str]]:
    """Everything done outside of `folder` meanwhile is put into the list given."""
    if not _Watch.hooked:
        sys.addaudithook(_audit)
        _Watch.hooked = True
    _Watch.folder, _Watch.found = str(folder), []
    try:
        yield _Watch.found
    finally:
        _Watch.folder = ""
