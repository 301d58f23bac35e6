"""The stop line: a limit of further cash set before starting, read against what is still to come."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.costing.amounts import cents, total
from logbook.costing.cash import CashTotals, lines_behind
from logbook.model.unit import Unit
from logbook.model.work import StopLine


class StopState(StrEnum):
    """How cash to come stands against the stop line, from best to worst."""

    UNDER = "under the stop line"
    HIGH_OVER = "could pass: only the high case is over"
    EXPECTED_OVER = "at risk: the expected cash is over"
    LIKELY_OVER = "passed: the likely cash is over, stop"


@dataclass(frozen=True, slots=True)
class StopReading:
    """The stop line read against cash to come."""

    amount: Decimal
    state: StopState
    likely_over: Decimal
    """By how much the likely sum is over; zero or below when it is not."""
    expected_over: Fraction
    high_over: Decimal
    because_of: tuple[str, ...]
    """The fewest lines that would carry the high case over, when it is."""
    spent_since: Decimal
    """Spent on days after the line was set; shown, not in the reading."""
    sentence: str


def stop_reading(line: StopLine, cash: CashTotals, unit: Unit) -> StopReading:
    """Read a stop line: likely over is passed, expected over is at risk, only the high case over could pass."""
    likely_over = cash.likely - line.amount
    expected_over = cash.expected - Fraction(line.amount)
    high_over = cash.high - line.amount
    if likely_over > 0:
        state = StopState.LIKELY_OVER
    elif expected_over > 0:
        state = StopState.EXPECTED_OVER
    elif high_over > 0:
        state = StopState.HIGH_OVER
    else:
        state = StopState.UNDER
    because = tuple(x.name for x in lines_behind(cash.lines, high_over)) if high_over > 0 else ()
    set_on = line.set_at.date() if line.set_at else None
    spent = total(s.amount for s in unit.spent if s.amount is not None and s.on and set_on and s.on > set_on)
    return StopReading(
        amount=line.amount,
        state=state,
        likely_over=likely_over,
        expected_over=expected_over,
        high_over=high_over,
        because_of=because,
        spent_since=spent,
        sentence=_stop_sentence(line.amount, state, cash, because),
    )


def _stop_sentence(amount: Decimal, state: StopState, cash: CashTotals, because: tuple[str, ...]) -> str:
    over = {
        StopState.UNDER: f"even the high case {cents(cash.high)} is under it",
        StopState.HIGH_OVER: f"likely and expected are under it, the high case {cents(cash.high)} is over by "
        f"{cents(cash.high - amount)}",
        StopState.EXPECTED_OVER: f"likely {cents(cash.likely)} is under it, expected {cash.expected_shown} is over by "
        f"{cents(cash.expected - Fraction(amount))}",
        StopState.LIKELY_OVER: f"likely {cents(cash.likely)} is over by {cents(cash.likely - amount)}: stop",
    }[state]
    words = f"Stop line {cents(amount)}: {over}."
    if because and state is StopState.HIGH_OVER:
        words += f" What would do it: {', '.join(because)}."
    missing = len(cash.unpriced) + len(cash.not_counted)
    if missing:
        words += f" {missing} {'thing has' if missing == 1 else 'things have'} no price and can only add to this."
    return words
