"""What every record has in common: frozen, strict, and nothing in it that cannot be written down again."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from typing import Annotated, Any, NamedTuple

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationInfo,
)

_LONE_SURROGATE = re.compile("[\ud800-\udfff]")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOMENT = re.compile(_DAY.pattern + r"[T ][0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?(Z|[+-][0-9]{2}:[0-9]{2})?")


class Frozen(BaseModel):
    """A record that never changes: an edit makes a new one that shares what stayed the same.

    Validation is strict (no text for a number, no unknown field), so a typing mistake in an imported
    document is named and not guessed at. Building is deferred, because most commands need few records; the help of the
    fields is read from the source when it is asked for (`field_help`).
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)


def _sound(text: str) -> str:
    """Text that can be written as UTF-8: a lone surrogate (from a damaged paste) becomes U+FFFD."""
    return _LONE_SURROGATE.sub("\ufffd", text)


def _as_utc(moment: datetime) -> datetime:
    try:
        return moment.astimezone(UTC)
    except OverflowError as error:
        raise ValueError("this time lies before the year 1 or after the year 9999 in UTC") from error


Text = Annotated[str, AfterValidator(_sound)]
"""Words a person typed, kept as typed. It is data everywhere, never markup. Empty means not said."""

Name = Annotated[str, AfterValidator(_sound), StringConstraints(min_length=1)]
"""Words that may not be empty, because something is called by them."""

UnitCode = Annotated[str, StringConstraints(pattern=r"^[A-Z][A-Z0-9]{0,7}$")]
"""The short code on every bag and box of a unit, such as `R1`. Also the name of its folder."""

StepCode = Annotated[str, StringConstraints(pattern=r"^[A-Z]{1,3}[0-9]{1,4}[a-z]?$")]
"""The code of one step, such as `T11`. It stands on bags and photos, so it never changes."""

StepLetter = Annotated[str, StringConstraints(pattern=r"^[A-Z]{0,3}$")]
"""The letter that a unit's step codes start with; empty means T."""

Code = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,15}$")]
"""The code of a thing inside a unit or the shop: `V1`, `W6`, `H-W`, `O02b`, `D3`."""


def _moment(value: Any, info: ValidationInfo) -> Any:
    """A time as it stands in a document. Pydantic itself would take “20260312” for seconds since 1970."""
    if not isinstance(value, str) or info.mode != "json":
        return value
    if not _MOMENT.fullmatch(value):
        raise ValueError("a time with zone like 2026-03-12T20:41:00Z is wanted")
    return datetime.fromisoformat(value)


def _day(value: Any, info: ValidationInfo) -> Any:
    """A date as it stands in a document, never a bare number."""
    if not isinstance(value, str) or info.mode != "json":
        return value
    if not _DAY.fullmatch(value):
        raise ValueError("a date like 2026-03-12 is wanted")
    return date.fromisoformat(value)


Moment = Annotated[AwareDatetime, AfterValidator(_as_utc), BeforeValidator(_moment)]
"""A point in time, stored in UTC; a time without zone is refused, because it cannot be ordered."""

Day = Annotated[date, BeforeValidator(_day)]
"""A day of the calendar."""

Count = Annotated[int, Field(ge=0, le=1_000_000)]
"""A number of things. Never negative."""


class Marked(NamedTuple):
    """A mark on a type that tells a form how its values are typed and shown."""

    unit: str


ComingDay = Annotated[Day, Marked("ahead")]
"""A day that lies ahead when it is written down: typed without a year it is the next one, not the last."""

ClockTime = Annotated[Text, Marked("clock")]
"""A time of day as “18:00”, local time; empty means not said."""

Weekday = Annotated[Count, Marked("weekday")]
"""A day of every week: 1 is Monday, 7 is Sunday."""

Minutes = Annotated[int, Field(ge=0, le=10_000_000), Marked("minutes")]
"""A length of time in whole minutes."""
