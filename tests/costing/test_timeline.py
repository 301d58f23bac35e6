"""Cash over time: order of days, sums, and where the stop line lies."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.costing import When, cash_to_come, timeline
from logbook.model.work import CostLine, Spent, StopLine
from tests.builders import at, day, estimate, part, shop, unit
from tests.costing.radio import the_radio, the_shop


def test_the_radio_over_time() -> None:
    found = timeline(the_radio(), the_shop(), cash_to_come(the_radio(), the_shop()))
    last = found.events[-1]
    assert (last.sum_low, last.sum_likely, last.sum_high) == (Decimal("71.75"), Decimal("87.80"), Decimal("169.50"))
    assert found.stop_at == Decimal("113.50"), "100.00 of further cash beyond the 13.50 that were spent"
    assert found.undated_spent == Decimal("13.50")


def test_days_stand_in_order_and_what_has_none_stands_last() -> None:
    of_unit = unit(
        parts=[
            part("N1", "cord", price=estimate("6"), expected_on=day("2026-04-02")),
            part("N2", "feet", price=estimate("3"), ordered_on=day("2026-03-25")),
            part("N3", "glass", price=estimate("9")),
            part("N4", "valve", price=estimate("4"), paid=Decimal(5), paid_on=day("2026-03-20")),
            part("N5", "knob"),
        ],
        spent=[Spent(what="found", amount=Decimal(10), on=day("2026-03-10"))],
        cost_lines=[CostLine(code="S", name="shipping", price=estimate("0"))],
        stop_lines=[StopLine(amount=Decimal(50), set_at=at("2026-03-15 12:00"))],
    )
    found = timeline(of_unit, shop(), cash_to_come(of_unit, shop()))
    assert [(e.what, e.when, str(e.sum_likely)) for e in found.events] == [
        ("found", When.GONE, "10.00"),
        ("valve", When.GONE, "15.00"),
        ("feet", When.TO_COME, "18.00"),
        ("cord", When.TO_COME, "24.00"),
        ("glass", When.NO_DAY, "33.00"),
    ]
    assert found.unpriced == 1
    assert found.stop_at == Decimal("60.00"), "only what was spent before the line was set comes on top of it"


@given(
    st.lists(st.tuples(st.integers(0, 5000), st.none() | st.dates(day("2026-01-01"), day("2026-12-31"))), max_size=8)
)
@settings(max_examples=40, deadline=None)
def test_the_last_sum_is_all_that_was_spent_and_is_to_come(lines: list[tuple[int, object]]) -> None:
    parts = [
        part(f"N{i}", price=estimate(str(Decimal(n).scaleb(-2))), expected_on=on) for i, (n, on) in enumerate(lines)
    ]
    of_unit = unit(parts=parts, spent=[Spent(what="x", amount=Decimal("1.01"))])
    cash = cash_to_come(of_unit, shop())
    events = timeline(of_unit, shop(), cash).events
    assert events[-1].sum_likely == cash.likely + Decimal("1.01")
    sums = [e.sum_high for e in events]
    assert sums == sorted(sums)
