"""The folders of a book: which of them are units, which was removed, and moving one durably."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime

from logbook import disk
from logbook.errors import InputError, StoreError
from logbook.files import flush_folder, make_folder

CODE = re.compile(r"[A-Z][A-Z0-9]{0,7}\Z")
DEVICES = re.compile(r"(?:CON|PRN|AUX|NUL|(?:COM|LPT)[0-9])\Z")
"""Names that some systems keep for devices: a folder of that name could not be copied there."""
OURS = frozenset({"book.json", "shop", "units", "removed", "drafts.json", "aside"})
"""What may lie in the folder of a book that was cut short while it was made."""
REMOVED = re.compile(r"([A-Z][A-Z0-9]{0,7})-(\d{8}T\d{12}Z)\Z")


@dataclass(frozen=True, slots=True)
class Removed:
    """A unit that was taken out of the book and can be put back."""

    code: str
    when: datetime
    folder: str


def checked_code(code: str) -> str:
    """The code of a unit if it can safely name a folder; raises `InputError`."""
    if not CODE.match(code):
        raise InputError(f"“{code[:20]}” cannot name a unit. Use a capital letter, then up to 7 capitals or digits.")
    if DEVICES.match(code):
        raise InputError(f"“{code}” cannot name a unit: some systems keep this name for a device. Choose another.")
    return code


def is_blank(folder: str) -> bool:
    """Whether nothing is kept there: no folder, or one with nothing but temporary files."""
    try:
        return all(name.startswith(".") for name in os.listdir(folder))
    except FileNotFoundError:
        return True
    except OSError:
        return False


def unit_folders(book: str) -> tuple[list[str], list[str]]:
    """Codes of the units' folders in order, and names of other things among them, which are never touched.

    A blank folder is neither: its unit's beginning was cut short and never acknowledged. Raises `OSError` when nobody
    can say which there are.
    """
    codes, strange = [], []
    with os.scandir(os.path.join(book, "units")) as found:
        for item in sorted(found, key=lambda item: item.name):
            is_code = CODE.match(item.name) and not DEVICES.match(item.name)
            if is_code and item.is_dir(follow_symlinks=False):
                if not is_blank(item.path):
                    codes.append(item.name)
            elif not item.name.startswith("."):
                strange.append(item.name.encode("utf-8", "backslashreplace").decode())
    return codes, strange


def removed_name(code: str, moment: datetime) -> str:
    """Name of the folder of a unit that is removed at a moment."""
    return f"{code}-{moment.astimezone(UTC):%Y%m%dT%H%M%S%f}Z"


def removed_units(book: str) -> list[Removed]:
    """Units that can be put back, the latest first."""
    found = []
    with suppress(FileNotFoundError):
        for name in os.listdir(os.path.join(book, "removed")):
            if match := REMOVED.match(name):
                when = datetime.strptime(match[2], "%Y%m%dT%H%M%S%fZ").replace(tzinfo=UTC)
                found.append(Removed(match[1], when, name))
    return sorted(found, key=lambda removed: removed.when, reverse=True)


def make_book_folder(folder: str, *, create: bool) -> None:
    """Make the folder of a book if it is not there, with those above it; refuse a folder that is something else.

    Raises:
        StoreError: there is none and none may be made, or it holds other things.
        OSError: the disk refuses.
    """
    if os.path.isdir(folder):
        names = {name for name in os.listdir(folder) if not name.startswith(".")}
        if names - OURS and "book.json" not in names and "units" not in names:
            raise StoreError(f"{folder} is not a book: it holds other things. Name an empty folder or a book.")
        if names or create:
            return
    if os.path.lexists(folder) and not os.path.isdir(folder):
        raise StoreError(f"{folder} is a file, not a book. Name a folder.")
    if not create:
        raise StoreError(f"There is no book at {folder}. Look at the path, or let one be made.")
    missing = [folder]
    while not os.path.isdir(parent := os.path.dirname(missing[-1])):
        missing.append(parent)
    for path in reversed(missing):
        make_folder(path)


class FolderMove:
    """Moves folders within a book; a move that may not be on the disk is taken back."""

    def __init__(self, book: str) -> None:
        self._book = book
        self._half: tuple[str, str] | None = None

    def move(self, source: str, target: str) -> None:
        """Move a folder durably; raises `OSError`, and then it is where it was, or is there after `take_back`."""
        source, target = os.path.join(self._book, source), os.path.join(self._book, target)
        disk.rename(source, target)
        self._half = (source, target)
        try:
            flush_folder(os.path.dirname(target))
            flush_folder(os.path.dirname(source))
            self._half = None
        except OSError:
            with suppress(OSError):  # else before the next change
                self.take_back()
            raise

    def take_back(self) -> None:
        """Take back a move that failed half-way, so that it can be tried again; raises `OSError`."""
        if self._half is not None:
            source, target = self._half
            if not os.path.lexists(source):
                disk.rename(target, source)
            flush_folder(os.path.dirname(source))
            flush_folder(os.path.dirname(target))
            self._half = None
