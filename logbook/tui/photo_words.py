"""How photos are said in rows and sentences."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from logbook.model.dates_in_words import day_of_a_year
from logbook.model.photo_edits import At, Placed, photos_of
from logbook.model.plural import counted
from logbook.model.shop_clock import on_clock_of
from logbook.model.step import Photo
from logbook.model.unit import Unit
from logbook.model.words import PhotoKind
from logbook.render.plain import clean

EMPTY = (
    "Photos stand at the step they show, and are one key away when it goes back.\n"
    "Copy the phone's pictures into a folder, then press a to link them."
)


def row_key(placed: Placed) -> str:
    """The key of a photo's row."""
    return f"{placed.spot.at.value}|{placed.spot.code}|{placed.photo.file}"


def unlinked(unit: Unit) -> tuple[str, ...]:
    """Codes of steps at which a photo was taken and none is linked."""
    return tuple(s.code for s in unit.steps if s.photo_taken and not s.photos)


def photos_question(unit: Unit) -> str:
    """How it stands, in a sentence."""
    placed = list(photos_of(unit))
    lacking = unlinked(unit)
    if not placed:
        said = f" At {counted(len(lacking), 'step')} one was taken." if lacking else ""
        return f"No photo is linked yet.{said}"
    steps = len({p.spot.code for p in placed if p.spot.at is At.STEP})
    words = f"{counted(len(placed), 'photo')} at {counted(steps, 'step')}"
    whole = sum(1 for p in placed if p.spot.at is At.UNIT)
    if whole:
        words += f", {whole} of the whole unit"
    lacks = "lacks its" if len(lacking) == 1 else "lack their"
    return f"{words}; {counted(len(lacking), 'step')} {lacks} photo." if lacking else f"{words}."


def taken_words(at: datetime | None, now: datetime) -> str:
    """When it was taken, by the clock of `now`; with the year when it is another."""
    if at is None:
        return "no time"
    taken = on_clock_of(at, now)
    return f"{day_of_a_year(taken, now.year)} {taken:%H:%M}"


def photo_words(unit: Unit, placed: Placed, now: datetime) -> str:
    """What stands below a picture: where it belongs, its caption, when, and its file."""
    photo = placed.photo
    names = {s.code: s.what for s in unit.steps} | {c.code: c.name for c in unit.components}
    where = f"{placed.spot.code} {names.get(placed.spot.code, '')}".strip() or f"{unit.code} {unit.name}"
    caption = f" {photo.caption}" if photo.caption else ""
    return clean(
        f"{where}, {photo.kind}:{caption or ' no caption'}. {taken_words(photo.taken_at, now)}, {photo.linked}"
    )


def kind_after(kind: PhotoKind) -> PhotoKind:
    """The kind that follows, round and round."""
    kinds = tuple(PhotoKind)
    return kinds[(kinds.index(kind) + 1) % len(kinds)]


def found_and_now(placed: Sequence[Placed]) -> tuple[Photo | None, Photo | None]:
    """The picture as found and the one as it is now, for standing side by side."""
    now = [p.photo for p in placed if p.photo.kind is PhotoKind.AFTER]
    found = [p.photo for p in placed if p.photo.kind is not PhotoKind.AFTER]
    return (found[0] if found else None), (now[0] if now else None)
