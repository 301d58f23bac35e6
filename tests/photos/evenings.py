"""Evenings at the bench with photos whose true step is known, made from a seed."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from typing import NamedTuple

from logbook.model.unit import Unit
from logbook.photos.capture import TimeBasis
from logbook.photos.cards import Card
from logbook.photos.linking import PhotoTaken
from tests.builders import step, unit

START = datetime(2026, 3, 12, 18, 30, tzinfo=UTC)


class Evening(NamedTuple):
    """Units as they were written down, photos as the camera saw them, and the truth."""

    units: tuple[Unit, ...]
    photos: tuple[PhotoTaken, ...]
    truth: dict[str, tuple[str, str]]
    clock_picture: datetime
    """When the camera says it took a picture of a clock that showed `clock_shows`."""
    clock_shows: datetime


def evening(
    seed: int,
    *,
    units: int = 2,
    steps: int = 30,
    ahead: timedelta = timedelta(),
    basis: TimeBasis = TimeBasis.ZONED,
    cards: float = 0.0,
) -> Evening:
    """One evening: steps of one to eight minutes over several units, none to five photos each, some in bursts.

    A photo is taken at any time between the first hand on the step and its entry, and one in ten in the seconds
    after the entry, before the hands go to the next step.
    """
    chance = random.Random(seed)
    now, made, photos, truth = START, {}, [], {}
    for n in range(steps):
        code = f"R{1 + n % units if chance.random() < 0.3 else 1 + (n * units) // steps}"
        busy = timedelta(seconds=chance.randint(60, 480))
        count = chance.choice((0, 0, 1, 1, 2, 5))
        name = f"T{len(made.setdefault(code, [])) + 1:02}"
        end = now + busy
        at = now + busy * chance.uniform(0.1, 0.9)
        for k in range(count):
            late = chance.random() < 0.1
            moment = end + timedelta(seconds=chance.uniform(1, 10)) if late else at + timedelta(seconds=k)
            moment = min(moment, end) if not late else moment
            photo = f"{seed}-{n:03}-{k}.jpg"
            card = Card(code, name) if chance.random() < cards else Card()
            photos.append(PhotoTaken(photo, moment + ahead, basis, "phone", card))
            truth[photo] = (code, name)
        made[code].append(step(name, f"part {n}", at=end, photo_taken=count > 0))
        now = end
    shown = START - timedelta(minutes=5)
    done = tuple(unit(*made[code], code=code) for code in sorted(made))
    return Evening(done, tuple(photos), truth, shown + ahead + timedelta(seconds=chance.uniform(-1, 1)), shown)
