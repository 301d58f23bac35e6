"""How thick and how long a fastener is stands as one size, never as a bare figure."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.model.fields import in_a_line
from logbook.model.measures import Length
from logbook.model.step import FastenerDetail


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"diameter": "5", "length": "35", "head": "hexagon"}, "Ø5 x 35, hexagon"),
        ({"diameter": "25"}, "Ø25"),
        ({"length": "6", "note": "sawn off"}, "length 6, sawn off"),
        ({"drive": "slot"}, "slot"),
        ({}, ""),
    ],
)
def test_thick_and_long_are_one_size(said: dict[str, str], words: str) -> None:
    values: dict[str, Any] = {
        name: Length.of(text) if name in ("diameter", "length") else text for name, text in said.items()
    }
    assert in_a_line(FastenerDetail(**values)) == words
