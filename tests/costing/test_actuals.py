"""Paid and taken against the estimate, and the correction that past times suggest."""

from __future__ import annotations

from decimal import Decimal
from math import exp, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from logbook.costing import actuals, corrections, suggestions
from logbook.costing.actuals import BETWEEN, PRIOR_WEIGHT, WITHIN, kind_of, ratio_of, shrunk
from logbook.model.words import WorkState
from logbook.model.work import CostLine
from tests.builders import effort, estimate, operation, part, unit, use


def done(code: str, taken: int, minutes: int = 60, name: str = "glue-up", **more: object):
    return operation(code, name, effort(minutes), state=WorkState.DONE, spent=taken, **more)


def test_what_was_paid_stands_against_its_estimate() -> None:
    found = actuals(
        unit(
            parts=[part("N1", "cord", price=estimate("5", "6.50", "9"), paid=Decimal("9.40")), part("N2", "feet")],
            consumables=[use("varnish", price=estimate("11"), paid=Decimal("11.00"))],
            cost_lines=[CostLine(code="S", name="shipping", paid=Decimal(4))],
        )
    )
    assert [(x.name, x.over, x.verdict) for x in found.paid] == [
        ("varnish", 0, "within the range"),
        ("cord", Decimal("2.90"), "above the high case"),
        ("shipping", None, "never estimated"),
    ]
    assert (found.paid_sum, found.likely_of_paid) == (Decimal("24.40"), Decimal("17.50"))


def test_what_was_taken_stands_against_its_estimate() -> None:
    found = actuals(
        unit(
            operations=[
                operation("B01", "lay out", effort(20, 30, 40), state=WorkState.DONE, spent=60),
                operation("B02", "cut", effort(20, 30, 40), state=WorkState.DOING, spent=50),
                operation("B03", "sand", None, state=WorkState.DONE, spent=10),
                operation("B04", "oil", effort(20, 30, 40), state=WorkState.DONE, spent=10),
                operation("B05", "wax"),
            ]
        )
    )
    assert [(x.code, x.ratio, x.verdict) for x in found.taken] == [
        ("B01", 2, "above the high case"),
        ("B02", None, "begun, above the high case already"),
        ("B03", None, "never estimated"),
        ("B04", pytest.approx(1 / 3), "below the low case"),
    ]
    assert found.ratio == pytest.approx(70 / 60), "what is begun or was never estimated is not in it"


@pytest.mark.parametrize(
    ("name", "kind", "found"),
    [
        ("dry fit and glue drawer 1", "", "dry fit and glue drawer"),
        ("Glue-up", "", "glue-up"),
        ("press stack 2", "Press", "press"),
        ("42", "", "42"),
    ],
)
def test_the_kind_of_work(name: str, kind: str, found: str) -> None:
    assert kind_of(operation("B01", name, kind=kind)) == found


@pytest.mark.parametrize(("taken", "of"), [(0, effort(60)), (30, None), (30, effort(0))])
def test_no_ratio_where_nothing_can_be_compared(taken: int, of: object) -> None:
    assert ratio_of(taken, of) is None  # type: ignore[arg-type]


@pytest.mark.parametrize("ratios", [[2.0], [1.5, 2.5], [0.5, 0.7, 0.9, 0.6], [1.0] * 10])
def test_the_shrunk_ratio_is_the_posterior_of_the_normal_model(ratios: list[float]) -> None:
    """Against the posterior added up on a fine grid, prior × likelihood, by numpy and scipy."""
    logs, within = [log(r) for r in ratios], 0.16
    grid = np.linspace(-4, 4, 200_001)
    density = stats.norm(0, BETWEEN).logpdf(grid) + sum(stats.norm(grid, within**0.5).logpdf(v) for v in logs)
    weight = np.exp(density - density.max())
    weight /= weight.sum()
    mean = float((weight * grid).sum())
    variance = float((weight * (grid - mean) ** 2).sum())
    found = shrunk("glue-up", logs, within)
    assert log(found.factor) == pytest.approx(mean, abs=1e-6)
    next_one = stats.norm(mean, (variance + within) ** 0.5)
    assert log(found.low) == pytest.approx(next_one.ppf(0.1), abs=1e-5)
    assert log(found.high) == pytest.approx(next_one.ppf(0.9), abs=1e-5)
    assert found.raw == pytest.approx(stats.gmean(ratios))


@given(st.lists(st.floats(0.2, 5), min_size=1, max_size=12))
@settings(max_examples=60)
def test_it_lies_between_one_and_what_was_seen_and_more_is_believed_more(ratios: list[float]) -> None:
    logs = [log(r) for r in ratios]
    found, twice = shrunk("k", logs, 0.16), shrunk("k", logs * 2, 0.16)
    low, high = sorted((1.0, found.raw))
    assert low - 1e-9 <= found.factor <= high + 1e-9
    assert 0 < found.credibility < twice.credibility < 1
    assert abs(log(twice.factor)) >= abs(log(found.factor)) - 1e-12


def test_no_ratio_no_correction() -> None:
    with pytest.raises(ValueError, match="at least one"):
        shrunk("k", [], 0.16)


def test_past_units_correct_the_same_kind_of_work_only() -> None:
    past = unit(code="C1", operations=[done("B01", 90), done("B02", 120), done("B03", 30, name="sand")])
    now = unit(operations=[operation("B11", "glue-up", effort(30, 60, 90)), operation("B12", "cut", effort(60))])
    (found,) = suggestions(now, corrections([past, now]))
    assert found.code == "B11"
    assert found.correction.count == 2
    assert 1 < found.correction.factor < found.correction.raw
    assert found.suggested.likely == round(60 * found.correction.factor)
    assert found.suggested.low < found.suggested.likely < found.suggested.high
    assert now.operations[0].effort == effort(30, 60, 90), "nothing is applied by itself"


def test_the_scatter_of_single_times_is_pooled_over_all_kinds() -> None:
    """Start value 0.4 counted four times, and the squares around each kind's own mean."""
    logs = [log(1.5), log(0.9), log(1.2)]
    past = unit(operations=[done("B1", 90), done("B2", 54), done("B3", 72), done("B4", 120, name="sand")])
    mean = sum(logs) / 3
    within = (PRIOR_WEIGHT * WITHIN**2 + sum((v - mean) ** 2 for v in logs)) / (PRIOR_WEIGHT + 2)
    found = corrections([past])
    assert found["glue-up"].factor == pytest.approx(shrunk("glue-up", logs, within).factor)
    assert found["sand"].factor == pytest.approx(exp(log(2) / (1 + within / BETWEEN**2)))


def test_work_that_is_begun_or_untimed_teaches_nothing() -> None:
    begun = operation("B1", "glue-up", effort(60), state=WorkState.DOING, spent=200)
    untimed = operation("B2", "glue-up", effort(60), state=WorkState.DONE)
    assert corrections([unit(operations=[begun, untimed])]) == {}
