"""Exact arithmetic of the costs: the rounding rule, three-point sums, and the units of what is used up.

The rounding rule, which every figure of the costs follows:

1. A quantity, an average and a quotient stay exact (`Fraction`) as long as anything is computed from them.
2. What becomes an amount of money on a line is rounded once, half to even, to whole hundredths.
3. A sum of lines adds the amounts as they stand on the lines, so that a page adds up by hand.
4. An area is counted in whole square centimetres and a length of strip in whole millimetres before it is
   priced, because a finer figure would claim what no rule measures.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Context, Decimal, localcontext
from fractions import Fraction

Exact = Fraction | Decimal | int
"""A number that holds its value exactly. Only draws (`simulation`) and ratios of times (`actuals`) are floats."""

ZERO = Decimal("0.00")


def rounded(value: Exact, places: int) -> Decimal:
    """The value to so many decimal places, half to even (NIST SP 811, B.7.1)."""
    whole = round(Fraction(value) * 10**places)
    return Decimal(f"{whole}E-{places}")


def cents(value: Exact) -> Decimal:
    """An amount of money to whole hundredths, half to even."""
    return rounded(value, 2)


def total(amounts: Iterable[Decimal]) -> Decimal:
    """The exact sum of amounts, never rounded by the precision of a context; at least two places are shown."""
    with localcontext(Context(prec=100)):
        return sum(amounts, ZERO)


def times(amount: Decimal, count: int) -> Decimal:
    """So many times an amount, exact."""
    with localcontext(Context(prec=100)):
        return amount * count


def expected_value(low: Exact, likely: Exact, high: Exact) -> Fraction:
    """The expected value of a three-point estimate, (low + 4 likely + high) / 6, exact.

    Malcolm, Roseboom, Clark and Fazar, “Application of a technique for research and development program
    evaluation”, Operations Research 7(5), 1959.
    """
    return (Fraction(low) + 4 * Fraction(likely) + Fraction(high)) / 6


def shared(amount: Decimal, weights: Sequence[Exact]) -> tuple[Decimal, ...]:
    """An amount divided in proportion to weights, to the last hundredth: the shares always add up to it.

    The rule: each share is first rounded down to whole hundredths; the hundredths that are left go one each to
    the shares that lost most by rounding, of equals to the first (the method of the largest remainder). Without
    any weight above zero all are equal.

    Raises:
        ValueError: there is nobody to share with, or a weight is below zero.
    """
    if not weights or any(Fraction(w) < 0 for w in weights):
        raise ValueError("an amount is shared by weights from zero up, at least one of them")
    parts = [Fraction(w) for w in weights]
    whole = sum(parts, Fraction(0))
    if not whole:
        parts, whole = [Fraction(1)] * len(parts), Fraction(len(parts))
    places = max(2, -int(amount.as_tuple().exponent))
    units = int(Fraction(amount) * 10**places)
    exact = [units * p / whole for p in parts]
    floors = [int(x // 1) for x in exact]
    order = sorted(range(len(parts)), key=lambda i: (floors[i] - exact[i], i))
    for i in order[: units - sum(floors)]:
        floors[i] += 1
    return tuple(Decimal(f"{n}E-{places}") for n in floors)


def plain_number(value: Exact, places: int = 4) -> str:
    """A quantity as a person reads it: to at most so many places, without trailing zeros."""
    text = format(rounded(value, places), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def as_recorded(value: Decimal) -> str:
    """A number of the record as it was typed, never rounded, without trailing zeros or an exponent."""
    text = format(value, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity_in_words(value: Exact, unit: str) -> str:
    """A quantity with its unit, such as `171.11 ml`, `0.1353 l`, or `3` for pieces."""
    return f"{plain_number(value, 2 if unit_of(unit) in _SMALL else 4)} {unit}".rstrip()


_INCH = Fraction(254, 10_000)
_UNITS: dict[str, tuple[str, Fraction]] = {
    "": ("pieces", Fraction(1)),
    "piece": ("pieces", Fraction(1)),
    "pieces": ("pieces", Fraction(1)),
    "mg": ("mass", Fraction(1, 1000)),
    "g": ("mass", Fraction(1)),
    "kg": ("mass", Fraction(1000)),
    "ml": ("volume", Fraction(1)),
    "cl": ("volume", Fraction(10)),
    "dl": ("volume", Fraction(100)),
    "l": ("volume", Fraction(1000)),
    "mm": ("length", Fraction(1, 1000)),
    "cm": ("length", Fraction(1, 100)),
    "m": ("length", Fraction(1)),
    "in": ("length", _INCH),
    "ft": ("length", 12 * _INCH),
    "cm2": ("area", Fraction(1, 10_000)),
    "m2": ("area", Fraction(1)),
}


_SMALL = frozenset({"mg", "g", "ml", "mm"})
"""Units so small that two decimal places say enough."""


def unit_of(text: str) -> str:
    """A unit as it is compared: `m²` and `M2` are `m2`, `L` is `l`."""
    return text.strip().replace("²", "2").casefold()


def unit_kind(text: str) -> str:
    """What a unit measures: “mass”, “volume”, “length”, “area”, “pieces”; empty for one that is not known."""
    return _UNITS.get(unit_of(text), ("", Fraction(1)))[0]


def converted(amount: Fraction, start: str, end: str, density: Decimal | None = None) -> Fraction | None:
    """The amount in another unit, exact, or None when the two units cannot be compared.

    Args:
        amount: how much.
        start: the unit it is in.
        end: the unit it is wanted in.
        density: grams per millilitre, for mass against volume.
    """
    a, b = unit_of(start), unit_of(end)
    if a == b:
        return amount
    if a not in _UNITS or b not in _UNITS:
        return None
    (kind, factor), (wanted, divisor) = _UNITS[a], _UNITS[b]
    per_ml = Fraction(density) if density is not None and density > 0 else None
    if kind == wanted:
        bridge: Fraction | None = Fraction(1)
    elif {kind, wanted} == {"mass", "volume"} and per_ml is not None:
        bridge = per_ml if kind == "volume" else 1 / per_ml
    else:
        bridge = None
    return None if bridge is None else amount * factor * bridge / divisor
