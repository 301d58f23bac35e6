"""The table radio's case on the scrap pile: every figure as it was worked by hand."""

from __future__ import annotations

from functools import cache

import pytest

from logbook.layout.checker import problems_of
from logbook.layout.cut_records import Layout
from logbook.layout.layout_search import search
from logbook.layout.misses import refusal_of
from logbook.model.words import Grain
from tests.layout.builders import lies, mm, part, piece, rules, ticks

NINE = {"material": "9 ply", "thickness": ticks("8.8")}
PARTS = (
    part("P1", "484.0", "235.4"),
    part("P2", "306.8", "235.4"),
    part("P3", "306.8", "235.4"),
    part("P4", "465.0", "229.4"),
    part("P5", "457.0", "281.0", **NINE),
)
PILE = (
    piece("O01", 980, 260),
    piece("O02", 660, 300),
    piece("O03", 500, 320, material="9 ply", thick="8.8"),
    piece("O04", 600, 400, material="12 MDF", thick="12.0", grain=Grain.FREE),
    piece("O05", 800, 220, material="18 ply", thick="17.6"),
    piece("O06", 520, 250, thick="12.2"),
    piece("O07", 610, 305, material="6 ply", thick="5.5"),
    piece("O08", 480, 300, material="3 hardboard", thick="3.1", grain=Grain.FREE),
    piece("O13", 860, 140, material="18 pine board", thick="18.0", reserved_for="C1"),
    piece("O14", 600, 280, material="16 faced chipboard", thick="15.8", grain=Grain.FREE),
    piece("O15", 240, 180),
)
RULES = rules(for_unit="R1", rounds=2000)


@cache
def laid_out() -> Layout:
    return search(PARTS, PILE, RULES)


def test_every_part_has_its_place_on_three_pieces_and_the_layout_passes_its_check() -> None:
    layout = laid_out()
    assert problems_of(layout, PARTS, PILE, RULES) == ()
    assert layout.complete
    assert layout.purchases == ()
    assert {p.part: p.piece for p in layout.placements} == {
        "P1": "O01", "P4": "O01", "P2": "O02", "P3": "O02", "P5": "O03",
    }  # fmt: skip


def test_it_cannot_be_done_with_less_and_says_so() -> None:
    assert laid_out().proven
    assert laid_out().fewest_pieces
    assert laid_out().bound_area == laid_out().used_area


@pytest.mark.parametrize(("code", "percent"), [("O01", 86.6), ("O02", 73.0), ("O03", 80.3)])
def test_parts_over_usable_area(code: str, percent: float) -> None:
    usable = next(p.length * p.width for p in PILE if p.code == code)
    parts = sum(p.length * p.width for p in laid_out().placements if p.piece == code)
    assert round(100 * parts / usable, 1) == percent


def test_the_running_total_ends_at_960_of_980() -> None:
    crosscuts = [c for c in laid_out().cuts if c.piece == "O01" and c.axis == "x"]
    assert [(mm(c.used), mm(c.of)) for c in crosscuts] == [(5, 980), (492, 980), (960, 980)]
    rips = [c for c in laid_out().cuts if c.piece == "O01" and c.axis == "y" and not c.trim]
    assert max(mm(c.used) for c in rips) == 243.4


def test_one_leftover_is_worth_keeping_and_it_is_the_strip_of_o02() -> None:
    kept = [x for x in laid_out().leftovers if x.keep]
    assert [(x.piece, mm(x.length), mm(x.width)) for x in kept] == [("O02", 655, 56.6)]
    binned = {(x.piece, mm(x.width)) for x in laid_out().leftovers if not x.keep}
    assert {("O01", 16.6), ("O03", 31)} <= binned


def test_cuts_are_grouped_by_the_nine_fence_settings_of_the_example() -> None:
    settings = {(c.axis, mm(c.fence), c.trim) for c in laid_out().cuts}
    assert settings == {
        ("y", 5, True), ("y", 235.4, False), ("y", 281, False), ("x", 5, True), ("x", 484, False), ("x", 465, False),
        ("x", 306.8, False), ("x", 457, False), ("y", 229.4, False),
    }  # fmt: skip
    assert laid_out().settings == 9
    first = [c for c in laid_out().cuts if c.setting == 1]
    assert {c.piece for c in first} == {"O01", "O02", "O03"}
    assert all(c.trim for c in first)


@pytest.mark.parametrize(
    ("code", "on", "kind", "words"),
    [
        ("P4", "O06", "thickness", "12.2 mm"),
        ("P4", "O04", "material", "12 MDF"),
        ("P4", "O15", "size", "230 mm short and 54.4 mm too narrow"),
    ],
)
def test_pieces_that_are_refused_and_why(code: str, on: str, kind: str, words: str) -> None:
    refusal = refusal_of(next(p for p in PARTS if p.code == code), next(p for p in PILE if p.code == on), RULES)
    assert refusal is not None
    assert refusal.kind == kind
    assert words in refusal.sentence


def test_a_piece_promised_to_the_chest_is_for_the_chest_alone() -> None:
    runner = part("D1", 400, 60, material="18 pine board", thickness=ticks(18))
    board = next(p for p in PILE if p.code == "O13")
    refusal = refusal_of(runner, board, RULES)
    assert refusal is not None
    assert (refusal.kind, refusal.sentence) == ("reserved", "O13 is reserved for C1")
    assert refusal_of(runner, board, rules(for_unit="C1")) is None
    layout = search([runner], PILE, RULES)
    assert not layout.complete
    assert "reserved for C1" in layout.unplaced[0].why


def test_p4_fits_on_o06_in_size_once_its_thickness_is_allowed() -> None:
    wider = rules(for_unit="R1", thickness_tolerance=ticks("0.4"))
    assert refusal_of(PARTS[3], next(p for p in PILE if p.code == "O06"), wider) is None


def test_leaves_that_wrap_around_the_case_come_from_one_leaf_in_sequence() -> None:
    leaf = {"material": "dark veneer", "thickness": ticks("0.6")}
    knife = {"material": "dark veneer", "thick": "0.6", "kerf": 0, "trim_x": 0, "trim_y": 0}
    parts = [
        part("P2v", "318.8", "247.4", together="wrap", **leaf),
        part("P1v", "496.0", "247.4", together="wrap", **leaf),
        part("P3v", "318.8", "247.4", together="wrap", **leaf),
        part("P5v", "469.0", "293.0", **leaf),
    ]
    pile = [piece("O09", 1260, 255, **knife), piece("O10", 560, 305, **knife)]
    layout = search(parts, pile, RULES)
    assert problems_of(layout, parts, pile, RULES) == ()
    assert [mm(lies(layout, c)[0].x) for c in ("P2v", "P1v", "P3v")] == [0, 318.8, 814.8]
    assert {lies(layout, c)[0].piece for c in ("P2v", "P1v", "P3v")} == {"O09"}
    end = lies(layout, "P3v")[0]
    assert mm(end.x + end.length) == 1133.6


def test_the_strip_leaves_781() -> None:
    strip = {"material": "softwood strip", "thickness": ticks(12)}
    parts = [
        part("S1", 276, 12, quantity=2, **strip), part("S2", 428, 12, **strip),
        part("K1", 40, 12, quantity=6, **strip), part("K2", 90, 12, quantity=4, **strip),
    ]  # fmt: skip
    pile = [piece("O12", 2400, 12, material="softwood strip", thick="12", trim_x=0, trim_y=0, keep_width=0)]
    layout = search(parts, pile, RULES)
    assert problems_of(layout, parts, pile, RULES) == ()
    assert [(mm(x.length), x.keep) for x in layout.leftovers] == [(781, True)]
    assert len(layout.cuts) == 13
    short = {c.keep for c in layout.cuts if c.warning}
    assert short == {"K1", "K2"}
    assert all("bench hook" in c.warning for c in layout.cuts if c.warning)
