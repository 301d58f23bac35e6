"""Small pictures made for tests, with whatever a camera would write beside them."""

from __future__ import annotations

import io
from typing import Any

from PIL import Image


def corners(width: int = 64, height: int = 48) -> Any:
    """A picture whose four quarters differ, so that every turn and mirror image shows."""
    image = Image.new("RGB", (width, height), (255, 255, 255))
    for colour, box in (
        ((220, 30, 30), (0, 0, width // 2, height // 2)),
        ((30, 200, 30), (width // 2, 0, width, height // 2)),
        ((30, 30, 220), (0, height // 2, width // 2, height)),
    ):
        image.paste(colour, box)
    return image


def exif(
    *, orientation: int = 1, time: str = "", offset: str = "", fraction: str = "", place: bool = False, camera: str = ""
) -> Any:
    """An Exif block."""
    block = Image.Exif()
    block[0x0112] = orientation
    if camera:
        block[0x0110] = camera
    inner = block.get_ifd(0x8769)
    for tag, value in ((0x9003, time), (0x9011, offset), (0x9291, fraction)):
        if value:
            inner[tag] = value
    if place:
        spot = block.get_ifd(0x8825)
        spot[1], spot[2], spot[3], spot[4] = "N", (52.0, 31.0, 12.0), "E", (13.0, 24.0, 36.0)
    return block


def encoded(image: Any, form: str = "JPEG", **beside: Any) -> bytes:
    """The bytes of a picture in a format: JPEG, PNG, WEBP or HEIF."""
    if form == "HEIF":
        import pillow_heif

        pillow_heif.register_heif_opener(thumbnails=False)
    out = io.BytesIO()
    more = {"quality": 95} if form in ("JPEG", "HEIF") else {"lossless": True} if form == "WEBP" else {}
    image.save(out, form, exif=exif(**beside), **more)
    return out.getvalue()


def photo(seed: int = 0, form: str = "JPEG", **beside: Any) -> bytes:
    """A small picture unlike that of any other seed."""
    image = corners()
    image.paste(((seed * 37) % 256, (seed * 91) % 256, (seed * 151) % 256), (32, 24, 64, 48))
    return encoded(image, form, **beside)
