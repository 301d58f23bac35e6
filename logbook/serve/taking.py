"""Taking pictures from the phone into the record: each at the place that was open when it came."""

from __future__ import annotations

from functools import partial
from hashlib import sha256

from logbook.errors import InputError, LogbookError
from logbook.model.edits import with_changes
from logbook.model.photo_edits import WHOLE_UNIT, At, Placed, Spot, spots, with_photos
from logbook.model.unit import Unit
from logbook.model.words import LinkBasis
from logbook.photos.picture import look, read_file
from logbook.serve.incoming import Bench, Incoming, Waiting
from logbook.session import Session
from logbook.session.pictures import keep_bytes, known_photos


def take_in(session: Session, incoming: Incoming, most: int = 5) -> list[tuple[str, bool]]:
    """Take in what waits, a few at a time so that no key waits long.

    Returns:
        A sentence for each, and whether it went well. One that cannot be taken in stays where it is.
    """
    said: list[tuple[str, bool]] = []
    if session.read_only:
        return said
    for n, one in enumerate(incoming.waiting()):
        if n >= most:
            break
        try:
            said.append((_taken(session, one), True))
            incoming.done(one)
        except LogbookError as error:
            said.append((f"A picture from the phone could not be taken in: {error}", False))
            break
    return said


def _taken(session: Session, one: Waiting) -> str:
    code = one.bench.unit or _only_unit(session)
    raw = read_file(one.path)
    if (where := known_photos(session).get(sha256(raw).hexdigest())) is not None:
        return f"The picture from the phone is at {where} already."
    unit = session.unit(code)
    spot = _spot(unit, one.bench)
    look(raw, "the picture")
    photo = keep_bytes(session.path, code, raw, "the picture", at=session.now, basis=LinkBasis.PHONE)
    photo = with_changes(photo, for_next=one.bench.for_next and spot == WHOLE_UNIT)
    where = "the step being written" if photo.for_next else spot.words
    what = f"photo from the phone at {where}"
    session.apply(code, what, partial(with_photos, placed=[Placed(spot, photo)]))
    return f"Photo from the phone: {code} {where}."


def _only_unit(session: Session) -> str:
    codes = session.codes()
    if not codes:
        raise InputError("there is no unit yet. Write one down, then it is taken in.")
    if len(codes) > 1:
        raise InputError("no unit was open at the bench. Open the one it shows, then it is taken in there.")
    return codes[0]


def _spot(unit: Unit, bench: Bench) -> Spot:
    """The place it came for, or the whole unit when that is gone."""
    if bench.spot.at is not At.UNIT and bench.spot in spots(unit):
        return bench.spot
    return WHOLE_UNIT
