"""One unit in one line, as the bench shows it: stage, what is next, how long untouched, how complete, what it costs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from logbook.model.base import Count, Frozen, Moment, Name, Text, UnitCode
from logbook.model.measures import hours_and_minutes
from logbook.model.plural import counted
from logbook.model.shop_clock import days_since
from logbook.model.step import Photo
from logbook.model.words import AT_REST, SignalWord, Stage
from logbook.model.work import Waiting
from logbook.teardown.chasing import waits_words


class NamedDanger(Frozen):
    """A danger of a unit, by its name."""

    signal: SignalWord
    what: Text


WHERE_MISSING = "m in 2"
"""Where what is missing, and what is to be looked at again, is listed: the key, and the section where it is one."""


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
    low: Decimal | None = None
    """The least cash to come; None where `expected` is."""
    high: Decimal | None = None
    """The most."""
    dangers: tuple[NamedDanger, ...] = ()
    """What is dangerous in it, the worst first, proved safe or not."""
    to_complete: int = 0
    """Facts that its record still lacks."""
    photo: Photo | None = None
    """One that shows it."""
    left_by_joining: int = 0
    """Things that joining two copies left to a person."""
    look_again: int = 0
    """Ticked lines of its list that say something else since."""

    @property
    def left(self) -> tuple[tuple[str, str], ...]:
        """What is to be looked at before anything else: a signal word, and how much with the key that leads there."""
        said = []
        if self.left_by_joining:
            said.append(("JOINED", f"{self.left_by_joining} left (!)"))
        if self.look_again:
            said.append(("LOOK AGAIN", f"{counted(self.look_again, 'ticked line')} changed ({WHERE_MISSING})"))
        return tuple(said)

    @property
    def waits(self) -> bool:
        """Whether it stands still for a stated reason."""
        return self.next.startswith("WAITS")


class OverviewLine(Frozen):
    """What an overview is made of: drawn from the record and the shop, and holds on any day on which stock keeps."""

    code: UnitCode
    name: Name
    stage: Stage
    next: Text
    """What is next; empty when it waits."""
    of_moment: Moment | None = None
    """When it was worked out, when that can be another thing a minute later: a glue sets, a line becomes ready."""
    waiting: tuple[Waiting, ...] = ()
    touched: Moment | None = None
    percent: Count | None = None
    expected: Decimal | None = None
    unpriced: Count = 0
    stop: Decimal | None = None
    over: bool = False
    low: Decimal | None = None
    high: Decimal | None = None
    dangers: tuple[NamedDanger, ...] = ()
    to_complete: Count = 0
    photo: Photo | None = None
    left_by_joining: Count = 0
    look_again: Count = 0


def shown(line: OverviewLine, now: datetime) -> Overview:
    """The line as it reads at a moment, by the shop's clock: what it waits for, and for how many days it lay."""
    return Overview(
        code=line.code,
        name=line.name,
        stage=line.stage,
        next=line.next or waits_words(line.waiting, now.date()),
        days=None if line.touched is None else days_since(line.touched, now),
        percent=line.percent,
        expected=line.expected,
        unpriced=line.unpriced,
        stop=line.stop,
        over=line.over,
        low=line.low,
        high=line.high,
        dangers=line.dangers,
        to_complete=line.to_complete,
        photo=line.photo,
        left_by_joining=line.left_by_joining,
        look_again=line.look_again,
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


def nothing_fits(lines: Iterable[Overview], minutes: int) -> str:
    """That no work is ready that fits into so many minutes, and what can be done in them all the same: no full stop."""
    facts = sum(line.to_complete for line in lines if line.stage not in AT_REST)
    if not facts:
        return f"Nothing is ready that fits into {hours_and_minutes(minutes)}"
    return f"Nothing ready fits {hours_and_minutes(minutes)}; at the desk: {counted(facts, 'fact')} to add"
