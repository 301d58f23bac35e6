"""What a check returns: a problem as a value, with its place and a sentence for a person."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from logbook.model.shop import Shop
from logbook.model.unit import Unit


class Severity(StrEnum):
    """How much a problem weighs."""

    WRONG = "wrong"
    """The record contradicts itself, or work went past something it must not pass."""
    LOOK = "look at"
    """Something is missing or due, and will hurt if it stays so."""
    NOTE = "for information"
    """Nothing is wrong; it is good to know."""


@dataclass(frozen=True, slots=True)
class CheckProblem:
    """One thing a check found."""

    check: int
    """Number of the check: the same number always checks the same thing."""
    code: str
    """Short name of the problem, which never changes: `found-over-holes`."""
    unit: str
    """Code of the unit; empty for what belongs to the whole book."""
    place: str
    """Where in the record: `T11`, `T06 W2`, `bag 5`, `B10`."""
    sentence: str
    """What is wrong and what to do."""
    severity: Severity


UnitCheck = Callable[[Unit, Shop, datetime], Iterator[CheckProblem]]
"""A check of one unit. It looks at the record alone and changes nothing."""
