"""Stop rules set beforehand: the lowest pay per hour that is still worth it, and months at rest."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest

from logbook.checks import check_unit
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import ComparatorKind
from logbook.model.work import Comparator, CostLine, StopLine
from tests.builders import at, estimate, operation, step, unit

NOW = at("2026-06-01 12:00")


def on_the_bench(rule: StopLine, *, days: int = 0) -> Unit:
    """A unit that costs 60 more and takes 10 hours, against 100 for a new one: it pays (100 - 60) / 10 = 4 an hour."""
    return unit(
        step("T01", at=NOW - timedelta(days=days)),
        operations=[operation("B1", minutes=600)],
        cost_lines=[CostLine(code="K1", name="shipping", price=estimate("60"))],
        comparators=[Comparator(code="N", kind=ComparatorKind.NEW, what="a new one", price=Decimal(100))],
        stop_lines=[rule],
    )


def told(of: Unit) -> list[str]:
    return [p.code for p in check_unit(of, Shop(), NOW) if p.code in ("stop-rate", "stop-at-rest")]


@pytest.mark.parametrize(("least", "codes"), [("3.99", []), ("4", []), ("4.01", ["stop-rate"]), (None, [])])
def test_going_on_must_pay_the_least_rate(least: str | None, codes: list[str]) -> None:
    rule = StopLine(amount=Decimal(500), least_rate=None if least is None else Decimal(least))
    assert told(on_the_bench(rule)) == codes


@pytest.mark.parametrize(("days", "codes"), [(359, []), (360, []), (361, ["stop-at-rest"])])
def test_so_many_months_at_rest_are_too_many(days: int, codes: list[str]) -> None:
    assert told(on_the_bench(StopLine(amount=Decimal(500), months_at_rest=12), days=days)) == codes
