"""What a file from a phone is: a picture that can be shown, told by its content and never by its name."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from logbook.errors import InputError
from logbook.photos.capture import Capture, capture_of
from logbook.photos.pillow import (
    DAMAGED,
    LEAST_BYTES_PER_PIXEL,
    MOST_BYTES,
    MOST_PIXELS,
    MOST_PIXELS_PACKED,
    MOST_PIXELS_WHOLE,
    library,
)


class Format(StrEnum):
    """The picture formats that are taken."""

    JPEG = "jpeg"
    PNG = "png"
    WEBP = "webp"
    HEIF = "heif"


ENDINGS = {Format.JPEG: ".jpg", Format.PNG: ".png", Format.WEBP: ".webp", Format.HEIF: ".heic"}
"""The ending that an original gets in the unit's folder, by what is in it."""

_HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")


class PictureFile(NamedTuple):
    """A picture file that was opened and whose header makes sense."""

    format: Format
    width: int
    """As shown, after the camera's orientation."""
    height: int
    orientation: int
    """1 to 8 as Exif counts; 1 for HEIF, whose own rotation is applied when it is read."""
    sha256: str
    capture: Capture


def format_of(raw: bytes) -> Format | None:
    """The format by the first bytes; None for what is no picture that is taken."""
    if raw[:3] == b"\xff\xd8\xff":
        return Format.JPEG
    if raw[:8] == b"\x89PNG\r\n\x1a\n":
        return Format.PNG
    if raw[:4] == b"RIFF" and raw[8:12] == b"WEBP":
        return Format.WEBP
    if raw[4:8] == b"ftyp" and (raw[8:12] in _HEIF_BRANDS or any(b in raw[16:64] for b in _HEIF_BRANDS)):
        return Format.HEIF
    return None


def read_file(path: Path) -> bytes:
    """The bytes of a file that may be a picture.

    Raises:
        InputError: it cannot be read, is empty, or is too large.
    """
    try:
        if not path.is_file():
            raise InputError(f"{path.name} is not a file.")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise InputError(f"{path.name} is {size // 2**20} MB; a photo has at most {MOST_BYTES // 2**20} MB.")
        return path.read_bytes()
    except OSError as error:
        raise InputError(f"{path.name} cannot be read: {error.strerror or error}.") from error


def look(raw: bytes, name: str) -> PictureFile:
    """What the bytes of a file are, from its header.

    Args:
        raw: the whole file.
        name: how the file is called, for the sentence of an error.

    Raises:
        InputError: it is empty, no picture, damaged, or claims a size that no photo has.
    """
    form = _checked_format(raw, name)
    with opened(raw, name, form) as image:
        width, height = image.size
        exif = image.getexif()
        turned = exif.get(0x0112, 1)
        orientation = turned if form is not Format.HEIF and isinstance(turned, int) and 1 <= turned <= 8 else 1
        capture = capture_of(exif)
    if orientation >= 5:
        width, height = height, width
    return PictureFile(form, width, height, orientation, sha256(raw).hexdigest(), capture)


def _checked_format(raw: bytes, name: str) -> Format:
    if not raw:
        raise InputError(f"{name} is empty (0 bytes). Copy it from the phone again.")
    if len(raw) > MOST_BYTES:
        raise InputError(f"{name} is {len(raw) // 2**20} MB; a photo has at most {MOST_BYTES // 2**20} MB.")
    form = format_of(raw)
    if form is None:
        raise InputError(f"{name} is no JPEG, PNG, WebP or HEIF picture, whatever its name says.")
    return form


@contextmanager
def opened(raw: bytes, name: str, form: Format) -> Iterator[Any]:
    """The picture, opened by its own decoder alone; whatever a damaged file does becomes one sentence."""
    pillow = library()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with pillow.open(io.BytesIO(raw), formats=[form.value.upper()]) as image:
                _refuse_bomb(image.size, len(raw), name, form)
                yield image
    except InputError:
        raise
    except pillow.DecompressionBombError as error:
        said = f"{name} claims more points than any camera has in {len(raw):,} bytes. It was not opened."
        raise InputError(said) from error
    except DAMAGED as error:
        said = f"{name} is damaged or cut short and cannot be shown. Copy it from the phone again."
        raise InputError(said) from error


def _refuse_bomb(size: tuple[int, int], length: int, name: str, form: Format) -> None:
    pixels = size[0] * size[1]
    most = MOST_PIXELS_WHOLE if form in (Format.PNG, Format.WEBP) else MOST_PIXELS
    packed = pixels > MOST_PIXELS_PACKED and length < pixels * LEAST_BYTES_PER_PIXEL
    if pixels > most or packed:
        raise InputError(
            f"{name} claims {size[0]} x {size[1]} points in {length:,} bytes. No photo is like that; it was not opened."
        )


def small(raw: bytes, name: str, box: tuple[int, int]) -> Any:
    """The picture upright and no larger than `box`, as a library image in plain colours.

    A JPEG is decoded at a half, a quarter or an eighth of its size, which is several times faster.

    Raises:
        InputError: as `look`, or the file is cut short.
    """
    from PIL import ImageOps

    form = _checked_format(raw, name)
    with opened(raw, name, form) as image:
        if form is Format.JPEG:
            image.draft("RGB", _within(image.size, box))
        image.load()
        # First smaller and then turned: turning all points costs more time and memory than the rest.
        image.thumbnail(box if image.getexif().get(0x0112, 1) in (1, 2, 3, 4) else box[::-1])
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail(box)
        return upright.convert("RGB")


def _within(size: tuple[int, int], box: tuple[int, int]) -> tuple[int, int]:
    """The size scaled into the box: asked for a square, the decoder would keep the shorter side as long as the box."""
    scale = min(box[0] / size[0], box[1] / size[1], 1)
    return max(1, int(size[0] * scale)), max(1, int(size[1] * scale))
