"""Mixes by parts: how much of each goes into a mix, such as finish and thinner 3 : 1 or resin and hardener 2 : 1.

Parts are measured or weighed, as the label says. When the mix itself is counted in the other measure, the
densities of all of them are needed, because equal parts by mass are not equal parts by volume.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import as_recorded, unit_kind
from logbook.model.words import MixBy


@dataclass(frozen=True, slots=True)
class MixPart:
    """One of what is mixed."""

    name: str
    parts: Decimal
    density: Decimal | None
    """Grams per millilitre; None while not known."""


def amounts_of_mix(total: Fraction, unit: str, by: MixBy, parts: Sequence[MixPart]) -> tuple[list[Fraction], str]:
    """How much of each goes into so much of a mix, in the unit of the mix; they add up to it exactly.

    By parts of the same measure as the unit each takes its part of the sum of parts. Volume of a mix by mass:
    each takes parts / density of the sum of those; mass of a mix by volume: parts × density.

    Args:
        total: the mix that is needed.
        unit: its unit, of mass or of volume.
        by: whether the parts are volumes or masses.
        parts: what is mixed.

    Returns:
        The amounts in the order of `parts`, and an empty text; or none, and what is wrong in a sentence.
    """
    names = " and ".join(p.name for p in parts)
    kind = unit_kind(unit)
    if kind not in ("mass", "volume"):
        return [], f"A mix of {names} is counted in a unit like ml or g, not in {unit or 'pieces'}."
    if wrong := next((p.name for p in parts if p.parts <= 0), None):
        return [], f"The parts of {wrong} in the mix are not above zero."
    if kind == str(by):
        weights = [Fraction(p.parts) for p in parts]
    else:
        weights = []
        for p in parts:
            if p.density is None or p.density <= 0:
                return [], (
                    f"The mix of {names} is by {by} and counted in {unit}; the density of {p.name} is not known "
                    "(grams per millilitre, on the shelf)."
                )
            density = Fraction(p.density)
            weights.append(Fraction(p.parts) / density if kind == "volume" else Fraction(p.parts) * density)
    whole = sum(weights, Fraction(0))
    return [total * w / whole for w in weights], ""


def ratio_in_words(by: MixBy, parts: Sequence[MixPart]) -> str:
    """The ratio as it stands on a label: `resin 100 : hardener 45 by mass`."""
    return " : ".join(f"{p.name} {as_recorded(p.parts)}" for p in parts) + f" by {by}"
