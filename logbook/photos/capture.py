"""When a picture was taken, as the camera says: Exif's original time with its zone and fraction of a second.

Tags and their meaning: Exif 2.32 (CIPA DC-008-2019), 4.6.5 and 4.6.8: DateTimeOriginal 0x9003,
OffsetTimeOriginal 0x9011, SubSecTimeOriginal 0x9291. A time without offset is local time of an unknown zone.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from enum import StrEnum
from pathlib import Path
from typing import Any, NamedTuple

_TIME = re.compile(r"(\d{4})[:\-](\d{2})[:\-](\d{2})[ T](\d{2}):(\d{2}):(\d{2})")
_OFFSET = re.compile(r"([+-])(\d{2}):?(\d{2})")
_IN_NAME = re.compile(r"(?<!\d)(20\d{2})(\d{2})(\d{2})[_\-T ]?(\d{2})(\d{2})(\d{2})(?!\d{4})")


class TimeBasis(StrEnum):
    """Where the time of a picture comes from, from best to worst."""

    ZONED = "camera, with zone"
    CAMERA = "camera, without zone"
    NAME = "file name"
    FILE = "time of the file"
    NONE = "no time"


class Capture(NamedTuple):
    """What the camera wrote into the picture."""

    wall: datetime | None = None
    """The camera's own clock; no zone in it."""
    offset: timedelta | None = None
    camera: str = ""
    """Words the camera calls itself by; only to keep the clocks of two cameras apart."""


class TakenAt(NamedTuple):
    """The moment a picture was taken, before any correction of the camera's clock."""

    at: datetime | None
    basis: TimeBasis


def capture_of(exif: Any) -> Capture:
    """The camera's time, zone and name from an Exif block; what makes no sense is left out."""
    inner = exif.get_ifd(0x8769) if hasattr(exif, "get_ifd") else {}
    wall = _wall(inner.get(0x9003)) or _wall(inner.get(0x9004)) or _wall(exif.get(0x0132))
    if wall is not None:
        wall = wall.replace(microsecond=_fraction(inner.get(0x9291)))
    words = (str(exif.get(tag) or "").strip("\0 ") for tag in (0x010F, 0x0110))
    return Capture(wall, _offset(inner.get(0x9011) or inner.get(0x9010)), " ".join(w for w in words if w)[:80])


def taken_at(capture: Capture, zone: tzinfo, name: str = "", modified: datetime | None = None) -> TakenAt:
    """The moment in UTC, from the best there is.

    Args:
        capture: what the camera wrote.
        zone: where the person is; a time without a zone is taken as local time there.
        name: the file's name, which on many phones holds date and time.
        modified: when the file was last written, with its zone.
    """
    if capture.wall is not None:
        if capture.offset is not None:
            return TakenAt(_utc(capture.wall, timezone(capture.offset)), TimeBasis.ZONED)
        return TakenAt(_utc(capture.wall, zone), TimeBasis.CAMERA)
    named = _IN_NAME.search(Path(name).stem)
    if named and (wall := _valid(named.groups())) is not None:
        return TakenAt(_utc(wall, zone), TimeBasis.NAME)
    if modified is not None:
        return TakenAt(modified.astimezone(UTC), TimeBasis.FILE)
    return TakenAt(None, TimeBasis.NONE)


def _utc(wall: datetime, zone: tzinfo) -> datetime | None:
    try:
        return wall.replace(tzinfo=zone).astimezone(UTC)
    except (OverflowError, ValueError):  # the first and last day of the calendar, pushed over its end
        return None


def _wall(value: Any) -> datetime | None:
    found = _TIME.match(_words(value))
    return _valid(found.groups()) if found else None


def _valid(parts: tuple[str, ...]) -> datetime | None:
    try:
        return datetime(*(int(p) for p in parts))  # type: ignore[arg-type]  # noqa: DTZ001 - the camera says no zone
    except ValueError:
        return None


def _offset(value: Any) -> timedelta | None:
    found = _OFFSET.match(_words(value))
    if found is None:
        return None
    minutes = int(found[2]) * 60 + int(found[3])
    if minutes >= 24 * 60:
        return None
    return timedelta(minutes=-minutes if found[1] == "-" else minutes)


def _fraction(value: Any) -> int:
    """Microseconds from the digits after the point: “5” is half a second."""
    digits = re.match(r"\d{1,9}", _words(value))
    return int(f"{digits[0]:0<6}"[:6]) if digits else 0


def _words(value: Any) -> str:
    if isinstance(value, bytes):
        value = value.decode("ascii", "replace")
    return str(value).strip("\0 ") if value is not None else ""
