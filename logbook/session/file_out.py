"""The one writer of files outside the records: whole or not at all, and over nothing unless that was said."""

from __future__ import annotations

import errno
import os
from pathlib import Path

from logbook import disk
from logbook.errors import InputError
from logbook.files import flush_folder, remove_quietly, write_under_own_name

RECORDS = frozenset({"book.json", "drafts.json", "shop", "units", "removed"})
"""What in the folder of a book is the book itself. Prints may lie beside it, but never in it."""

INSTEAD = "Name another one, or say --replace."
"""What can be done when a file is there already."""

CANNOT_FLUSH = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EACCES})
"""What a folder answers, outside a book, whose names cannot be flushed at all; then they are left to the system."""


def put_file(target: Path, raw: bytes, *, name: str = "", replace: bool = False, instead: str = INSTEAD) -> Path:
    """Write a file; when this returns it is whole and on the disk.

    Args:
        target: the file; its folder must be there.
        raw: what it is to hold.
        name: what the file is called when `target` is a folder.
        replace: whether a file that is there may be replaced. Nothing of a book ever is.
        instead: the sentence on what to do when there is such a file.

    Raises:
        InputError: something is there already, or the disk refuses; nothing was changed.

    Returns:
        The file.
    """
    if "\0" in str(target):
        raise InputError("That is not the name of a file.")
    try:
        target = target / name if name and target.is_dir() else target
        _refuse_what_is_no_place(target)
        _put(target, raw, replace=replace)
    except FileExistsError as error:
        raise InputError(f"There is already a file {target}; it was left alone. {instead}") from error
    except OSError as error:
        raise InputError(f"{target} could not be written: {_why(error, target)}") from error
    return target


def _refuse_what_is_no_place(target: Path) -> None:
    if book := _book_of(target):
        raise InputError(f"{target} belongs to the records of the book {book}. Name a file elsewhere.")
    if target.is_dir():
        raise InputError(f"{target} is a folder. Name a file in it.")
    if target.exists() and not target.is_file():
        raise InputError(f"{target} is no ordinary file. Name another one, or “-” for the output.")


def _book_of(target: Path) -> Path | None:
    """The book to whose records a file belongs or would belong; None when it lies outside."""
    real = Path(os.path.realpath(target))
    for folder in real.parents:
        first = real.relative_to(folder).parts[0]
        is_of_records = first in RECORDS or first.startswith(".")
        if is_of_records and (folder / "book.json").is_file() and (folder / "units").is_dir():
            return folder
    return None


def _put(target: Path, raw: bytes, *, replace: bool) -> None:
    """Write beside the place and move there; without `replace` only while nothing is there. Raises OSError."""
    if target.exists() and not replace:
        raise FileExistsError(target)
    path = os.path.realpath(target) if replace else os.path.abspath(target)
    beside = write_under_own_name(path, raw)
    try:
        if replace:
            disk.rename(beside, path)
        else:
            _give_name(beside, path)
    except BaseException:
        remove_quietly(beside)
        raise
    try:
        flush_folder(os.path.dirname(path))
    except OSError as error:
        if error.errno not in CANNOT_FLUSH:
            if not replace:
                remove_quietly(path)
            raise


def _give_name(beside: str, path: str) -> None:
    """Name the file as wanted, only while nothing has that name. Raises OSError."""
    try:
        disk.link(beside, path)
    except FileExistsError:
        raise
    except OSError as error:
        has_no_second_names = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK}
        if error.errno not in has_no_second_names:
            raise
        if os.path.exists(path):
            raise FileExistsError(path) from error
        disk.rename(beside, path)
    else:
        remove_quietly(beside)


def _why(error: OSError, target: Path) -> str:
    """Why a file could not be written, and what to do."""
    if error.errno == errno.ENAMETOOLONG:
        return "the name is too long. Name a shorter one."
    if error.errno in {errno.ENOSPC, errno.EDQUOT}:
        return "the disk is full. Free some space, or name another place."
    if not target.parent.is_dir():
        return f"there is no folder {target.parent}. Make it first, or name another."
    if isinstance(error, PermissionError) or error.errno == errno.EROFS:
        return f"the folder {target.parent} may not be written to. Name another."
    return f"{error.strerror}. Name another place."
