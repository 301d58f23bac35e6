"""Drawings of costs: proportions, widths, and figures beside every bar."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from fractions import Fraction
from itertools import cycle

import pytest

from logbook.costing import Driver, decision, timeline
from logbook.model.work import StopLine
from logbook.render.cost_pictures import often_plot, time_plot
from logbook.render.cost_plots import (
    as_hours,
    as_money,
    percent_words,
    spread_sentences,
)
from logbook.render.decision_data import HEAD, decision_csv, decision_data
from logbook.render.weighing import stop_story, weighed
from tests.builders import at, shop, unit
from tests.costing.radio import the_radio, the_shop
from tests.hostile import filled

DECIDED = decision(the_radio(), the_shop())


def driver(name: str, down: int, up: int, *, stands_in: bool = False) -> Driver:
    return Driver(name, name, Fraction(down), Fraction(up), Fraction(1, 2), Fraction(1), stands_in=stands_in)


def test_nothing_to_draw_draws_nothing() -> None:
    empty = decision(unit(), shop())
    assert often_plot(empty.cash, as_money).rows == ()
    assert time_plot(timeline(unit(), the_shop(), empty.compared.cash)).rows == ()
    assert list(spread_sentences(empty.cash, as_money)) == []
    assert list(weighed(empty)) == []


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (Fraction(0), "under 1 in 1,000"),
        (Fraction(1), "over 999 in 1,000"),
        (Fraction(1, 1000), "under 1 %"),
        (Fraction(999, 1000), "over 99 %"),
        (Fraction(17, 100), "17 %"),
    ],
)
def test_a_chance_is_never_said_surer_than_it_is(share: Fraction, words: str) -> None:
    assert percent_words(share) == words


def test_hours_are_written_as_hours() -> None:
    assert as_hours(Fraction(90)) == "1.50"


def test_the_table_for_a_spreadsheet_holds_every_line() -> None:
    rows = list(csv.DictReader(io.StringIO(decision_csv(DECIDED))))
    assert tuple(rows[0]) == HEAD
    sections = [r["section"] for r in rows]
    assert (sections.count("decision"), sections.count("cash"), sections.count("hours")) == (18, 11, 17)
    cash = [r for r in rows if r["section"] == "cash"]
    assert sum(Decimal(r["high"]) for r in cash) == Decimal("156.00")
    mine = next(r for r in rows if r["what"] == "rebuild" and r["rate"] == "12")
    assert mine["cost_at_rate"] == "349.44"


def test_no_cell_of_the_table_is_a_formula() -> None:
    hostile = filled(the_radio(), cycle(['=HYPERLINK("x")', "@x", "+1", "-x"]))
    for row in csv.reader(io.StringIO(decision_csv(decision(hostile, the_shop())))):
        for cell in row:
            assert not cell.startswith(("=", "@", "+")), cell
            assert not cell.startswith("-") or re.fullmatch(r"-\d+(\.\d+)?", cell), cell


def test_values_for_json_hold_no_float() -> None:
    def floats(value: object) -> list[float]:
        if isinstance(value, dict):
            return [f for v in value.values() for f in floats(v)]
        if isinstance(value, list):
            return [f for v in value for f in floats(v)]
        return [value] if isinstance(value, float) else []

    data = decision_data(the_radio(), the_shop(), DECIDED)
    assert floats(data) == []
    assert data["cash"]["expected"] == "10229/120"
    assert data["cash"]["agrees"] is True


def test_earlier_stop_lines_stay_visible_with_their_reasons() -> None:
    lines = [
        StopLine(amount=Decimal(80), set_at=at("2026-03-01 12:00")),
        StopLine(amount=Decimal(100), why="the cloth too", set_at=at("2026-03-12 12:00")),
    ]
    assert list(stop_story(lines, the_shop())) == [
        "holds: 100.00, set 12 Mar 2026: the cloth too",
        "before: 80.00, set 1 Mar 2026: no reason written down",
    ]
