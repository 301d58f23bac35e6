"""A purchase is ordered, arrives, gets a price, or what is here is taken instead: edits over units and shop as one."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from logbook.costing import Parcel, Purchase, ToBuy, already_spent, cash_to_come, to_buy
from logbook.costing.buying import arrived, ordered, parcel_arrived, parcel_ordered, priced, taken
from logbook.errors import InputError
from logbook.model.casework_records import Case
from logbook.model.shop import Seller, Shop
from logbook.model.step import RefitNotes
from logbook.model.unit import Unit
from logbook.model.words import Disposition, Source, Supply
from logbook.model.work import CostLine
from tests.builders import component, consumable, estimate, handed_pair, part, shop, step, unit, use, wire
from tests.costing.radio import panel
from tests.example_records import R1, SHOP

TODAY = date(2026, 3, 17)
NOW = datetime(2026, 3, 17, 12, tzinfo=UTC)


class Bench:
    """Units and a shop that edits are made on, one after the other."""

    def __init__(self, *units: Unit, of_shop: Shop | None = None) -> None:
        self.units = {u.code: u for u in units}
        self.shop = of_shop or shop()

    @property
    def list(self) -> ToBuy:
        return to_buy(list(self.units.values()), self.shop, NOW)

    def thing(self, name: str) -> Purchase:
        return next(p for p in self.list.purchases if p.name == name)

    def does(self, edit, *of) -> None:
        units, self.shop = edit(*of, self.units, self.shop, TODAY)
        self.units = dict(units)


def parcel_of(bench: Bench, seller: str) -> Parcel:
    return next(p for p in bench.list.parcels if p.seller == seller)


def test_a_part_is_ordered_and_expected_and_then_here_and_paid() -> None:
    seller = Seller(name="Post", days=9)
    bench = Bench(unit(parts=[part(price=estimate("5", "6.50", "9"), seller="post")]), of_shop=shop(sellers=[seller]))
    bench.does(ordered, bench.thing("mains cord"))
    (now,) = bench.units["R1"].parts
    assert (now.supply, now.ordered_on, now.expected_on) == (Supply.ORDERED, TODAY, date(2026, 3, 26))
    bench.does(arrived, bench.thing("mains cord"), Decimal("6.50"))
    (now,) = bench.units["R1"].parts
    assert (now.supply, now.paid, now.paid_on) == (Supply.HERE, Decimal("6.50"), TODAY)
    assert bench.list.purchases == ()
    assert already_spent(bench.units["R1"]) == Decimal("6.50")


def test_packs_for_two_units_stand_on_the_shelf_and_each_has_paid_its_share() -> None:
    units = [unit(code=c, consumables=[use("glue", n, "ml")]) for c, n in (("R1", 400), ("C1", 200))]
    bench = Bench(*units, of_shop=shop(shelf=[consumable("glue", 0, ("500", "9.50"), unit="ml", keeps_months=12)]))
    bench.does(ordered, bench.thing("glue"))
    assert bench.shop.shelf[0].packs_ordered == 2
    assert bench.thing("glue").supply is Supply.ORDERED
    bench.does(arrived, bench.thing("glue"), Decimal("19"))
    assert (bench.shop.shelf[0].stock, bench.shop.shelf[0].packs_ordered, bench.shop.shelf[0].opened_on) == (
        1000,
        0,
        None,
    )
    assert [already_spent(u) for u in bench.units.values()] == [Decimal("12.67"), Decimal("6.33")]
    assert bench.list.purchases == ()
    assert all(cash_to_come(u, bench.shop).likely == 0 for u in bench.units.values())


def test_a_part_of_a_packs_order_is_said() -> None:
    low = shop(shelf=[consumable("glue", 0, ("500", "9.50"), unit="ml", packs_ordered=1)])
    bench = Bench(unit(consumables=[use("glue", 700, "ml")]), of_shop=low)
    assert bench.thing("glue").supply is Supply.NEEDED
    assert "1 of them ordered" in bench.thing("glue").how


def test_the_rest_of_a_box_of_nails_goes_into_the_jar() -> None:
    nails = part("N1", "nails, box", 22, fastener="nail 25", pack_size=Decimal(100), price=estimate("4"))
    bench = Bench(unit(step("T01"), parts=[nails]))
    bench.does(arrived, bench.thing("nails, box"), Decimal("4"))
    assert [(c.name, c.stock) for c in bench.shop.shelf] == [("nail 25", 78)]


def test_a_component_to_renew_gets_a_part_of_its_own() -> None:
    belt = component("DB", "drive belt", disposition=Disposition.RENEW, price_to_replace=estimate("7"))
    bench = Bench(unit(components=[belt]))
    bench.does(arrived, bench.thing("drive belt"), Decimal("7"))
    (made,) = bench.units["R1"].parts
    assert (made.code, made.for_components, made.supply, made.paid) == ("N1", ("DB",), Supply.HERE, Decimal("7.00"))
    assert bench.list.purchases == ()


def test_a_wire_of_one_lamp_that_is_renewed_gets_a_part_of_its_own() -> None:
    pair = handed_pair()
    of_right = step("T06", "wires", each_of=pair.code, connections=[wire("W4", renew=True, member="R")])
    bench = Bench(unit(of_right, sets=[pair]))
    bench.does(priced, bench.thing("wire W4"), estimate("2"))
    bench.does(arrived, bench.thing("wire W4"), Decimal("3"))
    (made,) = bench.units["R1"].parts
    assert (made.name, made.for_steps, made.member, made.supply) == ("wire W4", ("T06",), "R", Supply.HERE)
    assert made.paid == Decimal("3.00")
    assert bench.list.purchases == ()


def test_of_two_things_renewed_at_a_step_the_one_that_came_leaves_the_other_on_the_list() -> None:
    bench = Bench(unit(step("T06", "door", refit=RefitNotes(renew=("gasket", "seal")))))
    bench.does(arrived, bench.thing("gasket"), Decimal("3"))
    assert [purchase.name for purchase in bench.list.purchases] == ["seal"]
    bench.does(ordered, bench.thing("seal"))
    assert [(part.name, part.supply) for part in bench.units["R1"].parts] == [
        ("gasket", Supply.HERE),
        ("seal", Supply.ORDERED),
    ]


def test_a_whole_parcel_comes_at_once_with_its_shipping() -> None:
    """R1's parcel by post: 28.90 of goods without the two that are needed only under a condition, and 7.95."""
    bench = Bench(R1, of_shop=SHOP)
    parcel = next(p for p in bench.list.parcels if p.seller == "radio spares by post")
    bench.does(parcel_ordered, parcel)
    assert {p.code: p.supply for p in bench.units["R1"].parts}["N5"] is Supply.ORDERED
    before = already_spent(bench.units["R1"])
    bench.does(parcel_arrived, parcel_of(bench, "radio spares by post"), Decimal("36.85"))
    after = bench.units["R1"]
    assert already_spent(after) - before == Decimal("36.85")
    assert [c.paid for c in after.cost_lines if c.parcel] == [Decimal("7.95")], "the line that stands for the parcel"
    assert {p.name for p in bench.list.purchases} & {"capacitor set", "chassis bushes, set of 8"} == set()
    assert {p.name for p in bench.list.purchases} >= {"output transformer", "valve"}, "conditions are left open"
    assert cash_to_come(after, bench.shop, TODAY).likely == Decimal("74.30") - Decimal("36.85")
    with pytest.raises(InputError, match="Nothing of this parcel"):
        parcel_arrived(parcel_of(bench, "radio spares by post"), None, bench.units, bench.shop, TODAY)


@pytest.mark.parametrize(
    ("typed", "pack", "cash"), [(("12",), "12", "24"), (("10", "12", "15"), "12", "24"), (("0",), "0", "0")]
)
def test_a_new_price_of_a_pack(typed: tuple, pack: str, cash: str) -> None:
    of_use = use("glue", 700, "ml", price=estimate("19.00"), price_on=date(2025, 1, 1))
    bench = Bench(unit(consumables=[of_use]), of_shop=shop(shelf=[consumable("glue", 0, ("500", "9.50"), unit="ml")]))
    bench.does(priced, bench.thing("glue"), estimate(*typed))
    item = bench.shop.shelf[0].pack
    assert (item.price, item.price_on) == (Decimal(pack), TODAY)
    assert cash_to_come(bench.units["R1"], bench.shop).likely == Decimal(cash)
    assert bench.list.price.likely == Decimal(cash)
    assert bench.list.price.high == cash_to_come(bench.units["R1"], bench.shop).high


def test_a_new_price_of_a_part_and_of_another_cost() -> None:
    line = CostLine(code="WX", name="wax", price=None)
    bench = Bench(unit(parts=[part()], cost_lines=[line]))
    bench.does(priced, bench.thing("mains cord"), estimate("5", "6", "9"))
    bench.does(priced, bench.thing("wax"), estimate("8"))
    of_unit = bench.units["R1"]
    assert (of_unit.parts[0].price, of_unit.parts[0].price_on) == (estimate("5", "6", "9"), TODAY)
    assert (of_unit.cost_lines[0].price, of_unit.cost_lines[0].price_on) == (estimate("8"), TODAY)
    bench.does(arrived, bench.thing("wax"), Decimal("8"))
    assert bench.units["R1"].cost_lines[0].paid == Decimal("8.00")
    assert [p.name for p in bench.list.purchases] == ["mains cord"]


def test_a_jar_is_taken_instead_of_buying() -> None:
    nails = part("N1", "nails", 22, fastener="nail 25", price=estimate("4"))
    bench = Bench(unit(parts=[nails]), of_shop=shop(shelf=[consumable("nail 25", 30)]))
    thing = bench.thing("nails")
    bench.does(taken, thing.offers[0], thing)
    (now,) = bench.units["R1"].parts
    assert (now.source, now.supply, now.paid, bench.shop.shelf[0].stock) == (Source.SHELF, Supply.HERE, None, 8)
    few = Bench(unit(parts=[nails]), of_shop=shop(shelf=[consumable("nail 25", 3)]))
    with pytest.raises(InputError, match="only 3 of nail 25"):
        taken(few.thing("nails").offers[0], few.thing("nails"), few.units, few.shop, TODAY)


def test_a_spare_is_taken_instead_of_buying_and_its_owner_stays_as_it_is() -> None:
    owner = unit(code="L1", name="lamp", components=[component("CD", "mains cord", disposition=Disposition.SPARE)])
    bench = Bench(unit(parts=[part(price=estimate("6"))]), owner)
    thing = bench.thing("mains cord")
    bench.does(taken, thing.offers[0], thing)
    (now,) = bench.units["R1"].parts
    assert (now.source, now.supply, now.spare_of) == (Source.SPARE, Supply.HERE, "L1 CD")
    assert bench.units["L1"] is owner


def test_what_has_to_be_written_down_elsewhere_says_where() -> None:
    sheet = Bench(unit(case=Case(panels=(panel("P1", "500.0x200.0"),))))
    with pytest.raises(InputError, match="goes on the scrap pile as a piece"):
        arrived(sheet.list.purchases[0], None, sheet.units, sheet.shop, TODAY)
    with pytest.raises(InputError, match="cannot be ordered from here"):
        ordered(sheet.list.purchases[0], sheet.units, sheet.shop, TODAY)
    with pytest.raises(InputError, match="cannot be given a price yet"):
        priced(sheet.list.purchases[0], estimate("5"), sheet.units, sheet.shop, TODAY)
    unknown = Bench(unit(consumables=[use("glue", 1, "m")]), of_shop=shop(shelf=[consumable("glue", 1, unit="ml")]))
    with pytest.raises(InputError, match="how much is needed is not known yet"):
        arrived(unknown.list.purchases[0], None, unknown.units, unknown.shop, TODAY)


# What was paid


def for_two(*prices: str | None, shipping: str | None = "8") -> Bench:
    """Two units that order at one seller: 30 and 10 of goods in one parcel."""
    units = [
        unit(code=code, parts=[part(price=estimate(price) if price else None, seller="post")])
        for code, price in zip(("R1", "C1"), prices, strict=True)
    ]
    seller = Seller(name="post", shipping=estimate(shipping) if shipping else None)
    return Bench(*units, of_shop=shop(sellers=[seller]))


def paid_for(bench: Bench) -> list[Decimal | None]:
    return [u.parts[0].paid for u in bench.units.values()]


def test_what_is_not_known_as_paid_is_written_nowhere() -> None:
    bench = Bench(unit(parts=[part(price=estimate("6.50"))]))
    bench.does(arrived, bench.thing("mains cord"), None)
    (now,) = bench.units["R1"].parts
    assert (now.supply, now.paid, now.paid_on) == (Supply.HERE, None, None)
    assert (bench.list.purchases, already_spent(bench.units["R1"])) == ((), 0)


@pytest.mark.parametrize(("paid", "shares"), [("19.00", ["12.67", "6.33"]), ("20.50", ["13.67", "6.83"])])
def test_another_price_is_shared_like_the_likely_one(paid: str, shares: list[str]) -> None:
    """400 and 200 ml: two thirds and one third of 20.50 are 13.67 and 6.83."""
    units = [unit(code=c, consumables=[use("glue", n, "ml")]) for c, n in (("R1", 400), ("C1", 200))]
    bench = Bench(*units, of_shop=shop(shelf=[consumable("glue", 0, ("500", "9.50"), unit="ml")]))
    bench.does(arrived, bench.thing("glue"), Decimal(paid))
    assert [u.consumables[0].paid for u in bench.units.values()] == [Decimal(s) for s in shares]


def test_a_thing_without_a_price_is_paid_what_was_typed() -> None:
    bench = Bench(unit(parts=[part(price=None)]))
    bench.does(arrived, bench.thing("mains cord"), Decimal("7.20"))
    assert bench.units["R1"].parts[0].paid == Decimal("7.20")


def test_the_sum_of_a_parcel_is_shared_over_things_and_shipping() -> None:
    """30 + 10 + 8 = 48 likely; 60 was paid, a quarter more of each: 37.50, 12.50, and 10 shipping as 7.50 and 2.50."""
    bench = for_two("30", "10")
    bench.does(parcel_arrived, parcel_of(bench, "post"), Decimal("60"))
    assert paid_for(bench) == [Decimal("37.50"), Decimal("12.50")]
    assert [u.spent[0].amount for u in bench.units.values()] == [Decimal("7.50"), Decimal("2.50")]


def test_the_one_thing_without_a_price_takes_the_rest_of_the_sum() -> None:
    """45 paid; 30 for the one, 8 shipping, so 7 for the other."""
    bench = for_two("30", None)
    bench.does(parcel_arrived, parcel_of(bench, "post"), Decimal("45"))
    assert paid_for(bench) == [Decimal("30.00"), Decimal("7.00")]


@pytest.mark.parametrize(("prices", "sum_paid"), [(("30", None), "37"), ((None, None), "37")])
def test_a_sum_that_cannot_be_shared_is_refused_and_nothing_changes(prices: tuple, sum_paid: str) -> None:
    bench = for_two(*prices)
    with pytest.raises(InputError, match="it has no price"):
        parcel_arrived(parcel_of(bench, "post"), Decimal(sum_paid), bench.units, bench.shop, TODAY)
    bench.does(parcel_arrived, parcel_of(bench, "post"), None)
    assert paid_for(bench) == [None, None]
    assert [u.spent for u in bench.units.values()] == [(), ()]
    assert bench.list.purchases == ()


def test_shipping_that_nobody_knows_is_not_said_to_be_paid() -> None:
    line = CostLine(code="S1", name="shipping", seller="post", parcel=True)
    bench = Bench(unit(parts=[part(price=estimate("30"), seller="post")], cost_lines=[line]))
    bench.does(parcel_arrived, parcel_of(bench, "post"), Decimal("30"))
    assert bench.units["R1"].parts[0].paid == Decimal("30.00")
    assert bench.units["R1"].cost_lines[0].paid is None


def test_a_cost_is_done_only_once_it_is_known_what_was_paid() -> None:
    bench = Bench(unit(cost_lines=[CostLine(code="WX", name="wax", price=estimate("8"))]))
    with pytest.raises(InputError, match="done once it is paid"):
        arrived(bench.thing("wax"), None, bench.units, bench.shop, TODAY)
