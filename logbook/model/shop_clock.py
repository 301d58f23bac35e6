"""The shop's clock: which time and which day it is there, wherever the computer that asks may stand.

Records hold moments in UTC. What a person reads, and every “today”, follows the time zone of the settings; without
one, the computer's own.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, tzinfo
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.every_value import with_every_value
from logbook.model.shop import Shop

R = TypeVar("R", bound=Frozen)


def time_zone(name: str) -> tzinfo | None:
    """The time zone of that name; None, the computer's own, for an empty one.

    Raises:
        InputError: there is no such zone.
    """
    if not name.strip():
        return None
    try:
        return ZoneInfo(name.strip())
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise InputError(
            f"“{name[:40]}” is no time zone. Write one like Europe/Paris or America/New_York in the settings."
        ) from error


def shop_time(moment: datetime, shop: Shop) -> datetime:
    """A moment by the shop's clock. A zone in the settings that is none is passed over here; the plan says so."""
    try:
        zone = time_zone(shop.settings.time_zone)
    except InputError:
        zone = None
    return moment.astimezone(zone)


def shop_day(moment: datetime, shop: Shop) -> date:
    """The day of the calendar on which a moment lies by the shop's clock."""
    return shop_time(moment, shop).date()


def on_clock_of(moment: datetime, now: datetime) -> datetime:
    """A moment of the record by the clock that `now` is read from."""
    return moment.astimezone(now.tzinfo)


def days_since(moment: datetime, now: datetime) -> int:
    """How many midnights lie between a moment and now, by the clock of `now`; 0 for one that is still to come."""
    return max(0, (now.date() - on_clock_of(moment, now).date()).days)


def by_clock_of(record: R, now: datetime) -> R:
    """The record with every moment in it, all the way down, by the clock that `now` is read from: for paper."""
    return _with_moments(record, lambda moment: on_clock_of(moment, now))


def by_clock_of_shop(record: R, shop: Shop) -> R:
    """The record with every moment in it, all the way down, by the shop's clock."""
    return _with_moments(record, lambda moment: shop_time(moment, shop))


def _with_moments(record: R, read: Callable[[datetime], datetime]) -> R:
    def by_clock(value: object) -> object:
        return read(value) if isinstance(value, datetime) else value

    return with_every_value(record, by_clock)
