"""The help of a place says what its signs mean, and no place has a legend that is not there."""

from __future__ import annotations

from logbook.render.glyphs import ASCII
from logbook.session import Session
from logbook.tui.screen_names import CLASSES
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.screens.to_buy_screen import ToBuyScreen
from logbook.tui.sign_meanings import places_with_signs, signs_at
from tests.tui.conftest import opened, text_on, until

ASKED = {LayoutScreen.__name__, NewScreen.__name__}
"""Opened from their own places, not by a name."""


def test_every_place_with_a_legend_is_a_screen() -> None:
    screens = {where.partition(":")[2] for where in CLASSES.values()} | ASKED
    assert places_with_signs() <= screens


def test_a_drawing_is_explained_in_the_signs_that_it_is_drawn_with() -> None:
    assert dict(signs_at("LayoutScreen", ASCII))["."] == "too small for the pile: the bin"
    assert signs_at("PageScreen", ASCII) == ()


async def test_the_help_ends_with_the_signs_of_the_place(demo: Session) -> None:
    async with opened(demo, ToBuyScreen(demo), size=(100, 60)) as pilot:
        await pilot.press("question_mark")
        await until(pilot, lambda: "Keys at" in text_on(pilot))
        assert "[o] ordered, on its way" in text_on(pilot)
