"""Who wants which piece, over all units, and what is told when two want the same."""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.checks import check_book
from logbook.layout.asked import PartKind, pieces_of, rules_of
from logbook.layout.offcut_rules import (
    is_too_old,
    keep_rule,
    leftover_codes,
    months_old,
    next_piece_code,
    sound_rectangle,
)
from logbook.layout.pile_view import Look, in_order, passes, pile_sentence
from logbook.layout.reservations import claims_on, conflicts, shared_words
from logbook.model.casework_records import Case, Layer, Panel, Strip
from logbook.model.measures import TICKS_PER_MM as MM
from logbook.model.promises import Promise, promises_of, with_promise
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import PieceKind, Stage
from tests.builders import book, day, mm, offcut, shop, unit
from tests.pile.conftest import NOW, TODAY, laid


def wants(code: str, piece: str, **more: object) -> Unit:
    layer = Layer(material="12 ply", thickness=mm("11.8"), piece=piece)
    return unit(code=code, case=Case(panels=(Panel(code="P1", name="top", layers=(layer,)),)), **more)


def strips(code: str, length: str, quantity: int = 1) -> Unit:
    strip = Strip(code="S1", name="strip", quantity=quantity, length=mm(length), material="strip 12x12", piece="O12")
    return unit(code=code, case=Case(strips=(strip,)))


@pytest.mark.parametrize(
    ("text", "promises"),
    [
        ("", []),
        ("C1 runners", [("C1", "runners")]),
        ("R1", [("R1", "")]),
        ("R1 top; C1 runners", [("R1", "top"), ("C1", "runners")]),
        ("a jig for the bench", [("", "a jig for the bench")]),
        ("  ;  ; R1  top  plate ", [("R1", "top plate")]),
    ],
)
def test_promises_as_they_are_written(text: str, promises: list[tuple[str, str]]) -> None:
    assert [tuple(p) for p in promises_of(text)] == promises
    assert with_promise(text, Promise("G1", "rest")).endswith("G1 rest")


def test_a_piece_wanted_twice_is_told_everywhere() -> None:
    of_shop = shop(offcuts=[offcut("O01", reserved_for="C1 shelf"), offcut("O02")])
    units = [wants("R1", "O01"), unit(code="C1", name="chest")]
    (conflict,) = conflicts(of_shop, units)
    assert conflict.piece == "O01"
    assert "C1 shelf (reserved) and R1 P1 (named)" in conflict.sentence
    found = [p for p in check_book(book(*units, of_shop=of_shop), NOW) if p.check == 15]
    assert [(p.code, p.place, p.sentence) for p in found] == [("piece-wanted-twice", "O01", conflict.sentence)]
    look = Look(of_shop, claims_on(of_shop, units), TODAY)
    assert "WANTED TWICE: O01" in pile_sentence(look)
    assert [o.code for o in of_shop.offcuts if passes(o, "twice", look)] == ["O01"]


def test_one_owner_is_no_conflict_and_what_is_stopped_wants_nothing() -> None:
    of_shop = shop(offcuts=[offcut("O01", reserved_for="R1 top")])
    assert conflicts(of_shop, [wants("R1", "O01")]) == ()
    assert conflicts(of_shop, [wants("R1", "O01"), wants("C1", "O01", stage=Stage.STOPPED)]) == ()
    assert len(conflicts(of_shop, [wants("R1", "O01"), wants("C1", "O01")])) == 1


def test_a_strip_is_shared_while_it_is_long_enough() -> None:
    of_shop = shop(offcuts=[offcut("O12", "2400x12", "12", "strip 12x12")])
    fits = [strips("R1", "400", 4), strips("C1", "600")]
    assert conflicts(of_shop, fits) == ()
    shared = shared_words(of_shop.offcuts[0], claims_on(of_shop, fits)["O12"])
    assert shared == "R1 takes 1612, C1 takes 603, leaves 185 of 2400"
    (conflict,) = conflicts(of_shop, [strips("R1", "400", 4), strips("C1", "900")])
    assert conflict.sentence.endswith("it is 115 mm too short.")


def test_the_example_shares_its_strip(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    claims = claims_on(demo_shop, demo_units.values())
    o12 = next(o for o in demo_shop.offcuts if o.code == "O12")
    assert shared_words(o12, claims["O12"]) == "R1 takes 1619, C1 takes 603, leaves 178 of 2400"
    assert conflicts(demo_shop, demo_units.values()) == ()
    after = {**demo_units, "R1": laid(demo_shop, demo_units, PartKind.STRIPS)}
    assert shared_words(o12, claims_on(demo_shop, after.values())["O12"]) == shared_words(o12, claims["O12"])


def test_what_another_unit_laid_out_is_not_laid_out_again(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    units = {**demo_units, "R1": laid(demo_shop, demo_units)}
    units["R1"] = laid(demo_shop, units, PartKind.STRIPS)
    for_c1 = {p.code: p for p in pieces_of(demo_shop, rules_of(demo_shop, "C1"), units.values())}
    for_r1 = {p.code: p for p in pieces_of(demo_shop, rules_of(demo_shop, "R1"), units.values())}
    assert {c for c, p in for_c1.items() if p.reserved_for} == {"O01", "O02", "O03"}
    assert for_c1["O12"].length == 781 * MM
    assert {c: p.reserved_for for c, p in for_r1.items() if p.reserved_for not in ("", "R1")} == {"O13": "C1"}
    assert for_r1["O12"].length == 2400 * MM


def test_a_layout_that_does_not_hold_is_a_problem_of_the_book(demo_shop: Shop, demo_units: dict[str, Unit]) -> None:
    units = {**demo_units, "R1": laid(demo_shop, demo_units)}
    fine = check_book(book(*units.values(), of_shop=demo_shop), NOW)
    gone = demo_shop.model_copy(update={"offcuts": demo_shop.offcuts[1:]})
    found = check_book(book(*units.values(), of_shop=gone), NOW)
    assert not [p for p in fine if p.check in (14, 15, 16)]
    assert [(p.code, p.unit) for p in found if p.check == 14] == [("layout-does-not-hold", "R1")]


def test_age_and_number_of_the_pile() -> None:
    old = offcut("O01", since=day("2024-03-19"))
    edge = offcut("O02", since=day("2024-03-20"))
    of_shop = shop(offcuts=[old, edge, offcut("O03")], settings={"pile_most": 2})
    assert [is_too_old(o, of_shop, TODAY) for o in of_shop.offcuts] == [True, False, False]
    assert [months_old(o, TODAY) for o in of_shop.offcuts] == [24, 24, None]
    found = [p for p in check_book(book(of_shop=of_shop), NOW) if p.check == 16]
    assert [(p.code, p.place) for p in found] == [("piece-too-old", "O01"), ("pile-too-full", "pile")]


@pytest.mark.parametrize(
    ("piece", "length", "width", "kept"),
    [
        (offcut(), 300, 50, True), (offcut(), 299, 50, False), (offcut(), 50, 300, True), (offcut(), 1000, 49, False),
        (offcut(material="18 pine board"), 300, 40, True), (offcut(material="18 pine board"), 300, 39, False),
        (offcut(material="strip 12x12"), 300, 12, True), (offcut(material="strip 12x12"), 299, 12, False),
        (offcut(material="dark veneer leaf"), 200, 50, True), (offcut(material="dark veneer leaf"), 199, 50, False),
        (offcut(kind=PieceKind.VENEER), 200, 50, True),
    ],
)  # fmt: skip
def test_the_keep_rule_by_kind(piece: Offcut, length: int, width: int, kept: bool) -> None:
    """Practice 4.6: sheet 50 x 300, solid 40 x 300, strip 300, veneer 50 x 200 (common practice, no source)."""
    assert keep_rule(piece, Shop().settings).keeps(length * MM, width * MM) is kept


def test_numbers_for_pieces() -> None:
    assert next_piece_code(shop()) == "O01"
    assert next_piece_code(shop(offcuts=[offcut("O09"), offcut("O41b", origin="O41"), offcut("X99")])) == "O42"
    assert leftover_codes("O02", 2, {"O02b"}) == ("O02c", "O02d")
    assert leftover_codes("O02b", 1, {"O02b"}) == ("O02c",)
    assert len(set(leftover_codes("O02", 300, ()))) == 300


def test_the_largest_sound_rectangle() -> None:
    assert sound_rectangle(100, 50, []) == (100, 50)
    assert sound_rectangle(100, 50, [(60, 20, 10, 10)]) == (60, 50)
    assert sound_rectangle(100, 50, [(0, 0, 100, 50)]) == (0, 0)
    assert sound_rectangle(100, 50, [(0, 40, 100, 20)]) == (100, 40)


def test_the_pile_in_order_and_narrowed() -> None:
    pile = [
        offcut("O10", "100x100", value=Decimal(2), place="rack"),
        offcut("O2", "300x200", thickness="", since=day("2024-01-01")),
        offcut("O1", "200x200", material="oak board", value=Decimal(9), damp=True),
    ]
    of_shop = shop(offcuts=pile)
    orders = {by: [o.code for o in in_order(pile, by)] for by in ("number", "size", "value", "oldest", "place")}
    assert orders == {
        "number": ["O1", "O2", "O10"], "size": ["O2", "O1", "O10"], "value": ["O1", "O10", "O2"],
        "oldest": ["O2", "O1", "O10"], "place": ["O10", "O1", "O2"],
    }  # fmt: skip
    look = Look(of_shop, claims_on(of_shop, [wants("R1", "O10")]), TODAY)

    def narrowed(words: str) -> list[str]:
        return [o.code for o in pile if passes(o, words, look)]

    assert narrowed("") == ["O10", "O2", "O1"]
    assert narrowed("free") == ["O2", "O1"]
    assert narrowed("r1") == ["O10"]
    assert narrowed("unmeasured") == ["O2"]
    assert narrowed("old sheet") == ["O2"]
    assert narrowed("damp oak") == ["O1"]
    assert narrowed("190 x 250") == ["O2"]
    assert narrowed("nothing") == []
