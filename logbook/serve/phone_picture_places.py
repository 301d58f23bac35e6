"""Where a picture from the phone can go: to the step that was kept last, or to the one that is being written."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.model.edits import next_step_code
from logbook.model.unit import Unit
from logbook.render.plain import clean
from logbook.teardown.step_keeping import last_kept


class PicturePlace(NamedTuple):
    """A step that the next picture can go to."""

    which: str
    """“kept” or “next”, for the page's script."""
    to: str
    """What is sent with the picture."""
    words: str


def picture_places(unit: Unit) -> Iterator[PicturePlace]:
    """The step kept last, and the one being written."""
    if (last := kept_last(unit)) is not None:
        yield last
    yield PicturePlace("next", f"{unit.code}/", f"{next_step_code(unit)}, the step being written")


def kept_last(unit: Unit) -> PicturePlace | None:
    """The step that was kept last; None before the first."""
    step = last_kept(unit)
    if step is None:
        return None
    return PicturePlace("kept", f"{unit.code}/{step.code}", f"{step.code} {clean(step.what, limit=40)}, kept last")
