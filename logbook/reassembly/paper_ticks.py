"""Ticks that come back from paper: what was ticked on a printed list, entered into the record of today.

The numbers of lines are those of the paper. When the record has changed since it was printed, each number is
looked up on the list as it was then, so that a tick reaches the line it was made at.
"""

from __future__ import annotations

import re
from datetime import datetime
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.edits import with_changes
from logbook.model.unit import LineState, Unit
from logbook.reassembly.counting import Sets
from logbook.reassembly.index import NOTHING_OF_SHOP, RefitIndex
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.mark import changed_since, mark_of, reads_as_seen
from logbook.reassembly.progress import lines_in_range, tick_range, write_reading
from logbook.reassembly.refit_list import refit_list
from logbook.reassembly.refit_records import FromShop, RefitLine
from logbook.reassembly.wording import listed

_VERSION = re.compile(r"[\s,;]*\b(?:v|version)\s*(\d{1,9})\s*$", re.IGNORECASE)
_READING = re.compile(r"(?<![\w-])([A-Z]?\d{1,6}a?)(?:\s*/\s*([\w.-]{1,16}))?\s*\(([^()]*)\)", re.IGNORECASE)
_DONE = re.compile(r"\s*\bdone\s*$", re.IGNORECASE)


class PaperTicks(NamedTuple):
    """What a person typed from a printed list."""

    lines: str
    """The ranges: `A01-A07, A09`, and in brackets what was read: `A01 (452.0)`, at a member `A05/L (3)`."""
    version: int | None
    """The record version that stands on the paper; None when it was not typed."""


class Ticked(NamedTuple):
    """A record with the ticks in it, and what to say about them."""

    unit: Unit
    lines: tuple[RefitLine, ...]
    """The lines that were meant, as they are now."""
    moved: tuple[str, ...]
    """A sentence for each line that has another number now."""
    changed: tuple[str, ...]
    """A sentence for each line whose step was changed since the paper was printed."""


def read_paper_ticks(text: str) -> PaperTicks:
    """What was typed: ranges of lines with readings in brackets, at the end the version: `A01 (452.0), A02-A07, v12`.

    Raises:
        InputError: no line is named.
    """
    version = _VERSION.search(text)
    lines = _DONE.sub("", text[: version.start()] if version else text).strip(" ,;")
    if not lines:
        raise InputError("Type the lines that are ticked on the paper, like A01-A07, A09.")
    return PaperTicks(lines, int(version[1]) if version else None)


def tick_from_paper(
    unit: Unit,
    lines: str,
    at: datetime,
    initials: str,
    override: str = "",
    *,
    printed: Unit | None = None,
    of_shop: FromShop = NOTHING_OF_SHOP,
) -> Ticked:
    """Tick the lines that were ticked on paper, all or none.

    A line whose step was changed since then is ticked, and says “look again”. What was read at a line is written
    first, so that a hold point is passed by what stands on the paper.

    Args:
        unit: the record of today.
        lines: ranges with the numbers of the paper, and readings: `A01-A07, A09`, `1-7,9`, `A01 (452.0; 276.0)`;
            at a line of several members each reading with its member: `A05/L (452.0), A05/R (451.5)`.
        at: when they are entered; the paper holds no times.
        initials: whose ticks and readings they are.
        override: why lines are done that are not ready.
        printed: the record as the paper was printed from it; None when it is the same.
        of_shop: what lies on the shelf, and usual waits.

    Raises:
        InputError: as `tick_range` and `write_reading`; or a line of the paper is not on the list any more.
    """
    now = refit_list(unit, of_shop)
    lines, readings = _READING.sub(r"\1", lines), _READING.findall(lines)
    same = printed is None or printed is unit
    then = now if same or printed is None else refit_list(printed)
    for number, member, reading in readings:
        for old in lines_in_range(then, number):
            key = _today(now, old).key
            unit = write_reading(unit, f"{key}/{member}" if member else key, reading, initials, at, lst=now)
    if same or printed is None:
        return Ticked(tick_range(unit, lines, at, initials, override, lst=now), lines_in_range(now, lines), (), ())
    pairs = [(old, _today(now, old)) for old in lines_in_range(then, lines)]
    wanted = ", ".join(new.number for _, new in pairs)
    ticked = tick_range(unit, wanted, at, initials, override, lst=now)
    before, today = RefitIndex(printed, Sets(printed)), RefitIndex(unit, Sets(unit))
    printed_as = {new.key: mark_of(before, old) for old, new in pairs}
    marks = {n.key: printed_as[n.key] for _, n in pairs if not reads_as_seen(today, n, printed_as[n.key])}
    already = {s.line for s in unit.refit.lines if s.done}
    moved = [f"{o.number} on the paper is {n.number} now: {n.title}." for o, n in pairs if o.number != n.number]
    changed = [
        f"{n.number} {n.title}: changed since the paper was printed: {listed(changed_since(n, marks[n.key]))}. "
        "Look at it again."
        for _, n in pairs
        if n.key in marks
    ]
    seen = _seen_as(ticked, {k: marks[n.key] for _, n in pairs if n.key in marks for k in n.tick_keys}, already)
    return Ticked(seen, tuple(n for _, n in pairs), tuple(moved), tuple(changed))


def _today(now: RefitList, old: RefitLine) -> RefitLine:
    line = now.by_key.get(old.key)
    if line is None:
        out = next((x for x in now.left_out if x.step == old.key), None)
        why = f": {out.why}" if out is not None else ""
        raise InputError(f"{old.number} on the paper, {old.title}, is not on the list any more{why}. Leave it out.")
    return line


def _seen_as(unit: Unit, marks: dict[str, str], already: set[str]) -> Unit:
    """The record with the step marked as it read on the paper at the ticks that were just made."""

    def of(state: LineState) -> LineState:
        mark = marks.get(state.line) if state.line not in already else None
        return state if mark is None else with_changes(state, step_seen=mark)

    states = tuple(of(s) for s in unit.refit.lines)
    return unit.model_copy(update={"refit": unit.refit.model_copy(update={"lines": states})})
