"""The list as text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from logbook.costing import (
    bill_of_materials,
    comparison,
    cost_views,
    decision,
    freed_by_parcel,
    own_material,
    to_buy,
)
from logbook.render.bill_document import BOM_HEAD, bom_csv, bom_text, one_pack
from logbook.render.costs_document import cost_text
from logbook.render.plain import width
from logbook.render.to_buy_document import TO_BUY_HEAD, to_buy_csv, to_buy_data, to_buy_text
from tests.builders import estimate, part, shop, unit, use
from tests.example_records import C1, G1, L1, R1, SHOP
from tests.hostile import HOSTILE

NOW = datetime(2026, 3, 17, 12, tzinfo=UTC)
FOUND = to_buy([R1, G1, C1, L1], SHOP, NOW)


def test_the_list_of_the_demo() -> None:
    text = to_buy_text(FOUND, SHOP, NOW)
    words = " ".join(text.split())
    assert words.index("LOOK HERE FIRST") < words.index("COUNTED ON TWICE") < words.index("HARDWARE COUNTER")
    assert "nails 25, small box for C1: 30 nail 25 on the shelf, jar 2" in words
    assert "[o] 2 bearing ? for G1 (G13, BR); ordered 8 Mar 2026; expected 20 Mar 2026; frees G1 K02" in words
    assert "RADIO SPARES BY POST, 9 DAYS" in words
    assert "shipping, one parcel 5.00 / 7.95 / 15.00" in words
    assert "together 68.75 86.30 169.50" in words


@pytest.mark.parametrize("columns", [40, 60, 80, 200])
def test_no_line_is_wider_than_the_page(columns: int) -> None:
    hostile = [
        unit(
            code=f"R{i}", parts=[part("N1", t.strip() or "x", seller=t, only_if=t)], consumables=[use(t.strip() or "x")]
        )
        for i, t in enumerate(HOSTILE.values())
    ]
    for found in (FOUND, to_buy(hostile, shop(), NOW)):
        text = to_buy_text(found, SHOP, NOW, width=columns)
        assert max(width(line) for line in text.splitlines()) <= columns
        assert all(c.isprintable() or c == "\n" for c in text)


def test_csv_adds_up_to_the_last_cent_unit_by_unit() -> None:
    read = list(csv.DictReader(io.StringIO(to_buy_csv(FOUND), newline="")))
    assert tuple(read[0]) == TO_BUY_HEAD
    for code, price in FOUND.by_unit:
        shares = [Decimal(r["share_likely"]) for r in read if r["unit"] == code and r["share_likely"]]
        assert sum(shares) == (price.likely if price is not None else 0)
    assert {r["name"] for r in read if r["kind"] == "shipping"} == {"shipping, one parcel"}
    assert [r["here_already"] for r in read if r["name"].startswith("nails")] == ["30 nail 25 on the shelf, jar 2"]


def test_json_holds_exact_numbers_as_text() -> None:
    data = json.loads(json.dumps(to_buy_data(FOUND, SHOP)))
    assert data["price"] == {"low": "68.75", "likely": "86.30", "high": "169.50"}
    assert data["currency"] == "$"
    assert set(data["unpriced"]) == {"bearing", "mains cord with strain relief"}


def test_the_bill_as_csv_runs_nothing() -> None:
    named = part("N1", '=HYPERLINK("http://127.0.0.1")', price=estimate("5", "6", "9"))
    (row,) = list(csv.DictReader(io.StringIO(bom_csv(bill_of_materials(unit(parts=[named]), shop())), newline="")))
    assert tuple(row) == BOM_HEAD
    assert row["name"] == '\'=HYPERLINK("http://127.0.0.1")'
    assert (row["low"], row["likely"], row["high"], row["here"]) == ("5.00", "6.00", "9.00", "no")


def test_the_bill_says_both_truths_and_what_becomes_stock() -> None:
    text = " ".join(bom_text(R1, SHOP, bill_of_materials(R1, SHOP, NOW.date()), NOW).split())
    assert "used up 5.95 (54 % of a pack); 114.66 ml left over for the shelf, good for 12 months once opened" in text
    assert "used up 3.25 (34 % of a pack)" in text, "171 of 500 ml at 9.50"
    assert "used up 1.92 (23 % of a pack)" in text
    assert "used up 3.60 (60 % of a pack)" in text


def test_a_whole_parcel_frees_what_waits_for_two_of_its_things() -> None:
    """K01 of the radio wants the cord and the capacitors: each alone frees nothing, the parcel frees K01."""
    units = {u.code: u for u in (R1, G1, C1)}
    together = {p.seller: freed_by_parcel(p, units, SHOP, NOW) for p in FOUND.parcels}
    assert {s: [(f.unit, f.lines) for f in frees] for s, frees in together.items() if frees} == {
        "bearing trade counter": [("G1", ("K02",))],
        "radio spares by post": [("R1", ("K01",))],
    }
    assert not any(p.frees for p in FOUND.purchases if p.name in ("mains cord and entry bush", "capacitor set"))
    assert "The whole parcel frees R1 K01." in to_buy_text(FOUND, SHOP, NOW, together=together)
    assert to_buy_data(FOUND, SHOP, together)["parcel_frees"]["radio spares by post"][0]["lines"] == ["K01"]


def test_own_material_stands_under_the_bill_and_what_is_not_known_is_no_zero() -> None:
    bill = bill_of_materials(R1, SHOP, NOW.date())
    text = bom_text(R1, SHOP, bill, NOW, own=own_material(R1, SHOP))
    row = next(line for line in text.splitlines() if line.startswith("12 ply 11.8"))
    assert row.split()[-3:] == ["0.00", "10.22", "?"]
    together = next(line for line in text.splitlines() if line.startswith("together"))
    assert together.split()[-3:] == ["0.00", "24.97", "?"]
    valued = SHOP.model_copy(
        update={"offcuts": tuple(o.model_copy(update={"value": Decimal("2.00")}) for o in SHOP.offcuts)}
    )
    text = bom_text(R1, valued, bill, NOW, own=own_material(R1, valued))
    assert "?" not in next(line for line in text.splitlines() if line.startswith("together"))


@pytest.mark.parametrize(
    ("quantity", "measure", "pack", "words"),
    [
        ("8", "", "set of 8", "1 set"),
        ("8", "", " Set of 8", "1 set"),
        ("4", "", "4", "1 pack"),
        ("9", "", "set of 8", ""),
        ("8", "m", "8", ""),
        ("1", "", "1", ""),
        ("22", "", "box", ""),
        ("22", "", "", ""),
    ],
)
def test_a_quantity_that_is_just_a_pack_reads_as_one(quantity: str, measure: str, pack: str, words: str) -> None:
    assert one_pack(Decimal(quantity), measure, pack) == words


def test_the_bushes_are_one_set_on_the_list_and_on_the_bill() -> None:
    listed = to_buy_text(FOUND, SHOP, NOW)
    billed = bom_text(R1, SHOP, bill_of_materials(R1, SHOP, NOW.date()), NOW)
    for text in (listed, billed):
        assert "[ ] 1 set     chassis bushes, set of 8" in text
        assert "[ ] 1 pack    rubber feet" in text


def test_amounts_are_in_the_custom_of_the_person_on_every_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    cost = cost_text(
        R1, SHOP, comparison(R1, SHOP, NOW.date()), cost_views(R1, SHOP, NOW.date()), NOW,
        decided=decision(R1, SHOP, NOW.date()),
    )  # fmt: skip
    for text in (to_buy_text(FOUND, SHOP, NOW), cost):
        assert "58,25" in text
        assert "156,00" in text
        assert "58.25" not in text
        assert "8.40" not in text
