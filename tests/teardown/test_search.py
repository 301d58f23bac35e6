"""Finding things over the whole book."""

from __future__ import annotations

import time
import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.casework_records import HeldDimension
from logbook.model.unit import Arrival, Book
from logbook.teardown.book_search import Finder, Hit, find, fold
from tests.builders import (
    book,
    component,
    consumable,
    fastener,
    hazard,
    offcut,
    operation,
    part,
    part_set,
    setting,
    shop,
    step,
    unit,
    wire,
)
from tests.hostile import HOSTILE

RADIO = unit(
    step("T01", "back panel", fasteners=[fastener("rh wood screw 3.5x16", 6, 5)], bag="1", note="top left was empty"),
    step("T02", "Écusson du cadran", "prised", marks="punkt ø", hazards=[hazard("stored charge")]),
    step(
        "T03",
        "speaker leads",
        "unsoldered",
        connections=[wire("W2", "output transformer", "tag A, red dot", colour="brown")],
        settings=[setting("slug", "3 turns out")],
    ),
    components=[component("SP", "speaker", condition="cone sound", where_kept="box 2", from_step="T03")],
    parts=[part("N1", "mains cord", seller="a shop")],
    operations=[operation("B01", "lay out on offcuts")],
    held_dimensions=[HeldDimension(code="H-W", what="inside width", why="the chassis must fit")],
    arrival=Arrival(object_class="valve radio", as_found="cord perished"),
    notes="Bought for the escutcheon.",
)
CHEST = unit(
    step(
        "C01",
        "runners",
        each_of="D",
        fasteners=[fastener("wood screw 4x30", 4)],
        differences=[{"member": "D2", "bag": "2", "note": "shim 0.8 left rear"}],
    ),
    code="C1",
    name="drawer chest",
    sets=[part_set()],
)
BOOK = book(
    RADIO,
    CHEST,
    of_shop=shop(
        offcuts=[offcut("O13", "900x140", "18", "pine board", reserved_for="C1 runners")],
        shelf=[consumable("PVA glue", 300, unit="ml", place="top shelf")],
    ),
)


def found(words: str) -> list[tuple[str, str, str]]:
    return [(f.unit, f.kind, f.code) for f in find(BOOK, words)]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("back panel", [("R1", "step", "T01"), ("R1", "bag", "1")]),
        ("PANEL back", [("R1", "step", "T01"), ("R1", "bag", "1")]),
        ("ecusson", [("R1", "step", "T02")]),
        ("ÉCUSSON", [("R1", "step", "T02")]),
        ("punkt o", [("R1", "step", "T02")]),
        ("stored charge", [("R1", "step", "T02")]),
        ("slug turns", [("R1", "step", "T03")]),
        ("w2", [("R1", "connection", "W2")]),
        ("red dot brown", [("R1", "connection", "W2")]),
        ("bag 1", [("R1", "bag", "1"), ("C1", "bag", "2")]),
        ("bag 2", [("C1", "bag", "2")]),
        ("cone sound", [("R1", "component", "SP")]),
        ("cord", [("R1", "part", "N1"), ("R1", "note", "as found")]),
        ("offcuts", [("R1", "operation", "B01")]),
        ("chassis", [("R1", "held dimension", "H-W")]),
        ("escutcheon", [("R1", "note", "notes")]),
        ("perished", [("R1", "note", "as found")]),
        ("valve radio", [("R1", "unit", "R1")]),
        ("drawer chest", [("C1", "unit", "C1")]),
        ("shim 0.8", [("C1", "step", "C01")]),
        ("c1 screw", [("C1", "bag", "2"), ("C1", "step", "C01")]),
        ("O13", [("", "offcut", "O13")]),
        ("pine", [("", "offcut", "O13")]),
        ("pva", [("", "consumable", "PVA glue")]),
        ("top shelf", [("", "consumable", "PVA glue")]),
        ("panel zebra", []),
        ("", []),
        ("   ", []),
    ],
)
def test_every_word_must_stand_in_what_is_found(words: str, expected: list[tuple[str, str, str]]) -> None:
    assert found(words) == expected


def test_a_code_comes_before_a_name_and_a_name_before_what_is_written_about_it() -> None:
    assert found("speaker")[:2] == [("R1", "step", "T03"), ("R1", "component", "SP")]
    codes = book(
        unit(step("T01", "sp panel", note="x"), step("T02", "lid", note="sp"), step("T03", "asp"), code="U1"),
        unit(components=[component("SP", "speaker")], code="U2"),
    )
    assert [f.code for f in find(codes, "sp")] == ["SP", "T01", "T03", "T02"]


def test_what_is_found_says_where_it_is_and_what() -> None:
    assert find(BOOK, "cone sound") == (Hit("R1", "component", "SP", "speaker, undecided, box 2", "T03"),)
    assert find(BOOK, "bag 1")[0] == Hit("R1", "bag", "1", "bag 1: 5 rh wood screw 3.5x16", "T01")
    (wired,) = find(BOOK, "w2")
    assert wired.text == "output transformer to tag A, red dot, brown"
    (piece,) = find(BOOK, "o13")
    assert piece.text == "pine board 18, 900 x 140"


def test_no_more_is_given_than_asked_for_and_the_best_is() -> None:
    many = book(unit(*(step(f"T{i:02d}", f"screw {i}") for i in range(1, 60))))
    assert [f.code for f in find(many, "screw", limit=3)] == ["T01", "T02", "T03"]
    assert len(find(many, "screw")) == 59
    more = book(unit(*(step(f"T{i:03d}", f"screw {i}") for i in range(1, 300))))
    assert len(find(more, "screw")) == 200


def test_a_finder_sees_every_change_of_the_book() -> None:
    finder = Finder()
    assert finder.find(BOOK, "knob") == ()
    grown = RADIO.model_copy(update={"steps": (*RADIO.steps, step("T09", "knob"))})
    changed = BOOK.model_copy(update={"units": {**BOOK.units, "R1": grown}})
    assert [f.code for f in finder.find(changed, "knob")] == ["T09"]
    assert finder.find(changed.model_copy(update={"units": {"C1": CHEST}}), "knob") == ()
    for words in ("screw", "r1 panel", "bag"):
        assert finder.find(changed, words) == find(changed, words)


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_hostile_text_is_found_by_its_own_words_and_shown_on_one_line(text: str) -> None:
    odd = book(unit(step("T01", text)))
    hits = find(odd, text)
    if text.strip():
        assert "T01" in [f.code for f in hits]
        assert all(len(f.text.splitlines()) <= 1 and len(f.text) <= 200 for f in hits)


@settings(max_examples=200, deadline=None)
@given(text=st.text(max_size=30))
def test_folding_forgets_capitals_and_accents_and_nothing_else(text: str) -> None:
    folded = fold(text)
    assert fold(folded) == folded
    assert fold(text.upper().lower()) == fold(text.lower()) or not text.isascii()
    # Unicode Standard Annex 15: composed and decomposed spellings of a text are the same text.
    assert fold(unicodedata.normalize("NFC", text)) == fold(unicodedata.normalize("NFD", text))


@settings(max_examples=60, deadline=None)
@given(words=st.lists(st.sampled_from(["nut", "bolt", "lid", "Öl", "r1", "t01", "x"]), min_size=1, max_size=3))
def test_searching_is_what_looking_through_everything_gives(words: list[str]) -> None:
    steps = [step(f"T{i:02d}", what) for i, what in enumerate(["nut lid", "bolt", "Oel lid", "ÖL", "nut bolt x"], 1)]
    plain = {s.code for s in steps if all(fold(w) in fold(f"R1 {s.code} {s.what} {s.action}") for w in words)}
    assert {f.code for f in find(book(unit(*steps)), " ".join(words)) if f.kind == "step"} == plain


def many_steps(units: int) -> Book:
    steps = [
        step(
            f"T{i:03d}", f"part {i}", fasteners=[fastener(f"screw 3x{i}", 4)], bag=str(i), note="stiff, came off whole"
        )
        for i in range(1, 101)
    ]
    return book(*(unit(*steps, code=f"U{n}") for n in range(units)))


def busy(of: Book, finder: Finder | None = None) -> float:
    times = []
    for _ in range(3):
        start = time.process_time()
        (finder.find if finder else find)(of, "zebra")
        times.append(time.process_time() - start)
    return min(times)


def test_time_grows_with_the_book_and_a_finder_looks_again_in_a_fraction_of_it() -> None:
    small, large = busy(many_steps(10)), busy(large_book := many_steps(100))
    assert large < 25 * small, "ten times the steps; a hundred times would be quadratic"
    finder = Finder()
    finder.find(large_book, "zebra")
    assert busy(large_book, finder) < large / 3
