"""What it really took and cost, against the estimate, and what that says about estimates of the same kind of work.

The correction is a suggestion. It works on the logarithm of actual / expected time, so that twice as long and half as
long weigh the same. For each kind of work the mean of the logarithms is shrunk towards 0 (a ratio of 1) by the
credibility factor n / (n + K) with K = variance of single ratios / variance between kinds: H. Bühlmann, “Experience
rating and credibility”, ASTIN Bulletin 4(3), 1967; with normal distributions it is the posterior mean of the
normal-normal model (A. Gelman and others, “Bayesian Data Analysis”, 3rd ed. 2013, section 2.5; section from memory).
The variance of single ratios is pooled over all kinds, a start value counting as `PRIOR_WEIGHT` observations.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import exp, log, sqrt

from logbook.costing.amounts import expected_value, total
from logbook.model.measures import Effort, Estimate
from logbook.model.same_words import same_words
from logbook.model.unit import Unit
from logbook.model.words import WorkState
from logbook.model.work import Operation

BETWEEN = 0.3
"""Standard deviation between kinds of work of the logarithm: two kinds in three are off by less than a third.
Common practice, no source."""
WITHIN = 0.4
"""Start value for single times of one kind. Common practice, no source."""
PRIOR_WEIGHT = 4
"""So many observations the start value of `WITHIN` counts for."""
EIGHTY = 1.2815515655446004
"""Standard deviations on each side of the mean that hold 80 % of a normal distribution."""


@dataclass(frozen=True, slots=True)
class PaidLine:
    """A line that was paid, against its estimate."""

    code: str
    name: str
    estimate: Estimate | None
    paid: Decimal

    @property
    def over(self) -> Decimal | None:
        """Paid − likely; None without an estimate."""
        return None if self.estimate is None else self.paid - self.estimate.likely

    @property
    def verdict(self) -> str:
        """Where it lies in its range, in words."""
        return _verdict(self.paid, self.estimate)


@dataclass(frozen=True, slots=True)
class TimeLine:
    """An operation on which time was taken, against its estimate."""

    code: str
    name: str
    effort: Effort | None
    taken: int
    done: bool

    @property
    def ratio(self) -> Fraction | None:
        """Taken / expected; None while it is not done or was never estimated."""
        return ratio_of(self.taken, self.effort) if self.done else None

    @property
    def verdict(self) -> str:
        """Where it lies in its range, in words."""
        if self.done:
            return _verdict(self.taken, self.effort)
        return (
            "begun" if self.effort is None or self.taken <= self.effort.high else "begun, above the high case already"
        )


@dataclass(frozen=True, slots=True)
class Actuals:
    """What was paid and taken on one unit."""

    paid: tuple[PaidLine, ...]
    taken: tuple[TimeLine, ...]

    @property
    def paid_sum(self) -> Decimal:
        """All that was paid on lines."""
        return total(x.paid for x in self.paid)

    @property
    def likely_of_paid(self) -> Decimal:
        """What the paid lines were likely to cost, as far as they had an estimate."""
        return total(x.estimate.likely for x in self.paid if x.estimate is not None)

    @property
    def ratio(self) -> Fraction | None:
        """Time taken / expected over all done operations with both; None when there is none."""
        both = [x for x in self.taken if x.ratio is not None and x.effort is not None]
        expected = sum((_expected(x.effort) for x in both if x.effort is not None), Fraction(0))
        return Fraction(sum(x.taken for x in both)) / expected if expected else None


@dataclass(frozen=True, slots=True)
class Correction:
    """What past times of a kind of work say about the next one."""

    kind: str
    count: int
    """How many done operations of the kind it rests on."""
    raw: float
    """Their middle ratio (the geometric mean) as it is."""
    credibility: float
    """How far it is believed: 0 not at all, 1 wholly."""
    factor: float
    """The shrunk ratio: multiply an estimate by it."""
    low: float
    high: float
    """Between these the ratio of the next one lies with a chance of 80 %."""

    @property
    def words(self) -> str:
        """The correction in a sentence."""
        times = "one" if self.count == 1 else f"{self.count}"
        return (
            f"{times} of this kind took {self.raw:.2f} times the estimate; believed to {self.credibility:.0%} that is "
            f"× {self.factor:.2f} (80 in 100: {self.low:.2f} to {self.high:.2f})"
        )


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A corrected estimate for an operation that is still to do; never applied by itself."""

    code: str
    name: str
    effort: Effort
    suggested: Effort
    correction: Correction


def actuals(unit: Unit) -> Actuals:
    """What was paid per line and taken per operation of a unit."""
    lines = (
        *((c.code, c.consumable, c.price, c.paid) for c in unit.consumables),
        *((p.code, p.name, p.price, p.paid) for p in unit.parts),
        *((c.code, c.name, c.price, c.paid) for c in unit.cost_lines),
    )
    return Actuals(
        paid=tuple(PaidLine(code, name, price, paid) for code, name, price, paid in lines if paid is not None),
        taken=tuple(
            TimeLine(o.code, o.name, o.effort, o.spent, o.state is WorkState.DONE)
            for o in unit.operations
            if o.spent is not None
        ),
    )


def paid_in_all(unit: Unit) -> Decimal:
    """Money that is gone: what was written down as spent, and what was paid on lines."""
    spent = (s.amount for s in unit.spent if s.amount is not None)
    return total((*spent, actuals(unit).paid_sum))


def kind_of(operation: Operation) -> str:
    """The kind of work: as stated, else the name without numbers, as it is compared."""
    if operation.kind.strip():
        return same_words(operation.kind)
    return same_words(" ".join(w for w in operation.name.split() if not any(c.isdigit() for c in w)) or operation.name)


def ratio_of(taken: int, effort: Effort | None) -> Fraction | None:
    """Taken / expected; None without an estimate above zero, or when no minute was written down."""
    if effort is None or taken <= 0 or not _expected(effort):
        return None
    return Fraction(taken) / _expected(effort)


def corrections(units: Iterable[Unit]) -> dict[str, Correction]:
    """For each kind of work that was done and timed before, what that says about the next one."""
    logs: dict[str, list[float]] = defaultdict(list)
    for unit in units:
        for operation in unit.operations:
            if operation.state is WorkState.DONE and operation.spent is not None:
                ratio = ratio_of(operation.spent, operation.effort)
                if ratio is not None:
                    logs[kind_of(operation)].append(log(ratio))
    within = _within_variance(logs.values())
    return {kind: shrunk(kind, values, within) for kind, values in sorted(logs.items())}


def shrunk(kind: str, logs: list[float], within: float) -> Correction:
    """The correction from logarithms of ratios of one kind, with the variance of a single one.

    Raises:
        ValueError: there is no ratio.
    """
    if not logs:
        raise ValueError("a correction needs at least one ratio")
    count, mean = len(logs), sum(logs) / len(logs)
    credibility = count / (count + within / BETWEEN**2)
    centre = credibility * mean
    left_unknown = 1 / (1 / BETWEEN**2 + count / within)
    half = EIGHTY * sqrt(left_unknown + within)
    return Correction(
        kind=kind,
        count=count,
        raw=exp(mean),
        credibility=credibility,
        factor=exp(centre),
        low=exp(centre - half),
        high=exp(centre + half),
    )


def suggestions(unit: Unit, found: dict[str, Correction]) -> tuple[Suggestion, ...]:
    """Corrected estimates for the operations of a unit that are not begun and whose kind was timed before."""
    made = []
    for o in unit.operations:
        correction = found.get(kind_of(o))
        if correction is not None and o.effort is not None and o.state is WorkState.TO_DO:
            made.append(Suggestion(o.code, o.name, o.effort, corrected(o.effort, correction), correction))
    return tuple(made)


def corrected(effort: Effort, correction: Correction) -> Effort:
    """The estimate times the factor, in whole minutes. Its low and high case keep their distance as ratios."""
    low, likely, high = (max(0, round(m * correction.factor)) for m in (effort.low, effort.likely, effort.high))
    return Effort(low=low, likely=likely, high=high)


def _within_variance(groups: Iterable[list[float]]) -> float:
    """The variance of single logarithms around their kind's mean, the start value counted in."""
    squares, freedom = PRIOR_WEIGHT * WITHIN**2, float(PRIOR_WEIGHT)
    for values in groups:
        mean = sum(values) / len(values)
        squares += sum((v - mean) ** 2 for v in values)
        freedom += len(values) - 1
    return squares / freedom


def _expected(effort: Effort) -> Fraction:
    return expected_value(effort.low, effort.likely, effort.high)


def _verdict(actual: Decimal | int, estimate: Estimate | Effort | None) -> str:
    if estimate is None:
        return "never estimated"
    if actual > estimate.high:
        return "above the high case"
    if actual < estimate.low:
        return "below the low case"
    return "within the range"
