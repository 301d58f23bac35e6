"""Published guillotine instances: their known optima are reached, kerf 0, and kerf by widening parts and plate.

`tests/data/cutting/instances.csv` names for each optimum its demand, rotation, stages and source. An optimum of the
unlimited-stage problem must be met exactly; one with two or three stages is a layout that ours may match or beat.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from logbook.layout.checker import problems_of
from logbook.layout.cut_records import MM, PartToCut, Piece
from logbook.layout.fullest import Pains, fullest
from logbook.layout.joined_parts import PartsAlike
from logbook.layout.layout_search import search
from logbook.model.words import Grain
from tests.layout.builders import rules

DATA = Path(__file__).parents[1] / "data" / "cutting"
Row = dict[str, str]


def table(name: str) -> list[Row]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


ROWS = table("instances.csv")
KNAPSACK = [r for r in ROWS if r["problem"].startswith("knapsack")]
UNLIMITED = [r for r in KNAPSACK if r["stages"] == "unlimited"]
STAGED = [r for r in KNAPSACK if r["stages"] != "unlimited"]
BINS = [r for r in ROWS if r["problem"].startswith("bin")]


def named(row: Row) -> str:
    turning = "turned" if row["rotation"] == "yes" else "as it lies"
    return f"{row['file']} {row['demand']} {turning} {row['stages']} {row['first_cut']}"


def copies(row: Row, item: Row) -> int:
    """The demand of the variant, never that of another one that shares the file."""
    plate = int(row["bin_w"]) * int(row["bin_h"])
    if row["demand"] == "unbounded":
        return plate // (int(item["item_w"]) * int(item["item_h"]))
    return 1 if "1 copy" in row["demand"] else int(item["copies"])


def best(row: Row, kerf: int = 0, scale: int = 1) -> tuple[int, bool]:
    kinds = []
    for item in table(row["file"]):
        w, h = scale * int(item["item_w"]) + kerf, scale * int(item["item_h"]) + kerf
        ways = ((w, h),) if row["rotation"] == "no" or w == h else ((w, h), (h, w))
        kinds.append(PartsAlike(ways, int(item["value"]), copies(row, item)))
    found = fullest(scale * int(row["bin_w"]) + kerf, scale * int(row["bin_h"]) + kerf, kinds, Pains(nodes=20_000))
    assert found.joined is not None
    return found.joined.profit, found.proven


@cache
def best_unlimited(name: str, demand: str) -> int:
    return best(next(r for r in UNLIMITED if (r["file"], r["demand"], r["rotation"]) == (name, demand, "no")))[0]


@pytest.mark.parametrize("row", UNLIMITED, ids=named)
def test_the_known_optimum_is_found_and_proved(row: Row) -> None:
    assert best(row) == (int(row["optimum"]), True)


@pytest.mark.parametrize("row", STAGED, ids=named)
def test_no_pattern_of_two_stages_is_better_than_what_is_found(row: Row) -> None:
    """Sources of the two-stage optima stand in the table; fewer stages never allow more."""
    assert best_unlimited(row["file"], row["demand"]) >= int(row["optimum"])


AREA_VALUED = [r for r in UNLIMITED if r["file"] in ("gcut1.csv", "OF1.csv", "WANG3.csv", "H.csv", "CHL5.csv")]
FEW = [r for r in AREA_VALUED if r["rotation"] == "no" and r["demand"] != "unbounded"]


def ask(row: Row, kerf: int) -> int:
    """What the whole search places on one plate, as area in the units of the instance, each part widened by the kerf.

    Parts and plate are made smaller by the kerf here, so that widening gives the instance again: with any kerf the
    same parts fit. Sizes are stretched, so that nothing becomes negative.
    """
    stretch = 10
    grain = Grain.FREE if row["rotation"] == "yes" else Grain.LENGTH
    parts = [
        PartToCut(
            f"I{n}", copies(row, i), stretch * int(i["item_w"]) * MM - kerf, stretch * int(i["item_h"]) * MM - kerf,
            "ply", MM, grain,
        )
        for n, i in enumerate(table(row["file"]))
    ]  # fmt: skip
    plate = Piece("B", "ply", (MM,), stretch * int(row["bin_w"]) * MM - kerf, stretch * int(row["bin_h"]) * MM - kerf)
    how = rules(kerf=kerf, trim=0, rounds=2500)
    layout = search(parts, [plate], how)
    assert problems_of(layout, parts, [plate], how) == ()
    return sum((p.length + kerf) * (p.width + kerf) for p in layout.placements) // (stretch * MM) ** 2


@pytest.mark.parametrize("row", FEW, ids=named)
@pytest.mark.parametrize("kerf", [0, 3 * MM], ids=["kerf 0", "kerf 3"])
def test_the_search_itself_fills_a_plate_to_the_known_optimum(row: Row, kerf: int) -> None:
    """Where the value of each part is its area, placing as much as possible is the published problem."""
    assert ask(row, kerf) == int(row["optimum"])


def bins_used(row: Row) -> int:
    side = (int(row["bin_w"]), int(row["bin_h"]))
    grain = Grain.FREE if row["rotation"] == "yes" else Grain.LENGTH
    parts = [
        PartToCut(f"I{n}", int(i["copies"]), int(i["item_w"]) * MM, int(i["item_h"]) * MM, "ply", MM, grain)
        for n, i in enumerate(table(row["file"]))
    ]
    pile = [Piece(f"B{n}", "ply", (MM,), side[0] * MM, side[1] * MM, value=Decimal(1)) for n in range(12)]
    how = rules(kerf=0, trim=0, rounds=6000)
    layout = search(parts, pile, how)
    assert problems_of(layout, parts, pile, how) == ()
    assert layout.complete
    return len(layout.used)


@pytest.mark.parametrize("row", BINS, ids=named)
def test_all_parts_go_into_as_few_bins_as_published(row: Row) -> None:
    """Berkey and Wang 1987 class 1. As it lies fewer bins are impossible (see the table); turned: best known."""
    if row["file"].startswith("BW") and row["rotation"] == "no":
        assert bins_used(row) == int(row["optimum"])
    else:
        assert bins_used(row) <= int(row["optimum"])


TINY = [
    ((1, 1), [(1, 1, 1, 1)], 1),
    ((10, 20), [(10, 10, 10, 2), (10, 11, 19, 1)], 20),
    ((16, 20), [(10, 8, 10, 2), (10, 16, 19, 1)], 20),
    ((100, 100), [(10, 10, 7, 100)], 700),
    ((100, 100), [(10, 10, 7, 50)], 350),
]


@pytest.mark.parametrize(("plate", "items", "most"), TINY)
def test_tiny_cases_with_known_answers(plate: tuple[int, int], items: list[tuple[int, ...]], most: int) -> None:
    """From the tests of GuillotineModels.jl (Unlicense)."""
    kinds = [PartsAlike(((w, h),), value, number) for w, h, value, number in items]
    found = fullest(*plate, kinds)
    assert found.joined is not None
    assert (found.joined.profit, found.proven) == (most, True)


def test_the_files_of_gcut_hold_two_problems_and_the_right_one_is_asked() -> None:
    rows = {r["demand"]: int(r["optimum"]) for r in UNLIMITED if r["file"] == "gcut1.csv" and r["rotation"] == "no"}
    assert rows == {"unbounded": 56460, "bounded, 1 copy each": 48368}
