"""A piece of the scrap pile from one line of plain words."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.layout.offcut_rules import kind_of, usable
from logbook.layout.pile_line import add_piece, piece_or_more, read_piece, reading_words
from logbook.model.measures import TICKS_PER_MM
from logbook.model.shop import Offcut
from logbook.model.words import Grain, PieceKind
from tests.builders import mm, offcut, shop
from tests.pile.conftest import TODAY


def test_the_usual_line_fills_every_field() -> None:
    line = "12 ply, 980 x 260, 11.8 11.9 11.8, grain width, value 4.50, shelf 2, true 1, for R1 top, from O02, damp"
    piece = read_piece(line, shop(offcuts=[offcut("O16")]), TODAY).piece
    assert piece is not None
    assert (piece.code, piece.material, piece.since) == ("O17", "12 ply", TODAY)
    assert [t.in_mm() for t in piece.thickness] == ["11.8", "11.9", "11.8"]
    assert (piece.length.in_mm(), piece.width.in_mm()) == ("980", "260")
    assert (piece.grain, str(piece.value), piece.place) == (Grain.WIDTH, "4.50", "shelf 2")
    assert (piece.true_edges, piece.reserved_for, piece.origin, piece.damp) == (1, "R1 top", "O02", True)
    assert piece.note == ""


@pytest.mark.parametrize(
    ("phrase", "field", "value"),
    [
        ("11,8", "thickness", (mm("11.8"),)),
        ("3/4 in", "thickness", (mm("3/4"),)),
        ("8.8/8.8/8.9", "thickness", (mm("8.8"), mm("8.8"), mm("8.9"))),
        ("usable 900 x 250", "usable_length", mm("900")),
        ("grain free", "grain", Grain.FREE),
        ("strip", "kind", PieceKind.STRIP),
        ("no true edge", "true_edges", 0),
        ("2 true edges", "true_edges", 2),
        ("since 2024-01-31", "since", TODAY.replace(2024, 1, 31)),
        ("sheet rack", "place", "sheet rack"),
        ("$4", "value", 4),
        ("for C1 runners", "reserved_for", "C1 runners"),
        ("something odd", "note", "something odd"),
        ("note 5 x 5, left", "note", "5 x 5, left"),
        ("2400", "note", "2400"),
    ],
)
def test_each_phrase_says_itself(phrase: str, field: str, value: object) -> None:
    piece = read_piece(f"12 ply, 980x260, {phrase}", shop(), TODAY).piece
    assert piece is not None
    got = getattr(piece, field)
    same = getattr(got, "ticks", got) == getattr(value, "ticks", value)
    if field == "thickness":
        same = [t.ticks for t in got] == [t.ticks for t in value]  # type: ignore[attr-defined]
    assert same, (field, got)


def test_a_bad_end_is_a_defect_and_what_is_left_is_usable() -> None:
    piece = read_piece("12 ply, 1020 x 260, 11.8, end 40 split, edge 10, knot 30 x 20 at 400 100", shop(), TODAY).piece
    assert piece is not None
    got = [(d.x.in_mm(), d.y.in_mm(), d.length.in_mm(), d.width.in_mm(), d.what) for d in piece.defects]
    assert got == [
        ("980", "0", "40", "260", "split"), ("0", "250", "1020", "10", ""), ("400", "100", "30", "20", "knot"),
    ]  # fmt: skip
    assert usable(piece) == (980 * TICKS_PER_MM, 250 * TICKS_PER_MM)


@pytest.mark.parametrize(
    ("line", "piece"),
    [
        ("6 mm plywood 620 x 310", ("O01", "plywood", ["6"], "620 x 310")),
        ("O17 6mm plywood 620x310", ("O17", "plywood", ["6"], "620 x 310")),
        ("plywood 6 mm 620 x 310", ("O01", "plywood", ["6"], "620 x 310")),
        ("620 x 310 plywood 6 mm", ("O01", "plywood", ["6"], "620 x 310")),
        ("6 mm, plywood, 620 x 310", ("O01", "plywood", ["6"], "620 x 310")),
        ("620 x 310, plywood, 6", ("O01", "plywood", ["6"], "620 x 310")),
        ("12 ply 980 x 260 11.8 11.9", ("O01", "12 ply", ["11.8", "11.9"], "980 x 260")),
        ("12 ply 11.8 980 x 260", ("O01", "12 ply", ["11.8"], "980 x 260")),
        ("12 mm board, 900 x 600, 11.8 12.0 11.9", ("O01", "board", ["11.8", "12", "11.9"], "900 x 600")),
        ("12 ply, 980 x 260", ("O01", "12 ply", [], "980 x 260")),
        ("pine 2x4, 2400 x 89", ("O01", "pine 2x4", [], "2400 x 89")),
    ],
)
def test_size_and_thickness_stand_before_or_behind_the_name(line: str, piece: tuple[object, ...]) -> None:
    read = read_piece(line, shop(), TODAY).piece
    assert read is not None
    size = f"{read.length.in_mm()} x {read.width.in_mm()}"
    assert (read.code, read.material, [t.in_mm() for t in read.thickness], size) == piece
    assert read.note == ""


@pytest.mark.parametrize(
    ("line", "missing"),
    [
        ("", ("what it is", "its size")),
        ("12 ply", ("its size",)),
        ("6 mm", ("what it is", "its size")),
        ("980 x 260, 6 mm", ("what it is",)),
        ("12 ply, 11.8 11.8 11.8", ("its size",)),
        ("12 ply, 980 x 0", ("a size that can be",)),
        ("12 ply, 30 x 260, end 40", ("a size that can be",)),
        ("12 ply, 980 x 260, usable 990 x 260", ("a size that can be",)),
    ],
)
def test_what_is_still_to_say(line: str, missing: tuple[str, ...]) -> None:
    reading = read_piece(line, shop(), TODAY)
    assert reading.piece is None
    assert reading.missing == missing
    assert missing[0] in reading_words(reading)


def test_doubts_are_said() -> None:
    reading = read_piece("O01 12 ply, 980 x 260, grain length, grain width", shop(offcuts=[offcut("O01")]), TODAY)
    said = " ".join(reading.problems)
    assert reading.piece is not None
    assert reading.piece.code == "O02"
    assert "There is a piece O01 already" in said
    assert "Grain already given" in said
    assert "Not measured" in said
    assert reading.piece.note == "grain width"


def test_a_number_is_not_given_twice() -> None:
    with pytest.raises(InputError, match="already a piece O01"):
        add_piece(shop(offcuts=[offcut("O01")]), offcut("O01"))


@pytest.mark.parametrize(
    ("material", "kind"),
    [("12 ply", "sheet"), ("birch plywood", "sheet"), ("dark veneer leaf", "veneer"), ("18 pine board", "solid"),
     ("softwood strip 12x12", "strip"), ("hardwood bar", "strip"), ("unheard-of stuff", "sheet")],
)  # fmt: skip
def test_the_kind_follows_from_the_words(material: str, kind: str) -> None:
    assert kind_of(offcut(material=material)) == kind
    assert kind_of(offcut(material=material, kind=PieceKind.SOLID)) is PieceKind.SOLID


def test_what_became_the_note_is_named_where_it_is_read() -> None:
    words = reading_words(read_piece("12 ply, 600 x 200, grain lenth, value x", shop(), TODAY))
    assert words.endswith("note: grain lenth; note: value x")


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=120))
def test_no_line_is_refused_with_a_fault_and_nothing_typed_is_lost(text: str) -> None:
    reading = read_piece(f"12 ply, 980 x 260, {text}", shop(), TODAY)
    assert reading.piece is not None or reading.problems
    if reading.piece is not None:
        kept = [p for p in reading.phrases if p.meaning.startswith(("not understood", "kept as a note"))]
        assert all(" ".join(p.text.split())[:1] in reading.piece.note or '"' in p.text for p in kept)


def test_a_copy_of_a_piece_says_only_what_differs() -> None:
    pile = shop()
    first = read_piece("12 ply, 980 x 260, 11.8 11.9, shelf 2, end 40 split", pile, TODAY).piece
    assert first is not None
    pile = add_piece(pile, first)
    same = piece_or_more("", pile, TODAY, like=first).record()
    assert same == first.model_copy(update={"code": "O02"})
    shorter = piece_or_more("18 ply, 600 x 260, 17.9", pile, TODAY, like=first).record()
    assert isinstance(shorter, Offcut)
    assert (shorter.material, shorter.length.in_mm(), shorter.place, shorter.defects) == (
        "18 ply",
        "600",
        "shelf 2",
        (),
    )
    thinner = piece_or_more("11.6", pile, TODAY, like=first).record()
    assert isinstance(thinner, Offcut)
    assert (thinner.material, [t.in_mm() for t in thinner.thickness]) == ("12 ply", ["11.6"])
