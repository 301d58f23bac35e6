"""CSV that a spreadsheet opens and that runs nothing a person typed."""

from __future__ import annotations

import csv
import io
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.csv_tables import cell_text, csv_text


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", "|", "%", "\uff1d", " =", "\n="])
def test_a_formula_becomes_text(start: str) -> None:
    """The starts that OWASP lists for CSV injection, and their full-width forms."""
    assert cell_text(f"{start}HYPERLINK(1)").startswith("'")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (None, ""),
        (Decimal("-5.24"), "-5.24"),
        (Decimal("1E+2"), "100"),
        (3, "3"),
        (date(2026, 3, 17), "2026-03-17"),
        ("plain, with a comma", "plain, with a comma"),
        ("two\nlines", "two ⏎ lines"),
    ],
)
def test_cells(value, text: str) -> None:
    assert cell_text(value) == text


@given(st.lists(st.lists(st.text(max_size=20), min_size=2, max_size=2), max_size=5))
def test_any_text_keeps_its_place_and_starts_no_formula(rows: list[list[str]]) -> None:
    read = list(csv.reader(io.StringIO(csv_text(("a", "b"), rows), newline="")))
    assert read[0] == ["a", "b"]
    assert [len(r) for r in read] == [2] * (len(rows) + 1)
    for row in read[1:]:
        assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in row)
