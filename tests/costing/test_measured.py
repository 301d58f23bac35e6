"""Amounts that the record gives, the usual consumption, and parts that are newly made."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from logbook.costing import bill_of_materials, cash_to_come, consumption, own_material
from logbook.costing.made_parts import made_parts
from logbook.costing.measured import measured, with_usual
from logbook.errors import InputError
from logbook.model.casework_records import Case, Material
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.usual_consumption import usual_consumption
from logbook.model.words import Action, Measure
from tests.builders import consumable, estimate, offcut, part, part_set, renewed, shop, step, unit, wire
from tests.costing.radio import panel
from tests.example_records import R1, SHOP


def usual(name: str):
    return next(u for u in usual_consumption().usual if u.name.startswith(name))


def made(name: str, quantity: str | int, of: str, **more):
    return part("M1", name, quantity, source="newly made", made_from=of, **more)


@pytest.mark.parametrize(
    ("measure", "amount"),
    [
        # worked by hand: faces 0.7736, show area 0.3723 less 0.0340, bottom both faces 0.2139, edges 1544.6
        (Measure.VENEERED_FACES, "0.77358"),
        (Measure.SHOW_FACES, "0.33835"),
        (Measure.BARE_FACES, "0.2139"),
        (Measure.BANDED_EDGES, "1.5446"),
        (Measure.STRIPS, "1.58"),
    ],
)
def test_the_radio_says_its_areas_and_edges_itself(measure: Measure, amount: str) -> None:
    assert measured(R1, measure).amount == Decimal(amount)


def test_the_usual_consumption_gives_the_figures_of_the_radio() -> None:
    """171 ml of glue, 0.135 l of varnish and 1.745 m of band, from the list and the case alone."""
    of_unit: Unit = R1.model_copy(update={"consumables": ()})
    for name in ("PVA glue on faces", "clear finish by wiping", "edge band", "stain", "shellac sealer"):
        entry = usual(name)
        found = measured(of_unit, entry.measure)
        of_unit = with_usual(of_unit, entry, found.amount, found.words, found.pieces)
    of_unit = with_usual(of_unit, usual("PVA glue in joints"), Decimal("0.0358"), "joints")
    needs = {n.consumable: n for n in consumption(of_unit, SHOP)}
    assert len(of_unit.consumables) == 5, "glue in joints is a second term of the glue"
    assert round(needs["PVA glue"].need) == 171
    assert round(needs["wipe-on varnish"].stated, 3) == Decimal("0.135")
    assert round(needs["stain"].need) == 29
    assert round(needs["shellac sealer"].need) == 26
    assert needs["edge band"].need == Fraction("1.7446") * 11 / 10, "1.745 m, and 10 % that this roll does not need"
    assert all(t.source for u in of_unit.consumables for t in u.terms), "each number says where it comes from"


def test_what_is_not_there_is_not_measured() -> None:
    assert [measured(unit(), m) for m in Measure] == [None] * len(Measure)


def test_small_holes_are_not_taken_off_and_wires_are_counted_for_each_of_a_set() -> None:
    soldered: Step = step("T01", action=Action.UNSOLDERED, each_of="D", connections=(wire(), wire("W2")))
    of_unit = unit(soldered, step("T02", connections=(wire("W3"),)), sets=[part_set("D", 4)])
    assert measured(of_unit, Measure.SOLDERED_ENDS).amount == 8


@pytest.mark.parametrize("amount", ["0", "-1"])
def test_an_amount_that_is_none_is_refused(amount: str) -> None:
    with pytest.raises(InputError, match="an amount above zero is wanted, in m2"):
        with_usual(unit(), usual("stain"), Decimal(amount), "top")


@pytest.mark.parametrize(
    ("of_part", "material", "machine", "cash"),
    [
        # 2 x 12.5 g of 500 g at 20.00 is 1.00; 2 x 90 min at 3.00 an hour is 9.00
        (made("knob", 2, "resin", mass_g=Decimal("12.5"), machine=90), "1.00", "9.00", "29.00"),
        # 0.05 m2 of a sheet of 0.25 m2 at 5.00 is 1.00; one piece of 30 min is 1.50
        (made("plate", "0.05", "acrylic 3", unit="m2", machine=30), "1.00", "1.50", "6.50"),
        # from the pile: zero
        (made("back", "0.05", "12 ply", unit="m2"), "0.00", "0.00", "0.00"),
        (made("foot", 4, "who knows", machine=30), None, "6.00", None),
    ],
)
def test_what_a_new_part_costs_to_make(of_part, material: str | None, machine: str, cash: str | None) -> None:
    of_shop = shop(
        shelf=[
            consumable("resin", 0, ("500", "20.00"), unit="g"),
            consumable("acrylic 3", 0, ("0.25", "5.00"), unit="m2"),
        ],
        offcuts=[offcut()],
        settings={"machine_rate": Decimal("3.00")},
    )
    of_unit = unit(parts=[of_part])
    (found,) = made_parts(of_unit, of_shop, consumption(of_unit, of_shop))
    assert found.material_cost == (None if material is None else Decimal(material))
    assert found.machine_cost == Decimal(machine)
    total = cash_to_come(of_unit, of_shop)
    if cash is None:
        assert total.unpriced == ("foot",)
    else:
        assert (total.likely, total.unpriced) == (Decimal(cash), ())


def test_without_a_rate_machine_time_is_said_and_not_counted() -> None:
    of_unit = unit(parts=[made("back", "0.05", "12 ply", unit="m2", machine=30)])
    of_shop = shop(offcuts=[offcut()])
    line = next(x for x in bill_of_materials(of_unit, of_shop).lines if x.code == "M1")
    assert line.price.high == 0
    assert "machine 30 min not counted (no rate for an hour)" in line.how
    assert cash_to_come(of_unit, of_shop).likely == 0


def test_own_material_has_three_values() -> None:
    """Half of a piece of 0.1 m2 worth 4.00: 2.00 at resale, 0.05 x 28 at replacement, 0 as rubbish."""
    of_unit = unit(
        case=Case(panels=(panel("P1", "500.0x100.0"),), materials=(Material(name="12 ply", per_m2=Decimal(28)),))
    )
    pile = [offcut("O1", "500x200", value=Decimal("4.00")), offcut("O2", "900x300")]
    own = own_material(of_unit, shop(offcuts=pile))
    assert (own.at_zero, own.replacement, own.resale) == (0, Decimal("1.40"), Decimal("2.00"))
    assert own.without_value == ()
    unknown = own_material(of_unit, shop(offcuts=pile[1:]))
    assert (unknown.resale, unknown.without_value) == (0, ("12 ply 11.8",))


def test_fasteners_that_are_sold_in_packs_are_bought_in_packs() -> None:
    of_unit = unit(step(fasteners=[renewed("felt pad", 8)]))
    of_shop = shop(shelf=[consumable("felt pad", 3, ("4", "1.20"))])
    (line,) = bill_of_materials(of_unit, of_shop).lines
    assert (line.quantity, line.here, line.price, line.pack) == (8, False, estimate("2.40"), "4 at 1.20")
    assert line.rest == "3 left over for the shelf"
    assert cash_to_come(of_unit, of_shop).likely == Decimal("2.40")


def test_a_usual_mix_is_taken_with_its_parts() -> None:
    """104 ml/m2 on one square metre and 20 %: 124.8 ml of the mix, 93.6 of finish and 31.2 of thinner."""
    of_unit = with_usual(unit(), usual("first coat thinned"), Decimal(1), "top")
    finish, thinner = consumption(of_unit, shop())
    assert (finish.consumable, finish.need) == ("wipe-on varnish", Fraction("93.6"))
    assert (thinner.consumable, thinner.need) == ("thinner", Fraction("31.2"))
    plain = with_usual(of_unit, usual("clear finish by wiping"), Decimal(1), "top")
    assert [u.code for u in plain.consumables] == ["U1", "U2"], "a mix and the plain finish stay apart"
