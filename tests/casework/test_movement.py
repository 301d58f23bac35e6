"""Wood movement and hanging rails against published figures and plain geometry."""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.casework import worked_case
from logbook.casework.movement import change_of, moisture_content, read_wood_list, species_named, wood_list
from logbook.casework.rails import worked_rails
from logbook.errors import InputError
from logbook.model.case_plan import CasePlan, HangingRails
from logbook.model.words import Sawn
from tests.builders import mm
from tests.casework.building import box, panel, ticks

DATA = Path(__file__).parents[1] / "data" / "wood"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows("wood_emc_table4-2.csv"), ids=lambda r: f"{r['temp_C']}C {r['rh_percent']}%")
def test_moisture_content_is_that_of_the_handbook(row: dict[str, str]) -> None:
    """Wood Handbook FPL-GTR-282 (2021), table 4-2 and equation (4-5); the table is rounded to 0.1."""
    found = moisture_content(Decimal(row["rh_percent"]), Decimal(row["temp_C"]))
    assert abs(found - Decimal(row["emc_percent_table"])) <= Decimal("0.06")
    assert abs(found - Decimal(row["emc_percent_equation"])) <= Decimal("0.001")


def test_a_humidity_is_a_percentage() -> None:
    for wrong in (Decimal(100), Decimal(-1)):
        with pytest.raises(InputError, match="below 100"):
            moisture_content(wrong, Decimal(20))


@pytest.mark.parametrize(
    ("size", "species", "before", "after", "change"),
    [
        ("232", "Fir, white", "8", "11", "1.705"),
        ("285.75", "red oak, commercial", "6", "10", "4.2177"),
    ],
)
def test_worked_examples_of_dimensional_change(size: str, species: str, before: str, after: str, change: str) -> None:
    """Wood Handbook, chapter 13: a board of 232 mm from 8 to 11 percent becomes 233.7 mm (its coefficient from memory).

    Flatsawn red oak of 11.25 in over 4 points: 0.166 in, with the coefficient 0.00369 of table 13-5.
    """
    factor = species_named(species)
    assert factor is not None
    found = change_of(ticks(size), factor.tangential, Decimal(before), Decimal(after))
    assert abs(Decimal(found) / 80000 - Decimal(change)) < Decimal("0.001")


def test_the_species_are_those_of_table_13_5() -> None:
    """Wood Handbook FPL-GTR-190 (2010), table 13-5."""
    known = {s.name: s for s in wood_list().species}
    for row in rows("wood_dimensional_change_table13-5.csv"):
        species = known[row["species"].partition(" (")[0]]
        assert species.tangential == Decimal(row["CT_tangential_per_1pct"])
        assert species.radial == (Decimal(row["CR_radial_per_1pct"]) if row["CR_radial_per_1pct"] else None)


def test_a_species_is_found_in_either_order_of_its_name() -> None:
    beech = species_named("American beech")
    assert beech is not None
    assert beech == species_named("beech, american")
    assert species_named("unobtainium") is None


@pytest.mark.parametrize("raw", [b"{}", b"nonsense", b'{"humidity": {}, "species": [{"name": "x"}]}'])
def test_a_damaged_list_of_species_is_refused_in_words(raw: bytes) -> None:
    with pytest.raises(InputError, match=r"wood\.json cannot be used"):
        read_wood_list(raw)


def test_movement_of_a_solid_part_is_a_clearance() -> None:
    """Beech 200 across, 50 percent to 60 and 30: 200 x 0.00431 x (11.00 - 9.27) = 1.49, x (9.27 - 6.19) = 2.65."""
    flat = panel("D1", "divider", species="beech, american")
    quarter = panel("D2", "divider", species="beech, american", sawn=Sawn.QUARTER)
    strange = panel("D3", "divider", species="unobtainium")
    plan = CasePlan(humidity_dry=Decimal(30), humidity_humid=Decimal(60), humidity_now=Decimal(50))
    found = worked_case(box(flat, quarter, strange, plan=plan))
    assert found is not None
    by = {m.panel: m for m in found.movements}
    assert abs(Decimal(by["D1"].grows) / 80000 - Decimal("1.49")) < Decimal("0.01")
    assert abs(Decimal(by["D1"].shrinks) / 80000 - Decimal("2.65")) < Decimal("0.01")
    assert by["D2"].grows * 431 - by["D1"].grows * 190 < 500, "quartersawn goes by the radial coefficient"
    assert "leave 1.5 room" in by["D1"].sentence
    assert [c.place for c in found.consequences if c.code == "species"] == ["D3"]
    damp = worked_case(box(flat, plan=plan.model_copy(update={"humidity_humid": Decimal(85)})))
    assert damp is not None
    assert [m.outside_range for m in damp.movements] == [True]


def test_hanging_rails_of_the_trade() -> None:
    """Common practice: a board of 100 x 18 with a kerf of 3 gives long faces of 56.9 and short ones of 38.9."""
    rails = worked_rails(HangingRails(board=mm("100"), thickness=mm("18"), let_in=True), ticks("3"))
    assert [round(x / 80000, 1) for x in (rails.long_face, rails.short_face)] == [56.9, 38.9]
    assert [x / 80000 for x in (rails.lift, rails.spacer, rails.depth)] == [21, 18, 18]


@given(st.integers(400, 3000), st.integers(60, 400), st.integers(0, 40))
def test_rails_and_kerf_are_the_whole_board(board: int, thick: int, kerf: int) -> None:
    """Seen from its end the board is two trapezia and a slanting strip of the kerf: their areas are the board's."""
    wood = HangingRails(board=mm(f"{board / 10}"), thickness=mm(f"{thick / 10}"))
    rails = worked_rails(wood, ticks(f"{kerf / 10}"))
    trapezium = (rails.long_face + rails.short_face) / 2 * wood.thickness.ticks
    strip = ticks(f"{kerf / 10}") * 2**0.5 * wood.thickness.ticks
    assert abs(2 * trapezium + strip - wood.board.ticks * wood.thickness.ticks) < 4 * wood.thickness.ticks


def test_rails_stand_in_the_cut_list() -> None:
    from logbook.casework import cut_list
    from logbook.model.shop import Shop

    plan = CasePlan(rails=HangingRails(board=mm("100"), thickness=mm("18"), length=mm("300")))
    unit = box(plan=plan)
    found = worked_case(unit)
    assert found is not None
    (line,) = [x for x in cut_list(unit, Shop(), found) if x.code == "RAIL"]
    assert (line.quantity, "long face 56.88, short face 38.88" in line.note) == (2, True)
