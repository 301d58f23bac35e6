"""Costs drawn with plain characters: what drives the range, how likely which sum is, and cash over time.

Every drawing reads without colour, and every bar has its figure beside it. Lines are never wider than asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from logbook.costing import CashEvent, Driver, Outlook, When
from logbook.model.dates_in_words import day_and_year
from logbook.render.money import money
from logbook.render.plain import clean

Say = Callable[[Fraction], str]
"""How an amount of the sum is written: money, or hours from minutes."""

MOST_DRIVERS = 12
CLASSES = 12
PERCENTS = (10, 50, 80, 90, 95)


def as_money(value: Fraction) -> str:
    """An amount to whole hundredths."""
    return money(value)


def as_hours(value: Fraction) -> str:
    """Minutes as hours with two places."""
    return money(value / 60)


def percent_words(share: Fraction) -> str:
    """A chance as a person reads it: `17 %`, `under 1 %` and `over 99 %` where it is not quite sure."""
    if share == 0:
        return "under 1 in 1,000"
    if share == 1:
        return "over 999 in 1,000"
    percent = round(share * 100)
    return "under 1 %" if percent == 0 else "over 99 %" if percent == 100 else f"{percent} %"


def driver_name(driver: Driver) -> str:
    """What it is called, with `?` before what is guessed."""
    sign = "? " if driver.stands_in else ""
    return sign + clean(driver.name, limit=80)


def spread_sentences(outlook: Outlook, say: Say) -> Iterator[str]:
    """What the sum can come to, in sentences, with the exact sum beside the draws as a check."""
    if not outlook.known:
        if outlook.no_range:
            yield "Nothing that is to come has a figure yet, so there is no range (?)."
        return
    drawn = outlook.distribution
    points = ", ".join(f"{p} come to at most {say(exact_share(drawn.percentile(p)))}" for p in PERCENTS)
    yield f"Of 100 like this one, {points}."
    if outlook.standing_in:
        yield (
            f"Unknown: {', '.join(outlook.standing_in)}. An unknown figure is guessed from similar ones, from the "
            "lowest to the highest, so that not knowing widens the range. The sums leave it out."
        )


def statistics_sentences(outlook: Outlook, say: Say) -> Iterator[str]:
    """How the chances came about: how often it was tried, the check against the exact sum, the deviations."""
    if not outlook.known:
        return
    drawn, exact = outlook.distribution, outlook.spread
    yield f"The sum was tried {drawn.draws:,} times within its ranges ({drawn.draws:,} draws, seed {drawn.seed})."
    word = "agrees" if drawn.agrees else "DOES NOT AGREE"
    mean, error = say(exact_share(drawn.mean)), say(exact_share(drawn.standard_error))
    yield (
        f"Check: the mean of the draws is {mean}, sure to about {error} either way (its standard error); "
        f"the sum without drawing, {say(exact.expected)}, {word}."
    )
    yield (
        f"Typical distance from the expected sum: {say(Fraction(exact.deviation))}, with lines that are needed or not "
        f"at all (standard deviation by the exact beta variance; drawn: {say(exact_share(drawn.deviation))}). "
        f"A sixth of each range, the quick rule, says {say(Fraction(exact.classic_deviation))} (classic PERT formula)."
    )
    if drawn.grouped:
        yield f"{drawn.alone} lines were drawn one by one; the {drawn.grouped} with the least range as one."
    yield "Lines are drawn as if they did not depend on each other; what moves together makes the range wider."


def counted_in(outlook: Outlook, classes: int) -> list[int]:
    """How many draws fell into each of so many equal classes from the lowest to the highest."""
    values = outlook.distribution.values
    low, high = values[0], values[-1]
    counts = [0] * classes
    for value in values:
        counts[min(int((value - low) / (high - low) * classes), classes - 1)] += 1
    return counts


def exact_share(value: float) -> Fraction:
    """A drawn value as a fraction, to a millionth."""
    return Fraction(value).limit_denominator(10**6)


def by_day(events: Sequence[CashEvent]) -> list[list[CashEvent]]:
    """Events of one day on one side of today together; all that has no day yet as well."""
    groups: list[list[CashEvent]] = []
    for event in events:
        if groups and (groups[-1][-1].on, groups[-1][-1].when) == (event.on, event.when):
            groups[-1].append(event)
        else:
            groups.append([event])
    return groups


def day_words(group: Sequence[CashEvent]) -> str:
    """The day, and what was paid on it or how many things."""
    first = group[0]
    day = day_and_year(first.on) if first.on else "?" if first.when is When.GONE else "no day yet"
    what = clean(first.what, limit=60) if len(group) == 1 else f"{len(group)} things"
    return f"{day} {what}"
