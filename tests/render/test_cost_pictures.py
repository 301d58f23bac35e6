"""Plots of costs for paper and the web: what is drawn where, worked by hand, and that they are shapes there."""

from __future__ import annotations

from fractions import Fraction
from itertools import cycle, pairwise

import pytest

from logbook.costing import Driver, comparison, cost_views, decision, timeline
from logbook.render.blocks import Plot, PlotMark, PlotRow, flat
from logbook.render.cost_pictures import ROOM_AT_THE_ENDS, decision_plot, driver_plot, often_plot, time_plot
from logbook.render.cost_plots import as_money
from logbook.render.costs_document import cost_page
from logbook.render.markdown import markdown
from logbook.render.page import Page
from logbook.render.web import web_page
from tests.builders import at, day, unit
from tests.costing.radio import the_radio, the_shop
from tests.hostile import filled, texts

DECIDED = decision(the_radio(), the_shop())


def driver(name: str, down: int, up: int) -> Driver:
    return Driver(name, name, Fraction(down), Fraction(up), Fraction(1, 2), Fraction(1), stands_in=False)


def radio_page() -> Page:
    radio, shop = the_radio(), the_shop()
    today = day("2026-03-20")
    compared, views = comparison(radio, shop, today), cost_views(radio, shop, today)
    return cost_page(radio, shop, compared, views, at("2026-03-20 18:00"), decided=decision(radio, shop, today))


def plots() -> list[Plot]:
    return [block for block in flat(radio_page().blocks) if isinstance(block, Plot)]


def row_of(plot: Plot, name: str) -> PlotRow:
    return next(row for row in plot.rows if row.name == name)


def test_the_stop_line_and_the_range_of_the_radio_lie_on_one_scale() -> None:
    """58.25 to 156.00, expected 85.24, stop line 100.00: (100 - 58.25) / (156 - 58.25) = 0.427 of the range."""
    plot = decision_plot(DECIDED.rows, DECIDED.compared.stop)
    reach, expected = row_of(plot, "rebuild").bars
    assert (reach.mark, expected.mark) == (PlotMark.RANGE, PlotMark.POINT)
    assert plot.limit is not None
    assert (plot.limit - reach.begin) / (reach.end - reach.begin) == pytest.approx(0.4271, abs=0.0002)
    assert (expected.begin - reach.begin) / (reach.end - reach.begin) == pytest.approx(0.2761, abs=0.0002)
    every = [side for row in plot.rows for bar in row.bars for side in (bar.begin, bar.end)]
    assert min(every) == pytest.approx(ROOM_AT_THE_ENDS)
    assert max(every) == pytest.approx(1 - ROOM_AT_THE_ENDS)


def test_what_lies_below_and_above_likely_has_one_scale() -> None:
    """10 below and 40 above are 50 in all: likely stands at a fifth."""
    plot = driver_plot([driver("a", 10, 40), driver("b", 0, 20)], as_money)
    wide, half = plot.rows
    assert plot.nought == pytest.approx(0.2)
    assert [(bar.begin, bar.end) for bar in wide.bars] == [(0, pytest.approx(0.2)), (pytest.approx(0.2), 1)]
    assert [bar.end - bar.begin for bar in half.bars] == [pytest.approx(0.4)]
    assert (wide.figure, half.figure) == ("-10.00  +40.00", "+20.00")


def test_cash_over_time_ends_at_the_high_case() -> None:
    radio = the_radio()
    line = timeline(radio, the_shop(), DECIDED.compared.cash)
    plot = time_plot(line)
    last = plot.rows[-1].bars
    assert [bar.mark for bar in last] == [PlotMark.GREY, PlotMark.SOLID, PlotMark.OPEN]
    assert last[-1].end == pytest.approx(1 - ROOM_AT_THE_ENDS)
    assert all(left.end == pytest.approx(right.begin) for left, right in pairwise(last))


def test_no_share_that_came_out_is_said_to_be_none() -> None:
    for row in often_plot(DECIDED.cash, as_money).rows:
        assert bool(row.bars) is (row.figure != "none")


def test_without_a_price_there_is_no_plot() -> None:
    empty = decision(unit(), the_shop())
    assert decision_plot(empty.rows, empty.compared.stop).rows == ()
    assert driver_plot((), as_money).rows == ()
    page = Page()
    page.plot(driver_plot((), as_money))
    assert page.blocks == ()


def test_paper_and_web_have_shapes_and_plain_text_has_blocks() -> None:
    assert len(plots()) == 5, "what could be done, drivers of cash and hours, how often, over time"
    page = radio_page()
    web = web_page(page.blocks, title="costs", footer="v1", picture=lambda _: None)
    assert web.count('<table class="plot">') == 5
    blocks = "█" * 8
    assert blocks not in web
    assert "<pre>" not in web
    for written in (page.text(), markdown(page.blocks)):
        assert "###" not in written.replace("### ", "")
        assert blocks in written


def test_how_the_chances_came_about_stands_last() -> None:
    text = radio_page().text()
    last = text.index("HOW THE CHANCES CAME ABOUT")
    assert text.index("CASH OVER TIME") < last
    for words in ("draws, seed", "standard error", "exact beta variance", "classic PERT"):
        assert words not in text[:last]
        assert words in " ".join(text[last:].split())


def test_hostile_names_stay_text() -> None:
    radio = filled(the_radio(), cycle(texts(7)))
    shop = the_shop()
    decided = decision(radio, shop)
    compared, views = comparison(radio, shop), cost_views(radio, shop)
    page = cost_page(radio, shop, compared, views, at("2026-03-20 18:00"), decided=decided)
    web = web_page(page.blocks, title="costs", footer="v1", picture=lambda _: None)
    assert "<script" not in web
