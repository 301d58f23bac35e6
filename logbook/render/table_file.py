"""Tables as CSV (RFC 4180, UTF-8). A cell that a spreadsheet would take for a formula is made plain text."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from logbook.render.plain import clean

MOST = 20_000
_NUMBER = re.compile(r"[-+]?\d+(\.\d+)?")
_FORMULA = re.compile(r"\s*[=+\-@|%]")


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows as CSV; the first one says what the columns are."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    for row in rows:
        writer.writerow([cell(c) for c in row])
    return out.getvalue()


def cell(text: str) -> str:
    """A cell as it is written: cleaned, and with `'` before what is no number but would start a formula."""
    shown = clean(text, limit=MOST)
    return f"'{shown}" if _FORMULA.match(shown) and not _NUMBER.fullmatch(shown) else shown
