"""A copy of a picture that says nothing of where it was taken, with the picture itself untouched.

Everything a camera wrote beside the picture is left out (Exif, XMP, IPTC, comments, embedded previews), except
the orientation and the time. JPEG: ITU-T T.81 annex B (markers), Exif 2.32 4.5.4 (APP1). PNG: W3C PNG third
edition, 11.3 (ancillary chunks). WebP: RFC 9649, 2.7 (VP8X). HEIF pictures become JPEG, as they cannot be taken
apart without their library.
"""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Iterator

from logbook.errors import InputError
from logbook.photos.picture_file import ENDINGS, Format, PictureFile, look, opened

QUALITY = 92
"""Of a JPEG made from a HEIF picture: no difference is seen on paper or screen."""

_PNG_KEPT = frozenset(
    (b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"pHYs", b"bKGD")
) | frozenset((b"acTL", b"fcTL", b"fdAT"))
"""Parts without which the picture would look otherwise."""


def without_place(raw: bytes, name: str) -> tuple[bytes, str]:
    """The picture's bytes without what the camera wrote beside it, and the ending for a file of it.

    Raises:
        InputError: it is no picture or its parts make no sense.
    """
    picture = look(raw, name)
    try:
        if picture.format is Format.JPEG:
            made = _jpeg(raw, picture)
        elif picture.format is Format.PNG:
            made = _png(raw, picture)
        elif picture.format is Format.WEBP:
            made = _webp(raw, picture)
        else:
            return _from_heif(raw, name, picture), ".jpg"
    except (struct.error, IndexError, ValueError) as error:
        raise InputError(f"{name} is damaged: its parts make no sense. It was not copied.") from error
    return made, ENDINGS[picture.format]


def _exif(picture: PictureFile) -> bytes:
    """A small Exif block: orientation and time, big-endian TIFF (TIFF 6.0, section 2)."""
    entries = [struct.pack(">HHIHH", 0x0112, 3, 1, picture.orientation, 0)]
    wall = picture.capture.wall
    text = b"" if wall is None else wall.strftime("%Y:%m:%d %H:%M:%S").encode("ascii") + b"\0"
    if text:
        entries.append(struct.pack(">HHII", 0x0132, 2, len(text), 8 + 2 + 12 * 2 + 4))
    return b"MM\0*\0\0\0\x08" + struct.pack(">H", len(entries)) + b"".join(entries) + b"\0\0\0\0" + text


def _segments(raw: bytes) -> Iterator[tuple[int, bytes]]:
    """The markers of a JPEG before its picture data, then the rest under marker 0."""
    at = 2
    while True:
        while raw[at] == 0xFF and raw[at + 1] == 0xFF:
            at += 1
        if raw[at] != 0xFF:
            raise ValueError("a marker was expected")
        marker = raw[at + 1]
        if marker == 0xDA:
            yield 0, raw[at:]
            return
        (length,) = struct.unpack_from(">H", raw, at + 2)
        if length < 2 or at + 2 + length > len(raw):
            raise ValueError("a part is longer than the file")
        yield marker, raw[at : at + 2 + length]
        at += 2 + length


def _jpeg(raw: bytes, picture: PictureFile) -> bytes:
    block = b"Exif\0\0" + _exif(picture)
    out = [b"\xff\xd8", b"\xff\xe1", struct.pack(">H", len(block) + 2), block]
    for marker, part in _segments(raw):
        profile = marker == 0xE2 and part[4:15] == b"ICC_PROFILE"
        colours = marker == 0xEE and part[4:9] == b"Adobe"
        if not (0xE0 <= marker <= 0xEF or marker == 0xFE) or profile or colours or marker == 0xE0:
            out.append(_until_end(part) if marker == 0 else part)
    return b"".join(out)


def _until_end(scans: bytes) -> bytes:
    """Picture data up to its end mark: some phones hang a second file with its own data behind it."""
    end = scans.find(b"\xff\xd9")
    while end != -1 and _is_inside_a_part(scans, end):
        end = scans.find(b"\xff\xd9", end + 2)
    return scans if end == -1 else scans[: end + 2]


def _is_inside_a_part(scans: bytes, end: int) -> bool:
    """Whether an end mark lies within a table between two scans of a progressive picture."""
    at = 0
    while at < end:
        at = scans.find(b"\xff", at)
        if at == -1 or at >= end:
            return False
        marker = scans[at + 1]
        if marker in (0x00, 0xFF) or 0xD0 <= marker <= 0xD7:
            at += 2 if marker != 0xFF else 1
            continue
        (length,) = struct.unpack_from(">H", scans, at + 2)
        if at + 2 + length > end:
            return True
        at += 2 + length
    return False


def _png(raw: bytes, picture: PictureFile) -> bytes:
    out, at = [raw[:8]], 8
    while at + 12 <= len(raw):
        (length,) = struct.unpack_from(">I", raw, at)
        kind, end = raw[at + 4 : at + 8], at + 12 + length
        if end > len(raw):
            raise ValueError("a part is longer than the file")
        if kind == b"IEND":
            out += [_chunk(b"eXIf", _exif(picture)), raw[at:end]]
            return b"".join(out)
        if kind in _PNG_KEPT:
            out.append(raw[at:end])
        at = end
    raise ValueError("there is no end")


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def _webp(raw: bytes, picture: PictureFile) -> bytes:
    parts, at = [], 12
    while at + 8 <= len(raw):
        kind = raw[at : at + 4]
        (length,) = struct.unpack_from("<I", raw, at + 4)
        end = at + 8 + length + length % 2
        if at + 8 + length > len(raw):
            raise ValueError("a part is longer than the file")
        if kind == b"VP8X":
            flags = raw[at + 8] & ~0x0C  # neither Exif nor XMP
            parts.append(raw[at : at + 8] + bytes([flags | 0x08]) + raw[at + 9 : end])
        elif kind not in (b"EXIF", b"XMP "):
            parts.append(raw[at:end])
        at = end
    if parts and parts[0][:4] == b"VP8X":
        block = _exif(picture)
        parts.append(b"EXIF" + struct.pack("<I", len(block)) + block + b"\0" * (len(block) % 2))
    body = b"WEBP" + b"".join(parts)
    return b"RIFF" + struct.pack("<I", len(body)) + body


def _from_heif(raw: bytes, name: str, picture: PictureFile) -> bytes:
    with opened(raw, name, Format.HEIF) as image:
        out = io.BytesIO()
        image.convert("RGB").save(out, "JPEG", quality=QUALITY, exif=b"Exif\0\0" + _exif(picture))
        return out.getvalue()
