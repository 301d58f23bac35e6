"""Ranges on one scale and blocks: as wide as asked, in order, nothing that is more than nothing vanishes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.glyphs import ASCII, FINE, Glyphs, block
from logbook.tui.look.amount_scale import Amount, Mark, axis, range_row, scale_for
from logbook.tui.look.cost_bars import Drive, Payment, block_leftward, cash_over_time, drives, steps
from logbook.tui.look.inks import text_of, width_of

BOTH = pytest.mark.parametrize("g", [FINE, ASCII], ids=["fine", "ascii"])
sums = st.floats(-1e6, 1e6, allow_nan=False)


def test_four_things_on_one_scale() -> None:
    """From -50 to 150 in 41 columns a column is 5: -40 stands in the third, nought in the eleventh."""
    scale = scale_for([-50, 150], 41)
    assert [scale.at(value) for value in (-50, -40, 0, 100, 150)] == [0, 2, 10, 30, 40]
    assert scale.step == 50
    assert (
        text_of(range_row(Amount(75, 50, 150), scale, 100)).rstrip()
        == " " * 10 + "┊" + " " * 9 + "┣━━━━◆━━━━┃━━━━━━━━━┫"
    )
    assert text_of(range_row(Amount(-40), scale)).rstrip() == "  ●       ┊"


def test_the_axis_says_round_figures_and_the_limit_takes_the_place_of_one() -> None:
    figures, strokes = axis(scale_for([0, 200], 41), Mark(100, "stop 100"))
    assert text_of(figures).split() == ["0", "50", "stop", "100", "150", "200"]
    assert text_of(strokes).count(FINE.limit) == 1


@BOTH
@given(values=st.lists(sums, min_size=3, max_size=3), limit=sums, columns=st.integers(12, 200))
def test_a_row_is_as_wide_as_its_scale_and_in_order(values: list[float], limit: float, columns: int, g: Glyphs) -> None:
    low, likely, high = sorted(values)
    scale = scale_for([*values, limit], columns)
    assert scale.at(low) <= scale.at(likely) <= scale.at(high)
    row = range_row(Amount(likely, low, high, "+ repair risk"), scale, limit, g)
    assert width_of(row) == columns
    assert g.expected in text_of(row)
    for spans in axis(scale, Mark(limit, "stop 1,234.50"), g):
        assert width_of(spans) == columns


def test_what_is_said_beside_a_point_covers_nothing() -> None:
    scale = scale_for([0, 200], 30)
    assert text_of(range_row(Amount(80, beside="+ repair risk"), scale)).rstrip() == " " * 12 + "● + repair risk"
    assert text_of(range_row(Amount(80, beside="+ a very long remark about the risk"), scale)).split() == ["●"]


@BOTH
@given(share=st.floats(-1, 2), columns=st.integers(1, 100))
def test_some_is_never_nothing_and_not_all_never_full(share: float, columns: int, g: Glyphs) -> None:
    drawn = block(share, columns, g)
    assert len(drawn) <= columns
    if g.fine or columns > 1:
        assert bool(drawn) == (share > 0)
        assert (drawn == g.parts[-1] * columns) == (share >= 1)
    assert width_of(block_leftward(share, columns, "good", g)) == columns


def test_what_drives_the_range_has_one_scale_for_both_sides() -> None:
    rows = drives((Drive("output", 0, 30, "", "+30.00"), Drive("shipping", 10, 20, "-10.00", "+20.00")), 62)
    first, second = (text_of(row) for row in rows)
    down = second.partition("│")[0].count("█")
    assert 3 * down <= first.count("█") <= 3 * (down + 1), "30 up is three times 10 down"
    assert first.endswith("+30.00")
    assert "-10.00" in second


@BOTH
@given(amounts=st.lists(st.tuples(st.floats(0, 1e5), st.floats(0, 1e5)), max_size=14), columns=st.integers(20, 160))
def test_drives_are_as_wide_as_asked(amounts: list[tuple[float, float]], columns: int, g: Glyphs) -> None:
    rows = [Drive(f"thing {i}", down, up, f"-{down:.2f}", f"+{up:.2f}") for i, (down, up) in enumerate(amounts)]
    for row in drives(rows, columns, g):
        assert width_of(row) <= columns


def test_cash_grows_downwards_and_is_red_beyond_the_stop_line() -> None:
    rows = cash_over_time(
        (Payment("paid", 10, 10, 10, "10.00", is_gone=True), Payment("valve", 10, 40, 80, "40.00")), 40, "40.00", 60
    )
    said = [text_of(row) for row in rows]
    assert "stop 40.00" in said[0]
    assert said[1].count("▒") * 4 == pytest.approx(said[2].count("█") + said[2].count("▒"), abs=4)
    assert any(span.ink == "bad" and "░" in span.text for span in rows[2])
    assert "up to the high case" in said[-1]


@BOTH
def test_steps_and_nothing_at_all(g: Glyphs) -> None:
    assert steps((), g) == ""
    assert cash_over_time((), 10, "10", 60, g) == []
    assert len(steps((1, 2, 0, 8), g)) == 4
    assert steps((8, 0), g)[1] == " "
