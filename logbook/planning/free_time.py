"""Free hours as windows of minutes: a weekly pattern and single dates, in the shop's time zone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta

from logbook.errors import InputError
from logbook.model.shop import Shop
from logbook.model.shop_clock import time_zone
from logbook.planning.plan_problem import Window

MINUTE = timedelta(minutes=1)
_CLOCK = re.compile(r"([01]?[0-9]|2[0-3])[:.h]?([0-5][0-9])?", re.ASCII)


class PlanClock:
    """Turns moments into minutes from an origin and back, for the arithmetic of the plan; the zone is the shop's."""

    def __init__(self, now: datetime, zone: str = "") -> None:
        """Start at the local midnight before `now`.

        Raises:
            InputError: there is no such time zone.
        """
        self.zone = time_zone(zone)
        self.origin = self.utc(datetime.combine(self.local(now).date(), time()))
        self.now = self.minutes(now)

    def local(self, moment: datetime) -> datetime:
        """A moment by the shop's clock."""
        return moment.astimezone(self.zone)

    def utc(self, wall: datetime) -> datetime:
        """What the shop's clock shows, as a moment; a time that summer time skips is moved by as much."""
        return (wall.replace(tzinfo=self.zone) if self.zone else wall.astimezone()).astimezone(UTC)

    def minutes(self, moment: datetime) -> int:
        """Whole minutes from the origin, rounded up."""
        return -((self.origin - moment) // MINUTE)

    def moment(self, minutes: int) -> datetime:
        """The moment so many minutes from the origin, in UTC."""
        return self.origin + minutes * MINUTE

    def wall(self, minutes: int) -> datetime:
        """The same by the shop's clock."""
        return self.local(self.moment(minutes))

    def day(self, day: date) -> int:
        """Minutes at which a day begins."""
        return self.minutes(self.utc(datetime.combine(day, time())))


def clock_time(text: str) -> time:
    """`19:00`, `19.00`, `7` as a time of day. Raises InputError when it is none."""
    match = _CLOCK.fullmatch(text.strip())
    if match is None:
        raise InputError(f"“{text[:40]}” is no time of day. Write it like 19:00.")
    return time(int(match[1]), int(match[2] or 0))


def free_windows(shop: Shop, clock: PlanClock, days: int, *, helper: bool = False) -> tuple[Window, ...]:
    """Free hours of so many days from the origin on, sorted, those that touch made one.

    Args:
        shop: whose free time it is. The entries of a single date take the place of the weekly ones on that day.
        clock: the origin and the time zone.
        days: how many days.
        helper: only those in which somebody is there to help.

    Raises:
        InputError: a start is no time of day.
    """
    first = clock.local(clock.origin).date()
    weekly = [f for f in shop.free_time if f.on is None]
    single = {f.on: [g for g in shop.free_time if g.on == f.on] for f in shop.free_time if f.on is not None}
    windows = []
    for n in range(days):
        day = first + timedelta(days=n)
        entries = single.get(day, [f for f in weekly if f.weekday in (None, day.isoweekday())])
        for entry in entries:
            if entry.minutes and (entry.helper or not helper):
                begin = clock.minutes(clock.utc(datetime.combine(day, clock_time(entry.start))))
                windows.append((begin, begin + entry.minutes))
    return merged(windows)


def merged(windows: list[Window]) -> tuple[Window, ...]:
    """Windows sorted, those that touch or overlap made one."""
    found: list[Window] = []
    for a, b in sorted(windows):
        if found and a <= found[-1][1]:
            found[-1] = (found[-1][0], max(b, found[-1][1]))
        else:
            found.append((a, b))
    return tuple(found)


def loud_windows(windows: tuple[Window, ...], shop: Shop, clock: PlanClock) -> tuple[Window, ...]:
    """What is left of free hours outside the quiet hours of the settings; all of it when there are none."""
    settings = shop.settings
    if not settings.quiet_from.strip() or not settings.quiet_to.strip():
        return windows
    start, end = clock_time(settings.quiet_from), clock_time(settings.quiet_to)
    found = []
    for a, b in windows:
        quiet = [q for q in _quiet(clock, start, end, a, b) if q[0] < b and q[1] > a]
        at = a
        for x, y in quiet:
            found += [(at, x)] if x > at else []
            at = max(at, y)
        found += [(at, b)] if b > at else []
    return tuple(found)


def _quiet(clock: PlanClock, start: time, end: time, a: int, b: int) -> Iterator[Window]:
    """The quiet hours of the days that a window touches, and of the night before."""
    day = clock.wall(a).date() - timedelta(days=1)
    while day <= clock.wall(b).date():
        until = day if end > start else day + timedelta(days=1)
        yield (
            clock.minutes(clock.utc(datetime.combine(day, start))),
            clock.minutes(clock.utc(datetime.combine(until, end))),
        )
        day += timedelta(days=1)


def repeats(shop: Shop) -> bool:
    """Whether free time goes on every week, so that a longer look ahead finds more of it."""
    return any(f.on is None and f.minutes for f in shop.free_time)
