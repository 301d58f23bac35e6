"""The stop line: a limit of further cash set before starting, read against what is still to come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.costing.amounts import cents, total
from logbook.costing.cash import CashLine, CashTotals, cash_to_come, lines_behind
from logbook.model.shop import Shop
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


@dataclass(frozen=True, slots=True)
class StopCrossing:
    """An edit by which the expected or the high cash came to pass the stop line."""

    before: StopState
    after: StopState
    lines: tuple[str, ...]
    """Names of the lines that did it, the one that added most first; empty when the line itself moved."""
    sentence: str


def stop_crossing(
    before: Unit, after: Unit, shop_before: Shop, shop_after: Shop, today: date | None = None
) -> StopCrossing | None:
    """What an edit did to the stop line; None unless the reading became worse.

    Args:
        before: the unit as it was.
        after: the unit as it is.
        shop_before: the shop as it was, for packs and stock.
        shop_after: the shop as it is.
        today: for the shelf life of stock.
    """
    if not (before.stop_lines and after.stop_lines):
        return None
    old, new = cash_to_come(before, shop_before, today), cash_to_come(after, shop_after, today)
    was = stop_reading(before.stop_lines[-1], old, before)
    now = stop_reading(after.stop_lines[-1], new, after)
    if _ORDER.index(now.state) <= _ORDER.index(was.state):
        return None
    moved = now.amount < was.amount
    lines = () if moved and old.lines == new.lines else _grown(old, new, now.state)
    return StopCrossing(was.state, now.state, lines, _crossing_sentence(now, new, lines, moved=moved))


_ORDER = list(StopState)


def _grown(old: CashTotals, new: CashTotals, state: StopState) -> tuple[str, ...]:
    """The lines that came to cost more in the sense of the reading, the one that added most first."""

    def measure(line: CashLine) -> Fraction:
        if line.price is None:
            return Fraction(0)
        if state is StopState.HIGH_OVER:
            return Fraction(line.price.high)
        return Fraction(line.price.likely) if state is StopState.LIKELY_OVER else line.expected or Fraction(0)

    had = {(x.kind, x.code): measure(x) for x in old.lines}
    grown = [(measure(x) - had.get((x.kind, x.code), Fraction(0)), x.name) for x in new.lines]
    return tuple(f"{name} (+{cents(more)})" for more, name in sorted(grown, key=lambda g: -g[0]) if more > 0)


def _crossing_sentence(now: StopReading, cash: CashTotals, lines: tuple[str, ...], *, moved: bool) -> str:
    what = {
        StopState.HIGH_OVER: f"the high case {cents(cash.high)} now passes it",
        StopState.EXPECTED_OVER: f"expected {cash.expected_shown} now passes it",
        StopState.LIKELY_OVER: f"likely {cents(cash.likely)} now passes it: stop, or say why not",
    }[now.state]
    if lines:
        did = f" What did it: {', '.join(lines[:3])}{' and more' if len(lines) > 3 else ''}."
    else:
        did = " The line itself was moved." if moved else ""
    return f"STOP LINE {cents(now.amount)}: {what}.{did}"
