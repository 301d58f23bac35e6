"""A picture as it is shown: small, upright, with its marks; made once and kept where it may be lost."""

from __future__ import annotations

import io
import os
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from logbook.errors import InputError
from logbook.model.step import Photo, PictureMark
from logbook.model.words import MarkKind
from logbook.photos.originals import path_of
from logbook.photos.picture_file import read_file, small
from logbook.photos.pillow import library

BOX = (640, 640)
"""Size of the small pictures that are kept: enough for a terminal, a phone and a list on paper."""

INK = (255, 40, 40)
PAPER = (255, 255, 255)


def cache_folder() -> Path:
    """Where small pictures are kept; it may be emptied at any time."""
    from platformdirs import user_cache_path

    return user_cache_path("restorers-logbook") / "small-pictures"


def small_picture(folder: Path, photo: Photo, cache: Path | None = None) -> Any:
    """A photo of the record, small and upright, without marks.

    Args:
        folder: where the unit's originals lie.
        photo: which one.
        cache: where small pictures are kept; None keeps none.

    Raises:
        InputError: it cannot be read or shown.
    """
    path = path_of(folder, photo)
    if not path.is_file():
        raise InputError(f"The original {photo.file} is not in its folder.")
    kept = _kept_path(cache, photo.sha256) if cache is not None and photo.sha256 else None
    if kept is not None and (image := _read_kept(kept)) is not None:
        return image
    image = small(read_file(path), photo.caption or photo.file, BOX)
    if kept is not None:
        _keep(kept, image)
    return image


def _kept_path(cache: Path, digest: str) -> Path:
    return cache / f"{digest[:24]}-{BOX[0]}.jpg"


def keep_small(image: Any, digest: str, cache: Path | None = None) -> None:
    """Keep the small form of a picture that was just looked at, so that it need not be decoded again."""
    kept = _kept_path(cache or cache_folder(), digest)
    if not kept.exists():
        image.thumbnail(BOX, library().Resampling.BILINEAR)
        _keep(kept, image)


def _read_kept(kept: Path) -> Any | None:
    try:
        raw = kept.read_bytes()
        image = library().open(io.BytesIO(raw), formats=["JPEG"])
        image.load()
    except (OSError, SyntaxError, ValueError):  # not there, or cut short: made again
        return None
    return image


def _keep(kept: Path, image: Any) -> None:
    """Keep a small picture; a full disk costs only time."""
    with suppress(OSError):
        kept.parent.mkdir(parents=True, exist_ok=True)
        descriptor, beside = tempfile.mkstemp(prefix=".small-", dir=kept.parent)
        with os.fdopen(descriptor, "wb") as out:
            image.save(out, "JPEG", quality=82)
        os.replace(beside, kept)


def marked(image: Any, marks: Sequence[PictureMark]) -> Any:
    """A copy of a picture with its marks drawn over it, dark on a light rim so that they show on anything."""
    if not marks:
        return image
    from PIL import ImageDraw

    copy = image.copy()
    pen = ImageDraw.Draw(copy)
    for mark in marks:
        _draw(pen, mark, copy.size)
    return copy


def _draw(pen: Any, mark: PictureMark, size: tuple[int, int]) -> None:
    width, height = size
    x, y = mark.x * width / 1000, mark.y * height / 1000
    thick = max(2, min(size) // 120)
    if mark.kind is MarkKind.RING:
        radius = mark.radius * width / 1000
        box = (x - radius, y - radius, x + radius, y + radius)
        pen.ellipse(box, outline=PAPER, width=thick * 2)
        pen.ellipse(box, outline=INK, width=thick)
    elif mark.kind is MarkKind.ARROW:
        _arrow(pen, mark, (x, y), size, thick)
    if mark.text:
        _label(pen, mark, (x, y), size)


def _arrow(pen: Any, mark: PictureMark, tip: tuple[float, float], size: tuple[int, int], thick: int) -> None:
    width, height = size
    x, y = tip
    tail_x = (
        mark.from_x * width / 1000 if mark.from_x is not None else (x + width / 6 if x < width / 2 else x - width / 6)
    )
    tail_y = mark.from_y * height / 1000 if mark.from_y is not None else y - height / 10
    length = max(1.0, ((x - tail_x) ** 2 + (y - tail_y) ** 2) ** 0.5)
    along = ((x - tail_x) / length, (y - tail_y) / length)
    head = thick * 6
    left = (x - head * along[0] - head / 2 * along[1], y - head * along[1] + head / 2 * along[0])
    right = (x - head * along[0] + head / 2 * along[1], y - head * along[1] - head / 2 * along[0])
    for colour, wide in ((PAPER, thick * 2 + 2), (INK, thick)):
        pen.line((tail_x, tail_y, x, y), fill=colour, width=wide)
        pen.polygon((tip, left, right), fill=INK, outline=colour)


def _label(pen: Any, mark: PictureMark, at: tuple[float, float], size: tuple[int, int]) -> None:
    from PIL import ImageFont

    font = ImageFont.load_default(max(12, min(size) // 18))
    words = mark.text[:60]
    box = pen.textbbox((0, 0), words, font=font)
    across, down = box[2] - box[0], box[3] - box[1]
    x = min(max(2, at[0] + 6), max(2, size[0] - across - 4))
    y = min(max(2, at[1] + 6), max(2, size[1] - down - 6))
    pen.rectangle((x - 2, y - 2, x + across + 3, y + down + 5), fill=PAPER)
    pen.text((x - box[0], y - box[1] + 1), words, fill=INK, font=font)
