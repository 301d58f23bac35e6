"""`logbook layout --parts --offcuts`: a layout without a book."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Ask
from tests.terminal import Terminal

PARTS = """code,quantity,length_mm,width_mm,material,thickness_mm,grain
P1,1,484.0,235.4,12 ply,11.8,length
P4,1,465.0,229.4,12 ply,11.8,length
"""
OFFCUTS = """code,material,thickness_mm,length_mm,width_mm,grain,value,defects
O01,12 ply,11.8,1020,260,length,4.00,980:0:40:260
O06,12 ply,12.2,520,250,length,1.00,
"""


@pytest.fixture
def tables(tmp_path: Path) -> tuple[Path, Path]:
    parts, offcuts = tmp_path / "parts.csv", tmp_path / "offcuts.csv"
    parts.write_text(PARTS, encoding="utf-8")
    offcuts.write_text(OFFCUTS, encoding="utf-8")
    return parts, offcuts


def test_text_says_where_everything_lies_and_how_it_is_cut(ask: Ask, tables: tuple[Path, Path]) -> None:
    said = ask("layout", "--parts", tables[0], "--offcuts", tables[1])
    assert (said.code, said.err) == (0, "")
    assert "all 2 parts placed" in said.out
    assert "P4  465 x 229.4  at 492, 5" in said.out
    assert "used 960 of 1020" in said.out
    assert max(map(len, said.out.splitlines())) <= 80


def test_options_change_the_cutting(ask: Ask, tables: tuple[Path, Path]) -> None:
    said = ask("layout", "--parts", tables[0], "--offcuts", tables[1], "--kerf", "2", "--trim", "0", "--json")
    assert {p["part"]: (p["x"], p["y"]) for p in said.json["placements"]} == {"P1": (0, 0), "P4": (486, 0)}
    thick = ask(
        "layout", "--parts", tables[0], "--offcuts", tables[1], "--thickness-tolerance", "0.5", "--seed", "3",
        "--seconds", "0.3", "--json",
    )  # fmt: skip
    assert thick.json["used"] == ["O01"]


def test_what_finds_no_place_is_said_and_gives_1(ask: Ask, tables: tuple[Path, Path]) -> None:
    said = ask("layout", "--parts", tables[0], "--offcuts", tables[1], "--kerf", "60")
    assert said.code == 1
    assert "No room for" in said.out
    assert "To buy for" in said.out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--parts", "PARTS"], "both tables"),
        (["--parts", "nowhere.csv", "--offcuts", "OFFCUTS"], "nowhere.csv cannot be read"),
        (["--parts", "OFFCUTS", "--offcuts", "OFFCUTS"], "has no column quantity"),
        (["--parts", "PARTS", "--offcuts", "OFFCUTS", "--kerf", "wide"], "--kerf"),
        (["--parts", "PARTS", "--offcuts", "OFFCUTS", "--trim", "-1"], "--trim"),
        (["--parts", "PARTS", "--offcuts", "OFFCUTS", "--seconds", "nan"], "--seconds"),
        (["--parts", "PARTS", "--offcuts", "OFFCUTS", "--seed", "x"], "seed"),
    ],
)
def test_bad_use_is_one_sentence_and_2(ask: Ask, tables: tuple[Path, Path], words: list[str], sentence: str) -> None:
    names = {"PARTS": str(tables[0]), "OFFCUTS": str(tables[1])}
    said = ask("layout", *(names.get(w, w) for w in words))
    assert said.code == 2
    assert said.out == ""
    assert sentence in said.err


def test_bytes_that_are_no_text_are_refused(ask: Ask, tables: tuple[Path, Path]) -> None:
    tables[0].write_bytes(b"\xff\xfe\x00")
    said = ask("layout", "--parts", tables[0], "--offcuts", tables[1])
    assert said.code == 2
    assert "not text in UTF-8" in said.err


def test_typed_text_cannot_reach_the_terminal_as_control(ask: Ask, tables: tuple[Path, Path]) -> None:
    tables[0].write_text(PARTS.replace("P1", "P\x1b[31m1"), encoding="utf-8")
    said = ask("layout", "--parts", tables[0], "--offcuts", tables[1])
    assert said.code == 0
    assert "\x1b" not in said.out


def test_ctrl_c_ends_a_long_search_with_the_best_so_far(tmp_path: Path) -> None:
    parts, offcuts = tmp_path / "parts.csv", tmp_path / "offcuts.csv"
    rows = [f"P{n},1,{150 + 37 * n % 200},{60 + 23 * n % 90},ply,12,length" for n in range(30)]
    parts.write_text("\n".join([PARTS.splitlines()[0], *rows]), encoding="utf-8")
    pile = [f"O{n},ply,12,{500 + 61 * n % 400},{200 + 31 * n % 150},length,{3 + n % 4}," for n in range(14)]
    offcuts.write_text("\n".join([OFFCUTS.splitlines()[0], *pile]), encoding="utf-8")
    words = ["layout", "--parts", str(parts), "--offcuts", str(offcuts), "--seconds", "60"]
    with Terminal([sys.executable, "-m", "logbook", *words], rows=300) as terminal:
        terminal.wait_for("so far")
        terminal.press("ctrl+c")
        assert terminal.wait_for_end() == 0
        assert "all 30 parts placed" in terminal.text()
        assert "so far" not in terminal.text()


def test_the_list_says_which_leftovers_the_rule_bins(ask: Ask, tmp_path: Path) -> None:
    parts, offcuts = tmp_path / "parts.csv", tmp_path / "offcuts.csv"
    head = "code,quantity,length_mm,width_mm,material,thickness_mm,grain\n"
    parts.write_text(f"{head}A,1,300,150,12 ply,11.8,length\n", encoding="utf-8")
    head = "code,material,thickness_mm,length_mm,width_mm,grain,value\n"
    offcuts.write_text(f"{head}O1,12 ply,11.8,420,170,length,\n", encoding="utf-8")
    said = ask("layout", "--parts", parts, "--offcuts", offcuts, "--seconds", "1")
    # 420 - 5 - 300 - 3 = 112 long; 170 - 5 = 165 wide
    assert "bin   too small for the pile: 112 x 165 (the pile takes 50 x 300 and up)" in said.out
