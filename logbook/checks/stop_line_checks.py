"""Check 19: the stop line is set, moved only with a reason, and not passed; make-or-break tests come first."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.costing import StopState, cash_to_come, comparison, stop_reading
from logbook.costing.stop_rules import rule_readings
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import WorkState


def stop_line_set(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 19: there is a stop line, and each later one says why it moved."""
    if not unit.stop_lines:
        if unit.parts or unit.cost_lines or unit.consumables:
            sentence = f"{unit.code} has costs to come but no stop line. Set it now, before more is spent."
            yield CheckProblem(19, "no-stop-line", unit.code, "stop line", sentence, Severity.LOOK)
        return
    for before, line in zip(unit.stop_lines, unit.stop_lines[1:], strict=False):
        if line.amount != before.amount and not line.why.strip():
            sentence = f"The stop line was moved from {before.amount} to {line.amount} without a reason. Write it down."
            yield CheckProblem(19, "stop-line-moved", unit.code, "stop line", sentence, Severity.LOOK)


def stop_line_kept(unit: Unit, shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 19: cash to come against the stop line, the same sums as the costs show."""
    reading = stop_reading(unit, shop, cash_to_come(unit, shop, now.date()))
    if reading is not None and reading.state in _STOP_PROBLEMS:
        code, severity = _STOP_PROBLEMS[reading.state]
        yield CheckProblem(19, code, unit.code, "stop line", reading.sentence, severity)


_STOP_PROBLEMS = {
    StopState.LIKELY_OVER: ("stop-line-passed", Severity.WRONG),
    StopState.EXPECTED_OVER: ("stop-line-at-risk", Severity.LOOK),
    StopState.HIGH_OVER: ("stop-line-could-pass", Severity.NOTE),
}


def stop_rules(unit: Unit, shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 19: the other rules that were set beforehand: the lowest pay per hour, and months at rest."""
    for rule in rule_readings(unit, comparison(unit, shop, now.date()), now) if unit.stop_lines else ():
        if rule.broken:
            yield CheckProblem(19, rule.code, unit.code, "stop line", rule.sentence, Severity.WRONG)


def make_or_break(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 19: a failed make-or-break test stops the unit, and an open one comes before what it decides."""
    operations = {o.code: o for o in unit.operations}
    for test in unit.arrival.make_or_break:
        if test.passed is False:
            limit = f" The rule was: stop if {test.stop_if}." if test.stop_if.strip() else ""
            sentence = (
                f"The make-or-break test “{test.what}” failed, but the unit goes on.{limit} Stop, or say why not."
            )
            yield CheckProblem(19, "test-failed", unit.code, "make-or-break", sentence, Severity.WRONG)
        gated = operations.get(test.before.strip())
        if test.passed is None and gated is not None and gated.state is not WorkState.TO_DO:
            sentence = (
                f"{gated.code} {gated.name} is {gated.state}, but the make-or-break test “{test.what}” was to come "
                "before it. Do the test now."
            )
            yield CheckProblem(19, "test-overtaken", unit.code, gated.code, sentence, Severity.WRONG)
