"""Drawings of costs: proportions, widths, and figures beside every bar."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from fractions import Fraction
from itertools import cycle

import pytest

from logbook.costing import Driver, cash_to_come, decision, timeline
from logbook.model.work import CostLine, StopLine
from logbook.render.cost_plots import (
    as_hours,
    as_money,
    histogram,
    percent_words,
    spread_sentences,
    timeline_lines,
    tornado,
)
from logbook.render.decision_data import HEAD, decision_csv, decision_data
from logbook.render.weighing import stop_story, weighed
from tests.builders import at, day, estimate, part, shop, unit
from tests.costing.radio import the_radio, the_shop
from tests.hostile import filled
from tests.tui.conftest import HOSTILE

DECIDED = decision(the_radio(), the_shop())


def driver(name: str, down: int, up: int, *, stands_in: bool = False) -> Driver:
    return Driver(name, name, Fraction(down), Fraction(up), Fraction(1, 2), Fraction(1), stands_in=stands_in)


def test_bars_are_in_proportion_to_both_sides() -> None:
    wide, half, none = tornado([driver("a", 10, 40), driver("b", 5, 20), driver("c", 0, 1)], as_money, 80)
    bars = [re.search(r"(-*)\|(#*)", x) for x in (wide, half, none)]
    sizes = [(len(m[1]), len(m[2])) for m in bars if m is not None]
    assert sizes[0][0] == pytest.approx(2 * sizes[1][0], abs=1)
    assert sizes[0][1] == pytest.approx(2 * sizes[1][1], abs=1)
    assert sizes[0][1] == pytest.approx(4 * sizes[0][0], abs=4), "one scale for both sides"
    assert sizes[2] == (0, 1), "what is not nothing is not drawn as nothing"
    assert "-10.00" in wide
    assert wide.endswith("+40.00")
    assert len({x.index("|") for x in (wide, half, none)}) == 1


def test_the_tornado_of_the_radio() -> None:
    lines = tornado(DECIDED.cash.drivers, as_money, 78)
    assert [x.split("  ")[0] for x in lines[:3]] == ["output transformer", "valve", "shipping"]
    assert lines[0].endswith("+38.00")
    assert lines[0].count("#") == max(x.count("#") for x in lines)


def test_a_stand_in_carries_a_question_mark_and_the_rest_is_counted() -> None:
    lines = tornado([driver(f"x{i}", 0, 20 - i, stands_in=i == 0) for i in range(15)], as_money, 60)
    assert lines[0].startswith("? x0")
    assert len(lines) == 13
    assert lines[-1] == "and 3 more, together +21.00"


@pytest.mark.parametrize("columns", [40, 60, 78, 120])
def test_no_drawing_is_wider_than_asked_for(columns: int) -> None:
    for text in HOSTILE:
        hostile = [driver(text, 3, 7), driver("b", 0, 400_000)]
        for line in tornado(hostile, as_money, columns):
            from logbook.render.plain import width

            assert width(line) <= columns, line
    radio = the_radio()
    line = timeline(radio, the_shop(), DECIDED.compared.cash)
    for drawn in (*timeline_lines(line, columns), *histogram(DECIDED.cash, as_money, columns)):
        assert len(drawn) <= columns


def test_nothing_to_draw_draws_nothing() -> None:
    empty = decision(unit(), shop())
    assert tornado((), as_money, 80) == ()
    assert histogram(empty.cash, as_money, 80) == ()
    assert timeline_lines(timeline(unit(), the_shop(), empty.compared.cash), 80) == ()
    assert list(spread_sentences(empty.cash, as_money)) == []
    assert list(weighed(empty)) == []


def test_the_histogram_counts_every_draw() -> None:
    lines = histogram(DECIDED.cash, as_money, 78)
    shares = [int(re.search(r"(\d+) %", x)[1]) for x in lines]  # type: ignore[index]
    assert sum(shares) == pytest.approx(100, abs=6)
    assert lines[shares.index(max(shares))].count("#") == max(x.count("#") for x in lines)


def test_cash_over_time_shows_gone_likely_high_and_the_line() -> None:
    of_unit = unit(
        parts=[part("N1", price=estimate("10", "20", "50"), expected_on=day("2026-04-01"))],
        cost_lines=[CostLine(code="S", name="wax", price=estimate("9"), paid=Decimal(20), paid_on=day("2026-03-01"))],
        stop_lines=[StopLine(amount=Decimal(30), set_at=at("2026-03-10 12:00"))],
    )
    gone, to_come = timeline_lines(timeline(of_unit, shop(), cash_to_come(of_unit, shop())), 80)
    assert gone.startswith("1 Mar 2026 wax")
    assert gone.endswith("20.00")
    bars = [re.search(r"([=#.|]+)", x.split("2026 ")[1][4:])[0] for x in (gone, to_come)]  # type: ignore[index]
    assert bars[0].count("=") == bars[1].count("=")
    assert bars[1].index("=") < bars[1].index("#") < bars[1].index("|") < bars[1].rindex(".")
    assert to_come.endswith("40.00")


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
