"""Costs as plots for paper and the web: what could be done, what drives a range, how often, cash over time.

Shares of the width are floats, because they are only looked at; every figure stands in words beside its bar.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from logbook.costing import DecisionRow, Driver, Outlook, Timeline, When
from logbook.costing.stop_line import StopReading
from logbook.render.blocks import Plot, PlotBar, PlotMark, PlotRow
from logbook.render.cost_plots import (
    CLASSES,
    MOST_DRIVERS,
    Say,
    by_day,
    counted_in,
    day_words,
    driver_name,
    exact_share,
    percent_words,
)
from logbook.render.money import money

ROOM_AT_THE_ENDS = 0.03
"""Share of the width that stays free at each end, so that no mark is cut."""


def decision_plot(could_be_done: Sequence[DecisionRow], stop: StopReading | None) -> Plot:
    """Every thing that could be done on one scale of cash, with the stop line through all; empty without a price.

    Args:
        could_be_done: rows of the decision whose cash is known.
        stop: how the cash stands against the stop line; None without one.
    """
    shown = [row for row in could_be_done if row.cash is not None]
    amounts = [float(x) for row in shown for x in (row.cash, row.low, row.high) if x is not None]
    if not any(amounts):
        return Plot(())
    limit = None if stop is None else float(stop.left)
    least = min(0.0, *amounts)
    most = max(0.0 if limit is None else limit, *amounts)

    def share(amount: float) -> float:
        return ROOM_AT_THE_ENDS + (1 - 2 * ROOM_AT_THE_ENDS) * (amount - least) / (most - least)

    def bars(row: DecisionRow) -> Iterator[PlotBar]:
        if row.low is not None and row.high is not None:
            yield PlotBar(share(float(row.low)), share(float(row.high)), PlotMark.RANGE)
        if row.cash is not None:
            yield PlotBar(share(float(row.cash)), share(float(row.cash)), PlotMark.POINT)

    rows = tuple(PlotRow(row.option, tuple(bars(row)), money(row.cash or Fraction(0))) for row in shown)
    meanings = [
        (PlotMark.POINT, "cash that is expected"),
        (PlotMark.RANGE, "from low to high"),
        (PlotMark.NOUGHT, "nothing paid"),
    ]
    if stop is not None:
        meanings.append((PlotMark.LIMIT, f"the stop line, {money(stop.left)}"))
    return Plot(rows, tuple(meanings), limit=None if limit is None else share(limit), nought=share(0))


def driver_plot(drivers: Sequence[Driver], say: Say) -> Plot:
    """What moves a sum most: below the likely case to the left, above it to the right.

    Args:
        drivers: ranked.
        say: how an amount is written.
    """
    shown = drivers[:MOST_DRIVERS]
    down = max((float(driver.down) for driver in shown), default=0.0)
    up = max((float(driver.up) for driver in shown), default=0.0)
    whole = down + up
    if not whole:
        return Plot(())
    middle = down / whole
    rows = []
    for driver in shown:
        below = PlotBar(middle - float(driver.down) / whole, middle, PlotMark.OPEN)
        above = PlotBar(middle, middle + float(driver.up) / whole, PlotMark.SOLID)
        bars = tuple(bar for bar in (below, above) if bar.end > bar.begin)
        figures = [f"-{say(driver.down)}"] * bool(driver.down) + [f"+{say(driver.up)}"] * bool(driver.up)
        rows.append(PlotRow(driver_name(driver), bars, "  ".join(figures)))
    meanings = ((PlotMark.SOLID, "so much more than likely it can come to"), (PlotMark.OPEN, "so much less"))
    caption = ""
    if rest := drivers[MOST_DRIVERS:]:
        caption = f"{len(rest)} more, together +{say(sum((d.up for d in rest), Fraction(0)))}."
    return Plot(tuple(rows), meanings, caption, nought=middle)


def often_plot(outlook: Outlook, say: Say) -> Plot:
    """How often the sum came out between which figures, and nothing without a range; arguments as of `driver_plot`."""
    drawn = outlook.distribution
    if not outlook.known or drawn.values[0] == drawn.values[-1]:
        return Plot(())
    counts = counted_in(outlook, CLASSES)
    step = (drawn.values[-1] - drawn.values[0]) / CLASSES
    edges = [say(exact_share(drawn.values[0] + number * step)) for number in range(CLASSES + 1)]
    rows = tuple(
        PlotRow(
            f"{edges[number]} to {edges[number + 1]}",
            (PlotBar(0, count / max(counts), PlotMark.SOLID),) if count else (),
            percent_words(Fraction(count, drawn.draws)) if count else "none",
        )
        for number, count in enumerate(counts)
    )
    return Plot(rows, caption="Of 100 like this one, so many come to a sum between the two.")


def time_plot(line: Timeline) -> Plot:
    """The sum after each day: gone, likely to come, up to the high case, and the stop line."""
    groups = by_day(line.events)
    most = max(float(groups[-1][-1].sum_high if groups else 0), float(line.stop_at or 0))
    if not groups or most <= 0:
        return Plot(())
    whole = most / (1 - ROOM_AT_THE_ENDS)
    gone = max((float(event.sum_likely) for event in line.events if event.when is When.GONE), default=0.0)
    rows = []
    for group in groups:
        likely, high = float(group[-1].sum_likely), float(group[-1].sum_high)
        spent = min(gone, likely)
        ends = ((0.0, spent, PlotMark.GREY), (spent, likely, PlotMark.SOLID), (likely, high, PlotMark.OPEN))
        bars = tuple(PlotBar(begin / whole, end / whole, mark) for begin, end, mark in ends if end > begin)
        rows.append(PlotRow(day_words(group), bars, money(group[-1].sum_likely)))
    meanings = [
        (PlotMark.GREY, "gone"),
        (PlotMark.SOLID, "likely to come"),
        (PlotMark.OPEN, "up to the high case"),
    ]
    if line.stop_at is not None:
        meanings.append((PlotMark.LIMIT, stop_line_words(line)))
    caption = "The figure is the likely sum so far."
    if line.unpriced:
        caption += f" Without a price and not drawn: {line.unpriced}."
    limit = None if line.stop_at is None else float(line.stop_at) / whole
    return Plot(tuple(rows), tuple(meanings), caption, limit)


def stop_line_words(line: Timeline) -> str:
    """What the stop line is, and why that is more than the line itself where money was gone; empty without one."""
    if line.stop_at is None:
        return ""
    if not line.gone_before_stop:
        return f"the stop line, {money(line.stop_at)}"
    further, before = money(line.stop_at - line.gone_before_stop), money(line.gone_before_stop)
    return (
        f"the stop line: {further} of further cash on top of the {before} that was gone when it was set, "
        f"{money(line.stop_at)} in all"
    )
