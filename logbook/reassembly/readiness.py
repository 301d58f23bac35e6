"""What can be done now."""
from __future__ import annotations
from collections.abc import Mapping
from datetime import datetime
from logbook.model.unit import Unit
from logbook.reassembly.records import Line, Readiness, RefitList, Standing


def readiness(unit: Unit, lst: RefitList, now: datetime) -> Mapping[str, Readiness]:
    """For each line, by key, whether it can be done now and why not."""
    raise NotImplementedError


def standing(unit: Unit, lst: RefitList, now: datetime) -> Standing:
    """How many lines are done and in reach, and which one missing thing would free most."""
    raise NotImplementedError


def ready_order(unit: Unit, lst: RefitList, now: datetime) -> tuple[Line, ...]:
    """The lines that can be done now and those that follow from them, in an order that respects the relations."""
    raise NotImplementedError
