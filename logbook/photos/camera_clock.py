"""How far a camera's clock was off: from one picture of a clock, from cards, or from which steps have photos."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from logbook.errors import InputError
from logbook.model.dates_in_words import day_and_year
from logbook.photos.linking import SETTLE, CameraOffset, PhotoTaken, StepSpan

READING = timedelta(seconds=2)
"""How far a reading of a clock with seconds can be off: the hand, the shutter, the whole second."""

_SHOWN = re.compile(r"(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?")
_ERROR = re.compile(r"([+-])?(?:(\d{1,2}):)?(\d{1,4}):(\d{2})|([+-]?\d{1,6})\s*s")


def from_picture(taken: datetime, shown: str, local: datetime) -> CameraOffset:
    """The difference from a picture of a clock that was right.

    Args:
        taken: when the camera says that the picture was taken.
        shown: what the clock in it shows, “21:04:10” or “21:04”.
        local: the same moment as `taken` where the person is, which gives day and zone.

    Raises:
        InputError: `shown` is no time of day.
    """
    found = _SHOWN.fullmatch(shown.strip())
    if found is None or int(found[1]) > 23 or int(found[2]) > 59 or int(found[3] or 0) > 59:
        raise InputError(f"“{shown}” is no time of day. Write what the clock in the picture shows, such as 21:04:10.")
    # Without seconds the minute is half over, give or take half a minute.
    seconds = int(found[3]) if found[3] else 30
    true = local.replace(hour=int(found[1]), minute=int(found[2]), second=seconds, microsecond=0)
    ahead = local - true
    day = timedelta(days=1)
    ahead = min((ahead - day, ahead, ahead + day), key=abs)
    doubt = READING if found[3] else timedelta(seconds=31)
    seen = f"from a picture of a clock that showed {shown.strip()}, taken {day_and_year(taken)}"
    return CameraOffset(ahead, doubt, seen)


def from_words(text: str) -> CameraOffset:
    """The difference as a person writes it: “+3:20” minutes and seconds fast, “-1:02:00” hours slow, “45 s”.

    Raises:
        InputError: it cannot be understood.
    """
    found = _ERROR.fullmatch(text.strip())
    if found is None:
        raise InputError(
            f"“{text}” is no clock error. Write +3:20 when the camera is 3 min 20 s fast, -0:45 when slow."
        )
    if found[5]:
        seconds = int(found[5])
    else:
        seconds = int(found[2] or 0) * 3600 + int(found[3]) * 60 + int(found[4])
        seconds = -seconds if found[1] == "-" else seconds
    return CameraOffset(timedelta(seconds=seconds), timedelta(seconds=5), f"set by hand to {text.strip()}")


def from_cards(photos: Sequence[PhotoTaken], times: Sequence[StepSpan]) -> CameraOffset | None:
    """The difference that photos with a step's card allow: each must have been taken within its step's time.

    None when no card helps, or when the cards contradict each other.
    """
    at_step: Mapping[tuple[str, str], StepSpan] = {(s.unit, s.step): s for s in times}
    least, most, used = timedelta.min, timedelta.max, 0
    for photo in photos:
        span = at_step.get((photo.card.unit, photo.card.step))
        if span is None or photo.at is None:
            continue
        least, most = max(least, photo.at - span.end - SETTLE), min(most, photo.at - span.start)
        used += 1
    if used == 0 or least > most:
        return None
    return CameraOffset(
        (least + most) / 2, (most - least) / 2, f"from {used} card{'' if used == 1 else 's'} in the pictures"
    )


def from_matches(
    photos: Sequence[PhotoTaken], times: Sequence[StepSpan], most: timedelta = timedelta(minutes=15)
) -> CameraOffset | None:
    """The difference at which the photos fall best on the steps that say a photo was taken, and on no others.

    Every difference up to `most` either way is tried in steps of five seconds. All that are equally good stay
    possible: the middle of them is taken; half their width, and the time a hand stays at a step, is the doubt.
    None when the steps say nothing.
    """
    stamps = [p.at for p in photos if p.at is not None]
    wanted = [s for s in times if s.wants_photo]
    if len(stamps) < 3 or not wanted or len(wanted) == len(times):
        return None
    step = timedelta(seconds=5)
    tries = range(-int(most / step), int(most / step) + 1)
    starts = [s.start for s in times]
    scores = {n: _score(stamps, times, starts, n * step) for n in tries}
    best = max(scores.values())
    good = [n for n in tries if scores[n] == best]
    if best <= 0 or good[0] == tries[0] or good[-1] == tries[-1]:
        return None
    middle, half = (good[0] + good[-1]) / 2 * step, (good[-1] - good[0] + 2) / 2 * step + SETTLE
    return CameraOffset(
        middle, half, f"from how {len(stamps)} photos fall on the {len(wanted)} steps that say a photo was taken"
    )


def _score(stamps: Sequence[datetime], times: Sequence[StepSpan], starts: Sequence[datetime], ahead: timedelta) -> int:
    """Photos on steps that want one, less photos on steps that want none, less wanting steps without any."""
    from bisect import bisect_right

    score, filled = 0, set()
    for at in stamps:
        i = bisect_right(starts, at - ahead) - 1
        if i >= 0 and at - ahead <= times[i].end and times[i].wants_photo:
            score += 1
            filled.add(i)
        else:
            score -= 1
    return score - sum(1 for i, s in enumerate(times) if s.wants_photo and i not in filled)
