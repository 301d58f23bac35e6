"""The shelf: packs come, are opened, are used up; what keeps shortest goes first."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.costing import consumption
from logbook.costing.stock import taken_from_jar, with_arrived, with_opened, with_ordered, with_pack_price, with_used
from logbook.errors import InputError
from logbook.model.dates import months_after
from logbook.model.shop import Shop
from tests.builders import consumable, day, shop, unit, use

TODAY = date(2026, 3, 17)


def lines(of: Shop) -> list[tuple[str, str, date | None]]:
    return [(c.name, format(c.stock, "f"), c.opened_on) for c in of.shelf]


@pytest.mark.parametrize(
    ("shelf", "after"),
    [
        ([], [("glue", "500", None)]),
        ([consumable("glue", 0, ("500", "9.50"), opened_on=day("2025-01-01"))], [("glue", "500", None)]),
        ([consumable("Glue", 500, ("500", "9.50"))], [("Glue", "1000", None)]),
        (
            [consumable("glue", 120, ("500", "9.50"), opened_on=day("2026-01-01"))],
            [("glue", "120", day("2026-01-01")), ("glue", "500", None)],
        ),
        ([consumable("glue", 120, ("500", "9.50"))], [("glue", "120", None), ("glue", "500", None)]),
        ([consumable("glue", 7)], [("glue", "507", None)]),
    ],
)
def test_packs_that_arrive_never_get_the_age_of_an_opened_one(shelf: list, after: list) -> None:
    assert lines(with_arrived(shop(shelf=shelf), "glue", Decimal(500))) == after


def test_ordering_and_arriving() -> None:
    start = shop(shelf=[consumable("glue", 0, ("500", "9.50"))])
    ordered = with_ordered(start, "GLUE", 2, TODAY)
    assert (ordered.shelf[0].packs_ordered, ordered.shelf[0].ordered_on) == (2, TODAY)
    assert with_arrived(ordered, "glue", Decimal(1000)).shelf[0].packs_ordered == 0
    with pytest.raises(InputError, match="has no pack on the shelf yet"):
        with_ordered(start, "varnish", 1, TODAY)


def test_one_of_several_packs_is_opened() -> None:
    start = shop(shelf=[consumable("glue", 1000, ("500", "9.50"), keeps_months=12)])
    opened = with_opened(start, 0, TODAY)
    assert lines(opened) == [("glue", "500", None), ("glue", "500", TODAY)]
    with pytest.raises(InputError, match="was opened on 17 Mar 2026"):
        with_opened(opened, 1, TODAY)
    with pytest.raises(InputError, match="not on the shelf any more"):
        with_opened(opened, 2, TODAY)
    with pytest.raises(InputError, match="no glue to open"):
        with_opened(shop(shelf=[consumable("glue", 0)]), 0, TODAY)


def test_the_rest_of_a_pack_becomes_stock_with_the_day_it_was_opened() -> None:
    """250 ml less 135.34 ml are 114.66 ml; the varnish keeps 12 months from the opening."""
    start = shop(shelf=[consumable("varnish", 250, ("250", "11.00"), unit="ml", keeps_months=12)])
    of_unit, after = with_used(unit(consumables=[use("varnish", "135.34", "ml")]), start, "U1", TODAY)
    assert lines(after) == [("varnish", "114.66", TODAY)]
    assert of_unit.consumables[0].used_on == TODAY
    (need,) = consumption(of_unit, after, TODAY)
    assert (need.packs, need.used_up, need.used_on) == (0, 0, TODAY), "it is no need any more"
    later = months_after(TODAY, 12)
    (fresh,) = consumption(unit(consumables=[use("varnish", 100, "ml")]), after, later)
    assert fresh.packs == 0
    (stale,) = consumption(unit(consumables=[use("varnish", 100, "ml")]), after, date(2027, 3, 18))
    assert (stale.packs, stale.stock) == (1, 0)
    assert "past their shelf life (2027-03-17)" in stale.problems[0]


def test_what_keeps_shortest_goes_first_and_what_is_past_is_left() -> None:
    start = shop(
        shelf=[
            consumable("glue", 500, ("500", "9.50"), unit="ml", keeps_months=12),
            consumable("glue", 100, unit="ml", opened_on=day("2026-01-01"), keeps_months=12),
            consumable("glue", 100, unit="ml", opened_on=day("2025-06-01"), keeps_months=12),
            consumable("glue", 100, unit="ml", opened_on=day("2024-01-01"), keeps_months=12),
        ]
    )
    _, after = with_used(unit(consumables=[use("glue", 150, "ml")]), start, "U1", TODAY)
    assert [c.stock for c in after.shelf] == [500, 50, 0, 100]
    _, after = with_used(unit(consumables=[use("glue", 250, "ml")]), start, "U1", TODAY)
    assert lines(after)[0] == ("glue", "450", TODAY), "the fresh pack is opened only when the others are empty"


@pytest.mark.parametrize(
    ("uses", "says"),
    [
        ([use("glue", 600, "ml")], "There is 100 ml too little glue on the shelf"),
        ([use("glue", 6, "m")], "cannot be counted in ml"),
        ([use("glue", 6, "ml", used_on=TODAY)], "was used up on 17 Mar 2026 already"),
        ([], "has no consumable U1"),
    ],
)
def test_what_cannot_be_used_up_is_said_and_nothing_is_taken(uses: list, says: str) -> None:
    start = shop(shelf=[consumable("glue", 500, ("500", "9.50"), unit="ml")])
    with pytest.raises(InputError, match=says):
        with_used(unit(consumables=uses), start, "U1", TODAY)


def test_a_jar_gives_what_it_has() -> None:
    start = shop(shelf=[consumable("nail 25", 30)])
    assert taken_from_jar(start, "Nail  25", Decimal(22), TODAY).shelf[0].stock == 8
    with pytest.raises(InputError, match="only 30 of nail 25"):
        taken_from_jar(start, "nail 25", Decimal(31), TODAY)


def test_a_price_of_today_stands_with_the_pack() -> None:
    after = with_pack_price(shop(shelf=[consumable("glue", 1, ("500", "9.50"))]), "glue", Decimal("10.20"), TODAY)
    assert (after.shelf[0].pack.price, after.shelf[0].pack.price_on) == (Decimal("10.20"), TODAY)


@settings(max_examples=60)
@given(st.lists(st.integers(0, 900), min_size=1, max_size=4), st.integers(1, 1500))
def test_nothing_is_lost_on_the_shelf(stocks: list[int], need: int) -> None:
    start = shop(shelf=[consumable("glue", s, ("300", "9.00"), unit="ml") for s in stocks])
    of_unit = unit(consumables=[use("glue", need, "ml")])
    if need > sum(stocks):
        with pytest.raises(InputError):
            with_used(of_unit, start, "U1", TODAY)
        return
    _, after = with_used(of_unit, start, "U1", TODAY)
    assert sum(c.stock for c in after.shelf) == sum(stocks) - need
    assert all(c.stock >= 0 for c in after.shelf)
