"""Check 26: what joining two copies left to a person."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.apart import ToLookAt
from logbook.model.left_by_joining import left_open
from logbook.model.shop import Shop
from logbook.model.unit import Unit

CHECK = 26


def left_by_joining(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 26: what was written differently on two computers, numbers given twice, what excludes each other."""
    for look in left_open(unit):
        yield _problem(unit.code, look)


def left_in_shop(shop: Shop) -> Iterator[CheckProblem]:
    """Check 26: the same of what the units share."""
    for look in left_open(shop):
        yield _problem("", look)


def _problem(code: str, look: ToLookAt) -> CheckProblem:
    place = look.at[1] if len(look.at) > 1 else f"bag {look.bag}" if look.bag else "joined"
    how = "Choose" if look.asks else "Settle it"
    return CheckProblem(CHECK, "joined", code, place, f"{look.what} {how} in ! on the bench.", Severity.LOOK)
