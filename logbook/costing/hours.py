"""Hours still to come, on three points: the other half of what a rebuild costs."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from logbook.costing.amounts import expected_value
from logbook.costing.spread import ThreePoint
from logbook.model.measures import Effort
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import WorkState
from logbook.planning.usual_work_lists import usual_work
from logbook.planning.work_to_come import work_to_come, worked_so_far


@dataclass(frozen=True, slots=True)
class HoursLine:
    """Busy time still to come for one operation."""

    code: str
    name: str
    effort: Effort | None
    """Minutes left; None while nobody has estimated it."""
    state: WorkState
    spent: int | None
    """Minutes already used on it."""
    proposed: bool = False
    """It follows from the record and is not written down; its time is the usual one, shown with `~`."""

    @property
    def point(self) -> ThreePoint | None:
        """The minutes left as they are drawn; None while nobody has estimated them."""
        e = self.effort
        return None if e is None else ThreePoint(Fraction(e.low), Fraction(e.likely), Fraction(e.high))

    @property
    def expected(self) -> Fraction | None:
        """Expected minutes left, exact."""
        return None if self.effort is None else expected_value(self.effort.low, self.effort.likely, self.effort.high)


@dataclass(frozen=True, slots=True)
class HoursTotals:
    """Busy time still to come, in minutes. Waits are not work and are not in it."""

    lines: tuple[HoursLine, ...]
    low: int
    likely: int
    high: int
    expected: Fraction
    """Expected minutes, exact; see `amounts.expected_value`."""
    unestimated: tuple[str, ...]
    """Operations that are missing from the sums because nobody has estimated them."""
    done: tuple[str, ...]
    """Codes of operations that are done and so not counted."""
    spent_on_operations: int
    """Minutes recorded on operations, done or begun; shown, never counted again."""
    worked: int
    """Minutes worked on the unit: what steps and operations took; shown, never counted."""

    recorded: bool = True
    """Whether any work was written down or follows from the record."""

    @property
    def known(self) -> bool:
        """Whether the sums say anything: work that nobody estimated or wrote down is not known and not nothing."""
        timed = any(line.effort is not None for line in self.lines)
        return timed or (self.recorded and not self.unestimated)

    @property
    def expected_hours(self) -> Fraction:
        """Expected hours, exact."""
        return self.expected / 60


def hours(unit: Unit, shop: Shop) -> HoursTotals:
    """The busy time that the unit will still take: the work that is still to be done, written down or following.

    Operations that are done are left out. Of one that is begun, what was spent is taken off; see
    `planning.work_to_come`. Work that follows from the record has the usual times.

    Args:
        unit: the record.
        shop: for its own usual work.
    """
    to_come = work_to_come(unit, usual_work(shop))
    lines = tuple(
        HoursLine(w.operation.code, w.operation.name, w.left, w.operation.state, w.operation.spent, w.proposed)
        for w in to_come
    )
    efforts = [x.effort for x in lines if x.effort is not None]
    low, likely, high = (
        sum(e.low for e in efforts),
        sum(e.likely for e in efforts),
        sum(e.high for e in efforts),
    )
    return HoursTotals(
        lines=lines,
        low=low,
        likely=likely,
        high=high,
        expected=expected_value(low, likely, high),
        unestimated=tuple(f"{x.code} {x.name}" for x in lines if x.effort is None),
        done=tuple(o.code for o in unit.operations if o.state is WorkState.DONE),
        spent_on_operations=sum(o.spent or 0 for o in unit.operations),
        worked=worked_so_far(unit),
        recorded=bool(unit.operations or to_come),
    )
