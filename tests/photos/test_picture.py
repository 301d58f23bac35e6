"""A file is what its bytes say: formats, orientations, and everything that can be wrong with one."""

from __future__ import annotations

import io
import struct
import zlib

import exifread
import pytest
from PIL import Image

from logbook.errors import InputError
from logbook.photos.picture_file import Format, format_of, look, small
from logbook.photos.pillow import MOST_BYTES
from tests.photos.pictures import corners, encoded, photo

FORMS = {"JPEG": Format.JPEG, "PNG": Format.PNG, "WEBP": Format.WEBP, "HEIF": Format.HEIF}


@pytest.mark.parametrize("form", FORMS)
def test_formats_are_told_by_content(form: str) -> None:
    raw = photo(form=form)
    picture = look(raw, "any name.txt")
    assert picture.format is FORMS[form]
    assert (picture.width, picture.height) == (64, 48)


# Where the stored first row and first column are, seen upright (Exif 2.32, 4.6.4, tag 0x0112; also jpegexiforient(1)).
FIRST_ROW_AND_COLUMN = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def upright_by_definition(stored: Image.Image, orientation: int) -> Image.Image:
    """Every point of the stored picture put where the definition says, with no library's turning."""
    row, column = FIRST_ROW_AND_COLUMN[orientation]
    wide, high = stored.size
    swapped = row in ("left", "right")
    upright = Image.new("RGB", (high, wide) if swapped else (wide, high))
    for y in range(high):
        for x in range(wide):
            if swapped:
                at = (y if row == "left" else high - 1 - y, x if column == "top" else wide - 1 - x)
            else:
                at = (x if column == "left" else wide - 1 - x, y if row == "top" else high - 1 - y)
            upright.putpixel(at, stored.getpixel((x, y)))
    return upright


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("form", ["PNG", "WEBP"])
def test_all_eight_orientations_point_by_point(form: str, orientation: int) -> None:
    stored = corners()
    raw = encoded(stored, form, orientation=orientation)
    shown = small(raw, "x", (64, 64))
    wanted = upright_by_definition(stored, orientation)
    assert shown.size == wanted.size
    assert shown.tobytes() == wanted.tobytes()
    assert (look(raw, "x").width, look(raw, "x").height) == wanted.size


@pytest.mark.parametrize("orientation", range(1, 9))
def test_all_eight_orientations_of_a_jpeg(orientation: int) -> None:
    stored = corners(640, 480)
    raw = encoded(stored, orientation=orientation)
    wanted = upright_by_definition(stored.resize((64, 48)), orientation)
    shown = small(raw, "x", wanted.size)
    assert shown.size == wanted.size
    for at in ((4, 4), (wanted.width - 5, 4), (4, wanted.height - 5), (wanted.width - 5, wanted.height - 5)):
        assert all(abs(a - b) < 24 for a, b in zip(shown.getpixel(at), wanted.getpixel(at), strict=True))
    tags = exifread.process_file(io.BytesIO(raw))
    assert tags["Image Orientation"].values == [orientation]
    assert look(raw, "x").orientation == orientation


def test_time_as_a_second_library_reads_it() -> None:
    raw = photo(time="2026:03:12 20:41:07", offset="+01:00", fraction="25")
    tags = exifread.process_file(io.BytesIO(raw))
    capture = look(raw, "x").capture
    assert capture.wall is not None
    assert f"{capture.wall:%Y:%m:%d %H:%M:%S}" == str(tags["EXIF DateTimeOriginal"])
    assert f"{capture.wall.microsecond // 10_000}" == str(tags["EXIF SubSecTimeOriginal"])
    assert str(tags["EXIF OffsetTimeOriginal"]) == "+01:00"
    assert capture.offset is not None
    assert capture.offset.total_seconds() == 3600


def png_that_claims(width: int, height: int) -> bytes:
    """A tiny PNG with a header that claims any size."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


WRONG = [
    (b"", "empty"),
    (b"plain text", "no JPEG, PNG, WebP or HEIF"),
    (b"MZ" + b"\0" * 500, "no JPEG, PNG, WebP or HEIF"),
    (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no JPEG, PNG, WebP or HEIF"),
    (b"GIF89a" + b"\0" * 50, "no JPEG, PNG, WebP or HEIF"),
    (b"\xff\xd8\xff" + b"not a picture" * 20, "damaged"),
    (b"\x89PNG\r\n\x1a\n" + b"\0" * 40, "damaged"),
    (b"RIFF\0\0\0\0WEBP" + b"\0" * 40, "damaged"),
    (b"\0\0\0\x18ftypheic" + b"\0" * 60, "damaged"),
    (png_that_claims(30_000, 30_000), "claims more points"),
    (png_that_claims(20_000, 20_000), "claims 20000 x 20000"),
    (png_that_claims(9_000, 9_000), "claims 9000 x 9000"),
    (b"\xff\xd8\xff" + b"\0" * MOST_BYTES, "at most 60 MB"),
]


@pytest.mark.parametrize(("raw", "said"), WRONG, ids=[f"{i}" for i in range(len(WRONG))])
def test_what_is_no_photo_is_one_sentence(raw: bytes, said: str) -> None:
    with pytest.raises(InputError, match=said) as error:
        look(raw, "IMG 1.jpg")
    assert "IMG 1.jpg" in str(error.value)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize("form", FORMS)
def test_cut_short_anywhere_is_a_sentence_or_a_picture(form: str) -> None:
    raw = photo(form=form)
    refused = 0
    for length in range(0, len(raw), max(1, len(raw) // 60)):
        try:
            look(raw[:length], "cut")
            small(raw[:length], "cut", (32, 32))
        except InputError:
            refused += 1
    assert refused > 20


def test_a_name_that_lies_changes_nothing() -> None:
    assert format_of(photo(form="PNG")) is Format.PNG
    assert look(photo(form="PNG"), "trust me.jpg").format is Format.PNG


@pytest.mark.parametrize("form", ["WEBP", "PNG"])
def test_a_padded_picture_that_would_fill_the_memory_is_not_decoded(form: str) -> None:
    """Larger than any phone's camera writes in a format that is decoded whole; padding makes it look packed."""
    out = io.BytesIO()
    Image.new("1" if form == "PNG" else "RGB", (16_000, 3_200)).save(out, form)
    raw = out.getvalue() + bytes(3_000_000)
    for read in (lambda: look(raw, "big"), lambda: small(raw, "big", (64, 64))):
        with pytest.raises(InputError, match="No photo is like that"):
            read()
