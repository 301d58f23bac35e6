"""The drawings of a decision, whole: every row within the width, without colour and in ASCII as well."""

from __future__ import annotations

import pytest

from logbook.costing import decision
from logbook.render.glyphs import ASCII, FINE, Glyphs
from logbook.tui.look.inks import text_of, width_of
from logbook.tui.screens.drawn_costs_screen import drawings
from tests.costing.radio import the_radio, the_shop
from tests.hostile import filled, texts


@pytest.mark.parametrize("glyphs", [FINE, ASCII], ids=["fine", "ascii"])
@pytest.mark.parametrize("columns", [30, 57, 77, 115, 195])
def test_every_drawing_stays_within_the_width(columns: int, glyphs: Glyphs) -> None:
    radio = the_radio()
    drawn = list(drawings(radio, the_shop(), decision(radio, the_shop()), columns, glyphs))
    assert [title for title, _, _ in drawn] == [
        "What drives the cash",
        "What drives the hours",
        "How often the cash came to what",
        "Cash over time",
    ]
    for title, _, rows in drawn:
        assert rows, title
        assert max(map(width_of, rows)) <= columns, title


def test_of_a_hundred_all_are_counted() -> None:
    radio = the_radio()
    drawn = {title: rows for title, _, rows in drawings(radio, the_shop(), decision(radio, the_shop()), 77, FINE)}
    often = drawn["How often the cash came to what"]
    shares = [int(text_of(row).partition(" of 100")[0].rpartition(" ")[2]) for row in often]
    assert len(shares) == 12
    assert 98 <= sum(shares) <= 102, "each is rounded"


def test_hostile_words_stay_within_the_width() -> None:
    radio = filled(the_radio(), texts(5))
    for title, _, rows in drawings(radio, the_shop(), decision(radio, the_shop()), 57, FINE):
        assert max(map(width_of, rows)) <= 57, title
