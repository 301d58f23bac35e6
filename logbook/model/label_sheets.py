"""Sheets of labels, described by their dimensions alone, as data that a person can copy and change."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError, model_validator

from logbook.errors import InputError
from logbook.model.base import Frozen, Name, Text
from logbook.model.document import sentences
from logbook.model.measures import Number
from logbook.model.templates import template_bytes

FILE = "label_sheets.json"
PAPERS = {"a4": (Decimal(210), Decimal(297)), "us-letter": (Decimal("215.9"), Decimal("279.4"))}
"""Width and height in millimetres: ISO 216, and ANSI/ASME Y14.1 size A."""
_MOST = 60
_SLACK = Decimal("0.5")
"""Millimetres that a sheet may be over the paper's edge, because its own dimensions are rounded."""


class LabelSheet(Frozen):
    """One sheet: so many labels across and down, all of one size. Millimetres."""

    name: Name
    paper: Literal["a4", "us-letter"] = "a4"
    columns: int = Field(ge=1, le=_MOST)
    rows: int = Field(ge=1, le=_MOST)
    width: Number
    height: Number
    left: Number
    """From the paper's left edge to the first label."""
    top: Number
    across: Number
    """From one label's left edge to the next one's."""
    down: Number
    """From one label's upper edge to the next one's."""

    @model_validator(mode="after")
    def _fits(self) -> LabelSheet:
        """A label that lies beside the paper or over the next one is a mistyped dimension."""
        if self.width < 10 or self.height < 8:
            raise ValueError(f"the labels of “{self.name}” are too small to read: at least 10 x 8 mm")
        if (self.columns > 1 and self.across < self.width) or (self.rows > 1 and self.down < self.height):
            raise ValueError(f"the labels of “{self.name}” lie over each other")
        wide, high = PAPERS[self.paper]
        right = self.left + (self.columns - 1) * self.across + self.width
        bottom = self.top + (self.rows - 1) * self.down + self.height
        if right > wide + _SLACK or bottom > high + _SLACK:
            raise ValueError(f"the labels of “{self.name}” lie beside the paper: they end at {right} x {bottom} mm")
        return self

    @property
    def count(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[Decimal, Decimal]:
        """Left upper corner of the label at a place, counted from 0 along the rows, in millimetres."""
        row, column = divmod(place, self.columns)
        return self.left + column * self.across, self.top + row * self.down


class _Sheets(Frozen):
    note: Text = ""
    sheets: tuple[LabelSheet, ...]


def read_sheets(raw: bytes, name: str = FILE) -> tuple[LabelSheet, ...]:
    """The sheets of a file. Raises InputError with a sentence for each place that cannot be used."""
    try:
        return _Sheets.model_validate_json(raw).sheets
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error


def label_sheets(own: Path | None = None) -> tuple[LabelSheet, ...]:
    """Every sheet: a person's own ones first, then those that came along.

    Args:
        own: a person's data folder; its `label_sheets.json` is read when there is one.

    Raises:
        InputError: a file cannot be used.
    """
    came = read_sheets(template_bytes(FILE))
    file = own / FILE if own is not None else None
    if file is None or not file.is_file():
        return came
    try:
        mine = read_sheets(file.read_bytes(), str(file))
    except OSError as error:
        raise InputError(f"{file} cannot be read: {error.strerror}.") from error
    return (*mine, *(s for s in came if s.name not in {m.name for m in mine}))


def sheet_named(name: str, own: Path | None = None) -> LabelSheet:
    """The sheet of that name. Raises InputError that names all of them when there is none."""
    sheets = label_sheets(own)
    found = next((s for s in sheets if s.name.casefold() == name.strip().casefold()), None)
    if found is None:
        raise InputError(f"There is no label sheet “{name}”. There are: {', '.join(s.name for s in sheets)}.")
    return found
