"""To which step a photo belongs: by the time it was taken, then by the card in it; and how sure that is.

Steps are written down when they are done, so a step's time runs from the step before it, in whichever unit, to
its own entry. A photo within a step's time, further from both ends than the clocks are doubtful, is certain.
Nearer than that it may as well belong to the neighbour, and is never called certain.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from enum import StrEnum
from typing import NamedTuple

from logbook.model.unit import Unit
from logbook.model.words import LinkBasis
from logbook.photos.capture import TimeBasis
from logbook.photos.cards import NO_CARD, Card

SITTING = timedelta(minutes=90)
"""A longer pause than this between two steps is not time spent on the second."""

BEFORE_FIRST = timedelta(minutes=30)
"""How long before a sitting's first entry its photos may begin."""

AFTER_LAST = timedelta(minutes=10)
"""How long after a sitting's last entry its photos may still be taken."""

SETTLE = timedelta(seconds=12)
"""So long after an entry a photo may still show the step that was just written down."""

TRUSTED = frozenset({TimeBasis.ZONED, TimeBasis.CAMERA})
"""Times that the camera itself wrote. A file's name or date may come from copying."""


class LinkCertainty(StrEnum):
    """How sure a link is."""

    CERTAIN = "certain"
    LIKELY = "likely"
    UNSURE = "unsure"


class PhotoTaken(NamedTuple):
    """A photo that was looked at, before it belongs anywhere."""

    name: str
    at: datetime | None
    basis: TimeBasis
    camera: str = ""
    card: Card = NO_CARD


class CameraOffset(NamedTuple):
    """How far a camera's clock was from the program's."""

    ahead: timedelta = timedelta()
    """Positive when the camera's clock was fast."""
    doubt: timedelta = timedelta(seconds=90)
    """How far the true difference can be from `ahead`, either way."""
    why: str = "nobody said; phones set their clocks themselves"


UNSET = CameraOffset()


class StepSpan(NamedTuple):
    """The time of one step."""

    start: datetime
    end: datetime
    unit: str
    step: str
    wants_photo: bool
    opens: bool
    """It is the first of a sitting: its start is a guess."""


class Link(NamedTuple):
    """Where a photo is proposed to go."""

    photo: str
    unit: str
    step: str
    certainty: LinkCertainty
    basis: LinkBasis
    why: str


class Proposal(NamedTuple):
    """What linking a folder would do."""

    links: tuple[Link, ...]
    orphans: tuple[tuple[str, str], ...]
    """Photos that belong to no step, each with the reason."""
    without: tuple[tuple[str, str], ...]
    """Unit and step of steps at which a photo was said to be taken, and none is there."""


def spans(units: Iterable[Unit]) -> tuple[StepSpan, ...]:
    """The times of all steps that were done, over all units, in order."""
    done = sorted(
        (step.at, unit.code, step.code, step.photo_taken)
        for unit in units
        for step in unit.steps
        if step.at is not None and not step.planned
    )
    found: list[StepSpan] = []
    before: datetime | None = None
    for at, unit_code, step_code, wants in done:
        opens = before is None or at - before > SITTING
        start = at - BEFORE_FIRST if opens or before is None else before
        if before is not None:
            start = max(start, before)
        found.append(StepSpan(start, at, unit_code, step_code, wants, opens))
        before = at
    return tuple(found)


def propose(
    photos: Sequence[PhotoTaken], units: Sequence[Unit], clocks: Mapping[str, CameraOffset] | None = None
) -> Proposal:
    """Where each photo goes, how sure that is, and what is left over.

    Args:
        photos: what was found, in any order.
        units: the units whose steps they may show.
        clocks: by camera, how far its clock was off; a camera that is not named is taken as `UNSET`.
    """
    times = spans(units)
    known = {(s.unit, s.step) for s in times} | {(u.code, s.code) for u in units for s in u.steps}
    links: list[Link] = []
    orphans: list[tuple[str, str]] = []
    by_time = {p.name: _by_time(p, times, (clocks or {}).get(p.camera, UNSET)) for p in photos}
    reused = _reused_cards(photos, by_time)
    for photo in sorted(photos, key=lambda p: (p.at is None, p.at, p.name)):
        link = _decide(photo, by_time[photo.name], known, reused)
        if isinstance(link, Link):
            links.append(link)
        else:
            orphans.append((photo.name, link))
    return Proposal(tuple(links), tuple(orphans), _without(units, links))


def _without(units: Sequence[Unit], links: Sequence[Link]) -> tuple[tuple[str, str], ...]:
    filled = {(link.unit, link.step) for link in links}
    return tuple(
        (u.code, s.code)
        for u in units
        for s in u.steps
        if s.photo_taken and not s.photos and (u.code, s.code) not in filled
    )


def _by_time(photo: PhotoTaken, times: Sequence[StepSpan], clock: CameraOffset) -> Link | str:
    """The link that the time alone gives, or why it gives none."""
    if photo.at is None:
        return "it says no time"
    if not times:
        return "no step was written down with its time"
    at = photo.at - clock.ahead
    i = bisect_left(times, at, key=lambda s: s.end)
    after_last = times[i - 1] if i else None
    if i < len(times) and times[i].start <= at:
        return _within(photo, at, times, i, clock)
    if after_last is not None and at - after_last.end <= AFTER_LAST:
        sure = (
            LinkCertainty.LIKELY if photo.basis in TRUSTED and clock.doubt <= AFTER_LAST / 2 else LinkCertainty.UNSURE
        )
        why = f"taken {_words(at - after_last.end)} after {after_last.step} was written down, the last for some time"
        return Link(photo.name, after_last.unit, after_last.step, sure, LinkBasis.TIME, why)
    if photo.basis not in TRUSTED:
        return f"the camera wrote no time into it, and by the {photo.basis} nothing was taken apart then"
    return "nothing was taken apart around that time"


def _within(photo: PhotoTaken, at: datetime, times: Sequence[StepSpan], i: int, clock: CameraOffset) -> Link:
    """The link of a photo that falls into a step's time; right after an entry it shows the step just written down."""
    span, before = times[i], times[i - 1] if i else None
    from_start, to_end = at - span.start, span.end - at
    follows = i + 1 < len(times) and times[i + 1].start == span.end
    if before is not None and not span.opens and from_start <= SETTLE:
        span, sure = before, LinkCertainty.LIKELY if clock.doubt <= SETTLE else LinkCertainty.UNSURE
        why = f"taken {_words(from_start)} after {before.step} was written down"
    elif before is not None and not span.opens and from_start <= clock.doubt + SETTLE:
        sure = LinkCertainty.UNSURE
        why = f"taken {_words(from_start)} after {before.step} was written down; it may still show that"
    elif to_end <= clock.doubt and follows:
        sure, why = (
            LinkCertainty.UNSURE,
            f"taken {_words(to_end)} before {span.step} was written down; perhaps at the next",
        )
    elif span.opens and from_start < BEFORE_FIRST / 2:
        sure, why = LinkCertainty.LIKELY, f"taken {_words(to_end)} before the first entry of the sitting"
    else:
        sure, why = LinkCertainty.CERTAIN, f"taken while {span.step} was done"
    if photo.basis not in TRUSTED:
        sure, why = LinkCertainty.UNSURE, f"{why}, by the {photo.basis}"
    return Link(photo.name, span.unit, span.step, sure, LinkBasis.TIME, why)


def _reused_cards(photos: Sequence[PhotoTaken], by_time: Mapping[str, Link | str]) -> dict[str, Link]:
    """For each photo with a reusable card, the step that the certain photos of the same card agree on."""
    found: dict[str, Link] = {}
    runs: list[list[PhotoTaken]] = []
    for photo in sorted((p for p in photos if p.card.number and p.at), key=lambda p: (p.card.number, p.at or 0)):
        last = runs[-1][-1] if runs else None
        together = (
            last is not None and last.card == photo.card and last.at and photo.at and photo.at - last.at < SITTING
        )
        if together:
            runs[-1].append(photo)
        else:
            runs.append([photo])
    for run in runs:
        sure = [
            link for p in run if isinstance(link := by_time[p.name], Link) and link.certainty is LinkCertainty.CERTAIN
        ]
        places = {(link.unit, link.step) for link in sure}
        if len(places) == 1:
            found |= {p.name: sure[0] for p in run}
    return found


def _decide(photo: PhotoTaken, time: Link | str, known: set[tuple[str, str]], reused: Mapping[str, Link]) -> Link | str:
    """Time first, then the card; where the two contradict each other nobody is believed for certain."""
    card = photo.card
    if card.number:
        return _by_number(photo, time, reused)
    if not card.step:
        return time
    place = (card.unit, card.step)
    if place not in known:
        return time if isinstance(time, Link) else f"its card says {card.words}, which is not in the record"
    if isinstance(time, Link) and (time.unit, time.step) != place and time.certainty is LinkCertainty.CERTAIN:
        why = f"its card says {card.step}, but it was taken while {time.step} was done"
        return Link(photo.name, *place, LinkCertainty.UNSURE, LinkBasis.CARD, why)
    return Link(photo.name, *place, LinkCertainty.CERTAIN, LinkBasis.CARD, f"its card says {card.words}")


def _by_number(photo: PhotoTaken, time: Link | str, reused: Mapping[str, Link]) -> Link | str:
    agreed = reused.get(photo.name)
    if agreed is None or (isinstance(time, Link) and time.certainty is LinkCertainty.CERTAIN):
        return time
    why = f"{photo.card.words} lies in it, as in a photo that was certainly taken at {agreed.step}"
    return Link(photo.name, agreed.unit, agreed.step, LinkCertainty.LIKELY, LinkBasis.CARD, why)


def _words(span: timedelta) -> str:
    seconds = int(span.total_seconds())
    return f"{seconds} s" if seconds < 90 else f"{round(seconds / 60)} min"
