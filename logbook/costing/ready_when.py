"""When a rebuild can be ready, roughly: the hours left in the free hours of a week, and the waits between them.

It takes no account of other units, of clamps or of windows; the plan does. So the words carry a `~`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter

from logbook.costing.hours import HoursTotals
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import WorkState
from logbook.planning.usual_waits import with_usual_waits

DAY = 24 * 60
WEEK = 7 * DAY


@dataclass(frozen=True, slots=True)
class TimeToReady:
    """A rough length of time until the unit is back together."""

    words: str
    """“~2 weeks”, “now”, or “?” when nothing is known of the hours."""
    minutes_a_week: int
    """Free minutes of a usual week, for all units."""
    work: Fraction | None
    """Weeks of work at that pace; None without free hours or any estimate."""
    waits: int
    """Minutes of waiting on the longest chain of operations, the earliest case."""
    why: str


def ready_when(unit: Unit, shop: Shop, work: HoursTotals) -> TimeToReady:
    """Weeks = expected hours left / free hours a week + the waits of the longest chain of open operations."""
    a_week = sum(f.minutes for f in shop.free_time if f.weekday is not None)
    waits = longest_wait(with_usual_waits(unit, shop))
    if not work.lines:
        done = bool(unit.operations)
        return TimeToReady(
            "now" if done else "?", a_week, None, waits, "Every operation is done." if done else _UNPLANNED
        )
    if not a_week or not work.expected:
        why = _NO_HOURS if not a_week else "No operation that is left has a time yet."
        return TimeToReady("?", a_week, None, waits, why)
    weeks = work.expected / a_week
    why = (
        f"~ {_number(work.expected_hours)} h left at {_number(Fraction(a_week, 60))} free h a week, and "
        f"{_number(Fraction(waits, DAY))} days of waiting on the longest chain. "
        "Other units and windows are in the plan."
    )
    return TimeToReady(_span(weeks * WEEK + waits), a_week, weeks, waits, why)


def longest_wait(unit: Unit) -> int:
    """Minutes of waiting, the earliest case, on the chain of open operations that waits longest; 0 in a circle."""
    open_ones = {o.code: o for o in unit.operations if o.state is not WorkState.DONE}
    try:
        order = list(
            TopologicalSorter({c: [a for a in o.after if a in open_ones] for c, o in open_ones.items()}).static_order()
        )
    except CycleError:
        return 0
    ends: dict[str, int] = {}
    for code in order:
        operation = open_ones[code]
        wait = operation.wait.earliest if operation.wait is not None else 0
        ends[code] = wait + max((ends[a] for a in operation.after if a in ends), default=0)
    return max(ends.values(), default=0)


_UNPLANNED = "No operation is written down yet."
_NO_HOURS = "No free hours are written down: the store (s on the bench) keeps them."


def _span(minutes: Fraction) -> str:
    days = -(-minutes // DAY)
    if days < 14:
        return f"~{days} day{'' if days == 1 else 's'}"
    return f"~{-(-days // 7)} weeks"


def _number(value: Fraction) -> str:
    return f"{float(value):.1f}"
