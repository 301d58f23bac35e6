"""What people say of a new thing in words of their own, put into the labels by which its line is read.

W1 brown: cord to switch 1              code W1, colour brown, from cord, to switch 1
inside width 165.2 164.9, ±0.5          inside width, 165.2 164.9, ±0.5
buy new 289 + 9.90, 3 days              buy new 289 + 9.90, ready 3 days
buy used 80                             buy used, as is 80
new one 45                              buy new 45
new radio 45                            buy new, what radio, 45
oil, 20 min, 2 coats, dries 12 h        oil, 20 min, times 2, wait 12 h, between 12 h
bearings, due Fri                       bearings, expected Fri
Thursdays evening 7 to 9                Thursday 19:00-21:00
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from types import MappingProxyType

_LABEL_OF_A_WIRE = re.compile(
    r"^\s*(?P<code>[A-Za-z]{1,3}\d{1,5})(?: (?P<colour>[^:,]+))?: *(?P<start>[^,]+?) to (?P<end>[^,]+)", re.ASCII
)
_SIZE_BEHIND = re.compile(
    r"^(?P<name>[^,]*[^\W\d][^,]*?) (?P<size>\d{2,5}(?:\.\d+)?(?: ?(?:mm|cm))?) *(?=,|$)(?!.*, *\d)"
)
_READINGS_OF_A_SIZE = re.compile(r"^(?P<name>[^,]*[^\W\d][^,]*?) (?P<readings>\d+(?:\.\d+)?(?: \d+(?:\.\d+)?)+)(?=,|$)")
_SPAN = r"(?P<span>\d+ (?:days?|weeks?|months?))"
_USED = re.compile(r"^\s*(?:buy )?(?:a )?used(?: one)?(?:,? (?P<state>restored|as is)\b)?(?=\s|,|$)", re.IGNORECASE)
_NEW = re.compile(r"^\s*(?:buy )?(?:an? )?new(?: one)?(?= *[,\d]| *$)", re.IGNORECASE)
_NEW_THING = re.compile(r"^\s*(?:buy )?(?:an? )?new (?P<what>[^\W\d][^,\d]*?) *(?:,|(?= \d)|$)", re.IGNORECASE)
_READY = re.compile(rf"(?<=,) *{_SPAN} *(?=,|$)")
_COATS = re.compile(r"(?<=,) *(?P<times>\d+) (?:coats|times) *(?=,|$)")
_CLAMPS = re.compile(r"(?<=,) *(?P<clamps>\d+) clamps? *(?=,|$)")
_DRIES = re.compile(r"(?<=,) *(?:dries|sets|cures|waits) (?P<wait>\d[^,]*)")
_DUE = re.compile(r"(?<=,) *due (?=\S)")


def _of_a_connection(text: str) -> str:
    """What stands on the label of a wire: its number, its colour, and from where to where."""
    found = _LABEL_OF_A_WIRE.match(text)
    if found is None:
        return text
    colour = [f"colour {found['colour']}"] if found["colour"] else []
    said = [f"code {found['code'].upper()}", *colour, f"from {found['start']}", f"to {found['end']}"]
    return ", ".join(said) + text[found.end() :]


def _of_a_size(text: str) -> str:
    """A size behind its name, read once or twice; a figure below 10 numbers a thing, as in “shaft 1, 45”."""
    read_twice = _READINGS_OF_A_SIZE.sub(r"\g<name>, \g<readings>", text)
    return _SIZE_BEHIND.sub(r"\g<name>, \g<size>", text) if read_twice == text else read_twice


def _of_a_comparator(text: str) -> str:
    """In how many days it would be here; what is bought used is as it is, unless it is said to be restored."""
    used = _USED.match(text)
    if used is not None:
        text = f"buy used, {(used['state'] or 'as is').lower()}{text[used.end() :]}"
    text = _NEW_THING.sub(r"buy new, what \g<what>,", _NEW.sub("buy new", text))
    return _READY.sub(r" ready \g<span>", text)


def _of_an_operation(text: str) -> str:
    """Clamps, coats, and how long each dries: before the next one, and before what follows the last."""
    coats = _COATS.search(text)
    text = _CLAMPS.sub(r" needs clamps \g<clamps>", text)
    text = _COATS.sub(r" times \g<times>", text)
    again = r", between \g<wait>" if coats is not None and coats["times"] != "1" else ""
    return _DRIES.sub(r" wait \g<wait>" + again, text)


def _of_what_is_waited_for(text: str) -> str:
    """When it is due."""
    return _DUE.sub(" expected ", text)


_WEEKDAYS = re.compile(r"\b(?P<day>(?:mon|tues|wednes|thurs|fri|satur|sun)day)s\b", re.IGNORECASE)
_TIME_OF_DAY = re.compile(r" *,? *\b(?:in the |every )?(?P<part>mornings?|afternoons?|evenings?)\b", re.IGNORECASE)
_HOUR = r"\d{1,2}(?:[:.]\d{2})?"
_HOURS = re.compile(rf"(?<![\w.:-])(?:from )?(?P<start>{_HOUR}) ?(?:-|–|to|until|till) ?(?P<end>{_HOUR})(?![\w.:])")
_CLOCK = re.compile(r"(?<![\w.:-])(?P<start>\d{1,2}[:.]\d{2})(?![\w.:])")
_NOON = 12


def _of_free_hours(text: str) -> str:
    """A weekday in the plural, and a time of day in words: “evening 7 to 9” is 19:00 to 21:00.

    A time of day that does not go with the clock, or with no clock at all, stays where it is and is refused.
    """
    text = _WEEKDAYS.sub(r"\g<day>", text)
    part = _TIME_OF_DAY.search(text)
    if part is None:
        return text
    rest = text[: part.start()] + text[part.end() :]
    found = _HOURS.search(rest) or _CLOCK.search(rest)
    if found is None:
        return text
    if part["part"].casefold().startswith("morning"):
        return text if int(re.split(r"[:.]", found["start"])[0]) > _NOON else rest
    if "end" in found.groupdict():
        return _HOURS.sub(lambda hours: f"{_after_noon(hours['start'])}-{_after_noon(hours['end'])}", rest)
    return _CLOCK.sub(lambda clock: _after_noon(clock["start"]), rest)


def _after_noon(clock: str) -> str:
    hour, minutes = re.split(r"[:.]", f"{clock}:00")[:2]
    return f"{int(hour) + _NOON if int(hour) < _NOON else int(hour)}:{minutes}"


_BY_KIND: Mapping[str, Callable[[str], str]] = MappingProxyType(
    {
        "Connection": _of_a_connection,
        "HeldDimension": _of_a_size,
        "Comparator": _of_a_comparator,
        "Operation": _of_an_operation,
        "FreeTime": _of_free_hours,
        "Waiting": _of_what_is_waited_for,
    }
)


def with_labels(kind: str, text: str) -> str:
    """The line with the labels that its words stand for.

    Args:
        kind: name of the kind of record.
        text: the line as typed so far; what says nothing of the kind stays as it is.
    """
    said = _BY_KIND.get(kind)
    return text if said is None else said(text)
