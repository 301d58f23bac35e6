"""The way back: the reassembly list from the teardown record, its counts, what is ready and what was done.

Everything here is a pure function of a `Unit`. The list is computed, never stored; only ticks, readings
and bag counts are kept in the record, under keys that belong to steps and so outlive every renumbering.

    lst = refit_list(unit)                       the list (raises CircleError)
    readiness(unit, lst, now)[line.key]          can it be done now, and why not
    standing(unit, lst, now).sentence            “12 of 19 lines are in reach; the new cord would free 4 more.”
    Progress(unit, lst, now)                     both at once: .lines, .standing()
    follow(progress, unit, now)                  the same after a tick, at the cost of the tick
    ready_order(unit, lst, now)                  what can be done with what is here, in order
    first_to_do(progress)                        the first of them that can be done now
    ledger(unit)                                 counts of fasteners, bags and connections
    left_over(unit)                              what must be explained before closing
    tick(unit, "T13", at=now, initials="AB")     a new unit

`lst` is the list of that same unit. Ticks alone change it only where a line stands because it is ticked,
so it may be kept while nothing but `unit.refit` changes. Edits make it themselves when it is not given.
Keys of lines: `check`, a step code (`T13`), `T11:tighten`, `T13:test`, `audit`; a tick of one member of a
set adds `/D2`.

- `reversal`: what each action and joint means on the way back. `tightening`: in what order to draw down.
- `counting`, `ledger`: fasteners, bags and connections. `index`: the record seen from its steps.
- `sequence`: which step stands on which line and what it must follow. `wording`, `lines`, `ends`,
  `refit_list`: the words. `records`: the values that result.
- `availability`, `readiness`, `preference`: what is missing, what can be done, in which order.
- `following`: the same after a tick. `progress`: ticks, readings, counts; `from_paper`: ticks made on a printed list.
  `closing`: what is left.
  `freedom`: how free the record is.
"""

from logbook.reassembly.closing import left_over
from logbook.reassembly.following import follow
from logbook.reassembly.freedom import free_of, free_of_each_other, lines_after
from logbook.reassembly.ledger import ledger
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.paper_ticks import PaperTicks, Ticked, read_paper_ticks, tick_from_paper
from logbook.reassembly.progress import (
    changed_words,
    count_bag,
    differs,
    lines_to_look_at_again,
    read_by,
    readings_of_members,
    tick,
    tick_range,
    untick,
    write_reading,
)
from logbook.reassembly.readiness import Progress, first_to_do, readiness, ready_order, standing
from logbook.reassembly.refit_list import refit_list
from logbook.reassembly.refit_records import (
    BagContents,
    ConnectionEntry,
    InsideList,
    Ledger,
    LeftOver,
    LineConnection,
    LineFastener,
    LineKind,
    MemberNote,
    Notice,
    OpenDifference,
    Readiness,
    RefitLine,
    RefitStanding,
    RemakeWork,
    StepLeftOut,
    Totals,
)
from logbook.reassembly.reversal import JOINTS, REVERSALS, Reversal
from logbook.reassembly.tightening import crosswise, pattern

__all__ = [
    "JOINTS",
    "REVERSALS",
    "BagContents",
    "ConnectionEntry",
    "InsideList",
    "Ledger",
    "LeftOver",
    "LineConnection",
    "LineFastener",
    "LineKind",
    "MemberNote",
    "Notice",
    "OpenDifference",
    "PaperTicks",
    "Progress",
    "Readiness",
    "RefitLine",
    "RefitList",
    "RefitStanding",
    "RemakeWork",
    "Reversal",
    "StepLeftOut",
    "Ticked",
    "Totals",
    "changed_words",
    "count_bag",
    "crosswise",
    "differs",
    "first_to_do",
    "follow",
    "free_of",
    "free_of_each_other",
    "ledger",
    "left_over",
    "lines_after",
    "lines_to_look_at_again",
    "pattern",
    "read_by",
    "read_paper_ticks",
    "readiness",
    "readings_of_members",
    "ready_order",
    "refit_list",
    "standing",
    "tick",
    "tick_from_paper",
    "tick_range",
    "untick",
    "write_reading",
]
