"""What follows from a size, as a value: what it is, with figures, whether it holds, and the way out."""

from __future__ import annotations

from dataclasses import dataclass

from logbook.model.measures import Length

NEAR = Length.of("20 mm").ticks
"""Two things that are farther apart are not worth a line."""


@dataclass(frozen=True, slots=True)
class Consequence:
    """One thing that follows from the sizes, good or bad, with its figures."""

    code: str
    """Short name which never changes: `grip`, `clash`, `edge-distance`."""
    place: str
    """Codes concerned: `G1 P4`."""
    sentence: str
    """What it is, with numbers."""
    holds: bool | None
    """None while it cannot be known."""
    way_out: str = ""
    borderline: bool = False
    """It holds with nothing to spare."""
    member: str = ""
    """For which of a set, when not for every one."""

    @property
    def sign(self) -> str:
        """In a word."""
        if self.holds is None:
            return "?"
        return "WRONG" if not self.holds else "just" if self.borderline else "ok"
