"""The decision as values for JSON and as a table for a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from logbook.costing import Decision, Outlook, Suggestion, actuals, cents, timeline
from logbook.costing.amounts import rounded
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.cost_plots import PERCENTS
from logbook.render.csv_tables import Cell, csv_text
from logbook.render.values import plain_values

HEAD = (
    "section", "code", "what", "low", "likely", "high", "expected", "chance_percent", "hours", "rate", "cost_at_rate",
    "ready", "remarks",
)  # fmt: skip
"""Columns of the table. A row of the decision stands once for each rate; hours are decimal."""


def decision_data(unit: Unit, shop: Shop, decided: Decision, offered: Sequence[Suggestion] = ()) -> dict[str, Any]:
    """Everything as values for JSON; drawn figures are rounded to hundredths, exact ones stay exact."""
    found = actuals(unit)
    return {
        "rows": plain_values(decided.rows),
        "chances_above": {c.code: plain_values(c.above) for c in decided.chances},
        "chance_above_stop_line": plain_values(decided.stop_chance),
        "half_of_new": plain_values(decided.half_of_new),
        "owner_value": plain_values(decided.owner),
        "ready": plain_values(decided.ready),
        "stop_lines": plain_values(unit.stop_lines),
        "cash": _outlook(decided.cash),
        "minutes": _outlook(decided.hours),
        "timeline": plain_values(timeline(unit, shop, decided.compared.cash)),
        "paid": plain_values(found.paid),
        "taken": [{**plain_values(line), "ratio": plain_values(line.ratio)} for line in found.taken],
        "suggested": [_suggestion(s) for s in offered],
    }


def _suggestion(offered: Suggestion) -> dict[str, Any]:
    c = offered.correction
    return {
        "code": offered.code,
        "effort": plain_values(offered.effort),
        "suggested": plain_values(offered.suggested),
        "count": c.count,
        "factor": _places(c.factor, 4),
        "low": _places(c.low, 4),
        "high": _places(c.high, 4),
        "credibility": _places(c.credibility, 4),
    }


def _outlook(outlook: Outlook) -> dict[str, Any]:
    drawn, exact = outlook.distribution, outlook.spread
    return {
        "range_known": outlook.known,
        "low": plain_values(exact.low),
        "high": plain_values(exact.high),
        "expected": plain_values(exact.expected),
        "standard_deviation_beta": str(rounded(Fraction(exact.deviation), 4)),
        "standard_deviation_classic": str(rounded(Fraction(exact.classic_deviation), 4)),
        "draws": drawn.draws,
        "seed": drawn.seed,
        "drawn_mean": _places(drawn.mean),
        "drawn_standard_error": _places(drawn.standard_error, 4),
        "agrees": drawn.agrees,
        "percentiles": {str(p): _places(drawn.percentile(p)) for p in PERCENTS},
        "drivers": plain_values(outlook.drivers),
        "stood_for": plain_values(outlook.standing_in),
        "without_range": plain_values(outlook.no_range),
    }


def _places(value: float, places: int = 2) -> str:
    return str(rounded(Fraction(value), places))


def decision_csv(decided: Decision) -> str:
    """The decision and the lines behind it as one table; see `HEAD` for its columns."""
    rows = [*_decision_rows(decided), *_cash_rows(decided), *_hour_rows(decided)]
    return csv_text(HEAD, [[row.get(name) for name in HEAD] for row in rows])


def _decision_rows(decided: Decision) -> list[dict[str, Cell]]:
    return [
        {
            "section": "decision",
            "code": row.code,
            "what": row.option,
            "low": row.low,
            "high": row.high,
            "expected": _cents(row.cash),
            "hours": None if row.hours is None else rounded(row.hours, 4),
            "rate": rate,
            "cost_at_rate": _cents(cost),
            "ready": row.ready,
            "remarks": "; ".join(row.remarks),
        }
        for row in decided.rows
        for rate, cost in zip(decided.compared.rates, row.at_rates, strict=True)
    ]


def _cash_rows(decided: Decision) -> list[dict[str, Cell]]:
    return [
        {
            "section": "cash",
            "code": line.code,
            "what": line.name,
            **({} if (p := line.price) is None else {"low": p.low, "likely": p.likely, "high": p.high}),
            "expected": _cents(line.expected),
            "chance_percent": None if line.chance is None else rounded(line.chance * 100, 2),
            "remarks": line.only_if or ("" if line.price is not None else "no price"),
        }
        for line in decided.compared.cash.lines
    ]


def _hour_rows(decided: Decision) -> list[dict[str, Cell]]:
    return [
        {
            "section": "hours",
            "code": line.code,
            "what": line.name,
            **({} if (e := line.effort) is None else {"low": _h(e.low), "likely": _h(e.likely), "high": _h(e.high)}),
            "hours": None if line.expected is None else rounded(line.expected / 60, 4),
            "remarks": "" if line.effort is not None else "no time",
        }
        for line in decided.compared.hours.lines
    ]


def _cents(value: Fraction | None) -> Decimal | None:
    return None if value is None else cents(value)


def _h(minutes: int) -> Decimal:
    return rounded(Fraction(minutes, 60), 4)
