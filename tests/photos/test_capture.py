"""When a picture was taken, from the best there is."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from logbook.photos.capture import Capture, TimeBasis, capture_of, taken_at
from tests.photos.pictures import exif


def wall(text: str) -> datetime:
    """What a camera's clock shows; it knows no zone."""
    return datetime.fromisoformat(text)


ZONE = ZoneInfo("Europe/Vienna")

CASES = [
    ({"time": "2026:03:12 20:41:07"}, wall("2026-03-12 20:41:07"), None),
    ({"time": "2026:03:12 20:41:07", "offset": "-05:30"}, wall("2026-03-12 20:41:07"), timedelta(hours=-5.5)),
    ({"time": "2026:03:12 20:41:07", "fraction": "5"}, wall("2026-03-12 20:41:07.500000"), None),
    ({"time": "2026:03:12 20:41:07", "fraction": "1234567"}, wall("2026-03-12 20:41:07.123456"), None),
    ({"time": "2026:03:12 20:41:07", "fraction": "x"}, wall("2026-03-12 20:41:07"), None),
    ({"time": "2026:13:45 99:00:00"}, None, None),
    ({"time": "    :  :     :  :  "}, None, None),
    ({"time": "yesterday"}, None, None),
    ({"time": "2026:03:12 20:41:07", "offset": "+99:00"}, wall("2026-03-12 20:41:07"), None),
    ({}, None, None),
]


@pytest.mark.parametrize(("written", "shown", "offset"), CASES)
def test_what_the_camera_wrote(written: dict[str, str], shown: datetime | None, offset: timedelta | None) -> None:
    capture = capture_of(exif(**written))
    assert capture.wall == shown
    assert capture.offset == offset


WALL = wall("2026-07-01 12:00:00")
MODIFIED = datetime(2026, 7, 2, 8, 0, tzinfo=UTC)
MOMENTS = [
    (Capture(WALL, timedelta(hours=9)), "x.jpg", datetime(2026, 7, 1, 3, 0, tzinfo=UTC), TimeBasis.ZONED),
    (Capture(WALL), "x.jpg", datetime(2026, 7, 1, 10, 0, tzinfo=UTC), TimeBasis.CAMERA),
    (Capture(), "20260701_120000.jpg", datetime(2026, 7, 1, 10, 0, tzinfo=UTC), TimeBasis.NAME),
    (Capture(), "pic-20260701120000123.jpg", datetime(2026, 7, 1, 10, 0, tzinfo=UTC), TimeBasis.NAME),
    (Capture(), "20261301_120000.jpg", MODIFIED, TimeBasis.FILE),
    (Capture(), "part.jpg", MODIFIED, TimeBasis.FILE),
    (Capture(wall("0001-01-01 00:00:00")), "x.jpg", None, TimeBasis.CAMERA),
]


@pytest.mark.parametrize(("capture", "name", "at", "basis"), MOMENTS)
def test_the_moment(capture: Capture, name: str, at: datetime | None, basis: TimeBasis) -> None:
    assert taken_at(capture, ZONE, name, MODIFIED) == (at, basis)


def test_the_hour_that_comes_twice_is_taken_as_the_first() -> None:
    twice = Capture(wall("2026-10-25 02:30:00"))
    assert taken_at(twice, ZONE).at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_no_time_at_all() -> None:
    assert taken_at(Capture(), UTC) == (None, TimeBasis.NONE)
