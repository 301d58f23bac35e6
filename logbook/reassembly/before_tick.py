"""What is asked before a line of the list is ticked: one rule, at the bench and on the phone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.proofs import not_safe
from logbook.model.unit import Unit
from logbook.reassembly.refit_records import RefitLine


class BeforeTick(NamedTuple):
    """What keeps a line from being ticked as it is."""

    why: str
    """In a sentence."""
    takes_no_reason: bool
    """Only what is missing helps, as a reading at a hold point: no reason takes its place."""
    is_danger: bool
    """A danger of the line is not proved safe."""


def asked_before_tick(unit: Unit, line: RefitLine, edit: Callable[..., Unit], now: datetime) -> BeforeTick | None:
    """What must be answered before a tick is made; None when nothing is.

    Args:
        unit: the record.
        line: the line.
        edit: the tick, which takes a reason as `override`.
        now: decides whether a proof still holds.
    """
    hold = refused(unit, partial(edit, override="-"))
    if hold:
        return BeforeTick(hold, takes_no_reason=True, is_danger=False)
    why = refused(unit, edit)
    if not why:
        return None
    return BeforeTick(why, takes_no_reason=False, is_danger=bool(not_safe(unit, line.hazards, now)))


def refused(unit: Unit, edit: Callable[[Unit], Unit]) -> str:
    """Why an edit is refused, in a sentence; empty when it is not."""
    try:
        edit(unit)
    except InputError as error:
        return str(error).replace("\n", " ")
    return ""


def tick_words(line: RefitLine, key: str) -> str:
    """A line or a member of it in a few words: `A07 speaker in`."""
    member = f" {key.rpartition('/')[2]}" if key != line.key else ""
    return f"{line.number} {line.title}{member}"


def differs_words(line: RefitLine, key: str, text: str) -> str:
    """What the history says when it was written what differs at a line, or that nothing does."""
    return f"{tick_words(line, key)}: {'differs' if text.strip() else 'as planned after all'}"
