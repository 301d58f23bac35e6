"""Spoken lines, as a phone's dictation writes them: each says the same step as the line that a hand types."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.unit import Unit
from logbook.teardown.bench_line import read_line
from logbook.teardown.spoken import MOST_CHARACTERS, as_typed
from logbook.teardown.step_keeping import line_of
from tests.builders import hazard, step, unit
from tests.example_records import UNITS
from tests.teardown.test_said_as_it_is import LINES

STARTED = unit(*(step(f"T{n:02d}", f"thing {n}") for n in range(1, 13)), hazards=[hazard("mains voltage")])
"""A unit with twelve steps and one electrical danger."""

SPOKEN = [
    # whole sentences, with the commas that are said or that dictation sets
    ("Back panel, unscrewed, four screws three point five by sixteen, bag one",
     "back panel, unscrewed, 4 screws 3.5x16, bag 1"),
    ("Back panel. Unscrewed. Four screws three point five by sixteen. Bag one. Left hand thread.",
     "back panel, unscrewed, 4 screws 3.5x16, bag 1, left-hand thread"),
    ("Back panel comma unscrewed comma four screws 3.5 by 16 comma bag one",
     "back panel, unscrewed, 4 screws 3.5x16, bag 1"),
    ("back panel period unscrewed period 4 screws 3.5 x 16 full stop bag 1",
     "back panel, unscrewed, 4 screws 3.5x16, bag 1"),
    ("Chassis new line unscrewed new line four bolts M 5 by 35", "chassis, unscrewed, 4 bolts M5x35"),
    ("Lid, lifted!", "lid, lifted"),
    # not a comma in it
    ("Back panel unscrewed four screws 3.5 x 16 bag one", "back panel, unscrewed, 4 screws 3.5x16, bag 1"),
    ("Back panel unscrewed four screws three point five by sixteen bag one photo",
     "back panel, unscrewed, 4 screws 3.5x16, bag 1, photo"),
    ("Chassis bolts unscrewed four bolts M five by thirty five four washers bag four",
     "chassis bolts, unscrewed, 4 bolts M5x35, 4 washers, bag 4"),
    ("front grille prised six clips box two", "front grille, prised, 6 clips, box 2"),
    ("fan wheel slid off left hand thread", "fan wheel, slid off, left-hand thread"),
    ("mains cord unsoldered hazard mains voltage", "mains cord, unsoldered, hazard mains voltage"),
    ("loudspeaker unscrewed four nuts M4 after step ten", "loudspeaker, unscrewed, 4 nuts M4, after T10"),
    ("felt ring split one way", "felt ring, split, one-way"),
    # number words
    ("lid, two screws", "lid, 2 screws"),
    ("lid, twelve screws", "lid, 12 screws"),
    ("lid, twenty screws", "lid, 20 screws"),
    ("lid, twenty four screws", "lid, 24 screws"),
    ("lid, twenty-four screws", "lid, 24 screws"),
    ("lid, a hundred and twenty nails", "lid, 120 nails"),
    ("lid, one hundred nails", "lid, 100 nails"),
    ("lid, two hundred and six tacks", "lid, 206 tacks"),
    ("lid, one screw", "lid, 1 screw"),
    ("lid, sixteen wood screws, bag twelve", "lid, 16 wood screws, bag 12"),
    # numbers that dictation writes by their sound
    ("lid, for screws, bag to", "lid, 4 screws, bag 2"),
    ("lid, to nuts, bag won", "lid, 2 nuts, bag 1"),
    ("lid, too bolts, bag for", "lid, 2 bolts, bag 4"),
    ("lid, 4 screws, back three", "lid, 4 screws, bag 3"),
    # sizes
    ("lid, four screws three by sixteen", "lid, 4 screws 3x16"),
    ("lid, 4 screws 3 by 16", "lid, 4 screws 3x16"),
    ("lid, 4 screws 3.5 × 16", "lid, 4 screws 3.5x16"),
    ("lid, four screws 3 point 5 by 16 millimetres", "lid, 4 screws 3.5x16 mm"),
    ("lid, four screws three and a half by twenty", "lid, 4 screws 3.5x20"),
    ("lid, four screws two point two five by ten", "lid, 4 screws 2.25x10"),
    ("lid, six bolts M four by ten", "lid, 6 bolts M4x10"),
    ("lid, six bolts m 4 x 10", "lid, 6 bolts M4x10"),
    ("lid, six bolts em4 by 10", "lid, 6 bolts em4x10"),
    ("lid, two nuts M three", "lid, 2 nuts M3"),
    ("lid, four tubes six millimetres long", "lid, 4 tubes 6 mm long"),
    ("packing, one shim card zero point eight", "packing, 1 shim card 0.8"),
    ("packing, one shim card point eight", "packing, 1 shim card 0.8"),
    # found fewer than there are places
    ("lid, five of six screws three by sixteen", "lid, 6/5 screws 3x16"),
    ("lid, five out of six screws", "lid, 6/5 screws"),
    ("lid, six holes, five screws three by sixteen, bag one", "lid, 6/5 screws 3x16, bag 1"),
    ("lid, six holes but only five screws", "lid, 6/5 screws"),
    ("lid, six slash five screws", "lid, 6/5 screws"),
    ("lid, six screws, one missing", "lid, 6 screws, 1 missing"),
    ("lid, six screws, two lost", "lid, 6 screws, 2 lost"),
    # what becomes of them, where they lie
    ("lid, eight bushes, to be renewed, bag four", "lid, 8 bushes, renew, bag 4"),
    ("lid, eight bushes renew, in bag four", "lid, 8 bushes renew, bag 4"),
    ("lid, eight bushes, throw them away", "lid, 8 bushes, scrap"),
    ("lid, four screws, bag number three", "lid, 4 screws, bag 3"),
    ("lid, lifted, into box two", "lid, lifted, box 2"),
    ("lid, four screws bag two, bag three", "lid, 4 screws bag 2, bag 3"),
    # a comma here, none there
    ("holder unscrewed from the tube one nut M10, bag three", "holder unscrewed from the tube, 1 nut M10, bag 3"),
    ("base plate unscrewed four screws, bag one photo", "base plate, unscrewed, 4 screws, bag 1, photo"),
    ("holder, unscrewed, bag three hold polarity", "holder, unscrewed, bag 3, hold polarity"),
    ("holder, unscrewed, bag three left", "holder, unscrewed, bag 3 left"),
    # flags and dangers
    ("nut, unscrewed, left handed thread", "nut, unscrewed, left-hand thread"),
    ("nut, unscrewed, left-hand thread", "nut, unscrewed, left-hand thread"),
    ("nut, unscrewed, reverse thread", "nut, unscrewed, left-hand thread"),
    ("felt, split, one way glued, measured", "felt, split, one-way glued, measured"),
    ("lid, lifted, photo taken", "lid, lifted, photo"),
    ("lid, lifted, took a picture", "lid, lifted, photo"),
    ("lid, lifted, no fasteners", "lid, lifted, no fasteners"),
    ("cord, unsoldered, hazard mains voltage, dead zero point two volts, by AB",
     "cord, unsoldered, hazard mains voltage, dead 0.2 V, by AB"),
    ("cord, cut, danger live chassis", "cord, cut, danger live chassis"),
    ("spring, spring released, guess", "spring, spring released, guess"),
    ("bearing, prised, not sure", "bearing, prised, not sure"),
    # order, wires, values
    ("chassis, lifted out, after step ten", "chassis, lifted out, after T10"),
    ("chassis, lifted out, after tee ten and tee twelve", "chassis, lifted out, after T10 and T12"),
    ("chassis, lifted out, after T 5", "chassis, lifted out, after T05"),
    ("cord, unsoldered, two wires", "cord, unsoldered, 2 wires"),
    ("cord, unsoldered, wire six from switch to transformer", "cord, unsoldered, wire W6 from switch to transformer"),
    ("chassis, lifted out, five point eight kilograms", "chassis, lifted out, 5.8 kg"),
    ("chassis, lifted out, twenty minutes", "chassis, lifted out, 20 minutes"),
    ("chassis, lifted out, from below, same as last", "chassis, lifted out, from below, same as last"),
    # words that are no numbers there
    ("one-way valve, unscrewed", "one-way valve, unscrewed"),
    ("the one behind, unscrewed", "the one behind, unscrewed"),
    ("belt, unhooked, one end only", "belt, unhooked, one end only"),
    ("K1 relay, unplugged", "K1 relay, unplugged"),
    ("LED board, unplugged", "LED board, unplugged"),
    # what is not understood is still all there, as a note
    ("lid, lifted, smells of tar", "lid, lifted, smells of tar"),
    ("lid, lifted, note the two upper ones go to Anna", "lid, lifted, note the two upper ones go to Anna"),
    ('"Two by four" badge, prised', '"Two by four" badge, prised'),
]  # fmt: skip


def the_same(spoken: str, typed: str) -> None:
    assert read_line(as_typed(spoken), STARTED).step == read_line(typed, STARTED).step, as_typed(spoken)


@pytest.mark.parametrize(("spoken", "typed"), SPOKEN)
def test_spoken_it_is_the_step_that_the_typed_line_says(spoken: str, typed: str) -> None:
    the_same(spoken, typed)
    assert read_line(as_typed(spoken), STARTED).after == read_line(typed, STARTED).after


def test_the_table_is_as_long_as_it_should_be() -> None:
    assert len({spoken for spoken, _ in SPOKEN}) >= 60


def test_few_of_them_leave_anything_that_is_not_understood() -> None:
    """Only the rows that say so on purpose: a smell, and a size by its sound (“em”)."""
    left = [spoken for spoken, _ in SPOKEN if read_line(as_typed(spoken), STARTED).unknown]
    assert left == ["belt, unhooked, one end only", "lid, lifted, smells of tar"]


@pytest.mark.parametrize("line", [line for line, _, _ in LINES])
def test_a_typed_line_comes_back_unchanged_in_what_it_says(line: str) -> None:
    assert read_line(as_typed(line), STARTED).step == read_line(line, STARTED).step


@pytest.mark.parametrize(("of", "code"), [(of, s.code) for of, u in UNITS.items() for s in u.steps])
def test_the_line_of_every_step_of_the_example_is_left_as_it_is(of: str, code: str) -> None:
    unit_: Unit = UNITS[of]
    step_ = unit_.step(code)
    assert step_ is not None
    line = line_of(unit_, step_)
    assert read_line(as_typed(line), unit_, code=code).step == read_line(line, unit_, code=code).step


@given(st.text(alphabet="aeM 0123456789.,;!?\"'onetwofivepbybag\n\tÀ\u202e", max_size=60))
@settings(max_examples=300)
def test_any_text_comes_through(text: str) -> None:
    once = as_typed(text)
    assert read_line(once, STARTED)
    assert len(once) <= 2 * len(text) + 20


@pytest.mark.parametrize("spoken", [spoken for spoken, _ in SPOKEN])
def test_what_was_put_into_signs_once_stays_as_it_is(spoken: str) -> None:
    assert as_typed(as_typed(spoken)) == as_typed(spoken)


def test_what_was_never_spoken_is_left_as_it_is() -> None:
    long = "a, " * MOST_CHARACTERS
    assert as_typed(long) == long
    assert as_typed("") == ""
