"""Pictures of another copy of a unit: joined by what is in them, and named when their original is nowhere."""

from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from logbook.errors import InputError, StoreError
from logbook.files import make_folder, refusal
from logbook.model.apart import ToLookAt
from logbook.model.photo_edits import photos_of
from logbook.model.step import Photo
from logbook.model.unit import Unit
from logbook.photos import originals
from logbook.session.joined_record import KeepsJoined
from logbook.session.opened import OpenBook


class MissingOriginals(NamedTuple):
    """Originals that the joined record names and that are not here."""

    found: tuple[tuple[Path, str], ...]
    """Where each lies, and the name it has in the unit's folder."""
    missing: tuple[str, ...]
    """Of those that are nowhere: the file and its place in the record, in a sentence."""

    def named(self, record: Any) -> Any:
        """The record with what is missing among the things to look at."""
        looks = (ToLookAt(what=said) for said in self.missing)
        new = tuple(look for look in looks if look not in record.to_look_at)
        return record.model_copy(update={"to_look_at": (*record.to_look_at, *new)}) if new else record


def pictures_wanted(session: OpenBook, code: str, record: Any, folder: Path) -> MissingOriginals:
    """The originals of a record that are not in this book.

    Args:
        session: the open book.
        code: the unit.
        record: as it was joined.
        folder: the unit's folder in the other copy.
    """
    if not isinstance(record, Unit):
        return MissingOriginals((), ())
    here, there = session.path / "units" / code / "photos", folder / "photos"
    known = {(placed.photo.file, placed.photo.sha256) for placed in photos_of(session.unit(code))}
    found: dict[str, Path] = {}
    missing = []
    for placed in photos_of(record):
        photo = placed.photo
        if (photo.file, photo.sha256) in known or _is_there(here, photo):
            continue
        if _is_taken(here, photo):
            said = f"Another picture is called {photo.file} here, so that at {placed.spot.words} was not copied."
            missing.append(f"{said} The other copy has it.")
        elif _is_there(there, photo):
            found[photo.file] = originals.path_of(there, photo)
        else:
            missing.append(f"The original {photo.file} at {placed.spot.words} is in neither copy. Look for it.")
    return MissingOriginals(tuple((path, name) for name, path in found.items()), tuple(missing))


def _is_taken(folder: Path, photo: Photo) -> bool:
    """Whether a file of that name lies in a folder, whatever it is."""
    return "/" not in photo.file and os.path.lexists(folder / photo.file)


def _is_there(folder: Path, photo: Photo) -> bool:
    """Whether the original lies in a folder and is what was kept; another file of that name is not.

    Raises StoreError when the disk refuses to say.
    """
    try:
        path = originals.path_of(folder, photo)
        return path.is_file() and (not photo.sha256 or sha256(path.read_bytes()).hexdigest() == photo.sha256)
    except InputError:
        return False
    except OSError as error:
        raise refusal(f"The picture {photo.file} in {folder} could not be read", error) from error


def copied(session: KeepsJoined, code: str, pictures: MissingOriginals) -> None:
    """Copy what was found, each whole and on the disk. Raises StoreError when the disk refuses."""
    folder = session.path / "units" / code / "photos"
    for source, name in pictures.found:
        target = folder / name
        try:
            make_folder(str(folder))
            if not target.exists():
                originals.write_durably(target, source.read_bytes())
        except OSError as error:
            raise StoreError(f"The picture {name} could not be copied: {error.strerror or error}.") from error
