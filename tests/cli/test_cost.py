"""`logbook cost`: chances, drivers and the drawn range as text; values, a table, and what was taken."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from pathlib import Path

from tests.cli.conftest import Ask


def test_the_decision_is_printed_with_chances_and_drivers(ask: Ask, demo: Path) -> None:
    out = " ".join(ask("--book", demo, "cost", "R1").out.split())
    assert "sell the rebuilt -46.76 -73.75-24.00 23.41 234.11 655.41" in out
    assert "Chance that the cash alone passes “buy new” 141.40: under 1" in out
    assert "Chance that it passes the stop line 100.00: 17 %." in out
    assert "expected cash 85.24 is above half of new, 70.70: replace, though it is still under new." in out
    assert "the sum without drawing, 85.24, agrees." in out
    assert "WHAT DRIVES THE CASH output transformer ┊█" in out
    assert "┃ the stop line: 100.00 of further cash on top of the 13.50 that was gone" in out


def test_the_range_stands_in_the_json(ask: Ask, demo: Path) -> None:
    found = ask("--book", demo, "cost", "R1", "--json").json["decision"]
    cash = found["cash"]
    assert (cash["draws"], cash["seed"], cash["agrees"]) == (10_000, 1, True)
    assert cash["drivers"][0]["name"] == "output transformer"
    assert abs(Decimal(cash["drawn_mean"]) - Decimal("85.24")) < 4 * Decimal(cash["drawn_standard_error"])
    assert [r["option"] for r in found["rows"]][-1] == "sell the rebuilt"
    assert [s["code"] for s in found["suggested"]] == ["B11"], "the only work of a kind that was timed before"


def test_the_table_is_csv(ask: Ask, demo: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(ask("--book", demo, "cost", "R1", "--csv").out, newline="")))
    assert sum(Decimal(r["likely"]) for r in rows if r["section"] == "cash") == Decimal("74.30")


def test_what_was_taken_and_what_it_suggests(ask: Ask, demo: Path) -> None:
    chest = " ".join(ask("--book", demo, "cost", "C1", "--taken").out.split())
    assert "K01 dry fit and glue the split rail: took 55 min, estimate 30 min / 40 min / 1:00 h" in chest
    assert "B01 dry fit and glue drawer 1: 45 min / 1:00 h / 1:30 h ->" in chest
    radio = " ".join(ask("--book", demo, "cost", "R1", "--taken").out.split())
    assert "Nothing was paid or taken yet." in radio
    assert "2 of this kind took 1.23 times the estimate" in radio, "geometric mean of 55 and 48 by 41 2/3"


def test_a_unit_without_any_price_says_so(ask: Ask, demo: Path) -> None:
    out = " ".join(ask("--book", demo, "cost", "G1").out.split())
    assert "Nothing that is to come has a figure yet, so there is no range (?)." in out
    assert "Chance that" not in out
    assert "rebuild ? ? 2.46 ? ? ~2 days" in out, "a sum of nothing priced is not known, and not zero"
    assert "Stop line 40.00: it says nothing yet" in out
    assert "to pay: whole packs and parts ?" in out
    assert "is under it" not in out
