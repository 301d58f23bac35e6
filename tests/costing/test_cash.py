"""Cash to come and hours to come: which lines count, what is left out and named, and the sums."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.costing import CashKind, CashLine, cash_to_come, hours, lines_behind
from logbook.model.casework_records import Case
from logbook.model.measures import Estimate
from logbook.model.shop import Seller
from logbook.model.words import Disposition, WorkState
from logbook.model.work import CostLine
from tests.builders import component, consumable, day, effort, estimate, operation, part, renewed, shop, step, unit, use
from tests.costing.radio import panel

PRICE = estimate("6", "9", "14")


@pytest.mark.parametrize(
    ("more", "likely", "unpriced"),
    [
        ({"price": PRICE}, "9", ()),
        ({"price": PRICE, "supply": "ordered"}, "9", ()),
        ({"price": PRICE, "supply": "here"}, "0", ()),
        ({"price": PRICE, "only_if": "only if open"}, "9", ()),
        ({}, "0", ("mains cord",)),
        ({"source": "newly made"}, "0", ("mains cord",)),
        ({"supply": "here"}, "0", ()),
        ({"source": "scrap pile"}, "0", ()),
        ({"source": "another unit's spare"}, "0", ()),
        ({"source": "salvaged", "price": PRICE}, "9", ()),
        ({"price": estimate("0")}, "0", ()),
    ],
)
def test_which_parts_are_cash_to_come(more: dict, likely: str, unpriced: tuple[str, ...]) -> None:
    cash = cash_to_come(unit(parts=[part(**more)]), shop())
    assert (cash.likely, cash.unpriced) == (Decimal(likely), unpriced)


def test_consumables_count_when_packs_must_be_bought() -> None:
    of_unit = unit(consumables=[use("glue", 10, "ml", price=PRICE, price_on=day("2026-03-01"), seller="paint counter")])
    near = [Seller(name="paint counter", shipping=estimate("0"))]
    for stock, likely in ((10, 0), (9, 9)):
        cash = cash_to_come(of_unit, shop(shelf=[consumable("glue", stock, ("100", "5"), unit="ml")], sellers=near))
        assert cash.likely == likely
    (line,) = cash.lines
    assert (line.kind, line.price_on, line.seller) == (CashKind.CONSUMABLE, day("2026-03-01"), "paint counter")


def test_a_consumable_without_a_price_of_its_own_costs_what_its_packs_cost() -> None:
    of_shop = shop(shelf=[consumable("glue", 0, ("100", "5.25"), unit="ml")])
    cash = cash_to_come(unit(consumables=[use("glue", 250, "ml")]), of_shop)
    assert (cash.low, cash.likely, cash.high) == (Decimal("15.75"),) * 3


def test_shelf_life_decides_over_buying() -> None:
    tin = consumable("glue", 80, ("100", "5"), unit="ml", opened_on=day("2025-01-01"), keeps_months=12)
    of_unit = unit(consumables=[use("glue", 50, "ml")])
    assert cash_to_come(of_unit, shop(shelf=[tin]), day("2026-01-01")).likely == 0
    assert cash_to_come(of_unit, shop(shelf=[tin]), day("2026-01-02")).likely == 5


def test_unpriced_lines_are_named_and_not_zero() -> None:
    of_unit = unit(
        parts=[part("N1", "cord"), part("N2", "cloth", price=PRICE)], cost_lines=[CostLine(code="S", name="shipping")]
    )
    cash = cash_to_come(of_unit, shop())
    assert cash.unpriced == ("cord", "shipping")
    assert [x.price for x in cash.lines] == [None, PRICE, None]
    assert cash.expected == Fraction(6 + 36 + 14, 6)


@pytest.mark.parametrize(
    ("more", "named"),
    [
        ({}, True),
        ({"parts": [part("N1", "set", for_components=["CA"], price=PRICE)]}, False),
        ({"parts": [part("N1", "set", for_steps=["T05"], price=PRICE)]}, False),
        ({"parts": [part("N1", "set", for_steps=["T06"], price=PRICE)]}, True),
    ],
)
def test_a_component_to_renew_that_nothing_stands_for_is_named(more: dict, named: bool) -> None:
    of_unit = unit(components=[component("CA", "felt", disposition=Disposition.RENEW, from_step="T05")], **more)
    assert bool(cash_to_come(of_unit, shop()).not_counted) is named


def test_a_component_that_is_the_renewed_fastener_of_its_step_is_not_named() -> None:
    felt = component("CA", "felt", disposition=Disposition.RENEW, from_step="T05")
    of_unit = unit(step("T05", fasteners=[renewed("felt washer", 4)]), components=[felt])
    assert cash_to_come(of_unit, shop()).not_counted == ()


def test_material_that_the_pile_lacks_is_named() -> None:
    case = Case(panels=(panel("P1", "500x200"),))
    (sentence,) = cash_to_come(unit(case=case), shop()).not_counted
    assert sentence.startswith("12 ply 11.8: P1 500 × 200 = 0.1 m2; 0 m2 of it on the pile")
    bought = part("N1", "12 ply, half sheet", price=PRICE)
    assert cash_to_come(unit(case=case, parts=[bought]), shop()).not_counted == ()


money = st.decimals(min_value=0, max_value=10_000, places=2)
estimates = st.tuples(money, money, money).map(sorted).map(lambda p: Estimate(low=p[0], likely=p[1], high=p[2]))


@given(st.lists(estimates, max_size=8), st.randoms())
def test_sums_are_ordered_exact_and_independent_of_the_order(prices: list[Estimate], random) -> None:
    parts = [part(f"N{i}", f"part {i}", price=p) for i, p in enumerate(prices)]
    cash = cash_to_come(unit(parts=parts), shop())
    assert cash.low <= cash.likely <= cash.high
    assert cash.low <= cash.expected <= cash.high
    assert cash.contingency == cash.expected - Fraction(cash.likely)
    assert sum(Fraction(p.high) for p in prices) == Fraction(cash.high)
    random.shuffle(parts)
    again = cash_to_come(unit(parts=parts), shop())
    assert (again.low, again.likely, again.high, again.expected) == (cash.low, cash.likely, cash.high, cash.expected)


@given(st.lists(estimates, min_size=1, max_size=8), st.data())
def test_what_is_here_is_no_longer_to_come(prices: list[Estimate], data) -> None:
    parts = [part(f"N{i}", price=p) for i, p in enumerate(prices)]
    i = data.draw(st.integers(0, len(parts) - 1))
    before = cash_to_come(unit(parts=parts), shop())
    arrived = [
        part(f"N{i}", price=p, supply="here") if j == i else q
        for j, (p, q) in enumerate(zip(prices, parts, strict=True))
    ]
    after = cash_to_come(unit(parts=arrived), shop())
    assert Fraction(before.likely) - Fraction(after.likely) == Fraction(prices[i].likely)


def cash_line(name: str, likely: str, high: str) -> CashLine:
    return CashLine(CashKind.PART, name, name, estimate("0", likely, high), None, "", "")


@given(
    st.lists(st.tuples(st.integers(0, 50), st.integers(0, 50)), max_size=7),
    st.integers(-5, 120),
)
def test_lines_behind_are_the_fewest_that_make_up_the_excess(spreads: list[tuple[int, int]], excess: int) -> None:
    """Held against every choice of lines."""
    lines = [cash_line(f"L{i}", str(a), str(a + b)) for i, (a, b) in enumerate(spreads)]
    found = lines_behind(lines, Decimal(excess))
    enough = [
        chosen
        for n in range(len(lines) + 1)
        for chosen in combinations(lines, n)
        if sum(x.spread for x in chosen) >= excess
    ]
    if enough:
        assert sum(x.spread for x in found) >= excess
        assert len(found) == len(enough[0])
    else:
        assert len(found) == sum(1 for x in lines if x.spread > 0)


def test_done_operations_are_not_to_come() -> None:
    of_unit = unit(
        operations=[
            operation("B01", "lay out", effort(24, 30, 48), state=WorkState.DONE, spent=40),
            operation("B02", "rough cut", effort(42, 60, 96)),
            operation("B03", "press", None),
        ],
        minutes_worked=270,
    )
    work = hours(of_unit, shop())
    assert (work.low, work.likely, work.high, work.expected) == (42, 60, 96, Fraction(42 + 240 + 96, 6))
    assert (work.done, work.unestimated) == (("B01",), ("B03 press",))
    assert (work.spent_on_operations, work.worked) == (40, 40)
    assert [x.expected for x in work.lines] == [Fraction(63), None]


@pytest.mark.parametrize(
    ("spent", "left"),
    [(None, (42, 60, 96)), (0, (42, 60, 96)), (30, (12, 30, 66)), (50, (5, 10, 46)), (200, (5, 5, 5))],
)
def test_of_an_operation_begun_what_was_spent_is_taken_off(spent: int | None, left: tuple[int, int, int]) -> None:
    of_unit = unit(operations=[operation("B02", "cut", effort(42, 60, 96), state=WorkState.DOING, spent=spent)])
    work = hours(of_unit, shop())
    assert (work.low, work.likely, work.high) == left


def test_minutes_noted_before_an_operation_begins_change_nothing() -> None:
    assert hours(unit(operations=[operation("B02", "cut", 60, spent=15)]), shop()).likely == 60


def test_no_operations_no_hours() -> None:
    work = hours(unit(), shop())
    assert (work.low, work.likely, work.high, work.expected) == (0, 0, 0, 0)
