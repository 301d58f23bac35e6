"""Originals in a unit's folder: byte for byte as they came, named by what is in them, never written again."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from logbook.errors import InputError, StoreError
from logbook.files import flush_folder, make_folder, move_durably, write_under_own_name
from logbook.model.step import Photo

NAME = re.compile(r"[0-9a-f]{24}\.(?:jpg|png|webp|heic)")
"""How an original is called: the first 24 digits of its SHA-256, which no two different photos share."""
COMING = ".in-"
"""How the name of an original begins while it is being written."""


class KeptOriginal(NamedTuple):
    """An original in the unit's folder."""

    file: str
    sha256: str
    was_there: bool
    """The same bytes had been kept before: nothing was written."""


def original_name(digest: str, ending: str) -> str:
    """The name of an original in its unit's folder."""
    return f"{digest[:24]}{ending}"


def keep(folder: Path, raw: bytes, ending: str) -> KeptOriginal:
    """Put an original into the folder, flushed to the disk before this returns.

    Raises:
        StoreError: the disk refuses, or another file has the name already.
    """
    digest = sha256(raw).hexdigest()
    name = original_name(digest, ending)
    path = folder / name
    try:
        if path.is_file():
            if sha256(path.read_bytes()).hexdigest() == digest:
                flush_folder(str(folder))  # whoever wrote it may have been refused just that
                return KeptOriginal(name, digest, was_there=True)
            raise StoreError(f"{path} is there already and holds something else. Move it away, then link again.")
        make_folder(str(folder))  # a unit's own folder is never made here: it may have been moved away
        write_durably(path, raw)
    except OSError as error:
        raise StoreError(f"The photo could not be kept in {folder}: {error.strerror or error}.") from error
    return KeptOriginal(name, digest, was_there=False)


def write_durably(path: Path, raw: bytes) -> None:
    """Write a file that is whole and on the disk when this returns; raises OSError, and then no half of it is left."""
    move_durably(write_under_own_name(str(path), raw, COMING, ""), str(path))


def sweep(folder: Path) -> None:
    """Take away what a program that was ended in the middle of a copy left behind; originals are never touched."""
    with suppress(OSError):
        for path in folder.glob(f"{COMING}*"):
            path.unlink()


def path_of(folder: Path, photo: Photo) -> Path:
    """Where the original of a photo lies. Raises InputError when its name could lead out of the folder."""
    if "/" in photo.file or "\\" in photo.file or "\0" in photo.file or photo.file in ("", ".", ".."):
        raise InputError(f"“{photo.file[:60]}” is no name of a photo in a unit's folder.")
    return folder / photo.file


def problems(folder: Path, photos: Iterable[tuple[str, Photo]]) -> tuple[str, ...]:
    """What is wrong with the originals that a record names, in sentences; reads every byte of them.

    Args:
        folder: where they lie.
        photos: each with the place in the record it belongs to, such as “R1 T11”.
    """
    said = []
    for where, photo in photos:
        try:
            path = path_of(folder, photo)
            digest = sha256(path.read_bytes()).hexdigest()
        except InputError as error:
            said.append(f"{where}: {error}")
        except FileNotFoundError:
            said.append(f"{where}: the photo {photo.file} is not in {folder}. Put it back from a copy of the book.")
        except OSError as error:
            said.append(f"{where}: the photo {photo.file} cannot be read: {error.strerror or error}.")
        else:
            if photo.sha256 and digest != photo.sha256:
                said.append(f"{where}: the photo {photo.file} is not what was kept: its bytes have changed.")
    return tuple(said)


def unrecorded(folder: Path, known: Iterable[str]) -> tuple[str, ...]:
    """Names of files in the folder that no record names."""
    names = set(known)
    try:
        return tuple(sorted(p.name for p in folder.iterdir() if p.is_file() and p.name not in names))
    except FileNotFoundError:
        return ()
