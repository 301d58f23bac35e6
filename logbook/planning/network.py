"""The critical path through work that follows one another, with three-point times: what has no slack sets the end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.measures import Effort
from logbook.model.words import WorkState
from logbook.model.work import Operation


class Times(NamedTuple):
    """Earliest and latest start and finish of one piece of work, and its slack."""

    earliest_start: Fraction
    earliest_finish: Fraction
    latest_start: Fraction
    latest_finish: Fraction

    @property
    def slack(self) -> Fraction:
        """How much later it may start without moving the end."""
        return self.latest_start - self.earliest_start


def expected(effort: Effort) -> Fraction:
    """(low + 4 likely + high) / 6: the mean of the PERT-beta distribution."""
    return Fraction(effort.low + 4 * effort.likely + effort.high, 6)


def variance(effort: Effort) -> Fraction:
    """((high - low) / 6) squared: the classic PERT variance, not that of the exact beta distribution."""
    return Fraction(effort.high - effort.low, 6) ** 2


def network_times(
    lengths: Mapping[str, Fraction | int], after: Mapping[str, Sequence[str]], waits: Mapping[tuple[str, str], int] = {}
) -> dict[str, Times]:
    """Earliest and latest times of everything, when nothing limits it but what comes before (CPM).

    Args:
        lengths: how long each takes.
        after: what comes before each.
        waits: least time from the end of one to the start of the next.

    Raises:
        InputError: some wait on each other in a circle.
    """
    try:
        order = list(TopologicalSorter({key: tuple(after.get(key, ())) for key in lengths}).static_order())
    except CycleError as error:
        raise InputError(f"These wait on each other: {', '.join(sorted(set(error.args[1])))}.") from error
    early: dict[str, Fraction] = {}
    for key in order:
        ends = (early[b] + lengths[b] + waits.get((b, key), 0) for b in after.get(key, ()))
        early[key] = max(ends, default=Fraction(0))
    end = max((early[key] + lengths[key] for key in lengths), default=Fraction(0))
    late = dict.fromkeys(lengths, Fraction(end))
    for key in reversed(order):
        for before in after.get(key, ()):
            late[before] = min(late[before], late[key] - lengths[key] - waits.get((before, key), 0))
    return {
        key: Times(Fraction(early[key]), early[key] + lengths[key], late[key] - lengths[key], late[key])
        for key in lengths
    }


def operation_times(operations: Iterable[Operation]) -> dict[str, Times]:
    """The times of the open operations of a unit, with expected busy time and the least waits between them, in minutes.

    Raises:
        InputError: some wait on each other in a circle.
    """
    open_ = {o.code: o for o in operations if o.state is not WorkState.DONE}
    after = {o.code: [c for c in o.after if c in open_] for o in open_.values()}
    waits = {(c, code): w.earliest for code, befores in after.items() for c in befores if (w := open_[c].wait)}
    lengths = {o.code: _length(o) for o in open_.values()}
    return network_times(lengths, after, waits)


def _length(operation: Operation) -> Fraction:
    """Busy time, with the least waits between its times when it is done more than once."""
    busy = Fraction(0) if operation.effort is None else expected(operation.effort)
    between = operation.between.earliest if operation.between is not None else 0
    return busy + between * max(0, operation.times - 1)
