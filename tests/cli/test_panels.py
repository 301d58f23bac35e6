"""`logbook panels`: text, JSON and CSV, and its exit code."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, datetime
from pathlib import Path

from logbook.casework import worked_case
from logbook.model.shop import Shop
from logbook.model.words import HeldKind
from logbook.render.case_document import panels_csv, panels_data, panels_text
from tests.builders import unit
from tests.casework.building import box, held, inside
from tests.cli.conftest import Ask, BookOf
from tests.example_records import R1, SHOP

NOW = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)


def test_text() -> None:
    for columns in (40, 80, 120):
        text = panels_text(R1, SHOP, worked_case(R1, SHOP.settings), NOW, width=columns)
        assert all(len(line) <= columns for line in text.splitlines())
        assert "All 6 held dimensions hold." in " ".join(text.split())
    text = " ".join(panels_text(R1, SHOP, worked_case(R1, SHOP.settings), NOW).split())
    for words in (
        "P1 top 1 478 x 230 13 478 x 229.4 484 x 235.4 length",
        "H-V clear above the highest valve (234) at least 30 42 +12 holds",
        "1580 + 13 cuts x 3 = 1619 of 2400 (O12), leaves 781.",
        "To be finished: 0.3723 m2, less openings 0.0340 = 0.3384 m2.",
        "P3 1 x side R write “R1 P3 side R” on it",
        "right hand, mirror of P2",
    ):
        assert words in text


def test_the_command_and_its_exit_code(ask: Ask, demo: Path) -> None:
    done = ask("--book", demo, "panels", "R1")
    assert (done.code, "All 6 held dimensions hold." in done.out) == (0, True)
    assert ask("--book", demo, "panels", "R1", "--json").json["answer"].startswith("All 6")
    assert ask("--book", demo, "panels", "R1", "--csv").out.startswith("code,name,quantity")
    assert "No case to be built yet" in ask("--book", demo, "panels", "G1").out


def test_a_lost_size_is_exit_code_1(ask: Ask, book_of: BookOf) -> None:
    lost = box(dimensions=[*inside(), held("H-O", "outside width", "420", kind=HeldKind.OUTSIDE)])
    done = ask("--book", book_of(lost), "panels", "R1")
    assert (done.code, "NOT HELD: H-O" in done.out) == (1, True)


def test_json() -> None:
    data = json.loads(json.dumps(panels_data(R1, SHOP, worked_case(R1, SHOP.settings))))
    assert data["outside"] == ["478", "300.8", "230"]
    assert {p["code"]: p["rough"] for p in data["panels"]}["P5"] == ["457", "281"]
    assert data["parts"][0] == {
        "code": "P1", "panel": "P1", "quantity": 1, "length_mm": "484", "width_mm": "235.4", "material": "12 ply",
        "thickness_mm": "11.8", "grain": "length", "together": "",
    }  # fmt: skip
    assert {c["state"] for c in data["consequences"]} == {"ok", "just"}


def test_csv_is_safe_and_complete() -> None:
    table = list(csv.DictReader(io.StringIO(panels_csv(R1, SHOP, worked_case(R1, SHOP.settings)))))
    assert [r["code"] for r in table] == ["P1", "P2", "P3", "P4", "P5", "S1", "S2", "K1", "K2"]
    assert (table[0]["rough_length_mm"], table[0]["may_come_from"]) == ("484", "O01; O02")
    made = box()
    assert made.case is not None
    formula = tuple(p.model_copy(update={"name": "=1+1"}) for p in made.case.panels)
    made = made.model_copy(update={"case": made.case.model_copy(update={"panels": formula})})
    assert next(csv.DictReader(io.StringIO(panels_csv(made, Shop(), worked_case(made)))))["name"] == "'=1+1"


def test_without_a_case_and_with_sizes_missing() -> None:
    bare = unit()
    assert "No case to be built yet." in panels_text(bare, Shop(), None, NOW)
    assert panels_data(bare, Shop(), None)["panels"] == []
    assert len(panels_csv(bare, Shop(), None).splitlines()) == 1
    half = box(dimensions=[held("H-W", "inside width", "400")])
    text = panels_text(half, Shop(), worked_case(half), NOW)
    assert "The inside height is not held." in text
    assert "P1 top 1 ? 12 ? ? length" in " ".join(text.split())


def test_what_is_lost_stands_first() -> None:
    lost = box(dimensions=[*inside(), held("H-O", "outside width", "420", kind=HeldKind.OUTSIDE)])
    text = panels_text(lost, Shop(), worked_case(lost), NOW)
    assert "NOT HELD: H-O outside width 424, 420 (±0.5) wanted." in " ".join(text.split())
