"""Any record in full: what it is called, then each of its fields that says something behind its label."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, in_a_line, is_said, offered_fields, shown
from logbook.model.shop_clock import by_clock_of
from logbook.model.step import Step
from logbook.model.unit import Component, Unit
from logbook.tui.look.inks import Line, flow, line, typed
from logbook.tui.look.told import Told, told_lines
from logbook.tui.screens.component_rows import thing_in_full
from logbook.tui.screens.teardown_rows import step_in_full

NAMES = ("name", "what", "kind", "material")
"""Fields that say what a thing is called, the first one that is filled."""


def thing_of_unit(unit: Unit, record: Frozen, now: datetime, columns: int) -> list[Line]:
    """A record of a unit as its own place shows it; one without a place of its own with all that is said in it.

    Args:
        unit: to which it belongs.
        record: a step, a component, or anything else within the unit, or the unit itself.
        now: the clock by which times are read.
        columns: of the pane.
    """
    if isinstance(record, Step):
        return step_in_full(unit, record, now, columns)
    if isinstance(record, Component):
        return thing_in_full(unit, "components", record.code, now.date(), columns)
    return record_in_full(record, now, columns)


def record_in_full(record: Frozen, now: datetime, columns: int) -> list[Line]:
    """Code and name, what is known, and each list with its things one below the other.

    Args:
        record: what is shown.
        now: the clock by which times are read.
        columns: of the pane.
    """
    read = by_clock_of(record, now)
    code, name = str(getattr(read, "code", "")), _name_of(read)
    head = line(typed(code, "bold accent"), "  " if code and name else "", typed(name, "bold"))
    rows = flow(head, columns) if head else []
    found = told_lines(_told(read, {code, name} - {""}), columns)
    return [*rows, *(found if rows else found[1:])]


def _name_of(record: Frozen) -> str:
    return next((str(value) for name in NAMES if (value := getattr(record, name, ""))), "")


def _told(record: Frozen, in_the_head: set[str]) -> Iterator[Told]:
    said = [field for field in offered_fields(type(record)) if is_said(getattr(record, field.name), field)]
    plain = [field for field in said if not _is_list(field)]
    words = ((field.label, shown(record, field)) for field in plain)
    yield Told("What is known", tuple((label, value) for label, value in words if value not in in_the_head))
    for field in said:
        if _is_list(field):
            things = getattr(record, field.name)
            yield Told(field.label.capitalize(), tuple(("", in_a_line(thing)) for thing in things))


def _is_list(field: Field) -> bool:
    return field.kind is FieldKind.RECORDS
