"""One answer for several members of a set: `left 0.3, right 0.4 by AB`, or one reading for each in their order.

A part of the text that begins with the name of a member (its code, or where it sits) is that member's. Initials at the
end are those of every part that names nobody.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from logbook.model.unit import PartSet

_BY = re.compile(r"(?P<reading>.*?)(?:^|[\s,]+)by\s+(?P<initials>[^\s,]+)", re.IGNORECASE)
_BECAUSE = re.compile(r"(?:^|.*?[\s,])because\b[\s:]*(?P<why>.*)", re.IGNORECASE)
_COMMA = re.compile(r"\s*[;,](?!(?<=[0-9],)[0-9])\s*")
_STARTS_A_READING = re.compile(r"[<>≤≥~-]?\s*[0-9]")


class CheckAnswer(NamedTuple):
    """What is said at one hold point: what was read, by whom, or why work goes on without."""

    member: str
    """Code of the member of the set; empty when it is not said."""
    reading: str
    initials: str
    because: str | None
    """The reason to go on without; None when none is given, empty when the word stands alone."""


def answer_in(text: str, member: str = "") -> CheckAnswer:
    """One answer: `0.1 ohm by AB`, `by AB`, `because the meter is away`."""
    because = _BECAUSE.fullmatch(text)
    if because is not None:
        return CheckAnswer(member, "", "", because["why"].strip())
    by = _BY.fullmatch(text)
    if by is None:
        return CheckAnswer(member, text.strip(" ,"), "", None)
    return CheckAnswer(member, by["reading"].strip(" ,"), by["initials"], None)


def answers_of_members(text: str, of: PartSet | None, waiting: Sequence[str]) -> tuple[CheckAnswer, ...]:
    """The answers of a text that speaks of several members, in its order; nothing when it speaks of none by name.

    Args:
        text: `left 0.3, right 0.4 by AB`; `L by AB, R because no meter`; `0.3, 0.4 by AB` for those that wait.
        of: the set.
        waiting: codes of the members that wait for an answer, in their order.
    """
    text = " ".join(text.split())
    parts = _named_parts(text, of) or _in_their_order(text, waiting)
    answers = [answer_in(part, member) for member, part in parts]
    following = ""
    for place in range(len(answers) - 1, -1, -1):
        following = answers[place].initials or following
        if not answers[place].initials and answers[place].because is None:
            answers[place] = answers[place]._replace(initials=following)
    return tuple(answers)


def _named_parts(text: str, of: PartSet | None) -> list[tuple[str, str]]:
    """What stands behind each name of a member, when the text begins with one."""
    members = () if of is None else of.members
    positions = [member.position.strip().casefold() for member in members]
    names = {member.code.casefold(): member.code for member in members}
    for member, place in zip(members, positions, strict=True):
        if place and positions.count(place) == 1:
            names.setdefault(place, member.code)
    if not names:
        return []
    known = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    at = re.compile(rf"(?:^|[\s,;]+|\band\s+)({known})(?=[\s:,;]|$):?\s*", re.IGNORECASE)
    found = list(at.finditer(text))
    if not found or found[0].start() != 0:
        return []
    parts = []
    for this, after in zip(found, [*found[1:], None], strict=True):
        part = text[this.end() : after.start() if after is not None else len(text)]
        parts.append((names[this[1].casefold()], re.sub(r"(?:^|\s+)and$", "", part.strip(" ,;")).strip(" ,;")))
    return parts


def _in_their_order(text: str, waiting: Sequence[str]) -> list[tuple[str, str]]:
    """One reading for each of several that wait, with commas between."""
    parts = _readings(text)
    if len(parts) != len(waiting) or len(parts) < 2:
        return []
    return list(zip(waiting, parts, strict=True))


def readings_in(text: str) -> int:
    """How many readings a text has that names no member, with commas between them: `0.3, 0.4 by AB` has 2."""
    return len(_readings(text))


def _readings(text: str) -> list[str]:
    """The parts between the commas, where each begins like a reading; else nothing."""
    parts = [part for part in _COMMA.split(text) if part]
    return parts if all(map(_STARTS_A_READING.match, parts)) else []
