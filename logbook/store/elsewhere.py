"""Records that lie elsewhere: in another book, in a folder that was handed back, in a single file."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, NamedTuple

from logbook.errors import InputError
from logbook.files import refusal
from logbook.store.branch import Branch, branch_of_file, branch_of_folder
from logbook.store.folders import REMOVED, unit_folders
from logbook.store.foreign_files import KINDS
from logbook.store.place import RecordFiles

if TYPE_CHECKING:
    from collections.abc import Iterator


class Elsewhere(NamedTuple):
    """What lies at a path."""

    path: str
    places: list[RecordFiles]
    """The records there, the shop first; their codes are those of their folders."""
    removed: frozenset[str]
    """Units that were taken out of that book."""

    def name_beside(self, book: str) -> str:
        """How a sentence calls it: by its last folder; by more of them where this book is called the same."""
        own, other = (os.path.abspath(path).split(os.sep) for path in (book, self.path))
        alike = 0
        while alike < min(len(own), len(other)) - 1 and own[-1 - alike] == other[-1 - alike]:
            alike += 1
        return os.path.join(*other[-1 - alike :])

    def file_of(self, place: RecordFiles) -> str:
        """The file that says how one of its records came about."""
        return place.history if os.path.isdir(self.path) else self.path

    def branch(self, place: RecordFiles) -> Branch:
        """The line of one of its records. Raises as `branch_of_folder`."""
        return branch_of_folder(place) if os.path.isdir(self.path) else branch_of_file(self.path, place)


def look_elsewhere(path: str) -> Elsewhere:
    """The records in a book, in a record's folder, or in a copy of a record's file.

    Raises:
        InputError: there is none.
        StoreError: it cannot be looked at now.
    """
    try:
        if os.path.isdir(os.path.join(path, "units")):
            return Elsewhere(path, list(_of_book(path)), _removed(path))
        if os.path.isdir(path):
            own = [place for kind in KINDS if os.path.exists((place := _place(path, kind)).history)]
            if own:
                return Elsewhere(path, own, frozenset())
    except OSError as error:
        raise refusal(f"{path} cannot be looked at", error) from error
    kind = next((kind for kind in KINDS if os.path.basename(path).startswith(kind)), "")
    if kind and os.path.isfile(path):
        return Elsewhere(path, [_place(os.path.dirname(os.path.abspath(path)), kind)], frozenset())
    raise InputError(f"{path} is no book, no folder of a unit and no copy of a record's file.{_meant(path)}")


def _meant(path: str) -> str:
    """Which book lies right below a folder that is none, in a sentence; empty when there is none."""
    try:
        below = sorted(name for name in os.listdir(path) if os.path.isdir(os.path.join(path, name, "units")))
    except OSError:
        return ""
    if not below:
        return ""
    return f" But {os.path.join(path, below[0])} is a book: name that one."


def _place(folder: str, kind: str) -> RecordFiles:
    name = os.path.basename(os.path.abspath(folder))
    return RecordFiles(folder, kind, "shop" if kind == "shop" else name)


def _of_book(path: str) -> Iterator[RecordFiles]:
    shop = _place(os.path.join(path, "shop"), "shop")
    if os.path.exists(shop.history):
        yield shop
    for code in unit_folders(path)[0]:
        place = _place(os.path.join(path, "units", code), "unit")
        if os.path.exists(place.history):
            yield place


def _removed(path: str) -> frozenset[str]:
    try:
        names = os.listdir(os.path.join(path, "removed"))
    except FileNotFoundError:
        return frozenset()
    return frozenset(found[1] for name in names if (found := REMOVED.match(name)))
