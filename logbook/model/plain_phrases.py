"""What people say of a new thing in words of their own, put into the labels by which its line is read.

W1 brown: cord to switch 1              code W1, colour brown, from cord, to switch 1
inside width 165.2 164.9, ±0.5          inside width, 165.2 164.9, ±0.5
buy new 289 + 9.90, 3 days              buy new 289 + 9.90, ready 3 days
buy used 80                             buy used, as is 80
oil, 20 min, 2 coats, dries 12 h        oil, 20 min, times 2, wait 12 h, between 12 h
bearings, due Fri                       bearings, expected Fri
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from types import MappingProxyType

_LABEL_OF_A_WIRE = re.compile(
    r"^\s*(?P<code>[A-Za-z]{1,3}\d{1,5})(?: (?P<colour>[^:,]+))?: *(?P<start>[^,]+?) to (?P<end>[^,]+)", re.ASCII
)
_READINGS_OF_A_SIZE = re.compile(r"^(?P<name>[^,]*[^\W\d][^,]*?) (?P<readings>\d+(?:\.\d+)?(?: \d+(?:\.\d+)?)+)(?=,|$)")
_SPAN = r"(?P<span>\d+ (?:days?|weeks?|months?))"
_USED = re.compile(r"^\s*(?:buy )?used(?:,? (?P<state>restored|as is)\b)?(?=\s|,|$)", re.IGNORECASE)
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
    """A size that was read twice, behind its name."""
    return _READINGS_OF_A_SIZE.sub(r"\g<name>, \g<readings>", text)


def _of_a_comparator(text: str) -> str:
    """In how many days it would be here; what is bought used is as it is, unless it is said to be restored."""
    used = _USED.match(text)
    if used is not None:
        text = f"buy used, {(used['state'] or 'as is').lower()}{text[used.end() :]}"
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


_BY_KIND: Mapping[str, Callable[[str], str]] = MappingProxyType(
    {
        "Connection": _of_a_connection,
        "HeldDimension": _of_a_size,
        "Comparator": _of_a_comparator,
        "Operation": _of_an_operation,
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
