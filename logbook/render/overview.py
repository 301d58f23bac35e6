"""One unit in one line, as the bench shows it: stage, what is next, how long untouched, how complete, what it costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from logbook.costing import cash_to_come, cents, stop_reading
from logbook.model.clock import shop_time
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import AT_REST, Stage
from logbook.render.next_words import next_words
from logbook.teardown.complete import completeness
from logbook.teardown.stage import days_untouched


@dataclass(frozen=True, slots=True)
class Overview:
    """What the bench knows of a unit."""

    code: str
    name: str
    stage: Stage
    next: str
    """What is next, or what it waits for."""
    days: int | None
    """Days since it was last worked on; None when nobody knows."""
    percent: int | None
    """How complete its teardown record is; None while there is none."""
    expected: Decimal | None
    """Expected cash to come, in whole hundredths; None while nothing is priced or known."""
    unpriced: int
    """Things that will cost money and have no price: the sum can only grow by them."""
    stop: Decimal | None
    """What is left of the stop line; None when none was set."""
    over: bool
    """Whether the likely or the expected cash is over what is left of it."""

    @property
    def waits(self) -> bool:
        """Whether it stands still for a stated reason."""
        return self.next.startswith("WAITS")


def overview(unit: Unit, shop: Shop, now: datetime) -> Overview:
    """The line of one unit.

    Args:
        unit: whose line it is.
        shop: for what is on the shelf and need not be bought.
        now: the moment, timezone-aware; days are those of local time.
    """
    now = shop_time(now, shop)
    today = now.date()
    cash = cash_to_come(unit, shop, today)
    reading = stop_reading(unit, shop, cash)
    complete = completeness(unit)
    unpriced = len(cash.unpriced) + len(cash.not_counted)
    return Overview(
        code=unit.code,
        name=unit.name,
        stage=unit.stage,
        next=next_words(unit, shop, now),
        days=days_untouched(unit, now),
        percent=complete.percent if complete else None,
        expected=cents(cash.expected) if cash.known else None,
        unpriced=unpriced,
        stop=None if reading is None else reading.left,
        over=reading is not None and reading.over,
    )


def age(days: int | None) -> str:
    """Days as one says them in five columns: `today`, `3 d`, `5 wk`, `14 mo`, `3 y`; `?` when not known."""
    if days is None:
        return "?"
    if days <= 0:
        return "today"
    if days < 28:
        return f"{days} d"
    if days < 91:
        return f"{days // 7} wk"
    return f"{days // 30} mo" if days < 730 else f"{days // 365} y"


def cash_against_stop(line: Overview) -> str:
    """Expected cash against what is left of the stop line, in whole units: `85 / 100`, `? / 40`, `85+? / 100`."""
    if line.stage in AT_REST:
        return "closed"
    cash = "?" if line.expected is None else f"{round(line.expected)}" + ("+?" if line.unpriced else "")
    if line.stop is None:
        return cash
    return f"{cash} / {round(line.stop)}" + (" OVER" if line.over else "")
