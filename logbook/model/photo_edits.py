"""Photos of a unit: where each stands in the record, and the edits that put, move, name and mark them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple, TypeVar

from logbook.errors import InputError
from logbook.model.edits import with_changes
from logbook.model.step import HoldPoint, Photo, Step
from logbook.model.unit import Component, Unit


class At(StrEnum):
    """What a photo belongs to."""

    UNIT = "unit"
    STEP = "step"
    COMPONENT = "component"
    HOLD = "hold point"


class Spot(NamedTuple):
    """A place in a unit's record where photos stand."""

    at: At = At.UNIT
    code: str = ""
    """Code of the step, the component or the hold point; empty for the unit as a whole."""

    @property
    def words(self) -> str:
        """How the place is named to a person."""
        return self.code or "the whole unit"


WHOLE_UNIT = Spot()


def at_step(code: str) -> Spot:
    """The photos of a step."""
    return Spot(At.STEP, code)


class Placed(NamedTuple):
    """A photo with the place it stands at."""

    spot: Spot
    photo: Photo


def photos_of(unit: Unit) -> Iterator[Placed]:
    """Every photo of the record, the unit's own first, then steps with their hold points, components, operations."""
    for photo in unit.photos:
        yield Placed(WHOLE_UNIT, photo)
    for step in unit.steps:
        for photo in step.photos:
            yield Placed(at_step(step.code), photo)
        for hold in holds_of_step(step):
            for photo in hold.photos:
                yield Placed(Spot(At.HOLD, hold.code), photo)
    for component in unit.components:
        for photo in component.photos:
            yield Placed(Spot(At.COMPONENT, component.code), photo)
    for operation in unit.operations:
        if operation.hold is not None:
            for photo in operation.hold.photos:
                yield Placed(Spot(At.HOLD, operation.hold.code), photo)


def of_steps(unit: Unit, codes: Sequence[str]) -> tuple[Placed, ...]:
    """Photos of some steps and their hold points: those with marks first, then the newest."""
    found = [p for p in photos_of(unit) if p.spot.code in codes]
    holds = {hold.code for s in unit.steps if s.code in codes for hold in holds_of_step(s)}
    found += [p for p in photos_of(unit) if p.spot.at is At.HOLD and p.spot.code in holds]
    return tuple(sorted(found, key=_newest_mark_first))


def _newest_mark_first(placed: Placed) -> tuple[bool, float]:
    taken = placed.photo.taken_at
    return (not placed.photo.marks, -(taken.timestamp() if taken is not None else 0.0))


def holds_of_step(step: Step) -> Iterator[HoldPoint]:
    """Every hold point of a step: of the teardown for all and for single members, of the way back, of a new joint."""
    if step.hold is not None:
        yield step.hold
    yield from (d.hold for d in step.differences if d.hold is not None)
    if step.refit.hold is not None:
        yield step.refit.hold
    if step.one_way is not None and step.one_way.remake is not None and step.one_way.remake.hold is not None:
        yield step.one_way.remake.hold


def spots(unit: Unit) -> tuple[Spot, ...]:
    """Every place of the record at which a photo can stand."""
    holds = [h.code for s in unit.steps for h in holds_of_step(s)]
    holds += [o.hold.code for o in unit.operations if o.hold is not None]
    return (
        WHOLE_UNIT,
        *(at_step(s.code) for s in unit.steps),
        *(Spot(At.COMPONENT, c.code) for c in unit.components),
        *(Spot(At.HOLD, code) for code in dict.fromkeys(holds)),
    )


def with_photos(unit: Unit, placed: Iterable[Placed]) -> Unit:
    """Put photos at their places; one that stands there already is left as it is.

    Raises:
        InputError: a place is not in the record.
    """
    for spot, photo in placed:

        def add(photos: tuple[Photo, ...], new: Photo = photo) -> tuple[Photo, ...]:
            return photos if any(p.file == new.file for p in photos) else (*photos, new)

        unit = _at(unit, spot, add)
    return unit


def with_waiting_photos_at(unit: Unit, step: str) -> Unit:
    """Give a step that was just kept the photos that came while it was being written."""
    waiting = [p for p in unit.photos if p.for_next]
    if not waiting:
        return unit
    rest = unit.model_copy(update={"photos": tuple(p for p in unit.photos if not p.for_next)})
    return with_photos(rest, [Placed(at_step(step), with_changes(p, for_next=False)) for p in waiting])


def without_photo(unit: Unit, spot: Spot, file: str) -> Unit:
    """Take a photo from its place; the original stays in the unit's folder.

    Raises:
        InputError: it is not there.
    """
    _photo_at(unit, spot, file)
    return _at(unit, spot, lambda photos: tuple(p for p in photos if p.file != file))


def with_photo_changed(unit: Unit, spot: Spot, file: str, **changes: object) -> Unit:
    """Change what is said of a photo: caption, kind, marks.

    Raises:
        InputError: it is not there.
    """
    new = with_changes(_photo_at(unit, spot, file), **changes)
    return _at(unit, spot, lambda photos: tuple(new if p.file == file else p for p in photos))


def with_photo_moved(unit: Unit, spot: Spot, file: str, to: Spot) -> Unit:
    """Move a photo to another place of the same unit.

    Raises:
        InputError: it is not there, or the other place is not in the record.
    """
    photo = _photo_at(unit, spot, file)
    return unit if spot == to else with_photos(without_photo(unit, spot, file), [Placed(to, photo)])


def _photo_at(unit: Unit, spot: Spot, file: str) -> Photo:
    found = next((p.photo for p in photos_of(unit) if p.spot == spot and p.photo.file == file), None)
    if found is None:
        raise InputError(f"That photo is no longer at {spot.words} of {unit.code}.")
    return found


T = TypeVar("T", Step, Component)
_Change = Callable[[tuple[Photo, ...]], tuple[Photo, ...]]


def _at(unit: Unit, spot: Spot, change: _Change) -> Unit:
    """The unit with the photos of one place changed."""
    if spot not in spots(unit):
        raise InputError(f"{unit.code} has no {spot.at} {spot.code} to put a photo at.")
    if spot.at is At.UNIT:
        return unit.model_copy(update={"photos": change(unit.photos)})
    if spot.at is At.STEP:
        return unit.model_copy(update={"steps": tuple(_own(s, spot.code, change) for s in unit.steps)})
    if spot.at is At.COMPONENT:
        return unit.model_copy(update={"components": tuple(_own(c, spot.code, change) for c in unit.components)})
    return _at_hold(unit, spot.code, change)


def _own(thing: T, code: str, change: _Change) -> T:
    return thing.model_copy(update={"photos": change(thing.photos)}) if thing.code == code else thing


def _at_hold(unit: Unit, code: str, change: _Change) -> Unit:
    def changed(hold: HoldPoint | None) -> HoldPoint | None:
        if hold is None or hold.code != code:
            return hold
        return hold.model_copy(update={"photos": change(hold.photos)})

    def with_holds(step: Step) -> Step:
        if not any(h.code == code for h in holds_of_step(step)):
            return step
        refit = step.refit.model_copy(update={"hold": changed(step.refit.hold)})
        own = tuple(d.model_copy(update={"hold": changed(d.hold)}) for d in step.differences)
        one_way = step.one_way
        if one_way is not None and one_way.remake is not None:
            remake = one_way.remake.model_copy(update={"hold": changed(one_way.remake.hold)})
            one_way = one_way.model_copy(update={"remake": remake})
        return step.model_copy(
            update={"hold": changed(step.hold), "differences": own, "refit": refit, "one_way": one_way}
        )

    operations = tuple(
        o.model_copy(update={"hold": changed(o.hold)}) if o.hold is not None and o.hold.code == code else o
        for o in unit.operations
    )
    return unit.model_copy(update={"steps": tuple(with_holds(s) for s in unit.steps), "operations": operations})
