"""The outlook of a sum: its distribution, what drives it, and what nobody has priced yet.

The rule for what has no price or time: it stays out of the sums, which are then marked, but the range, the chances
and the drivers count a stand-in for it, so that not knowing makes them wider. The stand-in goes from the least low
to the greatest high of like lines (lines of the same kind when at least three of them are priced, else all), with
the middle one of their likely values. Where nothing at all is priced there is no range, and that is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from logbook.costing.cash import CashKind, CashTotals
from logbook.costing.hours import HoursTotals
from logbook.costing.simulation import Distribution, simulate
from logbook.costing.spread import Spread, ThreePoint, spread_of

ENOUGH = 3
"""So many like lines must be priced before a stand-in is made from them alone."""


@dataclass(frozen=True, slots=True)
class Term:
    """One line of a sum as it is drawn."""

    code: str
    name: str
    kind: str
    point: ThreePoint
    likely: Fraction
    """The likely case of the sum, from which the two sides of the range are measured."""
    stands_in: bool = False
    """Nobody has priced it; its three points are taken from like lines."""


@dataclass(frozen=True, slots=True)
class Driver:
    """How far one line can move a sum."""

    code: str
    name: str
    down: Fraction
    """How far its low case lies below the likely one."""
    up: Fraction
    """How far its high case lies above the likely one."""
    share: Fraction
    """Its part of the variance of the sum, from 0 to 1."""
    chance: Fraction
    """The chance that it comes at all."""
    stands_in: bool


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a sum can come to, stand-ins counted."""

    terms: tuple[Term, ...]
    spread: Spread
    distribution: Distribution
    drivers: tuple[Driver, ...]
    """What widens the high case most stands first; lines without any range are left out."""
    standing_in: tuple[str, ...]
    """What has no price or time and is stood for."""
    no_range: tuple[str, ...]
    """What has none and cannot be stood for, because nothing at all is priced."""

    @property
    def known(self) -> bool:
        """Whether there is a range at all: something is to come, and what is to come can be reckoned."""
        return bool(self.terms) and not self.no_range


def cash_outlook(cash: CashTotals) -> Outlook:
    """What the cash to come can come to."""
    terms = [
        Term(x.code, x.name, str(x.kind), x.point, Fraction(x.price.likely))
        for x in cash.lines
        if x.point is not None and x.price is not None
    ]
    unknown = [(x.code, x.name, str(x.kind)) for x in cash.lines if x.price is None]
    unknown += [("", words.partition(":")[0], str(CashKind.PART)) for words in cash.not_counted]
    return _outlook(terms, unknown)


def hours_outlook(work: HoursTotals) -> Outlook:
    """What the minutes to come can come to."""
    terms = [Term(x.code, x.name, "", x.point, x.point.likely) for x in work.lines if x.point is not None]
    unknown = [(x.code, f"{x.code} {x.name}", "") for x in work.lines if x.effort is None]
    return _outlook(terms, unknown)


def drivers_of(terms: Sequence[Term]) -> tuple[Driver, ...]:
    """Every line that has a range, ranked by how far its high case lies above the likely one."""
    whole = sum((t.point.variance for t in terms), Fraction(0))
    found = [
        Driver(
            code=t.code,
            name=t.name,
            down=t.likely - t.point.least,
            up=t.point.most - t.likely,
            share=t.point.variance / whole if whole else Fraction(0),
            chance=t.point.chance,
            stands_in=t.stands_in,
        )
        for t in terms
        if t.point.most > t.point.least
    ]
    return tuple(sorted(found, key=lambda d: (-d.up, -d.down, d.name)))


def _outlook(priced: Sequence[Term], unknown: Sequence[tuple[str, str, str]]) -> Outlook:
    stand_ins = [made for each in unknown if (made := _stand_in(each, priced)) is not None]
    terms = (*priced, *stand_ins)
    return Outlook(
        terms=terms,
        spread=spread_of(t.point for t in terms),
        distribution=simulate([t.point for t in terms]),
        drivers=drivers_of(terms),
        standing_in=tuple(t.name for t in stand_ins),
        no_range=() if stand_ins else tuple(name for _, name, _ in unknown),
    )


def _stand_in(unknown: tuple[str, str, str], priced: Sequence[Term]) -> Term | None:
    code, name, kind = unknown
    like = [t for t in priced if t.kind == kind]
    like = like if len(like) >= ENOUGH else list(priced)
    if not like:
        return None
    low, high = min(t.point.least for t in like), max(t.point.most for t in like)
    likely = min(max(median(t.likely for t in like), low), high)
    return Term(code, name, kind, ThreePoint(low, likely, high), likely, stands_in=True)
