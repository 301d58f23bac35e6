"""Laws that hold for every line and every step, whatever is typed."""

from __future__ import annotations

import re
import time
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from logbook.model.step import Fastener, Hazard, OneWay, Proof, Step
from logbook.model.unit import Unit
from logbook.model.words import Action, Certainty, JointFound, SignalWord, Then
from logbook.teardown.bench_line import UNSAID, LineReading, read_line
from logbook.teardown.write import write_line
from tests.builders import fastener, lump, part_set, step, unit
from tests.hostile import HOSTILE

KEYWORDS = (
    "bag box in into inside new next wire wires weight minutes min took after better same each for hazard "
    "danger warning one-way one guess think not sure unsure wrong as as-found found should should-be be "
    "photo from seen viewed by initials left-hand to do same as better after seen from one way think so "
    "dead proved proven with V "
    "renew scrap reuse stays empty x of and + -> T01 T99 4 6/5 3x "
)
"""Every word that a phrase is recognised by."""

TRAPS = (
    "bag 4",
    "4 bolt M5x35",
    "note x",
    "notes",
    "after T01",
    '"',
    '"quoted"',
    "\\",
    "\\n",
    "a, b",
    "a; b",
    " x ",
    "x  y",
    "line\nend",
    "3,5x16",
    "4,",
    ",4",
    "wrong",
    "hazard",
    "WARNING mains",
    "dead 0.2 V",
    "left dead 0.2 V",
    '2 screw bag "new"',
    "right proved mains 0.2 V meter",
    "proved mains 0.2 V meter",
    "0.2 V",
    "mains",
    "stored charge",
    "one-way glued",
    "guess",
    "u",
    "uns",
    "cut",
    "photo 3",
    "from below",
    "by AB",
    "5 min",
    "5.8 kg",
    "2 wires",
    "in S1",
    "each D",
    "planned",
    "renew",
    "4 washer renew",
    "bolt bag 5",
    "x4",
    "bolt x4",
    "1/2 nut",
    "5 of 6 screws",
    "4 x",
    "and 4 nuts",
    "bolt and 4 nuts",
    "same as T01",
    "-> scrap",
    "stays empty",
    "because",
    "measured",
    "of",
    "?",
    "because of x",
    "taken",
    "next",
    "#4",
    "no 4",
    "AB",
    "",
    "0",
    "é",
    "ß",
    "İ",
    "\u202egnp",
    "\ud800x",
    "\u2028",
    "\xa0",
    "bag",
    "in bag 3",
    "M4,4 nut",
    "washers",
    "Hex bolts M5 x 35",
    *KEYWORDS.split(),
    *HOSTILE.values(),
)
"""Texts that look like something else in a line."""

words = st.one_of(
    st.sampled_from(TRAPS), st.text(max_size=12), st.lists(st.sampled_from(TRAPS), max_size=3).map(" ".join)
)
names = words.filter(bool)
counts = st.integers(0, 1_000_000) | st.integers(0, 12)

fasteners = st.builds(
    Fastener, kind=names, holes=counts, found=counts, then=st.sampled_from(Then), bag=words, stays_empty=st.booleans()
)
hazards = st.builds(Hazard, signal=st.sampled_from(SignalWord), what=names)
proofs = st.builds(Proof, danger=names, reading=names, instrument=words)
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
    proofs=st.lists(proofs, max_size=2).map(tuple),
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
    weight_kg=st.none() | st.decimals(0, 99_999, places=9),
)
"""Any step whose content a line can say."""

BENCH = unit(
    step("T01"),
    step("T02", fasteners=[fastener("hex bolt M5x35", 4), fastener("washer", 4)], bag="3"),
    sets=[part_set("D"), part_set("of"), part_set("bag")],
    sub_assemblies=[lump(c, "T01") for c in ("S1", "of", "box", "4")],
)


@settings(max_examples=300, deadline=None)
@given(
    said=sayable_steps, after=st.sampled_from([(), ("T01",), ("T01", "T02")]), better=st.sampled_from([(), ("T02",)])
)
def test_a_step_printed_as_a_line_and_read_again_is_the_same_step(
    said: Step, after: tuple[str, ...], better: tuple[str, ...]
) -> None:
    line = write_line(said, after, better, unit=BENCH)
    reading = read_line(line, BENCH, code="T09")
    assert reading.step == said, line
    assert (reading.after, reading.better_after) == (after, better), line
    assert not re.search("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]", line)


lines = st.one_of(
    st.text(max_size=60),
    st.lists(st.sampled_from(TRAPS) | st.text(max_size=6), min_size=1, max_size=8).flatmap(
        lambda parts: st.sampled_from([", ", ",", "; ", "\n", " ", ",, "]).map(lambda between: between.join(parts))
    ),
)
"""Anything that can be typed, and much that looks like a line."""


def bare(text: str) -> str:
    """The characters that may not be lost: all but blanks and quotes, surrogates as they are stored."""
    return re.sub(r'[\s"]', "", re.sub("[\ud800-\udfff]", "\ufffd", text))


@settings(max_examples=400, deadline=None)
@given(text=lines)
@example("\ud800, \udc00")
@example('a "b, c, "d" e')
@example("a,;\n;,")
def test_any_text_is_read_and_its_phrases_cover_it_in_order(text: str) -> None:
    reading = read_line(text, BENCH)
    place = 0
    for phrase in reading.phrases:
        assert not re.sub(r"[\s,;]", "", text[place : phrase.start]), "only separators and blanks lie between phrases"
        assert bare(phrase.text) == bare(text[phrase.start : phrase.end])
        assert phrase.start < phrase.end
        place = phrase.end
    assert not re.sub(r"[\s,;]", "", text[place:])


@settings(max_examples=400, deadline=None)
@given(text=lines.filter(lambda t: "\\" not in t))
def test_what_is_not_understood_is_in_the_note_and_the_first_phrase_is_what_came_off(text: str) -> None:
    reading = read_line(text, BENCH)
    note = bare(reading.step.note)
    for phrase in reading.phrases:
        if phrase.field == "note":
            kept = re.sub(r"(?i)^notes?(?=[\s,;:]|$)[\s,;:]*", "", phrase.text) if phrase.text in text else phrase.text
            assert bare(kept) in note or bare(phrase.text) in note
    said = bool(reading.phrases) and reading.phrases[0].field == "what"
    assert bare(reading.phrases[0].text) == bare(reading.step.what) if said else reading.step.what == UNSAID
    assert reading.complete == (reading.step.what != UNSAID)


@settings(max_examples=400, deadline=None)
@given(text=lines)
@example('",a')
def test_a_line_read_and_printed_is_printed_the_same_ever_after(text: str) -> None:
    reading = read_line(text, BENCH)
    made = () if reading.new_set is None else (reading.new_set,)  # it comes into the unit with the step
    of = BENCH.model_copy(update={"sets": (*BENCH.sets, *made)})
    first = printed(reading, of)
    assert printed(read_line(first, of), of) == first


def printed(reading: LineReading, of: Unit) -> str:
    return write_line(reading.step, reading.after, reading.better_after, unit=of)


@settings(max_examples=200, deadline=None)
@given(said=sayable_steps, text=lines)
def test_editing_a_line_leaves_alone_what_a_line_cannot_say(said: Step, text: str) -> None:
    before: dict[str, Any] = {
        "orientation": "On its back.",
        "marks": "one dot",
        "stack": ("head", "washer"),
        "held_by": "four bolts",
        "support": "keep level",
        "guess_settled": "it was the left",
    }
    base = said.model_copy(update=before)
    changed = read_line(text, BENCH, base=base).step
    assert {name: getattr(changed, name) for name in before} == before
    assert changed.code == base.code
    same = read_line(write_line(base, unit=BENCH), BENCH, base=base).step
    assert same == base


def busy(make: str, size: int) -> float:
    """Processor time of reading a line of so many characters, the best of three."""
    text = "x, " + make * (size // len(make)) + " z"
    times = []
    for _ in range(3):
        start = time.process_time()
        read_line(text, BENCH)
        times.append(time.process_time() - start)
    return min(times)


def test_time_grows_with_the_length_of_the_line_and_not_faster() -> None:
    for make in (
        "x",
        "a,",
        '"',
        '" ',
        '"a\\',
        "4 bolt and ",
        "after T01 ",
        "4,",
        "one-way glued ",
        "dead 1 ",
        "proved a 1 ",
        "proved a ",
        "\u202e ",
        "0",
        "note ",
    ):
        small, large = busy(make, 4_000), busy(make, 32_000)
        # Eight times the text; thirty-two would be quadratic. The floor keeps a very fast case from being noise.
        assert large < 20 * max(small, 0.0005), (make, small, large)
