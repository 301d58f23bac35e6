"""Cards that lie in the picture: a square code that names the step, or the number of a reusable card.

A card says `LOGBOOK:R1/T11`, or `LOGBOOK:card/7` when it is one of a set that is used again and again.
"""

from __future__ import annotations

import importlib
import re
from typing import Any, NamedTuple

from logbook.errors import InputError

_CARD = re.compile(r"LOGBOOK:(?P<unit>[A-Z][A-Z0-9]{0,7})(?:/(?P<step>[A-Z]{1,3}[0-9]{1,4}[a-z]?))?")
_REUSED = re.compile(r"LOGBOOK:card/(?P<number>[0-9]{1,3})")

CARD_BOX = (1000, 1000)
"""Size in which codes are looked for: a card as wide as a tenth of a sharp picture is still read.

A phone's 12 megapixels are decoded at a quarter for it, as for the small picture, so that looking costs little.
"""


class Card(NamedTuple):
    """What a card in a picture says; everything empty when there was none."""

    unit: str = ""
    step: str = ""
    number: str = ""
    """Number of a reusable card."""

    @property
    def words(self) -> str:
        """How the card is named to a person."""
        return f"card {self.number}" if self.number else f"{self.unit} {self.step}".strip()


NO_CARD = Card()


def card_of(text: str) -> Card:
    """The card that a square code's text means; no card when it says something else."""
    if found := _REUSED.fullmatch(text.strip()):
        return Card(number=str(int(found["number"])))
    if found := _CARD.fullmatch(text.strip()):
        return Card(found["unit"], found["step"] or "")
    return NO_CARD


def read_card(image: Any) -> Card:
    """The first card seen in a picture.

    Args:
        image: as `small` gives it, within `CARD_BOX`.

    Raises:
        InputError: the library that reads square codes is not installed.
    """
    try:
        zxing: Any = importlib.import_module("zxingcpp")
    except ImportError as error:
        raise InputError(
            "Reading cards needs a library that is not installed: pip install 'restorers-logbook[photos]'."
        ) from error
    # A square code is found whichever way it lies; a card is black on white and needs no second look inverted.
    once = {"try_rotate": False, "try_downscale": False, "try_invert": False}
    for seen in zxing.read_barcodes(image.convert("L"), formats=zxing.BarcodeFormat.QRCode, **once):
        card = card_of(seen.text)
        if card != NO_CARD:
            return card
    return NO_CARD
