"""What the old case measured outside, as it was written down on arrival."""

from __future__ import annotations

import re

from logbook.casework.lookup import says
from logbook.model.measures import Length

_OUTSIDE = re.compile(r"(\d{1,5}(?:[.,]\d)?)\s?[x×]\s?(\d{1,5}(?:[.,]\d)?)\s?[x×]\s?(\d{1,5}(?:[.,]\d)?)", re.ASCII)


def old_outside(size: str) -> tuple[int, ...] | None:
    """Width, height and depth outside as written on arrival, in ticks; None when it does not say so."""
    match = _OUTSIDE.search(size) if says(size, "outside") else None
    return None if match is None else tuple(Length.of(f"{n} mm").ticks for n in match.groups())
