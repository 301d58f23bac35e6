"""How many new fasteners one kind of a step takes, of which kind, why, and how many of them lie ready.

Reused: what was missing on arrival. Renewed and lost: one for each place. Scrapped: none, because what takes their
place is recorded as new fasteners of the step. Places that are to stay empty are never filled.
"""

from __future__ import annotations

from dataclasses import dataclass

from logbook.model.step import Fastener
from logbook.model.words import Then


@dataclass(frozen=True, slots=True)
class NewFasteners:
    """New ones of one kind, for one member."""

    kind: str
    count: int
    why: str
    ready: int
    """How many of them lie ready."""


def places(fastener: Fastener) -> int:
    """Places that are filled again: all, without those that are to stay empty."""
    return min(fastener.holes, fastener.found) if fastener.stays_empty else fastener.holes


def new_of(fastener: Fastener) -> NewFasteners | None:
    """The new ones that a kind takes; None when it takes none."""
    kind, filled = fastener.kind, places(fastener)
    if fastener.then is Then.REUSE:
        count, why = max(0, filled - fastener.found), "missing on arrival"
    elif fastener.then is Then.LOST:
        count, why = filled, _why_lost(filled - fastener.found, fastener.found)
        if fastener.renew_as.strip():
            kind, why = fastener.renew_as.strip(), f"in place of {kind}, {why}"
    elif fastener.then is Then.RENEW and fastener.renew_as.strip():
        kind, count, why = fastener.renew_as.strip(), filled, f"in place of {fastener.kind}"
    elif fastener.then is Then.RENEW:
        count, why = filled, "renewed"
    else:
        count, why = 0, ""
    if not count:
        return None
    return NewFasteners(kind, count, why, count if fastener.renewed_here else min(count, fastener.new_here))


def then_in_words(fastener: Fastener) -> str:
    """What becomes of a kind, `reuse`; with the other kind that takes its place, `lost, renew as screw M4x16`."""
    if not fastener.renew_as:
        return str(fastener.then)
    return f"{fastener.then}{', renew' if fastener.then is Then.LOST else ''} as {fastener.renew_as}"


def _why_lost(missing: int, lost: int) -> str:
    """Of some that were lost others may have been missing when the thing came."""
    if missing <= 0:
        return "lost at the bench"
    return f"{missing} missing on arrival, {lost} lost at the bench" if lost else "missing on arrival"
