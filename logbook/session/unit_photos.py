"""Photos of an open book: looked at where they lie, kept in their unit's folder, linked as edits that can be undone."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from logbook.errors import InputError, ReadOnlyError, StoreError
from logbook.model.photo_edits import Placed, Spot, at_step, photos_of, with_photos
from logbook.model.step import Photo
from logbook.model.words import LinkBasis
from logbook.photos import originals
from logbook.photos.camera_clock import from_cards, from_matches
from logbook.photos.capture import taken_at
from logbook.photos.cards import CARD_BOX, NO_CARD, read_card
from logbook.photos.linking import CameraOffset, PhotoTaken, Proposal, propose, spans
from logbook.photos.picture_file import ENDINGS, format_of, look, read_file, small
from logbook.photos.shown import BOX, cache_folder, keep_small, marked, small_picture
from logbook.session.file_out import put_file
from logbook.session.session import Session

FOLDER_DRAFT = "photos/folder"
"""Under which draft the folder named last is kept."""

MOST_FILES = 20_000
"""More files than this in one folder are somebody's whole collection, named by mistake."""

AT_ONCE = min(4, os.cpu_count() or 1)
"""Files looked at at the same time; the decoders work beside each other."""


@dataclass(frozen=True, slots=True)
class FoundPicture:
    """A picture found in a folder, not kept yet."""

    path: Path
    taken: PhotoTaken
    sha256: str
    known_at: str = ""
    """Where the record has it already; empty when it is new."""


class Looked(NamedTuple):
    """What a folder holds."""

    found: tuple[FoundPicture, ...]
    problems: tuple[str, ...]
    """A sentence for each file that is no picture to take."""


def folder_in(book: Path, code: str) -> Path:
    """Where the originals of a unit lie in the book's folder."""
    return book / "units" / code / "photos"


def photo_folder(session: Session, code: str) -> Path:
    """Where a unit's originals lie."""
    return folder_in(session.path, code)


def original_of(session: Session, code: str, photo: Photo) -> Path:
    """The original of a photo. Raises InputError when it is not where it belongs."""
    path = originals.path_of(photo_folder(session, code), photo)
    if not path.is_file():
        raise InputError(f"The original {photo.file} is not in {path.parent}. “logbook photos check” says what else.")
    return path


def picture_of(session: Session, code: str, photo: Photo) -> Callable[[], Any]:
    """What makes a photo small, upright and marked; it may run beside the screen and may raise InputError."""
    folder, cache = photo_folder(session, code), cache_folder()
    return lambda: marked(small_picture(folder, photo, cache), photo.marks)


def picture_in(found: FoundPicture) -> Any:
    """The picture of a file that is not in the record yet; may run beside the screen.

    Raises:
        InputError: it cannot be read any more.
    """
    return small_picture(found.path.parent, Photo(file=found.path.name, sha256=found.sha256), cache_folder())


def known_photos(session: Session) -> dict[str, str]:
    """By SHA-256, where the book has each photo already: “R1 T11”."""
    return {
        placed.photo.sha256: f"{code} {placed.spot.code}".strip()
        for code in session.codes()
        for placed in photos_of(session.unit(code))
        if placed.photo.sha256
    }


def pictures_in(folder: Path) -> list[Path]:
    """The files of a folder and of folders inside it that may be pictures, in order of their names.

    Raises:
        InputError: it is no folder, or holds far too much.
    """
    if not os.path.isdir(folder):  # a name that no folder can have is none either
        raise InputError(f"{folder} is no folder. Name the folder that the phone's pictures were copied to.")
    paths: list[Path] = []
    for where, folders, files in os.walk(folder):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        paths += [Path(where, name) for name in sorted(files) if not name.startswith(".")]
        if len(paths) > MOST_FILES:
            raise InputError(f"{folder} holds more than {MOST_FILES:,} files. Name the folder of one unit's pictures.")
    return paths


def look_through(
    paths: Sequence[Path],
    known: Mapping[str, str],
    *,
    zone: tzinfo,
    cards: bool = True,
    progress: Callable[[int, int], None] | None = None,
) -> Looked:
    """Look at every file; one that is no picture is one sentence and never stops the rest.

    Args:
        paths: the files.
        known: what the book has already, by SHA-256; see `known_photos`.
        zone: where the person is, for cameras that say no zone.
        cards: whether to look for cards in the pictures too.
        progress: told how many of how many are done.
    """
    found: dict[str, FoundPicture] = {}
    problems: list[str] = []
    with ThreadPoolExecutor(AT_ONCE) as several:
        for n, one in enumerate(several.map(lambda path: _look_at(path, zone, cards), paths)):
            if progress is not None:
                progress(n, len(paths))
            if isinstance(one, str):
                problems.append(one)
            elif (twin := found.get(one.sha256)) is not None:
                problems.append(f"{one.path.name} is the same picture as {twin.path.name}; it is taken once.")
            else:
                found[one.sha256] = replace(one, known_at=known.get(one.sha256, ""))
    return Looked(tuple(found.values()), tuple(problems))


def _look_at(path: Path, zone: tzinfo, cards: bool) -> FoundPicture | str:
    """A file as it was found, with its small picture kept for later; a sentence when it is no picture."""
    try:
        raw = read_file(path)
        picture = look(raw, path.name)
        image = small(raw, path.name, CARD_BOX if cards else BOX)
        card = read_card(image) if cards else NO_CARD
    except InputError as error:
        return str(error)
    keep_small(image, picture.sha256)
    modified = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    moment = taken_at(picture.capture, zone, path.name, modified)
    return FoundPicture(
        path, PhotoTaken(str(path), moment.at, moment.basis, picture.capture.camera, card), picture.sha256
    )


def best_clocks(looked: Looked, session: Session, codes: Iterable[str]) -> dict[str, CameraOffset]:
    """For each camera, what its cards or its matches say of its clock; one of which they say nothing is left out."""
    times = spans(session.unit(code) for code in codes)
    by_camera: dict[str, list[PhotoTaken]] = {}
    for found in looked.found:
        by_camera.setdefault(found.taken.camera, []).append(found.taken)
    clocks = {camera: from_cards(photos, times) or from_matches(photos, times) for camera, photos in by_camera.items()}
    return {camera: clock for camera, clock in clocks.items() if clock is not None}


def proposal(session: Session, looked: Looked, codes: Sequence[str], clocks: Mapping[str, CameraOffset]) -> Proposal:
    """Where each new picture would go."""
    new = [f.taken for f in looked.found if not f.known_at]
    return propose(new, [session.unit(code) for code in codes], clocks)


class PictureWanted(NamedTuple):
    """A picture to keep, and where."""

    found: FoundPicture
    unit: str
    spot: Spot
    basis: LinkBasis
    at: datetime | None = None
    """When it was taken, the clock put right."""


def wanted_of(made: Proposal, looked: Looked, clocks: Mapping[str, CameraOffset]) -> Iterator[PictureWanted]:
    """What a proposal would keep."""
    by_name = {f.taken.name: f for f in looked.found}
    for link in made.links:
        found = by_name[link.photo]
        yield PictureWanted(found, link.unit, at_step(link.step), link.basis, put_right(found.taken, clocks))


def put_right(taken: PhotoTaken, clocks: Mapping[str, CameraOffset]) -> datetime | None:
    """When a picture was taken, once what is known of its camera's clock is allowed for."""
    clock = clocks.get(taken.camera)
    return taken.at - clock.ahead if taken.at is not None and clock is not None else taken.at


def keep_pictures(session: Session, wanted: Iterable[PictureWanted]) -> str:
    """Copy the originals into their units' folders and link them; what was done, in a sentence.

    Raises:
        ReadOnlyError, StoreError: nothing of the unit that failed was linked.
        InputError: a picture cannot be read any more, or a step is gone.
    """
    if session.read_only:
        raise ReadOnlyError(f"Nothing was linked. {session.why_read_only}")
    return link_copied(session, copy_originals(session.path, wanted))


Copied = Mapping[str, Sequence[Placed]]
"""By unit, photos whose originals lie in its folder already, with where they go in the record."""


def copy_originals(book: Path, wanted: Iterable[PictureWanted]) -> Copied:
    """Copy the originals into their units' folders; no record is touched, so this may run beside the screen.

    Raises:
        InputError: a picture cannot be read any more.
        StoreError: the disk refuses.
    """
    copied: dict[str, list[Placed]] = {}
    for one in wanted:
        if one.unit not in copied:
            originals.sweep(folder_in(book, one.unit))
        raw = read_file(one.found.path)
        photo = keep_bytes(
            book, one.unit, raw, one.found.path.name, at=one.at, basis=one.basis, card=one.found.taken.card.words
        )
        copied.setdefault(one.unit, []).append(Placed(one.spot, photo))
    return copied


def link_copied(session: Session, copied: Copied) -> str:
    """Link what was copied: one change for each unit, each can be undone; what was done, in a sentence.

    Raises:
        StoreError: the disk refused; the sentence says what was linked before.
        InputError: a step is gone.
    """
    counts: list[str] = []
    for code, placed in sorted(copied.items()):
        what = f"{len(placed)} photo{'' if len(placed) == 1 else 's'} linked"
        try:
            session.apply(code, what, partial(with_photos, placed=placed))
        except StoreError as error:
            raise StoreError(f"{error} Linked before that: {', '.join(counts) or 'nothing'}.") from error
        counts.append(f"{len(placed)} in {code}")
    if not counts:
        return "There was nothing to link."
    return f"Linked: {', '.join(counts)}. The originals are copied; the folder they came from is as it was."


def keep_bytes(
    book: Path, code: str, raw: bytes, name: str, *, at: datetime | None, basis: LinkBasis, card: str = ""
) -> Photo:
    """Keep an original in its unit's folder and give the photo to put into the record.

    Raises:
        InputError: it is no picture.
        StoreError: the disk refuses.
    """
    form = format_of(raw)
    if form is None:
        raise InputError(f"{name} is no picture.")
    kept = originals.keep(folder_in(book, code), raw, ENDINGS[form])
    return Photo(file=kept.file, sha256=kept.sha256, taken_at=at, linked=basis, card=card)


def photo_problems(session: Session, code: str) -> tuple[str, ...]:
    """What is wrong with a unit's originals, in sentences; reads every byte of them."""
    placed = [(f"{code} {p.spot.code}".strip(), p.photo) for p in photos_of(session.unit(code))]
    return originals.problems(photo_folder(session, code), placed) if placed else ()


def unrecorded(session: Session, code: str) -> tuple[str, ...]:
    """Names of files in the unit's folder of photos that its record does not name."""
    known = [p.photo.file for p in photos_of(session.unit(code))]
    return originals.unrecorded(photo_folder(session, code), known)


def write_out(session: Session, code: str, to: Path, *, with_place: bool = False) -> tuple[int, tuple[str, ...]]:
    """Copy a unit's photos into a folder with names that say where they belong, and their captions beside them.

    Args:
        session: the open book.
        code: of the unit.
        to: a folder; made when it is not there. A file that is there already is never overwritten.
        with_place: whether what the camera wrote, which may say where it was taken, goes along.

    Returns:
        How many were written, and a sentence for each that could not be.

    Raises:
        StoreError: the folder cannot be made or written.
    """
    from logbook.photos.private import without_place

    captions, problems, written = [], [], 0
    numbers: dict[str, int] = {}
    unit = session.unit(code)
    shows = {s.code: s.what for s in unit.steps} | {c.code: c.name for c in unit.components} | {"unit": unit.name}
    try:
        to.mkdir(parents=True, exist_ok=True)
        for spot, photo in photos_of(unit):
            where = spot.code or "unit"
            numbers[where] = numbers.get(where, 0) + 1
            try:
                raw = read_file(originals.path_of(photo_folder(session, code), photo))
                ending = Path(photo.file).suffix
                if not with_place:
                    raw, ending = without_place(raw, photo.file)
            except InputError as error:
                problems.append(f"{where}: {error}")
                continue
            name = f"{code}-{where}-{numbers[where]:02d}{ending}"
            put_file(to / name, raw, instead="Name an empty folder.")
            written += 1
            words = (shows.get(where, ""), photo.kind.value, photo.caption)
            captions.append("\t".join((name, *(" ".join(w.split()) for w in words))) + "\n")
        listed = "".join(captions).encode("utf-8")
        put_file(to / f"{code}-captions.txt", listed, instead="Name an empty folder.")
    except OSError as error:
        raise StoreError(f"The photos could not be written to {to}: {error.strerror or error}.") from error
    return written, tuple(problems)
