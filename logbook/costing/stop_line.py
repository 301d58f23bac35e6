"""The stop line: a limit of further cash set before starting, read against what is still to come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.costing.amounts import cents, total
from logbook.costing.cash import CashLine, CashTotals, cash_to_come, lines_behind
from logbook.costing.gone import gone_by_stop_line
from logbook.model.amount_words import number_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit


class StopState(StrEnum):
    """How cash to come stands against the stop line, from best to worst."""

    UNKNOWN = "not known: nothing that is to come has a price"
    UNDER = "under the stop line"
    HIGH_OVER = "could pass: only the high case is over"
    EXPECTED_OVER = "at risk: the expected cash is over"
    LIKELY_OVER = "passed: the likely cash is over, stop"


@dataclass(frozen=True, slots=True)
class StopReading:
    """The stop line read against cash to come."""

    amount: Decimal
    """The line as it was set."""
    spent_since: Decimal
    """What of it is gone: spent or paid on days after it was set."""
    left: Decimal
    """What is left of it; below zero when more is gone than the line allows."""
    state: StopState
    likely_over: Decimal
    """By how much the likely sum is over what is left; zero or below when it is not."""
    expected_over: Fraction
    high_over: Decimal
    because_of: tuple[str, ...]
    """The fewest lines that would carry the high case over, when it is."""
    sentence: str

    @property
    def over(self) -> bool:
        """Whether the likely or the expected cash is over it."""
        return self.state in (StopState.EXPECTED_OVER, StopState.LIKELY_OVER)


def stop_reading(unit: Unit, shop: Shop, cash: CashTotals) -> StopReading | None:
    """Read the stop line that holds; None when none was set.

    What is left of it is the line less everything gone since the day it was set. The likely cash to come over what
    is left is passed, the expected cash over it is at risk, only the high case over it could pass.
    """
    if not unit.stop_lines:
        return None
    amount = unit.stop_lines[-1].amount
    spent_since = gone_by_stop_line(unit, shop).since
    left = total((amount, -spent_since))
    high_over = cash.high - left
    state = _state(cash, left)
    because = tuple(x.name for x in lines_behind(cash.lines, high_over)) if high_over > 0 else ()
    return StopReading(
        amount=amount,
        spent_since=spent_since,
        left=left,
        state=state,
        likely_over=cash.likely - left,
        expected_over=cash.expected - Fraction(left),
        high_over=high_over,
        because_of=because,
        sentence=_stop_sentence(_line_words(amount, spent_since, left), left, state, cash, because),
    )


def _state(cash: CashTotals, left: Decimal) -> StopState:
    if not cash.known and left >= 0:
        return StopState.UNKNOWN
    if cash.likely > left:
        return StopState.LIKELY_OVER
    if cash.expected > Fraction(left):
        return StopState.EXPECTED_OVER
    return StopState.HIGH_OVER if cash.high > left else StopState.UNDER


def _line_words(amount: Decimal, spent_since: Decimal, left: Decimal) -> str:
    """The line, and what of it is gone."""
    words = number_words(cents(amount))
    if spent_since:
        words += f", {number_words(cents(spent_since))} spent since it was set, {number_words(cents(left))} left of it"
    return words


def _stop_sentence(line: str, left: Decimal, state: StopState, cash: CashTotals, because: tuple[str, ...]) -> str:
    likely, high = number_words(cents(cash.likely)), number_words(cents(cash.high))
    expected = number_words(cash.expected_shown)
    missing = len(cash.unpriced) + len(cash.not_counted)
    as_known = " as far as it is known" if missing else ""
    over = {
        StopState.UNKNOWN: "it says nothing yet, because nothing that is to come has a price (?)",
        StopState.UNDER: f"even the high case {high} is under it{as_known}",
        StopState.HIGH_OVER: f"likely and expected are under it{as_known}, the high case {high} is over by "
        f"{number_words(cents(cash.high - left))}",
        StopState.EXPECTED_OVER: f"likely {likely} is under it, expected {expected} is over by "
        f"{number_words(cents(cash.expected - Fraction(left)))}",
        StopState.LIKELY_OVER: f"likely {likely} is over by {number_words(cents(cash.likely - left))}: stop",
    }[state]
    words = f"Stop line {line}: {over}."
    if because and state is StopState.HIGH_OVER:
        words += f" What would do it: {', '.join(because)}."
    if missing and state is not StopState.UNKNOWN:
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
    old, new = cash_to_come(before, shop_before, today), cash_to_come(after, shop_after, today)
    was, now = stop_reading(before, shop_before, old), stop_reading(after, shop_after, new)
    if was is None or now is None:
        return None
    if _PASSED_BY[now.state] <= _PASSED_BY[was.state]:
        return None
    moved = now.amount < was.amount
    lines = () if moved and old.lines == new.lines else _grown(old, new, now.state)
    return StopCrossing(was.state, now.state, lines, _crossing_sentence(now, new, lines, moved=moved))


_PASSED_BY = {
    StopState.UNKNOWN: 0,
    StopState.UNDER: 0,
    StopState.HIGH_OVER: 1,
    StopState.EXPECTED_OVER: 2,
    StopState.LIKELY_OVER: 3,
}
"""How many of high, expected and likely pass the line. That a first price makes it readable is no crossing."""


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
        StopState.HIGH_OVER: f"the high case {number_words(cents(cash.high))} now passes it",
        StopState.EXPECTED_OVER: f"expected {number_words(cash.expected_shown)} now passes it",
        StopState.LIKELY_OVER: f"likely {number_words(cents(cash.likely))} now passes it: stop, or say why not",
    }[now.state]
    if lines:
        did = f" What did it: {', '.join(lines[:3])}{' and more' if len(lines) > 3 else ''}."
    else:
        did = " The line itself was moved." if moved else ""
    return f"STOP LINE {_line_words(now.amount, now.spent_since, now.left)}: {what}.{did}"
