"""Rebuild or not: net prices, break-evens, the stop line and its readings."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.costing import StopState, comparison, cost_views, net_price, own_material
from logbook.model.casework_records import Case, Material
from logbook.model.unit import Arrival
from logbook.model.words import ComparatorKind
from logbook.model.work import Comparator, CostLine, MakeOrBreak, SaleLine, Spent, StopLine
from tests.builders import at, component, consumable, day, estimate, offcut, operation, part, shop, unit, use
from tests.costing.radio import comparator, panel, strip

NEW, PARTS, SELL = ComparatorKind.NEW, ComparatorKind.SELL_PARTS, ComparatorKind.SELL_REBUILT


def sales(*prices: str) -> tuple[SaleLine, ...]:
    return tuple(SaleLine(what="part", price=Decimal(p)) for p in prices)


@pytest.mark.parametrize(
    ("of", "net"),
    [
        (comparator("A", NEW, "129.00", "12.40"), "141.40"),
        (comparator("A", NEW, "129.00"), "129.00"),
        (Comparator(code="A", kind=NEW), None),
        (Comparator(code="A", kind=NEW, delivery=Decimal(5)), None),
        (Comparator(code="A", kind=PARTS, sales=sales("25", "12", "8"), fee_percent=Decimal(15)), "-38.25"),
        (Comparator(code="A", kind=PARTS, sales=sales("25", "12", "8")), "-45"),
        (comparator("A", SELL, "150", fee_percent=Decimal(12)), "-132.00"),
        (comparator("A", SELL, "150", "10", fee_percent=Decimal(12)), "-122.00"),
        (comparator("A", SELL, "0.10", fee_percent=Decimal(25)), "-0.08"),
        (comparator("A", PARTS, "5", "8"), "3"),
        (Comparator(code="A", kind=PARTS), None),
    ],
)
def test_net_price(of: Comparator, net: str | None) -> None:
    assert net_price(of) == (None if net is None else Decimal(net))


def a_unit(*prices: tuple[str, str, str], minutes: int = 600, **more):
    parts = [part(f"N{i}", f"part {i}", price=estimate(*p)) for i, p in enumerate(prices, start=1)]
    operations = [operation(minutes=minutes)] if minutes else []
    return unit(parts=parts, operations=operations, **more)


def test_gap_rate_and_hours() -> None:
    of_unit = a_unit(("40", "40", "40"), comparators=[comparator("NEW", NEW, "100")])
    (found,) = comparison(of_unit, shop(settings={"rate": Decimal(12)})).break_evens
    assert (found.gap, found.rate, found.hours) == (60, 6, 5)
    assert (found.gap_with_parts, found.rate_with_parts) == (None, None), "no value of the parts is stated"


def test_the_best_way_to_sell_the_parts_is_what_is_given_up() -> None:
    selling = [Comparator(code=c, kind=PARTS, sales=sales(p)) for c, p in (("P1", "10"), ("P2", "20"))]
    table = comparison(a_unit(("40", "40", "40"), comparators=[*selling, comparator("NEW", NEW, "100")]), shop())
    assert table.parts_value == 20
    assert (table.break_evens[0].gap_with_parts, table.break_evens[0].rate_with_parts) == (40, 4)


@pytest.mark.parametrize(
    ("price", "minutes", "rate", "gap", "pays", "hours"),
    [
        ("100", 0, "12", 60, None, 5),
        ("100", 600, None, 60, 6, None),
        ("100", 600, "0", 60, 6, None),
        ("40", 600, "12", 0, 0, 0),
        ("39", 600, "12", -1, None, None),
    ],
)
def test_break_even_at_the_edges(
    price: str, minutes: int, rate: str | None, gap: int, pays: int | None, hours: int | None
) -> None:
    of_unit = a_unit(("40", "40", "40"), minutes=minutes, comparators=[comparator("NEW", NEW, price)])
    settings = {"rate": Decimal(rate)} if rate is not None else {}
    (found,) = comparison(of_unit, shop(settings=settings)).break_evens
    assert (found.gap, found.rate, found.hours) == (gap, pays, hours)


def test_a_comparator_without_a_price_stays_a_row_and_is_named() -> None:
    table = comparison(a_unit(comparators=[Comparator(code="NEW", kind=NEW, what="same function")]), shop())
    assert [(r.option, r.cash, r.at_rates) for r in table.rows[1:]] == [("buy new", None, (None,))]
    assert (table.break_evens, table.unpriced) == ((), ("same function",))


def test_selling_the_rebuilt_is_no_row_of_its_own() -> None:
    table = comparison(a_unit(("40", "40", "40"), comparators=[comparator("S", SELL, "30")]), shop())
    assert len(table.rows) == 1
    assert (table.resales[0].left, table.resales[0].per_hour) == (-10, -1), "it would pay to stop"


def test_rows_stand_in_the_order_of_the_table() -> None:
    kinds = [ComparatorKind.SELL_PARTS, ComparatorKind.USED_AS_IS, NEW, ComparatorKind.USED_RESTORED]
    table = comparison(a_unit(comparators=[comparator(f"C{i}", k, "10") for i, k in enumerate(kinds)]), shop())
    assert [r.option for r in table.rows] == [
        "rebuild", "buy new", "buy used, restored", "buy used, as is", "stop, sell the parts",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("rate", "fair", "rates"),
    [(None, None, (0,)), ("12", None, (0, 12)), ("12", "30", (0, 12, 30)), ("0", "30", (0, 30)), ("12", "12", (0, 12))],
)
def test_rates(rate: str | None, fair: str | None, rates: tuple[int, ...]) -> None:
    settings = {k: Decimal(v) for k, v in (("rate", rate), ("fair_rate", fair)) if v is not None}
    table = comparison(a_unit(("40", "40", "40")), shop(settings=settings))
    assert table.rates == rates
    assert table.rows[0].at_rates == tuple(40 + 10 * r for r in rates)


@pytest.mark.parametrize(
    ("line", "state", "because"),
    [
        ("100", StopState.UNDER, ()),
        ("99.99", StopState.HIGH_OVER, ("part 1",)),
        ("50", StopState.HIGH_OVER, ("part 1",)),
        ("39.99", StopState.HIGH_OVER, ("part 1", "part 2")),
        ("36.66", StopState.EXPECTED_OVER, ("part 1", "part 2")),
        ("25", StopState.EXPECTED_OVER, ("part 1", "part 2")),
        ("24.99", StopState.LIKELY_OVER, ("part 1", "part 2")),
    ],
)
def test_stop_line(line: str, state: StopState, because: tuple[str, ...]) -> None:
    """Likely 25, expected (20 + 4 × 25 + 100) / 6 = 36.67, high 100 = 25 + 60 + 15."""
    of_unit = a_unit(("10", "10", "70"), ("10", "15", "30"), stop_lines=[StopLine(amount=Decimal(line))])
    found = comparison(of_unit, shop()).stop
    assert (found.state, found.because_of) == (state, because)
    assert found.likely_over == 25 - Decimal(line)
    assert found.high_over == 100 - Decimal(line)
    assert found.sentence.startswith(f"Stop line {line}")


def test_the_last_stop_line_holds() -> None:
    of_unit = a_unit(("50", "50", "50"), stop_lines=[StopLine(amount=Decimal(40)), StopLine(amount=Decimal(60))])
    assert comparison(of_unit, shop()).stop.state is StopState.UNDER
    assert comparison(a_unit(), shop()).stop is None


def test_the_stop_line_says_when_something_has_no_price() -> None:
    priced = CostLine(code="S", name="varnish", price=estimate("1"))
    unpriced = CostLine(code="T", name="cleaner")
    of_unit = unit(parts=[part()], cost_lines=[priced, unpriced], stop_lines=[StopLine(amount=Decimal(9))])
    assert comparison(of_unit, shop()).stop.sentence.endswith("2 things have no price and can only add to this.")


def test_money_spent_is_shown_and_decides_nothing() -> None:
    line = StopLine(amount=Decimal(50), set_at=at("2026-03-12 20:00"))
    spent = [
        Spent(what="kerb", amount=Decimal(10), on=day("2026-03-11")),
        Spent(what="leads", amount=Decimal(3), on=day("2026-03-12")),
        Spent(what="felt", amount=Decimal(2), on=day("2026-03-13")),
        Spent(what="evening", minutes=90),
    ]
    costs = {"comparators": [comparator("NEW", NEW, "100")], "stop_lines": [line]}
    with_it, without = (comparison(a_unit(("40", "40", "40"), spent=s, **costs), shop()) for s in (spent, []))
    assert (with_it.rows, with_it.break_evens) == (without.rows, without.break_evens)
    assert with_it.stop.state == without.stop.state
    assert (with_it.already_spent, with_it.stop.spent_since) == (15, 2)
    assert without.already_spent == 0


def test_the_next_test_is_the_first_that_is_open() -> None:
    tests = tuple(MakeOrBreak(what=w, passed=p) for w, p in (("a", True), ("failed", False), ("b", None), ("c", None)))
    assert comparison(a_unit(arrival=Arrival(make_or_break=tests)), shop()).next_test.what == "b"
    assert comparison(a_unit(), shop()).next_test is None


money = st.decimals(min_value=0, max_value=1000, places=2)


@given(money, money, st.integers(1, 6000), st.decimals(min_value="0.01", max_value=100, places=2))
def test_at_the_break_even_rate_both_cost_the_same(price: Decimal, cash: Decimal, minutes: int, own: Decimal) -> None:
    of_unit = a_unit((str(cash),) * 3, minutes=minutes, comparators=[comparator("NEW", NEW, str(price))])
    table = comparison(of_unit, shop(settings={"rate": own}))
    (found,) = table.break_evens
    if price < cash:
        assert (found.rate, found.hours) == (None, None)
    else:
        assert Fraction(cash) + table.hours.expected_hours * found.rate == Fraction(price)
        assert Fraction(cash) + found.hours * Fraction(own) == Fraction(price)


def test_own_material_with_waste_and_without_a_rate() -> None:
    case = Case(
        panels=(panel("P1", "500x200"), panel("P2", "500x200", core=("9 ply", "8.8"))),
        strips=(strip("S1", 1, "1000"),),
        materials=(
            Material(name="12 PLY", per_m2=Decimal("28"), waste_percent=Decimal(10)),
            Material(name="softwood strip 12x12", per_m2=Decimal(9)),
        ),
    )
    own = own_material(unit(case=case), shop())
    assert [(x.material.name, x.replacement) for x in own.lines] == [
        ("12 ply 11.8", Decimal("3.08")),
        ("9 ply 8.8", None),
        ("softwood strip 12x12", None),
    ]
    assert own.replacement == Decimal("3.08")
    assert own.unpriced == ("9 ply 8.8", "softwood strip 12x12")
    assert cost_views(unit(case=case), shop()).unpriced == (
        "9 ply 8.8, own material",
        "softwood strip 12x12, own material",
    )


def test_views_keep_cash_share_and_stock_apart() -> None:
    of_unit = unit(
        parts=[part(price=estimate("5", "6", "7"))],
        components=[component()],
        consumables=[use("glue", 150, "ml"), use("stain", 20, "ml", code="U2")],
    )
    of_shop = shop(
        shelf=[
            consumable("glue", 100, ("200", "10"), unit="ml"),
            consumable("stain", 90, ("100", "7"), unit="ml"),
        ],
        offcuts=[offcut()],
    )
    views = cost_views(of_unit, of_shop)
    assert (views.to_pay, views.used_up_bought, views.stock_used) == (16, Decimal("8.50"), Decimal("6.40"))
    assert (views.used_up, views.own_material, views.with_own_material) == (Decimal("14.90"), 0, Decimal("14.90"))
