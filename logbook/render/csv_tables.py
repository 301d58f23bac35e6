"""Tables as CSV (RFC 4180) that a spreadsheet opens without running anything a person typed."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from logbook.render.plain import clean

Cell = str | int | Decimal | date | None
"""None is an empty cell: not known, or not said."""

_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20", "|", "%")
"""What a spreadsheet may take for the start of a formula, also in its full-width form (OWASP, CSV injection)."""


def csv_text(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """The table as CSV with a head. Numbers and dates stand as they are; text that looks like a formula gets a `'`."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([cell_text(c) for c in row] for row in rows)
    return out.getvalue()


def cell_text(value: Cell) -> str:
    """One cell; text is cleaned of control characters, and a formula in it is made text."""
    if value is None:
        return ""
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, int | date):
        return str(value)
    text = clean(value, limit=100_000)
    return f"'{text}" if text.lstrip().startswith(_STARTS) or value.startswith(_STARTS) else text
