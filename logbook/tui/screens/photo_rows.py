"""The photos of a unit as a table, what still lacks one below it, and what the photo under the cursor stands at."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.model.base import Frozen
from logbook.model.photo_edits import At, Placed, Spot, holds_of_step, photos_of
from logbook.model.plural import counted
from logbook.model.unit import Unit
from logbook.tui.look.inks import BLANK, Line, flow, group, line, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.photo_words import row_key, taken_words, unlinked
from logbook.tui.screens.record_in_full import thing_of_unit
from logbook.tui.widgets.entries import ListEntry, entry, heading

COLUMNS = (
    Column("at"),
    Column("what it shows", least=22),
    Column("taken", below=True, lead="taken"),
    Column("kind", below=True),
    Column("marks", below=True),
)
LACKING_COLUMNS = (Column(), Column("what came off", least=14))
LACKING = "lacking|"
"""Before the code of a step, the key of its entry: a photo was taken there, and none is linked."""


def photo_entries(unit: Unit, now: datetime, columns: int) -> list[ListEntry]:
    """Every photo in the order of the record, then the steps at which one was taken and none is linked.

    Args:
        unit: the record.
        now: the clock by which times are read.
        columns: of the list.
    """
    return [*_linked(unit, now, columns), *_lacking(unit, columns)]


def _linked(unit: Unit, now: datetime, columns: int) -> list[ListEntry]:
    placed = list(in_record_order(unit))
    if not placed:
        return []
    names = _names(unit)
    cells = [_cells(each, names, now) for each in placed]
    table = WrappingTable(COLUMNS, cells, columns)
    entries = [entry(row_key(each), table.lines(of)) for each, of in zip(placed, cells, strict=True)]
    return [heading("head linked", table.head), *entries]


def in_record_order(unit: Unit) -> Iterator[Placed]:
    """The photos as they stand in the list: of the whole unit, of each step, then those of anything else."""
    placed = list(photos_of(unit))
    yield from (each for each in placed if each.spot.at is At.UNIT)
    yield from (each for each in placed if each.spot.at is At.STEP)
    yield from (each for each in placed if each.spot.at not in (At.UNIT, At.STEP))


def _names(unit: Unit) -> dict[str, str]:
    """What steps and components are called, by their codes."""
    return {step.code: step.what for step in unit.steps} | {part.code: part.name for part in unit.components}


def _cells(placed: Placed, names: dict[str, str], now: datetime) -> list[Line]:
    photo, code = placed.photo, placed.spot.code
    named = names.get(code, "")
    marks = counted(len(photo.marks), "mark") if photo.marks else ""
    return [
        typed(code or "unit", "bold accent"),
        typed(photo.caption) if photo.caption else typed(named, "muted"),
        typed(taken_words(photo.taken_at, now), "muted" if photo.taken_at else "wait"),
        typed(str(photo.kind), "muted"),
        typed(marks, "good"),
    ]


def _lacking(unit: Unit, columns: int) -> list[ListEntry]:
    """Steps at which a photo was taken and none is linked."""
    codes = frozenset(unlinked(unit))
    steps = [step for step in unit.steps if step.code in codes]
    if not steps:
        return []
    cells = [[typed(step.code, "bold accent"), typed(step.what, "muted")] for step in steps]
    table = WrappingTable(LACKING_COLUMNS, cells, columns)
    above = group("Taken, none linked yet", counted(len(steps), "step"))
    air = [BLANK] if any(photos_of(unit)) else []
    entries = [entry(f"{LACKING}{step.code}|", table.lines(of)) for step, of in zip(steps, cells, strict=True)]
    return [heading("head lacking", *air, above), *entries]


def what_it_stands_at(unit: Unit, spot: Spot, now: datetime, columns: int) -> list[Line]:
    """The step, component or hold point to which a photo belongs, or the unit.

    Args:
        unit: the record.
        spot: where the photo stands, or where one is wanted.
        now: the clock by which times are read.
        columns: of the pane.
    """
    record = _record_at(unit, spot)
    if record is not None:
        return thing_of_unit(unit, record, now, columns)
    return flow(line(typed(unit.code, "bold accent"), "  ", typed(unit.name, "bold")), columns)


def _record_at(unit: Unit, spot: Spot) -> Frozen | None:
    if spot.at is At.STEP:
        return next((step for step in unit.steps if step.code == spot.code), None)
    if spot.at is At.COMPONENT:
        return next((part for part in unit.components if part.code == spot.code), None)
    holds = [hold for step in unit.steps for hold in holds_of_step(step)]
    holds += [each.hold for each in unit.operations if each.hold is not None]
    return next((hold for hold in holds if spot.at is At.HOLD and hold.code == spot.code), None)
