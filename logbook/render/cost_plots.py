"""Costs drawn with plain characters: what drives the range, how likely which sum is, and cash over time.

Every drawing reads without colour, and every bar has its figure beside it. Lines are never wider than asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from logbook.costing import CashEvent, Driver, Outlook, Timeline, When
from logbook.model.dates_in_words import day_and_year
from logbook.render.money import money
from logbook.render.plain import clean, fitted

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


def tornado(drivers: Sequence[Driver], say: Say, columns: int, most: int = MOST_DRIVERS) -> tuple[str, ...]:
    """What drives a range, a line each: `-` below and `#` above the likely case, the longest bar on top.

    Args:
        drivers: ranked.
        say: how an amount is written.
        columns: the width.
        most: lines at most; the rest is counted.
    """
    shown = drivers[:most]
    if not shown:
        return ()
    downs, ups = [say(d.down) for d in shown], [say(d.up) for d in shown]
    before, after = max(map(len, downs)) + 1, max(map(len, ups)) + 1
    name = min(max(len(driver_name(d)) for d in shown), max(12, columns // 3))
    name = max(6, min(name, columns - before - after - 13))
    room = max(8, columns - name - before - after - 5)
    widest_down, widest_up = max(d.down for d in shown), max(d.up for d in shown)
    whole = widest_down + widest_up
    left = 0 if not widest_down else max(1, round(room * widest_down / whole)) if whole else 0
    right = room - left
    lines = []
    for d, down, up in zip(shown, downs, ups, strict=True):
        low = _bar("-", d.down, widest_down, left).rjust(left)
        high = _bar("#", d.up, widest_up, right).ljust(right)
        minus = f"-{down}" if d.down else ""
        plus = f"+{up}" if d.up else ""
        lines.append(f"{fitted(driver_name(d), name)} {minus:>{before}} {low}|{high} {plus:>{after}}".rstrip())
    if rest := drivers[most:]:
        lines.append(f"and {len(rest)} more, together +{say(sum((d.up for d in rest), Fraction(0)))}")
    return tuple(lines)


def driver_name(driver: Driver) -> str:
    """What it is called, with `?` before what is guessed."""
    sign = "? " if driver.stands_in else ""
    return sign + clean(driver.name, limit=80)


def _bar(sign: str, value: Fraction, widest: Fraction, room: int) -> str:
    """A bar in proportion; what is not nothing is never drawn as nothing."""
    if not value or not widest or not room:
        return ""
    return sign * max(1, round(room * value / widest))


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


def histogram(outlook: Outlook, say: Say, columns: int, classes: int = CLASSES) -> tuple[str, ...]:
    """How often the sum came out between which figures: a bar for each class, with its share in percent."""
    drawn = outlook.distribution
    low, high = drawn.values[0], drawn.values[-1]
    if not outlook.known or low == high:
        return ()
    step = (high - low) / classes
    counts = counted_in(outlook, classes)
    edges = [say(exact_share(low + i * step)) for i in range(classes + 1)]
    size = max(map(len, edges))
    room = max(6, columns - 2 * size - 12)
    most = max(counts)
    return tuple(
        f"{edges[i]:>{size}} - {edges[i + 1]:>{size}}  {round(100 * n / drawn.draws):>3} %  "
        + ("#" * max(1, round(room * n / most)) if n else "")
        for i, n in enumerate(counts)
    )


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


def timeline_lines(line: Timeline, columns: int) -> tuple[str, ...]:
    """Cash over time: the sum after each day, `=` what is gone, `#` likely to come, `.` up to the high case.

    `|` is where the stop line is reached. What has no day yet stands last.
    """
    groups = by_day(line.events)
    if not groups:
        return ()
    most = max((groups[-1][-1].sum_high, line.stop_at or Decimal(0)))
    if most <= 0:
        return ()
    heads = [day_words(group) for group in groups]
    name = min(max(map(len, heads)), max(16, columns // 3))
    figure = max(len(money(g[-1].sum_high)) for g in groups)
    room = max(8, columns - name - figure - 5)
    stop = None if line.stop_at is None else min(room - 1, round(room * line.stop_at / most))
    gone = max((e.sum_likely for e in line.events if e.when is When.GONE), default=Decimal(0))
    lines = [
        f"{fitted(head, name)} {_over_time(group[-1], gone, most, room, stop)}  {money(group[-1].sum_likely):>{figure}}"
        for head, group in zip(heads, groups, strict=True)
    ]
    return tuple(x[:columns] for x in lines)


def _over_time(event: CashEvent, gone: Decimal, most: Decimal, room: int, stop: int | None) -> str:
    def place(amount: Decimal) -> int:
        return round(room * amount / most)

    spent = place(min(gone, event.sum_likely))
    likely = max(place(event.sum_likely), spent)
    high = max(place(event.sum_high), likely)
    bar = ("=" * spent + "#" * (likely - spent) + "." * (high - likely)).ljust(room)[:room]
    return bar if stop is None else bar[:stop] + "|" + bar[stop + 1 :]


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
