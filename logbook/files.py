"""Whole files: read, replaced durably, put aside; and the sentence a person reads when the disk refuses."""

from __future__ import annotations

import errno
import hashlib
import os
import secrets
import stat
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from logbook import disk
from logbook.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Iterator

REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EROFS: "the disk can only be read",
    errno.EACCES: "this account may not write there",
    errno.EPERM: "this account may not write there",
    errno.EMFILE: "too many files are open",
    errno.ENFILE: "too many files are open",
    errno.EIO: "the disk reported a fault",
    errno.ENOENT: "the file or its folder is no longer there",
    errno.ENOTDIR: "there is a file where a folder should be",
    errno.ENXIO: "there is a pipe or a device where a file should be",
    errno.EISDIR: "there is a folder where a file should be",
    errno.EFBIG: "the file would become too large for this disk",
    errno.ENAMETOOLONG: "the name is too long for this disk",
    errno.ESTALE: "the network disk lost the file",
}
REMEDIES = {
    errno.ENOSPC: "Free some space and try again",
    errno.EDQUOT: "Free some space and try again",
    errno.EROFS: "Move the book to a disk that can be written, or repair this one",
    errno.EACCES: "Look at who owns the folder and try again",
    errno.EPERM: "Look at who owns the folder and try again",
    errno.EMFILE: "Close other programs and try again",
    errno.ENFILE: "Close other programs and try again",
    errno.EIO: "Copy the book to another disk soon",
    errno.ENOENT: "Look whether the folder was moved, then open the book again",
}


def refusal(what: str, error: OSError) -> StoreError:
    """A sentence for a refused effect: `what` says what did not happen, e.g. "The change of R1 was not kept"."""
    code = error.errno or 0
    reason = REASONS.get(code) or os.strerror(code).lower() if code else "the disk refused"
    return StoreError(f"{what}: {reason}. {REMEDIES.get(code, 'Try again')}.")


@contextmanager
def opened(path: str, flags: int) -> Iterator[int]:
    """A descriptor of an ordinary file or a folder, closed at the end. Closing can fail too, and then raises.

    A pipe or a device in the place of a file is refused, and never waited for.
    """
    descriptor = disk.open_(path, flags | getattr(os, "O_NONBLOCK", 0))
    mode = os.fstat(descriptor).st_mode
    if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
        disk.close(descriptor)
        raise OSError(errno.ENXIO, "no ordinary file", path)
    try:
        yield descriptor
    except BaseException:
        with suppress(OSError):  # the first error is the one to tell
            disk.close(descriptor)
        raise
    disk.close(descriptor)


def read_all(descriptor: int) -> bytes:
    """Everything from the descriptor's position to the end of the file."""
    parts = []
    while part := disk.read(descriptor, 1 << 20):
        parts.append(part)
    return b"".join(parts)


def read_file(path: str, start: int = 0) -> bytes:
    """The bytes of a file from `start` on."""
    with opened(path, os.O_RDONLY) as descriptor:
        if start:
            os.lseek(descriptor, start, os.SEEK_SET)
        return read_all(descriptor)


def write_all(descriptor: int, raw: bytes) -> None:
    """Write every byte; a short write is not an error but a reason to go on."""
    view = memoryview(raw)
    while view:
        view = view[disk.write(descriptor, view) :]


def flush_file(descriptor: int) -> None:
    """Wait until the bytes of the file are on the disk."""
    disk.fsync(descriptor)


def flush_data(descriptor: int) -> None:
    """Wait until the bytes and the size of a file are on the disk; its times may follow later."""
    disk.fdatasync(descriptor)


def flush_folder(folder: str) -> None:
    """Wait until the names in a folder are on the disk: a renamed or new file can vanish in a power cut otherwise."""
    with opened(folder, disk.FOLDER_FLAGS) as descriptor:
        disk.fsync(descriptor)


def make_folder(folder: str, mode: int = 0o777) -> None:
    """Make one folder durably; one that is there already is fine, but its name may not be on the disk yet."""
    try:
        disk.mkdir(folder, mode)
    except FileExistsError:
        if not os.path.isdir(folder):
            raise
    flush_folder(os.path.dirname(folder))


def write_beside(path: str, raw: bytes, *, flush: bool = True) -> str:
    """Write `raw` into a temporary file beside `path` and return its name; the temporary file is gone on failure."""
    folder, name = os.path.split(path)
    beside = os.path.join(folder, f".{name}.new")
    _write(beside, os.O_TRUNC, raw, flush=flush)
    return beside


def write_under_own_name(path: str, raw: bytes, prefix: str = ".", ending: str = ".part") -> str:
    """As `write_beside`, under a name that no other writer has, so that several may write to one place at once."""
    beside = os.path.join(os.path.dirname(path), f"{prefix}{secrets.token_hex(6)}{ending}")
    _write(beside, os.O_EXCL, raw, flush=True)
    return beside


def _write(path: str, flag: int, raw: bytes, *, flush: bool) -> None:
    """Write a temporary file; it is gone on failure, unless it is another's (`O_EXCL`)."""
    try:
        with opened(path, os.O_WRONLY | os.O_CREAT | flag) as descriptor:
            write_all(descriptor, raw)
            if flush:
                flush_file(descriptor)
    except FileExistsError:
        raise
    except BaseException:
        remove_quietly(path)
        raise


def replace_durably(path: str, raw: bytes) -> None:
    """Put `raw` in the place of `path`: at every moment, also of a power cut, the old or the new file is whole."""
    move_durably(write_beside(path, raw), path)


def move_durably(beside: str, path: str) -> None:
    """Give a temporary file in the same folder its name, over what has it; it is gone on failure."""
    try:
        disk.rename(beside, path)
    except BaseException:
        remove_quietly(beside)
        raise
    flush_folder(os.path.dirname(path))


def replace_loosely(path: str, raw: bytes) -> None:
    """As `replace_durably` without waiting for the disk: for files that may be lost without harm."""
    beside = write_beside(path, raw, flush=False)
    try:
        disk.rename(beside, path)
    except BaseException:
        remove_quietly(beside)
        raise


def remove_quietly(path: str) -> None:
    """Remove a temporary file if that is possible; left behind, it is written over next time."""
    with suppress(OSError):
        disk.unlink(path)


def copy_by_link(source: str, target: str) -> None:
    """Give a file a second name, or copy its bytes on a disk that has no second names. The target must not exist."""
    try:
        disk.link(source, target)
    except FileExistsError:
        raise
    except OSError as error:
        if error.errno not in {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EMLINK, errno.ENOSYS, errno.EACCES}:
            raise
        replace_durably(target, read_file(source))


def set_aside(path: str, raw: bytes) -> str:
    """Keep the bytes of a damaged or foreign file in the folder `aside` and return the new path.

    The name carries a part of the checksum of the bytes, so the same damage met twice is kept once.
    """
    folder, name = os.path.split(path)
    stem, _, ending = name.lstrip(".").partition(".")
    aside = os.path.join(folder, "aside")
    target = os.path.join(aside, f"{stem}-{hashlib.sha256(raw).hexdigest()[:10]}.{ending or 'bin'}")
    make_folder(aside)
    if not os.path.exists(target):
        replace_durably(target, raw)
    return target


def stamp_of(path: str) -> tuple[int, int, int] | None:
    """What tells one state of a file from another without reading it: its number, size and time; None if not there."""
    try:
        status = os.stat(path)
    except OSError:
        return None
    return status.st_ino, status.st_size, status.st_mtime_ns
