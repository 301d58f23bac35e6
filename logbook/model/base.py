"""What every record has in common: frozen, strict, and nothing in it that cannot be written down again."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Annotated, NamedTuple

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field, StringConstraints

_LONE_SURROGATE = re.compile("[\ud800-\udfff]")


class Frozen(BaseModel):
    """A record that never changes: an edit makes a new one that shares what stayed the same.

    Validation is strict (no text for a number, no unknown field), so a typing mistake in an imported
    document is named and not guessed at. Building is deferred, because most commands need few records.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True, use_attribute_docstrings=True)


def _sound(text: str) -> str:
    """Text that can be written as UTF-8: a lone surrogate (from a damaged paste) becomes U+FFFD."""
    return _LONE_SURROGATE.sub("\ufffd", text)


def _as_utc(moment: datetime) -> datetime:
    return moment.astimezone(UTC)


Text = Annotated[str, AfterValidator(_sound)]
"""Words a person typed, kept as typed. It is data everywhere, never markup. Empty means not said."""

Name = Annotated[str, AfterValidator(_sound), StringConstraints(min_length=1)]
"""Words that may not be empty, because something is called by them."""

UnitCode = Annotated[str, StringConstraints(pattern=r"^[A-Z][A-Z0-9]{0,7}$")]
"""The short code on every bag and box of a unit, such as `R1`. Also the name of its folder."""

StepCode = Annotated[str, StringConstraints(pattern=r"^[A-Z]{1,3}[0-9]{1,4}[a-z]?$")]
"""The code of one step, such as `T11`. It stands on bags and photos, so it never changes."""

Code = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]{0,15}$")]
"""The code of a thing inside a unit or the shop: `V1`, `W6`, `H-W`, `O02b`, `D3`."""

Moment = Annotated[AwareDatetime, AfterValidator(_as_utc)]
"""A point in time, stored in UTC; a time without zone is refused, because it cannot be ordered."""

Count = Annotated[int, Field(ge=0, le=1_000_000)]
"""A number of things. Never negative."""


class Marked(NamedTuple):
    """A mark on a type that tells a form how its values are typed and shown."""

    unit: str


Minutes = Annotated[int, Field(ge=0, le=10_000_000), Marked("minutes")]
"""A length of time in whole minutes."""
