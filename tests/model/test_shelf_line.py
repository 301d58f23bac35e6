"""A thing for the shelf in one line: its name keeps its figures, what there is and where it stands is found."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.model.fields import in_a_line
from logbook.model.shelf_line import shelf_reading
from tests.builders import consumable


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("nail 25, 30, jar 2", "nail 25, stock 30, jar 2"),
        ("30 nail 25, jar 2", "nail 25, stock 30, jar 2"),
        ("40 screw 3.5x16, tin", "screw 3.5x16, stock 40, tin"),
        ("M4 nut, 12", "M4 nut, stock 12"),
        ("abrasive P120, 5 sheets", "abrasive P120, sheets, stock 5"),
        ("PVA glue 250 ml", "PVA glue, ml, stock 250"),
        ("jar of wood screws 4x30, 80", "wood screw 4x30, stock 80"),
        ("80 wood screws 4x30", "wood screw 4x30, stock 80"),
        ("200 g of paste wax", "paste wax, g, stock 200"),
        ("wood glue, 250 ml, pack 500 9.50", "wood glue, ml, size 500, 9.50, stock 250"),
        ("oil 0.5 l, shelf 2, keeps months 24", "oil, l, stock 0.5, keeps months 24, shelf 2"),
        ("wood glue, stock 250, unit ml, no frost", "wood glue, ml, stock 250, no frost"),
    ],
)
def test_a_line_is_understood(line: str, words: str) -> None:
    assert in_a_line(shelf_reading(line).record()) == words


def test_how_much_there_is_is_asked_for_where_it_is_not_said() -> None:
    assert [f.label for f in shelf_reading("nail 25").missing] == ["stock"]
    assert shelf_reading("").missing


def test_one_like_it_says_what_differs() -> None:
    like = consumable("nail 25", 30)
    made = shelf_reading("nail 30", like=like).record()
    assert in_a_line(made) == "nail 30, stock 30"
    assert shelf_reading("40 nail 30", like=like).values["stock"] == Decimal(40)
    assert shelf_reading("stock 12", like=like).values["stock"] == Decimal(12)


def test_a_bare_figure_like_a_price_is_asked_about() -> None:
    reading = shelf_reading("varnish, 8.40")
    assert reading.problem.startswith("“8.40”: is it how much there is, or what it costs?")
    assert shelf_reading("varnish, stock 8.40").problem == ""
