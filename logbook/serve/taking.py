"""Taking pictures from the phone into the record: each at the place that was open when it came."""

from __future__ import annotations

from functools import partial
from hashlib import sha256
from pathlib import Path

from logbook.errors import InputError, LogbookError
from logbook.model.edits import with_changes
from logbook.model.photo_edits import WHOLE_UNIT, At, Placed, Spot, spots, with_photos
from logbook.model.unit import Unit
from logbook.model.words import LinkBasis
from logbook.photos.picture_file import look, read_file
from logbook.serve.incoming import NOWHERE, Bench, Incoming, PictureWaiting
from logbook.session import Session
from logbook.session.unit_photos import keep_bytes, known_photos


def take_in(
    session: Session, incoming: Incoming, now: Bench = NOWHERE, told: set[Path] | None = None, most: int = 5
) -> list[tuple[str, bool]]:
    """Take in what waits, a few at a time so that no key waits long.

    Args:
        session: the open book.
        incoming: what waits.
        now: where the bench is now; a picture that came while no unit was open goes there.
        told: pictures of which it was said already that they have to wait; added to.
        most: so many at most.

    Returns:
        A sentence for each, and whether it went well. One that cannot be taken in stays where it is, holds up no
        other, and is spoken of once.
    """
    said: list[tuple[str, bool]] = []
    told = set() if told is None else told
    if session.read_only or session.unkept:  # a picture waits until what came before it is on the disk
        return said
    taken = 0
    for one in incoming.waiting():
        if taken >= most:
            break
        try:
            sentence = _taken(session, one, now)
            if why := next((change.why for change in session.unkept), ""):
                said.append((f"A picture from the phone waits: {why}", False))
                break
            incoming.done(one)
        except LogbookError as error:
            if one.path not in told:
                told.add(one.path)
                said.append((f"A picture from the phone waits: {error}", False))
            continue
        taken += 1
        said.append((sentence, True))
    return said


def _taken(session: Session, one: PictureWaiting, now: Bench) -> str:
    codes = session.codes()
    bench = one.bench if one.bench.unit in codes else now
    code = bench.unit if bench.unit in codes else _only_unit(session)
    raw = read_file(one.path)
    if (where := known_photos(session).get(sha256(raw).hexdigest())) is not None:
        return f"The picture from the phone is at {where} already."
    unit = session.unit(code)
    spot = _spot(unit, bench)
    look(raw, "the picture")
    photo = keep_bytes(session.path, code, raw, "the picture", at=session.now, basis=LinkBasis.PHONE)
    photo = with_changes(photo, for_next=bench.for_next and spot == WHOLE_UNIT)
    where = "the step being written" if photo.for_next else spot.words
    what = f"photo from the phone at {where}"
    session.apply(code, what, partial(with_photos, placed=[Placed(spot, photo)]))
    return f"Photo from the phone: {code} {where}."


def _only_unit(session: Session) -> str:
    codes = session.codes()
    if not codes:
        raise InputError("there is no unit yet. Write one down, then it is taken in.")
    if len(codes) > 1:
        raise InputError("no unit is open at the bench. Open the one it shows, then it is taken in there.")
    return codes[0]


def _spot(unit: Unit, bench: Bench) -> Spot:
    """The place it came for, or the whole unit when that is gone."""
    if bench.spot.at is not At.UNIT and bench.spot in spots(unit):
        return bench.spot
    return WHOLE_UNIT
