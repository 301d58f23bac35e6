"""Ticks, readings and counts."""
from __future__ import annotations
from datetime import datetime
from logbook.model.unit import Unit
from logbook.reassembly.records import Line


def tick(unit: Unit, key: str, *, at: datetime, initials: str = "", reading: str = "", override: str = "") -> Unit:
    """Tick a line (`T13`), all members of a set (`C04`) or one of them (`C04/D2`)."""
    raise NotImplementedError


def untick(unit: Unit, key: str) -> Unit:
    """Take a tick back; a reading and what differs stay."""
    raise NotImplementedError


def write_reading(unit: Unit, key: str, reading: str, initials: str, at: datetime) -> Unit:
    """Write the reading of a hold point, with initials."""
    raise NotImplementedError


def differs(unit: Unit, key: str, text: str) -> Unit:
    """Write what is different from plan; empty text takes it back."""
    raise NotImplementedError


def count_bag(unit: Unit, bag: str, kind: str, counted: int, explained: str = "", *, at: datetime) -> Unit:
    """Write down a counted bag."""
    raise NotImplementedError


def tick_range(unit: Unit, text: str, at: datetime, initials: str, override: str = "") -> Unit:
    """Tick the lines typed from paper: `A02-A09`, `A02, A05-A07`; whole or not at all."""
    raise NotImplementedError


def line_changed(unit: Unit, line: Line) -> bool:
    """Whether a ticked line's step reads differently now: look again."""
    raise NotImplementedError
