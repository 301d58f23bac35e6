"""Laws that hold for every line and every step, whatever is typed."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from logbook.model.step import Fastener, Hazard, OneWay, Step
from logbook.model.unit import Unit
from logbook.model.words import Action, Certainty, JointFound, SignalWord, Then
from logbook.teardown.line import UNSAID, Reading, read_line
from logbook.teardown.write import write_line
from tests.builders import fastener, lump, part_set, step, unit
from tests.hostile import HOSTILE

TRAPS = (
    "bag 4", "4 bolt M5x35", "note x", "notes", "after T01", '"', '"quoted"', "\\", "\\n", "a, b", "a; b", " x ", "x  y",
    "line\nend", "3,5x16", "4,", ",4", "wrong", "hazard", "WARNING mains", "one-way glued", "guess", "u", "uns", "cut",
    "photo 3", "from below", "by AB", "5 min", "5.8 kg", "2 wires", "in S1", "each D", "planned", "renew", "4 washer renew",
    "bolt bag 5", "x4", "bolt x4", "1/2 nut", "5 of 6 screws", "4 x", "and 4 nuts", "bolt and 4 nuts", "same as T01", "-> scrap",
    "stays empty", "because", "measured", "of", "?", "because of x", "taken", "next", "#4", "no 4", "AB", "", "0", "é", "ß", "İ", "\u202egnp",
    "\ud800x", "\u2028", "\xa0", "bag", "in bag 3", "M4,4 nut",
    *HOSTILE.values(),
)  # fmt: skip
"""Texts that look like something else in a line."""

words = st.one_of(st.sampled_from(TRAPS), st.text(max_size=12), st.lists(st.sampled_from(TRAPS), max_size=3).map(" ".join))
names = words.filter(bool)
counts = st.integers(0, 1_000_000) | st.integers(0, 12)

fasteners = st.builds(
    Fastener, kind=names, holes=counts, found=counts, then=st.sampled_from(Then), bag=words, stays_empty=st.booleans()
)
hazards = st.builds(Hazard, signal=st.sampled_from(SignalWord), what=names)
one_ways = st.builds(
    OneWay,
    joint=st.none() | st.sampled_from(JointFound),
    measured=st.booleans(),
    traced=st.booleans(),
    photographed=st.booleans(),
    pattern_kept=st.booleans(),
    held_twice=st.booleans(),
    skipped_because=words,
)
sayable_steps = st.builds(
    Step,
    code=st.just("T09"),
    what=names,
    action=st.sampled_from(Action),
    fasteners=st.lists(fasteners, max_size=3).map(tuple),
    bag=words,
    box=words,
    hazards=st.lists(hazards, max_size=2).map(tuple),
    one_way=st.none() | one_ways,
    certainty=st.sampled_from(Certainty),
    certainty_note=words,
    left_hand=st.booleans(),
    as_found_wrong=st.booleans(),
    as_found=words,
    should_be=words,
    photo_taken=st.booleans(),
    wires=st.none() | counts,
    note=words,
    planned=st.booleans(),
    by=words,
    minutes=st.none() | st.integers(0, 10_000_000),
    viewed_from=words,
    each_of=st.sampled_from(["", "D", "of", "bag"]),
    inside=st.sampled_from(["", "S1", "of", "box", "4"]),
    weight_kg=st.none() | st.decimals(0, 99_999, places=4).map(lambda d: Decimal(d)),
)
"""Any step whose content a line can say."""

BENCH = unit(
    step("T01"),
    step("T02", fasteners=[fastener("hex bolt M5x35", 4), fastener("washer", 4)], bag="3"),
    sets=[part_set("D"), part_set("of"), part_set("bag")],
    sub_assemblies=[lump(c, "T01") for c in ("S1", "of", "box", "4")],
)


@settings(max_examples=300, deadline=None)
@given(said=sayable_steps, after=st.sampled_from([(), ("T01",), ("T01", "T02")]), better=st.sampled_from([(), ("T02",)]))
def test_a_step_printed_as_a_line_and_read_again_is_the_same_step(
    said: Step, after: tuple[str, ...], better: tuple[str, ...]
) -> None:
    line = write_line(said, after, better)
    reading = read_line(line, BENCH, code="T09")
    assert reading.step == said, line
    assert (reading.after, reading.better_after) == (after, better), line
    assert not re.search("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]", line)
