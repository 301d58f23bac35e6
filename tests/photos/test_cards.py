"""A card's square code is read from a photo of it, small, turned and unsharp."""

from __future__ import annotations

import io

import pytest
import segno
from PIL import Image, ImageFilter

from logbook.model.card_text import step_card
from logbook.photos.cards import CARD_BOX, NO_CARD, Card, read_card
from logbook.photos.picture_file import small
from tests.photos.pictures import corners, encoded


def with_card(text: str, *, turned: float, side: int) -> bytes:
    """A photo in which a card lies."""
    drawn = io.BytesIO()
    segno.make(text, error="m", micro=False).save(drawn, kind="png", scale=8, border=4)
    card = Image.open(drawn).convert("RGB").resize((side, side)).rotate(turned, expand=True, fillcolor=(255, 255, 255))
    photo = corners(1600, 1200).filter(ImageFilter.GaussianBlur(2))
    photo.paste(card, (700, 300))
    return encoded(photo.filter(ImageFilter.GaussianBlur(1)))


@pytest.mark.parametrize("turned", [0, 17, 90, 200])
@pytest.mark.parametrize("side", [160, 400])
def test_a_card_is_read(turned: float, side: int) -> None:
    raw = with_card(step_card("R1", "T11"), turned=turned, side=side)
    assert read_card(small(raw, "x", CARD_BOX)) == Card("R1", "T11")


def test_another_code_is_no_card() -> None:
    raw = with_card("WIFI:S:home;P:secret;;", turned=0, side=300)
    assert read_card(small(raw, "x", CARD_BOX)) == NO_CARD


def test_a_picture_without_a_card() -> None:
    assert read_card(small(encoded(corners(800, 600)), "x", (800, 800))) == NO_CARD
