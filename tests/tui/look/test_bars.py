"""Bars: exactly as wide as asked, some for more than nothing, not all for less than the whole."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.glyphs import ASCII, FINE, Glyphs
from logbook.tui.look.bars import filled, progress, rail
from logbook.tui.look.inks import text_of, width_of

BOTH = pytest.mark.parametrize("g", [FINE, ASCII], ids=["fine", "ascii"])


@given(st.floats(-1, 2), st.integers(2, 400))
def test_some_is_never_none_and_not_all_never_full(share: float, parts: int) -> None:
    found = filled(share, parts)
    assert (found == 0) == (share <= 0)
    assert (found == parts) == (share >= 1)


@BOTH
@pytest.mark.parametrize("columns", [2, 20, 79, 200])
@pytest.mark.parametrize("share", [0, 0.001, 0.5, 0.999, 1, 7])
def test_a_rail(share: float, columns: int, g: Glyphs) -> None:
    bar = text_of(rail(share, columns, g))
    assert len(bar) == columns
    assert (g.full in bar or g.half in bar) == (share > 0)
    assert (bar == g.full * columns) == (share >= 1)


def test_a_rail_in_half_cells() -> None:
    assert text_of(rail(0.25, 10)) == "━━╸───────"
    assert text_of(rail(0.5, 10, ASCII)) == "#####-----"


@BOTH
@given(counts=st.lists(st.integers(0, 500), min_size=3, max_size=3), columns=st.integers(3, 200))
def test_progress_gives_each_its_share_and_nothing_vanishes(counts: list[int], columns: int, g: Glyphs) -> None:
    inks = ("good", "accent", "rule")
    spans = progress(list(zip(counts, inks, strict=True)), columns, g)
    assert width_of(spans) == columns
    if sum(counts):
        assert {span.ink for span in spans} == {ink for count, ink in zip(counts, inks, strict=True) if count}


def test_progress_differs_without_colour() -> None:
    assert text_of(progress(((4, "good"), (2, "accent"), (2, "rule")), 16)) == "━━━━━━━━╍╍╍╍────"
    assert text_of(progress(((4, "good"), (2, "accent"), (2, "rule")), 16, ASCII)) == "########====----"
    assert text_of(progress(((0, "good"), (0, "accent"), (0, "rule")), 6)) == "──────"
