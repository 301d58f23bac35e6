"""The scrap pile and the layout of a unit as commands."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from logbook.session import Session
from tests.cli.conftest import NOW, Ask


@pytest.fixture
def place(ask: Ask, tmp_path: Path) -> Path:
    """A demo book."""
    assert ask("demo", "--book", tmp_path / "demo").code == 0
    return tmp_path / "demo"


def test_the_pile_as_text_json_and_table(ask: Ask, place: Path) -> None:
    text = ask("pile", "--book", place)
    assert text.code == 0
    assert "16 pieces, 2.88 m" in text.out
    assert "leaves 178 of 2400" in text.out
    assert ask("pile", "--book", place, "--order", "size").out.index("O11") < text.out.index("O11")
    data = ask("pile", "--book", place, "--json").json
    assert [p["code"] for p in data["pieces"]][:2] == ["O01", "O02"]
    rows = list(csv.DictReader(io.StringIO(ask("pile", "--book", place, "--csv").out)))
    assert rows[12]["reserved_for"] == "C1 runners"


def test_a_table_taken_in_is_kept_and_can_be_undone(ask: Ask, place: Path, tmp_path: Path) -> None:
    table = tmp_path / "more.csv"
    table.write_text(
        "code,material,length_mm,width_mm,thickness_mm\nO07,6 ply,620,310,5.5\n,9 ply,400,200,8.8\n", "utf-8"
    )
    done = ask("pile", "--book", place, "--import", table)
    assert (done.code, done.out) == (0, "Taken in: 1 new (O17) and 1 changed (O07); 17 pieces on the pile.\n")
    with Session.open(place, now=lambda: NOW) as session:
        assert len(session.shop.offcuts) == 17
        assert session.undo("") is not None
        assert len(session.shop.offcuts) == 16


def test_a_bad_table_changes_nothing(ask: Ask, place: Path, tmp_path: Path) -> None:
    before = ask("pile", "--book", place, "--csv").out
    table = tmp_path / "bad.csv"
    table.write_text("code,material,length_mm,width_mm\nO90,9 ply,400,200\nO91,9 ply,long,200\n", "utf-8")
    done = ask("pile", "--book", place, "--import", table)
    assert done.code == 2
    assert "Row 3: length_mm" in done.err
    assert ask("pile", "--book", place, "--csv").out == before
    table.write_bytes(b"\xff\xfe\x00")
    assert "not text in UTF-8" in ask("pile", "--book", place, "--import", table).err
    assert ask("pile", "--book", place, "--import", tmp_path / "none.csv").code == 2


def test_the_pile_goes_into_the_layout_of_tables(ask: Ask, place: Path, tmp_path: Path) -> None:
    pile, parts = tmp_path / "pile.csv", tmp_path / "parts.csv"
    pile.write_text(ask("pile", "--book", place, "--csv").out, "utf-8")
    parts.write_text(
        "code,quantity,length_mm,width_mm,material,thickness_mm,grain\nA,2,470,235,12 ply,11.8,length\n", "utf-8"
    )
    done = ask("layout", "--parts", parts, "--offcuts", pile, "--json")
    assert done.code == 0
    assert {p["offcut"] for p in done.json["placements"]} == {"O01"}


def test_the_layout_of_the_example(ask: Ask, place: Path) -> None:
    """Example 10.7."""
    text = ask("layout", "R1", "--book", place)
    assert text.code == 0
    for words in ("used 960 of 980   86.6 %", "73.0 %", "80.3 %", "O02b 655 x 56.6", "used 1619 of 2400"):
        assert words in text.out
    assert text.out.index("Local codes and licensed practice") < text.out.index("trim the long edge true")
    data = ask("layout", "r1", "--book", place, "--json").json
    assert [c["order"] for c in data["cuts"]] == list(range(1, len(data["cuts"]) + 1))
    assert data["unplaced"] == []
    assert data["used"][:3] == ["O01", "O02", "O03"]
    p1 = next(p for p in data["placements"] if p["part"] == "P1")
    assert p1 == {"part": "P1", "offcut": "O01", "x": 5, "y": 5, "length": 484, "width": 235.4, "turned": False}
    assert 0 < data["bound_area_mm2"] <= data["used_area_mm2"]
    assert data["part_area_mm2"] <= data["used_area_mm2"]


def test_what_finds_no_place_ends_with_1_and_bad_use_with_2(ask: Ask, place: Path) -> None:
    with Session.open(place, now=lambda: NOW) as session:
        session.apply_shop("gone", lambda s: s.model_copy(update={"offcuts": s.offcuts[1:]}))
    done = ask("layout", "R1", "--book", place)
    assert done.code == 1
    assert "NO ROOM" in done.out
    assert "To buy for" in done.out
    assert ask("layout", "R1", "--parts", "x.csv", "--book", place).code == 2
    assert ask("layout", "Q9", "--book", place).code == 2
    none = ask("layout", "G1", "--book", place)
    assert (none.code, "no parts to cut yet" in none.out) == (0, True)


def test_two_who_want_one_piece_end_with_1(ask: Ask, place: Path) -> None:
    with Session.open(place, now=lambda: NOW) as session:
        pile = tuple(o.model_copy(update={"reserved_for": "C1 shelf; R1 top"}) for o in session.shop.offcuts[:1])
        session.apply_shop("twice", lambda s: s.model_copy(update={"offcuts": pile}))
    done = ask("pile", "--book", place)
    assert done.code == 1
    assert "CONFLICT: O01 is wanted twice" in done.out
