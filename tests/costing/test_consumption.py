"""What is used up: need, stock, shelf life, packs to buy, and the share that this job takes."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.costing import ConsumableNeed, cash_to_come, consumption, cost_views
from logbook.model.dates import months_after, use_by
from logbook.model.measures import Estimate
from logbook.model.unit import Unit
from tests.builders import consumable, day, estimate, part, shop, unit, use
from tests.costing.radio import consumption_of, term


def needs(*uses, shelf=(), today: date | None = None, **more) -> tuple[ConsumableNeed, ...]:
    return consumption(unit(consumables=list(uses), **more), shop(shelf=list(shelf)), today)


def one(of_use, *shelf, today: date | None = None) -> ConsumableNeed:
    (need,) = needs(of_use, shelf=shelf, today=today)
    return need


@pytest.mark.parametrize(
    ("terms", "waste", "need"),
    [
        ((term("2", rate="150"),), "", "300"),
        ((term("2", rate="150", times=2),), "", "600"),
        ((term("2", coverage="10"),), "", "0.2"),
        ((term("2", coverage="10", times=3),), "", "0.6"),
        ((term("5"),), "", "5"),
        ((term("5", times=0),), "", "0"),
        ((term("5"), term("2", rate="3")), "", "11"),
        ((term("5"), term("-2")), "", "3"),
        ((term("5"),), "20", "6"),
        ((term("5"),), "0", "5"),
        ((term("1", coverage="3"),), "", "1/3"),
    ],
)
def test_need(terms: tuple, waste: str, need: str) -> None:
    found = one(consumption_of("U1", "varnish", "l", *terms, waste=waste))
    assert (found.stated, found.need) == (Fraction(need), Fraction(need))


@pytest.mark.parametrize(
    ("terms", "waste", "says"),
    [
        ((), "", "no amount is written down"),
        ((term("1", rate="2", coverage="3"),), "", "give one of them"),
        ((term("1", coverage="0"),), "", "not above zero"),
        ((term("1", coverage="-4"),), "", "not above zero"),
        ((term("1", rate="-4"),), "", "below zero"),
        ((term("1"), term("-2")), "", "more is taken off than there is"),
        ((term("1"),), "-5", "-5 % is below zero"),
    ],
)
def test_a_need_that_cannot_be_computed_says_why_and_is_not_zero(terms: tuple, waste: str, says: str) -> None:
    found = one(
        consumption_of("U1", "varnish", "l", *terms, waste=waste), consumable("varnish", "1", ("1", "9"), unit="l")
    )
    assert (found.need, found.packs, found.cash, found.used_up) == (None, None, None, None)
    assert says in found.problems[0]
    assert cash_to_come(
        unit(consumables=[consumption_of("U1", "varnish", "l", *terms, waste=waste)]), shop()
    ).unpriced == ("varnish",)


@pytest.mark.parametrize(
    ("need", "stock", "packs", "buys"),
    [
        ("100", "0", 1, "cash"),
        ("100", "100", 0, ""),
        ("100.0001", "100", 1, "cash"),
        ("500", "0", 1, "cash"),
        ("500.0001", "0", 2, "cash"),
        ("1200", "150", 3, "cash"),
        ("0", "0", 0, ""),
    ],
)
def test_packs_to_buy(need: str, stock: str, packs: int, buys: str) -> None:
    found = one(use(amount=need, unit="ml"), consumable(stock=stock, pack=("500", "9.50"), unit="ml"))
    assert found.packs == packs
    assert found.cash.likely == (packs * Decimal("9.50") if buys else 0)
    assert found.on_hand is (packs == 0)


def test_stock_and_a_bought_pack_share_the_cost() -> None:
    found = one(use(amount="150", unit="ml"), consumable(stock="100", pack=("200", "10.00"), unit="ml"))
    assert [str(x) for x in (found.used_up, found.from_stock, found.from_packs)] == ["7.50", "5.00", "2.50"]
    assert found.share == Fraction(3, 4)


def test_the_bought_share_is_counted_at_the_price_written_down_for_it() -> None:
    found = one(
        use(amount="150", unit="ml", price=estimate("11", "12", "15")),
        consumable(stock="100", pack=("200", "10.00"), unit="ml"),
    )
    assert (found.cash.likely, str(found.from_packs), str(found.from_stock)) == (12, "3.00", "5.00")


def test_stock_without_a_price_is_unknown_and_not_free() -> None:
    of_unit = unit(consumables=[use("hooks", 8)])
    of_shop = shop(shelf=[consumable("hooks", 20)])
    (found,) = consumption(of_unit, of_shop)
    assert (found.packs, found.cash.likely, found.used_up) == (0, 0, None)
    assert found.from_stock is None
    assert cost_views(of_unit, of_shop).unpriced == ("hooks, used from stock",)


def test_a_jar_priced_at_zero_costs_nothing() -> None:
    of_unit = unit(consumables=[use("hooks", 8, price=estimate("0"))])
    of_shop = shop(shelf=[consumable("hooks", 20)])
    assert str(consumption(of_unit, of_shop)[0].used_up) == "0.00"
    assert cost_views(of_unit, of_shop).unpriced == ()


def test_a_zero_price_for_something_that_must_be_bought_is_pointed_out() -> None:
    found = one(use(amount="1", unit="l", price=estimate("0")), consumable(pack=("1", "12"), unit="l"))
    assert "must be bought" in found.problems[0]


def test_not_on_the_shelf_counts_only_by_its_own_price() -> None:
    unknown = one(use("wax", 1))
    assert (unknown.packs, unknown.cash, unknown.on_hand) == (None, None, False)
    assert (unknown.from_stock, unknown.from_packs) == (0, None), (
        "nothing is taken from stock; what is bought is unknown"
    )
    priced = unit(consumables=[use("wax", 1, price=estimate("4"))])
    assert cost_views(priced, shop()).used_up_bought == Decimal("4.00"), "without a pack all that is bought is used"


@pytest.mark.parametrize("size", ["0", "-5"])
def test_a_pack_without_a_size_is_no_pack(size: str) -> None:
    found = one(use("wax", 1), consumable("wax", 0, (size, "4")))
    assert (found.packs, found.cash, found.share) == (None, None, None)
    assert found.problems == ("The pack of wax has no size: write down how much it holds.",)


def test_grams_meet_millilitres_only_through_a_density() -> None:
    glue = use(amount="188.2205", unit="g")
    assert one(glue, consumable(unit="ml", density=Decimal("1.1"))).need == Fraction("188.2205") / Fraction("1.1")
    without = one(glue, consumable(unit="ml", pack=("500", "9")))
    assert (without.stated, without.need, without.cash) == (Fraction("188.2205"), None, None)
    assert "density" in without.problems[0]


@pytest.mark.parametrize(
    ("today", "stock", "packs"),
    [(None, 80, 0), ("2026-03-10", 80, 0), ("2026-03-11", 0, 1)],
)
def test_opened_stock_past_its_shelf_life_is_not_counted(today: str | None, stock: int, packs: int) -> None:
    tin = consumable("varnish", "80", ("100", "9"), unit="ml", opened_on=day("2025-09-10"), keeps_months=6)
    found = one(use("varnish", 50, "ml"), tin, today=day(today) if today else None)
    assert (found.stock, found.packs) == (stock, packs)
    assert any("past their shelf life (2026-03-10)" in p for p in found.problems) is (packs == 1)


def test_two_tins_of_one_name_are_counted_together_but_not_the_old_one() -> None:
    shelf = (
        consumable("stain", "30", ("125", "7"), unit="ml"),
        consumable("Stain ", "0.02", unit="l"),
        consumable("stain", "90", unit="ml", opened_on=day("2020-01-01"), keeps_months=24),
        consumable("stain", "2", unit="m"),
    )
    (found,) = needs(use("stain", 60, "ml"), shelf=shelf, today=day("2026-03-01"))
    assert (found.stock, found.packs) == (50, 1)
    assert len(found.problems) == 2


def test_needs_of_one_consumable_share_stock_and_the_rest_of_a_pack() -> None:
    glue = consumable(stock="60", pack=("100", "10"), unit="ml")
    first, second, third = needs(
        use(code="U1", amount="50", unit="ml"),
        use(code="U2", amount="40", unit="ml"),
        use(code="U3", amount="70", unit="ml"),
        shelf=(glue,),
    )
    assert [n.packs for n in (first, second, third)] == [0, 1, 0]
    assert [str(n.from_stock) for n in (first, second, third)] == ["5.00", "1.00", "0.00"]
    assert [str(n.from_packs) for n in (first, second, third)] == ["0.00", "3.00", "7.00"]
    assert third.stock == 70, "the rest of the pack bought for the second"


def test_a_part_made_from_shelf_material_needs_it_by_mass() -> None:
    knob = part("M1", "knob", 2, source="newly made", made_from="casting resin", mass_g=Decimal(40), machine=90)
    of_unit = unit(parts=[knob])
    of_shop = shop(shelf=[consumable("casting resin", "50", ("500", "25"), unit="g")])
    (found,) = consumption(of_unit, of_shop)
    assert (found.code, found.need, found.packs, str(found.used_up)) == ("M1", 80, 1, "4.00")
    cash = cash_to_come(of_unit, of_shop)
    assert (cash.likely, cash.unpriced) == (Decimal("25.00"), ()), "the material is its price"
    assert consumption(unit(parts=[knob.model_copy(update={"price": estimate("9")})]), of_shop) == ()


def test_how_says_what_was_computed() -> None:
    found = one(
        consumption_of("U1", "PVA glue", "g", term("0.7736", what="faces", per="m2", rate="200"), waste="15"),
        consumable(stock="300", pack=("500", "9.50"), unit="ml", density=Decimal("1.1")),
    )
    assert found.how == ("faces 0.7736 m2 × 200, + 15 % waste = 177.93 g = 161.75 ml; 300 ml in stock, nothing to buy")


@pytest.mark.parametrize(
    ("opened", "months", "last"),
    [
        ("2025-09-10", 6, "2026-03-10"),
        ("2025-08-31", 6, "2026-02-28"),
        ("2023-08-31", 6, "2024-02-29"),
        ("2025-12-31", 1, "2026-01-31"),
        ("2025-01-15", 0, "2025-01-15"),
        ("2025-01-15", 1_000_000, "9999-12-31"),
    ],
)
def test_shelf_life_in_calendar_months(opened: str, months: int, last: str) -> None:
    assert use_by(consumable(opened_on=day(opened), keeps_months=months)) == day(last)


def test_months_before() -> None:
    assert months_after(day("2026-03-31"), -1) == day("2026-02-28")
    assert months_after(day("0001-01-01"), -1) == date.min


sizes = st.decimals(min_value="0.01", max_value=5000, places=2)
stocks = st.decimals(min_value=0, max_value=5000, places=2)
prices = st.decimals(min_value="0.01", max_value=500, places=2)


@given(stocks, stocks, sizes, prices)
def test_packs_are_enough_and_no_more(need: Decimal, stock: Decimal, size: Decimal, price: Decimal) -> None:
    found = one(use(amount=str(need), unit="ml"), consumable(stock=str(stock), pack=(str(size), str(price)), unit="ml"))
    lacking = need - stock
    assert found.packs * size >= lacking
    assert found.packs == 0 or (found.packs - 1) * size < lacking
    assert found.cash.likely == found.packs * price
    assert found.from_stock + found.from_packs == found.used_up
    assert abs(Fraction(found.used_up) - Fraction(need) * Fraction(price) / Fraction(size)) <= Fraction(1, 100)
    assert found.from_packs <= found.cash.likely


@given(stocks, st.decimals(min_value=0, max_value=100, places=2), stocks, sizes, prices)
def test_more_need_never_costs_less(
    need: Decimal, more: Decimal, stock: Decimal, size: Decimal, price: Decimal
) -> None:
    shelf = consumable(stock=str(stock), pack=(str(size), str(price)), unit="ml")
    small = one(use(amount=str(need), unit="ml"), shelf)
    large = one(use(amount=str(need + more), unit="ml"), shelf)
    assert (small.packs, small.used_up) <= (large.packs, large.used_up)
    assert small.used_up <= large.used_up


@given(st.lists(stocks, min_size=1, max_size=6), stocks, sizes, prices)
def test_a_need_in_parts_buys_as_much_as_the_whole(
    parts: list[Decimal], stock: Decimal, size: Decimal, price: Decimal
) -> None:
    shelf = (consumable(stock=str(stock), pack=(str(size), str(price)), unit="ml"),)
    split = needs(*(use(code=f"U{i}", amount=str(p), unit="ml") for i, p in enumerate(parts)), shelf=shelf)
    (whole,) = needs(use(amount=str(sum(parts)), unit="ml"), shelf=shelf)
    assert sum(n.packs for n in split) == whole.packs
    assert sum(n.cash.likely for n in split) == whole.cash.likely
    rounding = Decimal("0.01") * (len(parts) + 1)
    assert abs(sum(n.used_up for n in split) - whole.used_up) <= rounding


@given(stocks, stocks, sizes, prices)
def test_what_is_used_up_is_paid_or_from_stock(need: Decimal, stock: Decimal, size: Decimal, price: Decimal) -> None:
    of_unit: Unit = unit(consumables=[use(amount=str(need), unit="ml")])
    of_shop = shop(shelf=[consumable(stock=str(stock), pack=(str(size), str(price)), unit="ml")])
    views = cost_views(of_unit, of_shop)
    assert views.used_up == views.used_up_bought + views.stock_used
    assert 0 <= views.used_up_bought <= views.to_pay


def test_an_estimate_of_zero_is_a_true_zero() -> None:
    (found,) = needs(use(amount="1", unit="ml"), shelf=(consumable(stock="5", pack=("5", "1"), unit="ml"),))
    assert found.cash == Estimate(low=Decimal(0), likely=Decimal(0), high=Decimal(0))
