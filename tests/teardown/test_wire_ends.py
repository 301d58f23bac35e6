"""The ends of wires that were only counted, said afterwards as the label of a wire says them."""

from __future__ import annotations

import pytest

from logbook.model.unit import Unit
from logbook.teardown.connection_phrase import connection_words
from logbook.teardown.spoken import as_typed
from logbook.teardown.wire_ends import ends_missing, label_like, wires_said, with_wires_said
from tests.builders import step, unit, wire


def bench() -> Unit:
    """A switch with one wire of which no end is written, then a cord with two wires that were only counted."""
    return unit(
        step("T01", "switch", connections=[wire("W4", "", "")]),
        step("T02", "cord", wires=2),
        step("T03", "back panel"),
    )


SAID = [
    # as said, step, the wire as it stands then
    ("W1 brown cord to switch 1", "T02", "wire W1 brown from cord to switch 1"),
    ("W1 brown: cord to switch 1", "T02", "wire W1 brown from cord to switch 1"),
    ("wire W1 blue from cord to switch 2", "T02", "wire W1 blue from cord to switch 2"),
    ("W1 cord to switch 1", "T02", "wire W1 from cord to switch 1"),
    ("w1 brown with white tracer cord to switch 1", "T02", "wire W1 brown with white tracer from cord to switch 1"),
    ("W4: chassis to earth tag", "T01", "wire W4 from chassis to earth tag"),
    ("W5 cord to switch 2 of T02", "T02", "wire W5 from cord to switch 2"),
    ("W1 one end at switch 1", "T02", "wire W1 one end at switch 1"),
]


@pytest.mark.parametrize(("line", "at", "wire_words"), SAID)
def test_a_label_that_is_said_is_the_wire_of_the_step_that_lacks_it(line: str, at: str, wire_words: str) -> None:
    (said,) = wires_said(as_typed(line), bench())
    assert (said.step, connection_words(said.wire)) == (at, wire_words)
    kept = with_wires_said(bench(), [said])
    assert said.wire in kept.step(at).connections
    assert len(kept.steps) == 3


@pytest.mark.parametrize(
    "line",
    ["", "cord, 2 wires", "W1", "W1 brown", "switch, W1 brown: cord to switch 1", "wire brush", "W1 cord to ?, note x",
     "left foot to the right", "?", "W1: to"],
)  # fmt: skip
def test_every_other_line_is_the_line_of_a_step(line: str) -> None:
    assert wires_said(as_typed(line), bench()) == ()


def test_two_wires_in_one_line_and_a_third_has_no_step_that_counted_it() -> None:
    line = "W1 brown cord to switch 1, W2 blue cord to switch 2"
    kept = with_wires_said(bench(), wires_said(line, bench()))
    assert [connection_words(wire) for wire in kept.step("T02").connections] == [
        "wire W1 brown from cord to switch 1",
        "wire W2 blue from cord to switch 2",
    ]
    assert ends_missing(kept) == ("T01: W4 goes from where to where?",)
    assert wires_said("W3 red cord to lamp", kept) == ()


def test_what_is_missing_is_said_and_how_to_say_it() -> None:
    assert ends_missing(bench()) == (
        "T02: 2 wires counted, 0 connections written.",
        "T01: W4 goes from where to where?",
    )
    assert label_like(bench()) == "W4 brown cord to switch 1"
    assert ends_missing(unit(step("T01", "lid"))) == ()


def test_what_a_label_does_not_say_of_a_known_wire_stays() -> None:
    of = unit(step("T01", "switch", connections=[wire("W4", "tag 3", "", route="under the bracket")]))
    (said,) = wires_said("W4 to transformer", of)
    assert (said.wire.start, said.wire.end, said.wire.route) == ("tag 3", "transformer", "under the bracket")
