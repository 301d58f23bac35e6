"""What drives the range of the cash, and the cash over time, as drawings of the costs screen."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from logbook.costing import CashEvent, Driver, Outlook, Timeline, When
from logbook.model.dates_in_words import day_of_month
from logbook.render.cost_plots import CLASSES, Say, as_money, counted_in, exact_share
from logbook.render.glyphs import FINE, Glyphs, block
from logbook.render.money import money
from logbook.render.plain import clean
from logbook.render.weighing import stop_mark, unpriced_words
from logbook.tui.look.cost_bars import LEAST_BAR, Drive, Payment, cash_over_time, drives
from logbook.tui.look.inks import Line, Span, flow, line


def shown_drivers(outlook: Outlook, most: int) -> tuple[Driver, ...]:
    """The lines that are drawn, the widest first; none while nothing is known."""
    return tuple(outlook.drivers[:most]) if outlook.known else ()


def driver_lines(outlook: Outlook, columns: int, most: int, g: Glyphs = FINE, say: Say = as_money) -> list[Line]:
    """A row for each of them, and one that counts the rest; `say` puts an amount into words."""
    shown = shown_drivers(outlook, most)
    drawn = drives([_drive(driver, say) for driver in shown], columns, g)
    rest = outlook.drivers[len(shown) :]
    if shown and rest:
        together = say(sum((driver.up for driver in rest), start=rest[0].up * 0))
        drawn += flow((Span(f"and {len(rest)} more, together +{together}", "muted"),), columns)
    return drawn


def _drive(driver: Driver, say: Say) -> Drive:
    name = ("? " if driver.stands_in else "") + clean(driver.name, limit=80)
    down = f"-{say(driver.down)}" if driver.down else ""
    up = f"+{say(driver.up)}" if driver.up else ""
    return Drive(name, float(driver.down), float(driver.up), down, up)


def often_lines(outlook: Outlook, columns: int, g: Glyphs = FINE, say: Say = as_money) -> list[Line]:
    """How often a sum came out between which figures, of a hundred, a block for each; nothing without a range."""
    drawn = outlook.distribution
    low, high = drawn.values[0], drawn.values[-1]
    if not outlook.known or low == high:
        return []
    counts = counted_in(outlook, CLASSES)
    step = (high - low) / CLASSES
    edges = [say(exact_share(low + number * step)) for number in range(CLASSES + 1)]
    size = max(map(len, edges))
    room = columns - 2 * size - len(" to   100 of 100  ")
    most = max(counts)
    rows = []
    for number, count in enumerate(counts):
        between = f"{edges[number]:>{size}} to {edges[number + 1]:>{size}}"
        share = f"{round(100 * count / drawn.draws):>3} of 100"
        bar = block(count / most, room, g) if room >= LEAST_BAR else ""
        rows.append(line(Span(between, "muted"), f"  {share}", Span(f"  {bar}" if bar else "", "head")))
    return rows


def cash_lines(found: Timeline, columns: int, rows: int, g: Glyphs = FINE) -> list[Line]:
    """The cash as it leaves the purse, at most so many rows."""
    spare = 1 + (found.stop_at is not None) + bool(found.unpriced)
    payments = _few(_payments(found.events), max(2, rows - spare))
    stop = None if found.stop_at is None else float(found.stop_at)
    words = stop_mark(found)
    if len(words) + len("stop ") > columns and found.stop_at is not None:
        words = money(found.stop_at)
    drawn = cash_over_time(payments, stop, words, columns, g)
    if found.unpriced:
        drawn += flow((Span(unpriced_words(found), "wait"),), columns)
    return drawn


def _payments(events: Sequence[CashEvent]) -> list[Payment]:
    gone = max((event.sum_likely for event in events if event.when is When.GONE), default=Decimal(0))
    return [
        Payment(
            _name(event),
            float(min(gone, event.sum_likely)),
            float(event.sum_likely),
            float(event.sum_high),
            money(event.sum_likely),
            event.when is When.GONE,
        )
        for event in events
    ]


def _name(event: CashEvent) -> str:
    day = f"{day_of_month(event.on)} " if event.on is not None else ""
    return day + clean(event.what, limit=60)


def _few(payments: list[Payment], most: int) -> list[Payment]:
    """What is gone becomes one row when there is little room, then the end does; the sums stay those of the last."""
    if len(payments) <= most:
        return payments
    gone = [payment for payment in payments if payment.is_gone]
    if len(gone) > 1:
        payments = [gone[-1]._replace(name=f"gone: {len(gone)} things"), *payments[len(gone) :]]
    if len(payments) <= most:
        return payments
    rest = payments[most - 1 :]
    return [*payments[: most - 1], rest[-1]._replace(name=f"and {len(rest)} more")]
