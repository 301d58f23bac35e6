"""A copy for others says nothing of the place, and shows the same picture."""

from __future__ import annotations

import io

import exifread
import pytest
from PIL import Image, ImageOps

from logbook.errors import InputError
from logbook.photos.picture_file import look, small
from logbook.photos.private import without_place
from tests.photos.pictures import corners, encoded, photo

BESIDE = {"orientation": 6, "time": "2026:03:12 20:41:07", "place": True, "camera": "A camera with a serial number"}


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_place_and_camera_are_gone_time_and_picture_stay(form: str) -> None:
    raw = photo(form=form, **BESIDE)
    copy, ending = without_place(raw, "x")
    tags = exifread.process_file(io.BytesIO(copy)) if form != "WEBP" else {}
    assert not [t for t in tags if t.startswith("GPS") or "Model" in t]
    with Image.open(io.BytesIO(copy)) as image:
        block = image.getexif()
        assert not block.get_ifd(0x8825)
        assert 0x0110 not in block
    assert b"serial number" not in copy
    assert small(copy, "x", (64, 64)).size == small(raw, "x", (64, 64)).size
    assert ending == {"JPEG": ".jpg", "PNG": ".png", "WEBP": ".webp", "HEIF": ".jpg"}[form]
    if form in ("JPEG", "PNG"):
        assert look(copy, "x").capture.wall == look(raw, "x").capture.wall


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_points_are_the_same(form: str, orientation: int) -> None:
    raw = encoded(corners(), form, orientation=orientation, place=True)
    copy, _ = without_place(raw, "x")
    with Image.open(io.BytesIO(raw)) as before, Image.open(io.BytesIO(copy)) as after:
        assert (
            ImageOps.exif_transpose(before).convert("RGB").tobytes()
            == ImageOps.exif_transpose(after).convert("RGB").tobytes()
        )


def test_a_progressive_jpeg_with_a_second_file_behind_it() -> None:
    out = io.BytesIO()
    corners(320, 240).save(out, "JPEG", progressive=True)
    raw = out.getvalue()
    copy, _ = without_place(raw + b"\0\0\0\x18ftypmp42 hidden place 52.52 13.40", "x")
    assert b"hidden place" not in copy
    with Image.open(io.BytesIO(raw)) as before, Image.open(io.BytesIO(copy)) as after:
        assert before.convert("RGB").tobytes() == after.convert("RGB").tobytes()


def test_comments_and_other_blocks_are_left_out() -> None:
    out = io.BytesIO()
    corners().save(out, "JPEG", comment=b"at home, 52.52 13.40", xmp=b"<x:xmpmeta>home</x:xmpmeta>")
    copy, _ = without_place(out.getvalue(), "x")
    assert b"home" not in copy


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_cut_short_it_is_a_sentence_or_a_copy(form: str) -> None:
    raw = photo(form=form)
    said = []
    for length in range(len(raw)):
        try:
            without_place(raw[:length], "x")
        except InputError as error:
            said.append(str(error))
    assert len(said) > 20
    assert not [s for s in said if "\n" in s or not s.startswith("x ")]
