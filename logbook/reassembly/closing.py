"""What must be done or explained before a unit can be called closed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition
from logbook.reassembly.counting import Sets
from logbook.reassembly.ledger import open_differences
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.progress import changed_words
from logbook.reassembly.readiness import Progress
from logbook.reassembly.refit_list import refit_list
from logbook.reassembly.refit_records import LeftOver
from logbook.reassembly.wording import many

ANY_TIME = datetime(1, 1, 1, tzinfo=UTC)
"""Nothing here depends on the time: what is left over is left over however long it waits."""


def left_over(unit: Unit, lst: RefitList | None = None) -> tuple[LeftOver, ...]:
    """What keeps the unit from being closed, empty when nothing does.

    Open differences in counts, lines not done, hold points without reading or initials, lines that
    say something else since they were ticked, and something hazardous of which nobody says where it went.

    Raises:
        CircleError: the relations go round in a circle.
    """
    lst = refit_list(unit) if lst is None else lst
    return (*_counts(unit), *_lines(unit, lst), *_gone(lst), *(x for c in unit.components for x in _hazardous(c)))


def _counts(unit: Unit) -> Iterator[LeftOver]:
    for d in open_differences(unit, Sets(unit)):
        yield LeftOver(f"bag {d.bag}" if d.bag else d.steps[0], d.sentence)


def _lines(unit: Unit, lst: RefitList) -> Iterator[LeftOver]:
    progress = Progress(unit, lst, ANY_TIME)
    for line in lst.lines:
        if not progress.is_done(line):
            open_ticks = [k for k in line.tick_keys if k not in progress.states or not progress.states[k].done]
            some = 0 < len(open_ticks) < len(line.tick_keys)
            rest = f" for {', '.join(k.rpartition('/')[2] for k in open_ticks)}" if some else ""
            yield LeftOver(line.key, f"{line.number} {line.title} is not done{rest}.")
        elif said := progress.hold_open(line):
            yield LeftOver(line.key, said)
        elif changed := changed_words(progress, line):
            yield LeftOver(line.key, f"{line.number} {line.title}: {changed}; look again.")


def _gone(lst: RefitList) -> Iterator[LeftOver]:
    for notice in lst.gone:
        yield LeftOver(notice.step, notice.sentence)


def _hazardous(c: Component) -> Iterator[LeftOver]:
    if c.disposition is Disposition.HAZARDOUS and c.disposal is None:
        pieces = f" ({many(c.quantity, 'piece')})" if c.quantity != 1 else ""
        yield LeftOver(c.code, f"{c.name}{pieces} is hazardous: write where and when it was handed in.")
