"""The pile as a table and back: exact, all rows or none, and no formula."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.layout.pile_table import COLUMNS, guarded, pile_table, taken_in, unguarded
from logbook.model.base import Frozen
from logbook.model.measures import Length
from logbook.model.shop import Defect, Offcut, Shop
from logbook.model.words import Grain, PieceKind
from tests.builders import mm, offcut, shop
from tests.pile.conftest import TODAY

HEAD = "code,material,thickness_mm,length_mm,width_mm,grain,value"
# Nothing that moves a terminal or ends a line by a sign of its own: the table writes those visibly, see the test above.
_KEPT_AS_WRITTEN = st.characters(exclude_categories=["Cs", "Cc", "Cf", "Zl", "Zp"])
_words = st.text(_KEPT_AS_WRITTEN | st.sampled_from("=+-@'\",;\n"), max_size=20)
_length = st.integers(1, 10**9).map(Length.from_ticks)


@st.composite
def pieces(draw: st.DrawFn) -> Offcut:
    length, width = draw(_length), draw(_length)
    defect = st.builds(
        Defect, x=_length, y=_length, length=_length, width=_length, what=st.sampled_from(["", "split", "end check"])
    )
    return Offcut(
        code=f"O{draw(st.integers(1, 10**6))}",
        material=draw(_words.filter(bool)),
        thickness=tuple(draw(st.lists(_length, max_size=3))),
        length=length,
        width=width,
        usable_length=draw(st.none() | st.just(length)),
        defects=tuple(draw(st.lists(defect, max_size=3))),
        grain=draw(st.sampled_from(Grain)),
        true_edges=draw(st.integers(0, 2)),
        kind=draw(st.none() | st.sampled_from(PieceKind)),
        damp=draw(st.booleans()),
        place=draw(_words),
        origin=draw(_words),
        reserved_for=draw(_words),
        value=draw(st.none() | st.decimals(0, 9999, places=2)),
        since=draw(st.none() | st.dates()),
        note=draw(_words),
    )


@pytest.mark.parametrize(
    "text",
    [
        "\x1b]52;c;aGk=\x07\x1b[2J",
        "shelf\r=1+1",
        "shelf\r\n=1+1",
        "a\x0bb\x0cc\x85d\u2028e",
        "\u202eevil",
        "\x9b31m",
        "\0",
    ],
)
def test_no_text_moves_a_terminal_or_begins_a_row_and_what_is_written_is_taken_in(text: str) -> None:
    table = pile_table([offcut("O01", note=text, place=text)])
    assert not any(ord(c) < 32 and c != "\n" for c in table)
    assert not any(c in table for c in "\x7f\x85\x9b\u2028\u202e")
    assert len(list(csv.reader(io.StringIO(table)))) == 2, "one row of names, one for the piece"
    again = taken_in(table, Shop(), TODAY)
    assert [piece.code for piece in again.pile] == ["O01"]
    assert pile_table(again.pile) == table


def bare(value: object) -> object:
    """Records as values, without how lengths were typed."""
    if isinstance(value, Length):
        return value.ticks
    if isinstance(value, Frozen):
        return {name: bare(getattr(value, name)) for name in type(value).model_fields}
    return [bare(v) for v in value] if isinstance(value, list | tuple) else value


@settings(max_examples=80, deadline=None)
@given(st.lists(pieces(), max_size=5, unique_by=lambda o: o.code))
def test_out_and_in_is_the_same_pile(pile: list[Offcut]) -> None:
    if pile:
        assert bare(taken_in(pile_table(pile), Shop(), TODAY).pile) == bare(pile)
    again = taken_in(pile_table(pile), Shop(offcuts=tuple(pile)), TODAY) if pile else None
    assert again is None or (again.added, again.changed) == ((), ())


@settings(max_examples=200, deadline=None)
@given(_words)
def test_no_cell_is_a_formula_and_none_changes(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@", "\t", "\r"))


def test_the_demo_pile_keeps_how_lengths_were_typed(demo_shop: Shop) -> None:
    new = taken_in(pile_table(demo_shop.offcuts), demo_shop, TODAY)
    assert new.pile == demo_shop.offcuts
    assert (new.added, new.changed) == ((), ())


def test_a_plain_reader_finds_the_columns(demo_shop: Shop) -> None:
    rows = list(csv.DictReader(io.StringIO(pile_table(demo_shop.offcuts))))
    assert tuple(rows[0]) == COLUMNS
    assert {k: rows[0][k] for k in ("code", "thickness_mm", "readings_mm", "defects", "defect_names")} == {
        "code": "O01", "thickness_mm": "11.8", "readings_mm": "11.8;11.8;11.8", "defects": "980:0:40:260",
        "defect_names": "end split",
    }  # fmt: skip
    assert len(rows) == 16


def test_new_numbers_are_added_and_known_ones_take_the_columns_that_are_there() -> None:
    old = shop(offcuts=[offcut("O01", place="rack", reserved_for="R1 top"), offcut("O07")])
    new = taken_in(f"{HEAD}\nO01,12 ply,11.9,900,260,length,3\n,9 ply,8.8,300,200,free,\n", old, TODAY)
    assert (new.added, new.changed) == (("O08",), ("O01",))
    first, seventh, eighth = new.pile
    assert (first.place, first.reserved_for, first.length.in_mm()) == ("rack", "R1 top", "900")
    assert [t.in_mm() for t in first.thickness] == ["11.9"]
    assert seventh == old.offcuts[1]
    assert (eighth.since, eighth.grain, eighth.value) == (TODAY, Grain.FREE, None)


BAD = [
    ("O01,12 ply,11.8,abc,260,length,", "Row 2: length_mm"),
    ("O01,12 ply,11.8,0,260,length,", "Row 2: length_mm: “0”"),
    ("O01,,11.8,980,260,length,", "Row 2: material"),
    ("O01,12 ply,11.8,980,260,sideways,", "Row 2: grain: “sideways”"),
    ("O01,12 ply,11.8,980,260,length,-3", "Row 2: value"),
    ("O01,12 ply,11.8,980,260,length,much", "Row 2: value"),
    ("O 1,12 ply,11.8,980,260,length,", "Row 2: code"),
    ("O01,12 ply,11.8,980,260,length,\nO01,12 ply,11.8,980,260,length,", "Row 3: the piece O01 stands"),
    ("O01,12 ply,11.8,980,260,length,,,extra", "Row 2 has 9 cells"),
]


@pytest.mark.parametrize(("row", "said"), BAD)
def test_a_bad_row_is_named_and_nothing_is_taken_in(row: str, said: str) -> None:
    good = "O90,12 ply,11.8,980,260,length,2"
    with pytest.raises(InputError) as refused:
        taken_in(f"{HEAD}\n{row}\n{good}\n", Shop(), TODAY)
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The table is empty"),
        ("code,material\nO01,ply", "The column length_mm is missing"),
        (f"{HEAD},colour\n", "There is no column “colour”"),
        (f"{HEAD},code\n", "The column code stands there twice"),
        ('code,"material\n', "no table of comma-separated values"),
    ],
)
def test_what_is_no_such_table(text: str, said: str) -> None:
    with pytest.raises(InputError, match=r"Known columns|Its first row|no table") as refused:
        taken_in(text, Shop(), TODAY)
    assert said in str(refused.value)


def test_defects_in_a_table_that_cannot_be() -> None:
    head = "material,length_mm,width_mm,defects,usable_length_mm,readings_mm"
    for row, said in (
        ("ply,9,9,1:2:3,,", "x:y:length:width"),
        ("ply,9,9,-1:2:3:4,,", "cannot be below 0"),
        ("ply,9,9,,10,", "larger than length_mm"),
        ("ply,9,9,,,1;2;3;4", "at most three"),
    ):
        with pytest.raises(InputError, match=said):
            taken_in(f"{head}\n{row}\n", Shop(), TODAY)


def test_a_single_thickness_that_is_the_middle_one_changes_no_reading() -> None:
    old = shop(
        offcuts=[offcut("O01", thickness="").model_copy(update={"thickness": (mm("11.7"), mm("11.8"), mm("12"))})]
    )
    same = taken_in("code,material,length_mm,width_mm,thickness_mm\nO01,12 ply,1020,260,11.8\n", old, TODAY)
    other = taken_in("code,material,length_mm,width_mm,thickness_mm\nO01,12 ply,1020,260,12\n", old, TODAY)
    assert same.changed == ()
    assert [t.in_mm() for t in other.pile[0].thickness] == ["12"]
