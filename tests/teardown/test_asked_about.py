"""What a person thinks was read and was not, is asked about in the words that would be read."""

from __future__ import annotations

import pytest

from logbook.teardown.bench_line import read_line
from logbook.teardown.member_phrases import OFFER
from tests.builders import unit

A_WIRE = "A wire is on the list with its number: say “W1 {}: … to …” for each."


def problems(line: str) -> list[str]:
    """The sentences that stand beside the phrases of a line."""
    return [phrase.problem for phrase in read_line(line, unit()).phrases if phrase.problem]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("cable, unplugged, blue N to motor", A_WIRE.format("blue")),
        ("cable, unplugged, 3 wires brown L to switch", A_WIRE.format("brown")),
        ("cable, unplugged, yellow-green to frame", A_WIRE.format("yellow-green")),
        (
            "capacitor, unsoldered, 0.1 V measured",
            "It stands in the note and proves nothing: say “dead 0.1 V” when it is safe.",
        ),
        (
            "cord, unplugged, 230 V measured",
            "230 V is not dead, and it stands in the note alone: say “dead 0.1 V” once it is.",
        ),
        (
            "hold measure shaft play before closing",
            "A hold point stands behind what it is about: say that first, as in “shaft, hold end play read mm”.",
        ),
        ("bracket left, unscrewed, right one differs", OFFER),
        ("lid, left is bent at the hinge, right differs", OFFER),
    ],
)
def test_it_is_asked_in_the_words_that_would_be_read(line: str, said: str) -> None:
    assert problems(line) == [said]


@pytest.mark.parametrize(
    "line",
    [
        "cable, unplugged, W1 blue: cord to motor",
        "shaft, hold end play read mm",
        "lid, lifted, painted blue",
        "lid, lifted, left is bent at the hinge",
        "lid, lifted, stuck to the brown foot",
        "lid, lifted, 12 V lamp",
    ],
)
def test_what_is_read_and_what_is_a_plain_note_are_not_asked_about(line: str) -> None:
    assert problems(line) == []
