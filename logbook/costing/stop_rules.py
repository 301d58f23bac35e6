"""The stop rules besides the amount: the lowest pay per hour that is still worth it, and months at rest.

Screen, text and check read them here, so that they say one thing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import cents
from logbook.costing.comparison import Comparison
from logbook.model.unit import Unit
from logbook.teardown.stage import days_untouched

DAYS_IN_A_MONTH = 30


@dataclass(frozen=True, slots=True)
class RuleReading:
    """One rule, read against how the unit stands."""

    code: str
    """`stop-rate` or `stop-at-rest`."""
    rule: str
    """As it was set: `at least 4.00 an hour`."""
    stands: str
    """How it stands: `against “buy new” an hour pays 2.55`."""
    broken: bool
    sentence: str
    """What is said when it is broken, with what to do."""


def rule_readings(unit: Unit, compared: Comparison, now: datetime) -> Iterator[RuleReading]:
    """Each of the rules that holds, the pay per hour first; nothing where none was set."""
    rules = unit.stop_lines[-1] if unit.stop_lines else None
    if rules is not None and rules.least_rate is not None:
        yield _pay(compared, rules.least_rate)
    if rules is not None and rules.months_at_rest is not None:
        yield _at_rest(unit, rules.months_at_rest, now)


def _pay(compared: Comparison, least: Decimal) -> RuleReading:
    rule = f"at least {cents(least)} an hour"
    paid: list[tuple[Fraction, str]] = []
    for against in compared.break_evens:
        pays = against.rate if against.rate is not None else (Fraction(0) if against.gap < 0 else None)
        if pays is not None:
            paid.append((Fraction(pays), str(against.kind)))
    if not paid:
        return RuleReading("stop-rate", rule, "says nothing yet: nothing to compare with, or no hours", False, "")
    pays, kind = min(paid)
    sentence = (
        f"Against “{kind}” an hour of going on pays {cents(pays)}; the rule was to stop below {least}. "
        "Stop, or set the rule anew with a reason."
    )
    return RuleReading(
        "stop-rate", rule, f"against “{kind}” an hour pays {cents(pays)}", pays < Fraction(least), sentence
    )


def _at_rest(unit: Unit, most: int, now: datetime) -> RuleReading:
    days = days_untouched(unit, now)
    rule = f"at most {most} month{'' if most == 1 else 's'} at rest"
    if days is None:
        return RuleReading("stop-at-rest", rule, "nobody knows when it was last worked on", False, "")
    months = days // DAYS_IN_A_MONTH
    stands = f"untouched for {months} month{'' if months == 1 else 's'}" if months else f"untouched for {days} days"
    sentence = (
        f"{unit.code} has not been touched for {months} months; the rule was to stop after {most}. "
        "Take it up, stop it, or set the rule anew with a reason."
    )
    return RuleReading("stop-at-rest", rule, stands, days > most * DAYS_IN_A_MONTH, sentence)
