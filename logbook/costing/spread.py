"""What a three-point estimate says about its own uncertainty: mean, variance and third moment, exact.

Two variances go by the name PERT, and they differ. The *classic* one is ((high − low) / 6)², a sixth of the
range for the standard deviation; it is what textbooks add up by hand, and it is shown as such. The *exact* one
belongs to the beta distribution that has the same mean: (mean − low)(high − mean) / 7. Draws and the check
beside them use the exact one, because what is drawn is that beta distribution.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction

from logbook.costing.amounts import Exact, expected_value


def classic_variance(low: Exact, high: Exact) -> Fraction:
    """The variance of the classic PERT formula, ((high − low) / 6)². Source as for `amounts.expected_value`."""
    return ((Fraction(high) - Fraction(low)) / 6) ** 2


def beta_shape(low: Exact, likely: Exact, high: Exact) -> tuple[Fraction, Fraction]:
    """Shape (alpha, beta) of the beta distribution on low to high whose mean is (low + 4 likely + high) / 6.

    alpha = 1 + 4 (likely − low) / (high − low), and alpha + beta = 6 (D. Vose, “Risk Analysis: A Quantitative
    Guide”, 2nd ed. 2000, the PERT distribution; chapter from memory).

    Raises:
        ValueError: high is not above low, so there is no distribution.
    """
    if not high > low:
        raise ValueError("a beta distribution needs a high above its low")
    alpha = 1 + 4 * (Fraction(likely) - Fraction(low)) / (Fraction(high) - Fraction(low))
    return alpha, 6 - alpha


def beta_variance(low: Exact, likely: Exact, high: Exact) -> Fraction:
    """The exact variance of that beta distribution, (mean − low)(high − mean) / 7."""
    mean = expected_value(low, likely, high)
    return (mean - Fraction(low)) * (Fraction(high) - mean) / 7


def beta_third_moment(low: Exact, likely: Exact, high: Exact) -> Fraction:
    """The exact third central moment of that beta distribution.

    For shapes a and b it is 2ab(b − a) / ((a+b)³ (a+b+1)(a+b+2)) times the cube of the range; here a + b = 6
    (N. L. Johnson, S. Kotz, N. Balakrishnan, “Continuous Univariate Distributions” 2, 2nd ed. 1995, ch. 25).
    """
    if high == low:
        return Fraction(0)
    a, b = beta_shape(low, likely, high)
    return 2 * a * b * (b - a) / (216 * 7 * 8) * (Fraction(high) - Fraction(low)) ** 3


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """A quantity on three points that comes with a chance: with that chance it is drawn, else it is zero."""

    low: Fraction
    likely: Fraction
    high: Fraction
    chance: Fraction = Fraction(1)
    """From 0 to 1."""

    @property
    def mean(self) -> Fraction:
        """Expected value: chance × (low + 4 likely + high) / 6."""
        return self.chance * expected_value(self.low, self.likely, self.high)

    @property
    def least(self) -> Fraction:
        """The least it can come to."""
        return self.low if self.chance == 1 else min(self.low, Fraction(0))

    @property
    def most(self) -> Fraction:
        """The most it can come to."""
        return self.high if self.chance > 0 else Fraction(0)

    @property
    def classic_variance(self) -> Fraction:
        """Variance by the classic PERT formula over the whole range, as it is added up by hand."""
        return classic_variance(self.least, self.most)

    @property
    def variance(self) -> Fraction:
        """Variance of what is drawn: the exact beta variance inside, and the chance around it."""
        inside = beta_variance(self.low, self.likely, self.high)
        if self.chance == 1:
            return inside
        mean = expected_value(self.low, self.likely, self.high)
        return self.chance * inside + self.chance * (1 - self.chance) * mean**2

    @property
    def third_moment(self) -> Fraction:
        """Third central moment of what is drawn."""
        mean = expected_value(self.low, self.likely, self.high)
        inside = beta_variance(self.low, self.likely, self.high)
        third = beta_third_moment(self.low, self.likely, self.high)
        p = self.chance
        if p == 1:
            return third
        raw_3 = p * (third + 3 * mean * inside + mean**3)
        raw_2 = p * (inside + mean**2)
        return raw_3 - 3 * self.mean * raw_2 + 2 * self.mean**3


@dataclass(frozen=True, slots=True)
class Spread:
    """The exact sum of independent three-point quantities: what draws must come to."""

    low: Fraction
    high: Fraction
    expected: Fraction
    classic_variance: Fraction
    variance: Fraction

    @property
    def classic_deviation(self) -> Decimal:
        """Standard deviation by the classic PERT formula."""
        return root(self.classic_variance)

    @property
    def deviation(self) -> Decimal:
        """Standard deviation of what is drawn."""
        return root(self.variance)


def spread_of(points: Iterable[ThreePoint]) -> Spread:
    """The sum of quantities that do not depend on each other: means and variances add up."""
    every = tuple(points)

    def added(values: Iterable[Fraction]) -> Fraction:
        return sum(values, Fraction(0))

    return Spread(
        low=added(p.least for p in every),
        high=added(p.most for p in every),
        expected=added(p.mean for p in every),
        classic_variance=added(p.classic_variance for p in every),
        variance=added(p.variance for p in every),
    )


def root(value: Fraction) -> Decimal:
    """The square root of a variance, to 28 digits."""
    context = Context(prec=28)
    return context.sqrt(context.divide(Decimal(value.numerator), Decimal(value.denominator)))
