"""What is to buy over all units: joined packs, parcels, what is here already or counted on twice, what it frees."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from logbook.costing import BuyKind, Purchase, ToBuy, cash_to_come, list_question, to_buy
from logbook.model.casework_records import Case
from logbook.model.shop import Seller, Shop
from logbook.model.unit import Unit
from logbook.model.words import Disposition, Source, Stage, Supply
from logbook.model.work import CostLine
from tests.builders import (
    component,
    consumable,
    day,
    estimate,
    mm,
    new_fasteners,
    offcut,
    operation,
    part,
    renewed,
    shop,
    step,
    unit,
    use,
)
from tests.costing.radio import panel
from tests.example_records import C1, G1, L1, R1, SHOP

NOW = datetime(2026, 3, 17, 12, tzinfo=UTC)
GLUE = consumable("glue", 300, ("500", "9.50"), unit="ml")


def listed(*units: Unit, of_shop: Shop | None = None, now: datetime | None = NOW) -> ToBuy:
    return to_buy(units, of_shop or shop(), now)


def only(found: ToBuy) -> Purchase:
    (purchase,) = found.purchases
    return purchase


def test_the_radio_alone_costs_what_its_cash_says() -> None:
    """58.25 / 74.30 / 156.00, the shipping of the one parcel among them."""
    found = listed(R1, of_shop=SHOP)
    assert found.price == estimate("58.25", "74.30", "156.00")
    assert found.by_unit == (("R1", found.price),)
    (by_post,) = [p for p in found.parcels if p.shipping is not None and p.shipping.high]
    assert by_post.shipping == estimate("5.00", "7.95", "15.00")


def test_the_whole_demo_offers_the_jar_first_and_tells_of_the_strip_that_two_want() -> None:
    found = listed(R1, G1, C1, L1, of_shop=SHOP)
    (offered,) = [p for p in found.purchases if p.offers]
    assert (offered.name, [o.words for o in offered.offers]) == (
        "nails 25, small box",
        ["30 nail 25 on the shelf, jar 2"],
    )
    assert [c.sentence for c in found.clashes] == [
        "R1 and C1 are both to be cut from O12: R1 1.58 m and C1 0.6 m of 2.4 m, 0.22 m left before saw cuts."
    ]
    assert {u for u, _ in found.by_unit} == {"R1", "G1", "C1"}, "what is stopped buys nothing"


def test_a_strip_too_short_for_both_and_one_of_which_not_all_is_known() -> None:
    sawn = tuple(
        o.model_copy(update={"length": mm("2000"), "usable_length": None}) if o.code == "O12" else o
        for o in SHOP.offcuts
    )
    found = listed(R1, C1, of_shop=SHOP.model_copy(update={"offcuts": sawn}))
    assert any("R1 1.58 m and C1 0.6 m of 2 m, 0.18 m too short." in c.sentence for c in found.clashes)
    assert C1.case is not None
    unknown = tuple(s.model_copy(update={"length": mm("0")}) for s in C1.case.strips)
    vague = C1.model_copy(update={"case": C1.case.model_copy(update={"strips": unknown})})
    said = [c.sentence for c in listed(R1, vague, of_shop=SHOP).clashes if "O12" in c.sentence]
    assert said == ["R1 and C1 are both to be cut from O12: see that both fit on it."]


def test_a_pack_for_two_units_is_bought_once_and_shared_by_need() -> None:
    """400 and 200 ml, 300 in stock: 300 are missing, one pack of 500 at 9.50, two thirds and one third of it."""
    units = [unit(code=c, consumables=[use("glue", n, "ml")]) for c, n in (("R1", 400), ("C1", 200))]
    purchase = only(found := listed(*units, of_shop=shop(shelf=[GLUE])))
    assert (purchase.quantity, purchase.packs, purchase.price) == (300, 1, estimate("9.50"))
    assert [(s.unit, s.quantity, s.price.likely) for s in purchase.shares] == [
        ("R1", 400, Decimal("6.33")),
        ("C1", 200, Decimal("3.17")),
    ]
    assert purchase.how == (
        "R1 400 ml + C1 200 ml; 300 ml in stock, 300 ml missing; 1 pack of 500, 200 ml left over for the shelf."
    )
    assert [c.sentence for c in found.clashes] == [
        "R1 and C1 count on the same 300 ml of glue (R1 400 ml, C1 200 ml): 300 ml too little for all."
    ]


def test_stock_that_is_enough_for_each_alone_and_not_for_all_is_told() -> None:
    units = [unit(code=c, consumables=[use("glue", 200, "ml")]) for c in ("R1", "C1")]
    assert [listed(u, of_shop=shop(shelf=[GLUE])).purchases for u in units] == [(), ()]
    found = listed(*units, of_shop=shop(shelf=[GLUE]))
    assert (only(found).quantity, len(found.clashes)) == (100, 1)


def test_stock_past_its_life_is_not_counted_and_says_so() -> None:
    old = consumable("glue", 300, ("500", "9.50"), unit="ml", opened_on=day("2024-06-08"), keeps_months=12)
    purchase = only(listed(unit(consumables=[use("glue", 100, "ml")]), of_shop=shop(shelf=[old])))
    assert (purchase.quantity, purchase.packs) == (100, 1)
    assert "300 ml of glue in stock are not counted: past their shelf life (2025-06-08)" in purchase.how


def test_the_newest_price_of_a_pack_counts_for_all() -> None:
    newer = use("glue", 600, "ml", price=estimate("10", "12", "14"), price_on=day("2026-03-01"))
    older = use("glue", 600, "ml", price=estimate("8"), price_on=day("2026-01-01"))
    units = [unit(code="R1", consumables=[newer]), unit(code="C1", consumables=[older])]
    purchase = only(listed(*units, of_shop=shop(shelf=[consumable("glue", 0, ("500", "9.50"), unit="ml")])))
    # R1 alone would buy two packs for 10 / 12 / 14; together three: 15 / 18 / 21
    assert (purchase.packs, purchase.price, purchase.price_on) == (3, estimate("15", "18", "21"), day("2026-03-01"))


def test_parts_in_packs_are_bought_together_and_others_alone() -> None:
    def wants(code: str, quantity: int, **more) -> Unit:
        return unit(code=code, parts=[part("N1", "nail 25", quantity, seller="counter", **more)])

    packed = {"pack_size": Decimal(100), "price": estimate("4.00")}
    purchase = only(listed(wants("R1", 60, **packed), wants("C1", 30, **packed)))
    assert (purchase.packs, purchase.quantity, purchase.price) == (1, 90, estimate("4.00"))
    assert [s.price.likely for s in purchase.shares] == [Decimal("2.67"), Decimal("1.33")]
    assert len(listed(wants("R1", 60, price=estimate("4.00")), wants("C1", 30)).purchases) == 2


def test_what_is_here_stopped_or_conditional() -> None:
    here = unit(code="R1", parts=[part(supply=Supply.HERE), part("N2", "clip", supply=Supply.ORDERED)])
    stopped = unit(code="L1", stage=Stage.STOPPED, parts=[part()])
    maybe = unit(code="C1", parts=[part("N1", "valve", only_if="only if weak", price=estimate("0", "0", "12"))])
    found = listed(here, stopped, maybe)
    assert [(p.name, p.supply, p.only_if) for p in found.purchases] == [
        ("clip", Supply.ORDERED, ""),
        ("valve", Supply.NEEDED, "only if weak"),
    ]
    assert found.unpriced == ("clip",)
    assert list_question(found, "$0.00") == (
        "2 things to get for 2 units, 1 of them ordered, likely $0.00 or more together; 1 has no price (?)."
    )


def test_without_any_price_there_is_no_sum() -> None:
    found = listed(unit(code="R1", parts=[part(), part("N2", "dial"), part("N3", "fuse")]))
    assert found.price is None, "nothing priced is not nothing to pay"
    assert found.by_unit == (("R1", None),)
    assert [p.goods for p in found.parcels] == [None]
    assert list_question(found, "?") == "3 things to get; none has a price yet (?)."
    assert list_question(found, "?", "$ to say one") == "3 things to get; none has a price yet: $ to say one (?)."


def test_shipping_of_one_parcel_is_shared_by_the_price_of_the_goods() -> None:
    """8.00 for 30.00 and 10.00 of goods: 6.00 and 2.00."""
    post = Seller(name="post", shipping=estimate("8"), days=9)
    units = [unit(code=c, parts=[part(price=estimate(n), seller="Post")]) for c, n in (("R1", "30"), ("C1", "10"))]
    found = listed(*units, of_shop=shop(sellers=[post]))
    (parcel,) = found.parcels
    assert [(u, p.likely) for u, p in parcel.shipping_shares] == [("R1", Decimal("6.00")), ("C1", Decimal("2.00"))]
    assert (found.price.likely, dict(found.by_unit)["R1"].likely) == (48, 36)
    assert parcel.shipping_how == (
        "One parcel, as written down for post. Shared over R1, C1 by the likely price of the goods for each."
    )


@pytest.mark.parametrize(
    ("seller", "line", "shipping", "says"),
    [
        (Seller(name="post", shipping=estimate("8"), free_from=Decimal(20)), None, "0.00", "Free from 20 on."),
        (Seller(name="post", shipping=estimate("8"), free_from=Decimal(21)), None, "8", "as written down for post"),
        (None, CostLine(code="SH", name="shipping", price=estimate("5"), seller="post", parcel=True), "5", "in R1"),
        (None, None, None, "not written down"),
    ],
)
def test_where_the_shipping_comes_from(seller, line, shipping: str | None, says: str) -> None:
    of_unit = unit(parts=[part(price=estimate("20"), seller="post")], cost_lines=[line] if line else [])
    (parcel,) = listed(of_unit, of_shop=shop(sellers=[seller] if seller else [])).parcels
    assert parcel.shipping == (None if shipping is None else estimate(shipping))
    assert says in parcel.shipping_how


def test_two_units_that_wrote_down_the_same_parcel_pay_it_once() -> None:
    line = CostLine(code="SH", name="shipping", price=estimate("5"), seller="post", parcel=True)
    units = [unit(code=c, parts=[part(seller="post")], cost_lines=[line]) for c in ("R1", "C1")]
    found = listed(*units)
    assert found.price == estimate("5.00")
    assert [p.likely for _, p in found.by_unit] == [Decimal("2.50"), Decimal("2.50")], "nothing has a price: equally"


@pytest.mark.parametrize(
    ("name", "disposition", "stage", "offered"),
    [
        ("mains cord", Disposition.SPARE, Stage.CLOSED, True),
        ("Mains  cords", Disposition.SPARE, Stage.TEARDOWN, True),
        ("cord", Disposition.SPARE, Stage.CLOSED, True),
        ("speaker", Disposition.SPARE, Stage.CLOSED, False),
        ("mains cord", Disposition.KEEP, Stage.TEARDOWN, False),
        ("mains cord", Disposition.KEEP, Stage.STOPPED, True),
        ("mains cord", Disposition.SCRAP, Stage.STOPPED, False),
    ],
)
def test_a_spare_of_another_unit_is_offered(name: str, disposition: str, stage: Stage, offered: bool) -> None:
    owner = unit(code="L1", name="lamp", stage=stage, components=[component("CD", name, disposition=disposition)])
    wanting = unit(code="R1", parts=[part("N1", "new mains cord")])
    found = to_buy([wanting], shop(), NOW, [wanting, owner])
    assert bool(only(found).offers) is offered


def test_a_spare_that_is_taken_is_not_offered_again_and_two_takers_are_told() -> None:
    owner = unit(
        code="L1", name="lamp", stage=Stage.STOPPED, components=[component("CD", "cord", disposition=Disposition.SPARE)]
    )
    taker = unit(code="R1", parts=[part("N1", "cord", source=Source.SPARE, spare_of="L1 CD", supply=Supply.HERE)])
    wanting = unit(code="C1", parts=[part("N1", "cord")])
    assert only(to_buy([wanting], shop(), NOW, [owner, taker, wanting])).offers == ()
    both = [unit(code=c, parts=[part("N1", "cord", source=Source.SPARE, spare_of="L1 CD")]) for c in ("R1", "C1")]
    assert [c.units for c in listed(owner, *both).clashes] == [("R1", "C1")]


def test_a_purchase_says_what_it_alone_would_free() -> None:
    """The cord is all that T01 waits for; T02 waits for the clip as well and comes after it."""
    of_unit = unit(
        step("T01", "cord off"),
        step("T02", "clip off"),
        parts=[part("N1", "cord", for_steps=["T02"]), part("N2", "clip", for_steps=["T01"])],
        operations=[operation("K01", needs={"parts": ("N1",)})],
    )
    frees = {p.name: [(f.unit, f.lines) for f in p.frees] for p in listed(of_unit).purchases}
    assert frees["cord"] == [("R1", ("K01", "A02"))]
    assert frees["clip"] == [], "the line that wants it comes after one that waits for the cord"


def test_fasteners_without_a_part_say_what_they_free_too() -> None:
    of_unit = unit(step("T01", fasteners=[renewed("felt pad", 2)]))
    purchase = only(listed(of_unit))
    assert (purchase.kind, purchase.quantity, purchase.price) == (BuyKind.FASTENER, 2, None)
    assert [(f.unit, f.lines) for f in purchase.frees] == [("R1", ("A02", "A03"))], "the refit and the audit"


def test_jars_are_shared_over_units() -> None:
    def wants(code: str, count: int) -> Unit:
        return unit(step("T01", refit={"new_fasteners": (new_fasteners("screw 3x16", count),)}), code=code)

    jar = shop(shelf=[consumable("screw 3x16", 10)])
    assert listed(wants("R1", 6), of_shop=jar).purchases == ()
    found = listed(wants("R1", 6), wants("C1", 7), of_shop=jar)
    assert (only(found).quantity, only(found).units) == (3, ("R1", "C1"))
    assert "10 of screw 3x16" in found.clashes[0].sentence


def test_sheet_that_all_together_lack_is_on_the_list_without_a_price() -> None:
    def wants(code: str) -> Unit:
        return unit(code=code, case=Case(panels=(panel("P1", "500.0x200.0"),)))

    pile = shop(offcuts=[offcut("O1", "600x250")])
    assert listed(wants("R1"), of_shop=pile).purchases == ()
    found = listed(wants("R1"), wants("C1"), of_shop=pile)
    assert (only(found).kind, only(found).quantity, only(found).price) == (BuyKind.MATERIAL, Decimal("0.0500"), None)
    promised = shop(offcuts=[offcut("O1", "600x250", reserved_for="X9 shelf")])
    assert only(listed(wants("R1"), of_shop=promised)).quantity == Decimal("0.1000")


def test_an_old_price_is_flagged_by_the_setting() -> None:
    of_unit = unit(
        parts=[part(price=estimate("5"), price_on=day("2025-09-16")), part("N2", "clip", price=estimate("1"))]
    )
    aged = {p.name: p.price_age for p in listed(of_unit).purchases}
    assert aged == {"mains cord": "price of 16 Sep 2025, older than 6 months", "clip": "price has no date"}
    patient = shop(settings={"price_old_months": 12})
    assert listed(of_unit, of_shop=patient).purchases[0].price_age == ""
    assert listed(of_unit, now=NOW - timedelta(days=1)).purchases[0].price_age == "", (
        "six months to the day are not older"
    )


UNITS = st.lists(
    st.tuples(
        st.lists(st.tuples(st.integers(1, 900), st.sampled_from(["glue", "stain"])), max_size=3),
        st.lists(st.tuples(st.integers(0, 5000), st.sampled_from(["post", "counter", ""])), max_size=3),
    ),
    min_size=1,
    max_size=4,
)


def made(of: list) -> list[Unit]:
    return [
        unit(
            code=f"R{i}",
            consumables=[use(name, n, "ml", code=f"U{j}") for j, (n, name) in enumerate(uses)],
            parts=[
                part(
                    f"N{j}", f"thing {j}", price=estimate(f"{c / 200:.2f}", f"{c / 100:.2f}", f"{c / 50:.2f}"), seller=s
                )
                for j, (c, s) in enumerate(parts)
            ],
        )
        for i, (uses, parts) in enumerate(of)
    ]


SHELF = shop(
    shelf=[consumable("glue", 250, ("500", "9.50"), unit="ml"), consumable("stain", 0, ("125", "7.00"), unit="ml")],
    sellers=[Seller(name="post", shipping=estimate("5", "7.95", "15"))],
)


@settings(max_examples=60)
@given(UNITS)
@example([([], [(0, "counter")])])
def test_shares_add_up_to_the_last_cent(of: list) -> None:
    found = listed(*made(of), of_shop=SHELF, now=None)
    shares = [share for _, share in found.by_unit if share is not None]
    if found.price is None:
        assert shares == [], "where the whole is not known, no share of it is"
        return
    for point in ("low", "likely", "high"):
        assert sum(getattr(share, point) for share in shares) == getattr(found.price, point)
        for purchase in found.purchases:
            if purchase.price is not None:
                assert sum(getattr(s.price, point) for s in purchase.shares) == getattr(purchase.price, point)


@settings(max_examples=60)
@given(UNITS, st.integers(0, 3), st.integers(1, 2000))
def test_needing_more_never_lowers_cash(of: list, which: int, more: int) -> None:
    units = made(of)
    before = listed(*units, of_shop=SHELF, now=None)
    at = which % len(units)
    grown = (*units[at].consumables, use("glue", more, "ml", code="U9"))
    units[at] = units[at].model_copy(update={"consumables": grown})
    after = listed(*units, of_shop=SHELF, now=None)
    if before.price is None or after.price is None:
        return  # of what is not known nothing is compared
    assert after.price.low >= before.price.low
    assert after.price.likely >= before.price.likely
    assert sum(p.packs or 0 for p in after.purchases) >= sum(p.packs or 0 for p in before.purchases)


@settings(max_examples=40)
@given(UNITS)
def test_buying_together_never_costs_more_than_each_alone(of: list) -> None:
    units = made(of)
    together = listed(*units, of_shop=SHELF, now=None)
    stockless = SHELF.model_copy(
        update={"shelf": tuple(c.model_copy(update={"stock": Decimal(0)}) for c in SHELF.shelf)}
    )
    alone = [listed(u, of_shop=stockless, now=None).price for u in units]
    if together.price is None or None in alone:
        return  # of what is not known nothing is compared
    assert together.price.likely <= sum(price.likely for price in alone)


@settings(max_examples=40)
@given(UNITS)
def test_for_one_unit_without_parcels_it_is_the_cash_to_come(of: list) -> None:
    fetched = SHELF.model_copy(update={"sellers": ()})
    for one in made(of):
        found, cash = listed(one, of_shop=fetched, now=None), cash_to_come(one, fetched)
        if found.price is None:
            assert not cash.known
            continue
        assert (found.price.low, found.price.likely, found.price.high) == (cash.low, cash.likely, cash.high)
