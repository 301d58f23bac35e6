"""What is asked before a line is kept as a step: one rule, whoever writes the line, at the bench or on the phone."""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from logbook.model.holds import hold_before
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.teardown.bench_line import LineReading
from logbook.teardown.beside_the_step import OpenDead, open_dead, proof_refused, stop_is_open


class AskedFirst(StrEnum):
    """What keeps a line from being kept as it is."""

    WHAT = "what came off"
    DEAD = "what is dead"
    PROOF = "a proof"
    HOLD = "a hold point"
    STOP = "the stop question"


class BeforeKeeping(NamedTuple):
    """What has to be answered first."""

    asked: AskedFirst
    why: str = ""
    """Of a proof that proves nothing, in a sentence."""
    dead: OpenDead | None = None
    """Of something dead, of which nobody knows which danger it is."""
    waiting: Step | None = None
    """The step whose hold point is open."""


def asked_before_keeping(reading: LineReading, unit: Unit, by: str) -> BeforeKeeping | None:
    """What must be answered before the step of a line is kept; None when nothing is left to ask.

    Args:
        reading: the line, read against this unit.
        unit: the record.
        by: initials of whoever works here; empty when nobody is named.
    """
    step = reading.step
    if not reading.complete:
        return BeforeKeeping(AskedFirst.WHAT)
    if (dead := open_dead(reading, unit)) is not None:
        return BeforeKeeping(AskedFirst.DEAD, dead=dead)
    if why := proof_refused(reading, by):
        return BeforeKeeping(AskedFirst.PROOF, why)
    if (waiting := hold_before(unit, step)) is not None:
        return BeforeKeeping(AskedFirst.HOLD, waiting=waiting)
    if stop_is_open(step) and not step.planned:
        return BeforeKeeping(AskedFirst.STOP)
    return None
