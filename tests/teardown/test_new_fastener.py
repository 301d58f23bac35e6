"""A fastener in a list of its own is typed as at the bench, or as in every other list."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.model.step import Fastener
from logbook.model.words import Then
from logbook.teardown.new_fastener import fastener_or_more
from tests.builders import unit

OLD = Fastener(kind="screw 4x20", holes=4, found=3, bag="2")
LOST = {"then": Then.LOST}


@pytest.mark.parametrize(
    ("text", "like", "kept"),
    [
        ("2 washer M5", None, {"kind": "washer M5", "holes": 2, "found": 2}),
        ("4/3 screw 3.5x16 renew, bag 7", None, {"holes": 4, "found": 3, "then": Then.RENEW, "bag": "7"}),
        ("4 washer bag 5, lost", None, {"kind": "washer", "holes": 4, "found": 4, "bag": "5", **LOST}),
        ("2 brad 20", None, {"kind": "brad 20", "holes": 2}),
        ("screw 3.5x16, 4, 3", None, {"kind": "screw 3.5x16", "holes": 4, "found": 3}),
        ("4 screw 3.5x16, 3", None, {"kind": "screw 3.5x16", "holes": 4, "found": 3}),
        ("screw 3.5x16, 4", None, {"holes": 4, "found": 4}),
        ("bolt M6", OLD, {"kind": "bolt M6", "holes": 4, "found": 3, "bag": "2"}),
        ("2/1 bolt M6", OLD, {"kind": "bolt M6", "holes": 2, "found": 1, "bag": "2"}),
    ],
)
def test_a_fastener_is_understood(text: str, like: Fastener | None, kept: dict[str, Any]) -> None:
    made = fastener_or_more(text, unit(), like=like).record()
    assert {name: getattr(made, name) for name in kept} == kept


def test_more_found_than_places_is_kept_and_said() -> None:
    reading = fastener_or_more("4/6 screw", unit())
    assert "More found (6) than places (4)" in reading.doubts[0]
    assert reading.record()


@pytest.mark.parametrize(
    "text", ["", ",", "4/", "screw x4", "4 screw and 2 nut", "99999999999 screw", "4 screw, blub,"]
)
def test_what_cannot_be_a_fastener_is_asked_for_or_refused(text: str) -> None:
    reading = fastener_or_more(text, unit())
    assert reading.missing or reading.problem or reading.record()
