"""What a person thinks was read and was not, is asked about in the words that would be read."""

from __future__ import annotations

import pytest

from logbook.model.starters import NOT_SEEN
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Then
from logbook.teardown.bench_line import read_line
from logbook.teardown.member_phrases import OFFER
from logbook.teardown.thing_phrases import with_things
from tests.builders import unit

A_WIRE = "A wire is on the list with its number: say “W1 {}: … to …” for each."


def written(line: str, *components: Component) -> Unit:
    """A unit with these components, and what a line says came out."""
    before = unit(components=components)
    read = read_line(line, before, code="T01")
    return with_things(before, "T01", read.things)


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


@pytest.mark.parametrize("said", ["renew", "to renew", "replace it", "needs replacing"])
def test_what_came_off_is_renewed_in_one_word(said: str) -> None:
    record = written(f"push switch, unclipped, {said}, W1 brown: cord to switch 1")
    (switch,) = record.components
    assert (switch.name, switch.from_step, switch.disposition) == ("push switch", "T01", Disposition.RENEW)


def test_what_takes_its_place_is_a_part_to_buy() -> None:
    record = written("lamp, unscrewed, replace by lamp 40 W")
    assert [(part.name, part.for_components) for part in record.parts] == [("lamp 40 W", (record.components[0].code,))]


def test_what_was_written_down_before_it_came_out_is_not_written_twice() -> None:
    known = Component(code="LH", name="Lamp holder")
    record = written("lamp holder, unscrewed, renew", known)
    assert [(c.code, c.from_step, c.disposition) for c in record.components] == [("LH", "T01", Disposition.RENEW)]


def test_what_a_starter_expected_is_not_unseen_once_it_came_out() -> None:
    known = Component(code="LH", name="lamp holder", note=f"{NOT_SEEN} Usually renewed.")
    for said in ("renew", "component lamp holder"):
        record = written(f"lamp holder, unscrewed, {said}", known)
        assert [c.note for c in record.components] == ["Usually renewed."]


def test_behind_screws_it_is_the_screws_that_are_renewed() -> None:
    read = read_line("switch, unscrewed, 2 screw 3x10, renew", unit())
    assert (read.step.fasteners[0].then, read.things) == (Then.RENEW, ())


def test_scrap_is_asked_about() -> None:
    assert problems("felt, peeled off, scrap") == [
        "It stands in the note. Does a new one take its place? Say “renew” instead."
    ]
