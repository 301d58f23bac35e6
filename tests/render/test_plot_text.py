"""Plots in plain text: proportions, widths, signs that differ without colour, and their ASCII form."""

from __future__ import annotations

import io
from datetime import datetime
from fractions import Fraction
from itertools import pairwise

import pytest

from logbook.cli.output import write
from logbook.costing import Driver, cash_to_come, decision, timeline
from logbook.model.work import CostLine, StopLine
from logbook.planning.plan import Background, Plan, PlanEntry
from logbook.render.blocks import Plot, PlotBar, PlotMark, PlotRow
from logbook.render.cost_pictures import decision_plot, driver_plot, often_plot, time_plot
from logbook.render.cost_plots import as_money
from logbook.render.glyphs import FINE, bare
from logbook.render.plain import width
from logbook.render.plan_document import week_plot
from logbook.render.plot_text import plot_lines
from tests.builders import at, day, estimate, part, shop, unit
from tests.costing.radio import the_radio, the_shop
from tests.tui.conftest import HOSTILE

DECIDED = decision(the_radio(), the_shop())


def driver(name: str, down: int, up: int, *, stands_in: bool = False) -> Driver:
    return Driver(name, name, Fraction(down), Fraction(up), Fraction(1, 2), Fraction(1), stands_in=stands_in)


def cells(line: str, signs: str) -> int:
    return sum(line.count(sign) for sign in signs)


def every_plot() -> list[Plot]:
    line = timeline(the_radio(), the_shop(), DECIDED.compared.cash)
    return [
        decision_plot(DECIDED.rows, DECIDED.compared.stop),
        driver_plot(DECIDED.cash.drivers, as_money),
        often_plot(DECIDED.cash, as_money),
        time_plot(line),
    ]


def test_bars_are_in_proportion_to_both_sides() -> None:
    """10 below and 40 above on one scale: four cells above for each below; 20 is half of 40."""
    drivers = [driver("a", 10, 40), driver("b", 5, 20), driver("c", 0, 1)]
    wide, half, little = plot_lines(driver_plot(drivers, as_money), 80)[:3]
    below = [cells(x, FINE.perhaps) for x in (wide, half, little)]
    above = [cells(x, FINE.parts) for x in (wide, half, little)]
    assert above[0] == pytest.approx(4 * below[0], abs=4)
    assert (below[1], above[1]) == (pytest.approx(below[0] / 2, abs=1), pytest.approx(above[0] / 2, abs=1))
    assert below[2] == 0
    assert above[2] >= 1, "what is not nothing is not drawn as nothing"
    assert len({x.index(FINE.grid) for x in (wide, half, little)}) == 1
    assert wide.endswith("-10.00  +40.00")


def test_the_stop_line_runs_through_all_rows_in_a_column_of_its_own() -> None:
    drawn = decision_plot(DECIDED.rows, DECIDED.compared.stop)
    rows = plot_lines(drawn, 80)[: len(drawn.rows)]
    assert len({row.index(FINE.limit) for row in rows}) == 1
    rebuild = rows[0]
    assert rebuild.index("┣") < rebuild.index("◆") < rebuild.index("┃") < rebuild.index("┫")


def test_cash_over_time_shows_gone_likely_high_and_the_line() -> None:
    """20 are gone, 20 more are likely, 50 at most: 40 likely, stop line 30 of further cash on top of the 20."""
    of_unit = unit(
        parts=[part("N1", price=estimate("10", "20", "50"), expected_on=day("2026-04-01"))],
        cost_lines=[CostLine(code="S", name="wax", price=estimate("9"), paid="20", paid_on=day("2026-03-01"))],
        stop_lines=[StopLine(amount="30", set_at=at("2026-03-10 12:00"))],
    )
    gone, to_come, meanings, *_ = plot_lines(time_plot(timeline(of_unit, shop(), cash_to_come(of_unit, shop()))), 100)
    assert gone.startswith("1 Mar 2026 wax")
    assert gone.endswith("20.00")
    assert cells(gone, FINE.gone) == cells(to_come, FINE.gone) > 0
    places = [to_come.index(sign) for sign in (FINE.gone, FINE.parts[-1], FINE.limit)]
    assert all(left < right for left, right in pairwise(places))
    assert to_come.index(FINE.limit) < to_come.rindex(FINE.perhaps)
    assert to_come.endswith("40.00")
    assert meanings.startswith("▒ gone  █ likely to come  ░ up to the high case")


def test_a_stand_in_carries_a_question_mark_and_the_rest_is_counted() -> None:
    drivers = [driver(f"x{i}", 0, 20 - i, stands_in=i == 0) for i in range(15)]
    lines = plot_lines(driver_plot(drivers, as_money), 70)
    assert lines[0].startswith("? x0")
    assert lines[12:] == ["█ so much more than likely it can come to  ░ so much less", "3 more, together +21.00."]


@pytest.mark.parametrize("columns", [20, 40, 60, 78, 120])
def test_no_drawing_is_wider_than_asked_for(columns: int) -> None:
    hostile = [driver_plot([driver(text, 3, 7), driver("b", 0, 400_000)], as_money) for text in HOSTILE]
    for drawn in (*every_plot(), *hostile):
        for line in plot_lines(drawn, columns):
            assert width(line) <= columns, line


def test_marks_are_told_apart_by_their_signs_in_ascii_too() -> None:
    for drawn in every_plot():
        lines = plot_lines(drawn, 80)
        assert "#" not in "".join(lines)
        for line in lines:
            assert len(bare(line)) == len(line)
            assert bare(line).count("?") == line.count("?")
    marks = [PlotMark.SOLID, PlotMark.GREY, PlotMark.OPEN]
    rows = tuple(PlotRow("", (PlotBar(0, 1, mark),), "") for mark in marks)
    assert len({bare(line) for line in plot_lines(Plot(rows), 40)[:3]}) == 3


def test_an_output_without_these_signs_gets_ascii_of_the_same_width() -> None:
    raw = io.BytesIO()
    lines = plot_lines(every_plot()[1], 80)
    output = io.TextIOWrapper(raw, encoding="ascii")
    write("\n".join(lines), output)
    written = raw.getvalue().decode("ascii").split("\n")
    assert [len(line) for line in written] == [len(line) for line in lines]
    assert "##########" in written[0]


def test_the_first_days_of_a_plan_are_drawn_by_the_hour() -> None:
    """18:00 to 22:00 are four hours: work from 19:00 to 20:00 lies in the second quarter, then it waits."""

    def moment(words: str) -> datetime:
        return at(f"2026-03-20 {words}")

    entries = (
        PlanEntry(moment("19:00"), moment("20:00"), "C1", "K01", "glue", "operation"),
        PlanEntry(moment("18:00"), moment("22:00"), "R1", "K02", "plane", "operation"),
    )
    waits = (Background("C1", "glue", moment("20:00"), moment("21:30"), "in clamps"),)
    empty = Plan((), (), (), (), (), (), (), 0, None, moment("12:00"))
    drawn = week_plot(empty._replace(entries=entries, background=waits))
    of_chair, of_radio = drawn.rows
    assert [(bar.begin, bar.end, bar.mark) for bar in of_chair.bars] == [
        (0.5, 0.875, PlotMark.OPEN),
        (0.25, 0.5, PlotMark.SOLID),
    ]
    assert [(bar.begin, bar.end) for bar in of_radio.bars] == [(0, 1)]
    assert (of_chair.figure, of_radio.figure) == ("19:00-20:00", "18:00-22:00")
    assert drawn.caption == "From 18:00 at the left to 22:00 at the right."
    assert week_plot(empty).rows == ()
