"""Proving a danger safe with the phone, where a tick was refused for it: the same reading that the bench writes down.

A live reading is written down as well, and said at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from logbook.model.proofs import (
    initials_of,
    last_instrument,
    live_warning,
    not_safe,
    reading_like,
    reading_question,
    readings_of,
    taken_words,
    with_proof,
)
from logbook.model.step import Hazard, Proof
from logbook.model.unit import Unit
from logbook.serve.phone_form import PhoneForm
from logbook.session import Session


class DangerToProve(NamedTuple):
    """A danger that a line waits for, and what is asked to prove it safe."""

    what: str
    how: str
    """How it is proved safe, as the record says; empty when it does not."""
    question: str
    like: str
    """An answer as somebody would write it."""
    instrument: str
    """With what it was measured last."""


class ReadingKept(NamedTuple):
    """What was written down of a danger."""

    words: str
    warning: str
    """That something read is not dead; else empty."""


def to_prove(unit: Unit, hazards: Sequence[Hazard], now: datetime) -> tuple[DangerToProve, ...]:
    """The dangers of a line that are not proved safe in this sitting."""
    return tuple(_asked(unit, hazard) for hazard in not_safe(unit, hazards, now))


def _asked(unit: Unit, hazard: Hazard) -> DangerToProve:
    what = hazard.what
    return DangerToProve(what, hazard.prove, reading_question(what), reading_like(what), last_instrument(unit, what))


def keep_reading(session: Session, code: str, form: PhoneForm) -> ReadingKept:
    """Write down what a form says was measured or checked.

    Raises:
        InputError: the reading or who took it is missing; nothing was changed.
        StoreError: the disk refuses; nothing was changed.
    """
    danger = form.text("danger")
    readings = readings_of(session.unit(code), danger, form.text("measured"))
    by = initials_of(danger, form.text("initials"))
    instrument = " ".join(form.text("instrument").split())
    taken = [
        Proof(danger=danger, member=member, reading=reading, instrument=instrument, by=by, at=session.now)
        for member, reading in readings
    ]
    words = "; ".join(taken_words(proof) for proof in taken)
    session.apply(code, words, lambda before: with_proof(before, *taken), sent_as=form.name)
    return ReadingKept(words, live_warning(taken))
