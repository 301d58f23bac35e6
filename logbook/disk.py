"""Every effect on files that must last goes through the names of this module, so that a test can make any of them fail.

The functions are those of `os`, with the same arguments and errors. Callers write `disk.fsync(fd)`, never
`from disk import fsync`, so that a replaced name is seen everywhere.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

EFFECTS = (
    "open_",
    "read",
    "write",
    "fsync",
    "fdatasync",
    "close",
    "rename",
    "link",
    "unlink",
    "truncate",
    "mkdir",
    "rmdir",
)
"""The names a test may replace; together they are all that is done to a book on its disk."""

FOLDER_FLAGS = os.O_RDONLY | getattr(os, "O_DIRECTORY", 0)
"""How a folder is opened for flushing; the folder flag does not exist on every system."""


def open_(path: str, flags: int, mode: int = 0o666) -> int:
    """Open a file or folder and return its descriptor, as `os.open` does."""
    return os.open(path, flags, mode)


read: Callable[[int, int], bytes] = os.read
write: Callable[[int, bytes | memoryview], int] = os.write
fsync: Callable[[int], None] = os.fsync
fdatasync: Callable[[int], None] = getattr(os, "fdatasync", os.fsync)
"""Waits for the bytes and the size but not for times; the same as `fsync` where the system has no such call."""
close: Callable[[int], None] = os.close
rename: Callable[[str, str], None] = os.rename
link: Callable[[str, str], None] = os.link
unlink: Callable[[str], None] = os.unlink
truncate: Callable[[int, int], None] = os.ftruncate
mkdir: Callable[[str, int], None] = os.mkdir
rmdir: Callable[[str], None] = os.rmdir
