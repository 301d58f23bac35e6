"""The plan as a standard calendar file (RFC 5545), for any calendar program."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from logbook.planning.plan import Background, Inquiry, Plan, PlanEntry
from logbook.render.plain import clean
from logbook.render.plan_document import entry_words, wait_words

if TYPE_CHECKING:
    from icalendar import Calendar, Event

_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
"""Characters that RFC 5545 section 3.1 does not allow in a text, and that the library writes as they come."""


def calendar_file(plan: Plan) -> bytes:
    """An event for each piece of work, one that does not make busy for each wait, and a day for each call.

    Times are written in UTC, which every calendar program turns into its own.
    """
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", "-//restorers-logbook//plan//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    stamp = plan.made.astimezone(UTC).replace(microsecond=0)
    seen: dict[str, int] = {}
    for entry in plan.entries:
        _add(calendar, _work(entry), f"{entry.unit}-{entry.code or 'test'}-{entry.kind}", stamp, seen)
    for wait in plan.background:
        if wait.until - wait.start >= timedelta(minutes=30):
            _add(calendar, _wait(wait), f"{wait.unit}-wait", stamp, seen)
    for call in plan.calls:
        _add(calendar, _call(call), f"{call.unit}-call", stamp, seen)
    return bytes(calendar.to_ical())


def _add(calendar: Calendar, event: Event, name: str, stamp: datetime, seen: dict[str, int]) -> None:
    seen[name] = seen.get(name, 0) + 1
    event.add("uid", f"{_text(name)}-{seen[name]}@restorers-logbook")
    event.add("dtstamp", stamp)
    calendar.add_component(event)


def _event(summary: str, start: datetime | date, end: datetime | date) -> Event:
    from icalendar import Event

    event = Event()
    event.add("summary", _text(summary))
    event.add("dtstart", start.astimezone(UTC) if isinstance(start, datetime) else start)
    event.add("dtend", end.astimezone(UTC) if isinstance(end, datetime) else end)
    return event


def _work(entry: PlanEntry) -> Event:
    event = _event(f"{entry.unit} {entry.title}", entry.start, entry.end)
    event.add("description", _text(entry_words(entry)))
    event.add("categories", [_text(entry.unit)])
    return event


def _wait(wait: Background) -> Event:
    """A wait takes no time of the person, so it does not make a calendar busy."""
    event = _event(f"{wait.unit} {wait.title}: {wait.what}", wait.start, wait.until)
    event.add("description", _text(wait_words(wait)))
    event.add("transp", "TRANSPARENT")
    return event


def _call(call: Inquiry) -> Event:
    event = _event(f"{call.unit} {call.what}", call.day, call.day + timedelta(days=1))
    event.add("transp", "TRANSPARENT")
    return event


def _text(text: str) -> str:
    return _CONTROL.sub("", clean(text, limit=500))
