"""Numbers that both sides gave, each to a thing of its own: one of the two gets a new one."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Generic, NamedTuple, TypeVar

from logbook.joining.naming import Codes, codes_in, with_codes
from logbook.joining.things import are_same, is_another
from logbook.model.bags import bags_written
from logbook.model.base import Frozen
from logbook.model.step import Connection, Step

R = TypeVar("R", bound=Frozen)

_NUMBERED = re.compile(r"(.*?)([0-9]{1,4})[a-z]?", re.ASCII)
_LONGEST = 16
"""Letters and digits of a code at most."""
_FREE = frozenset({"Member", "Unit"})
"""Kinds whose code is a name given by a person within its set, or the name of the record itself."""


class NewNumber(NamedTuple):
    """A thing that got a new code, because its old one was given twice."""

    kind: str
    """Kind of record, such as `Step`."""
    old: str
    new: str
    name: str
    """What it is."""
    mark: str
    """Of the side whose thing it is."""
    labels: tuple[str, ...]
    """Where the old code stands in the workshop: on bags, boxes and the two ends of a wire."""

    @property
    def sentence(self) -> str:
        """What to write where."""
        where = f": write it on {', '.join(self.labels)}" if self.labels else ""
        return f"{self.old} {self.name} is {self.new} now{where}."


class Renumbered(NamedTuple, Generic[R]):
    """Both sides, in which no code stands for two things any more."""

    first: R
    second: R
    of_first: tuple[NewNumber, ...]
    of_second: tuple[NewNumber, ...]


def renumbered(before: R, first: R, second: R, marks: tuple[str, str]) -> Renumbered[R]:
    """Both sides, with new codes for things whose code stands for something else on the other side.

    Where both gave a new thing the same code, it is the second side that gives way. Where a side took a thing out and
    gave its code to another, while the other side still works on the old thing, the newer thing gives way.

    Args:
        before: what both said in common.
        first: one side.
        second: the other.
        marks: what tells the sides apart.
    """
    old, one, other = (_things(record) for record in (before, first, second))
    of_first: list[NewNumber] = []
    of_second: list[NewNumber] = []
    for kind in sorted({*one, *other}):
        was, here, there = old.get(kind, {}), one.get(kind, {}), other.get(kind, {})
        taken = {*was, *here, *there}
        for code in here:
            if code not in there:
                continue
            gives_way = _gives_way(was.get(code), here[code], there[code])
            if gives_way is None:
                continue
            new = _free(code, taken)
            taken.add(new)
            is_first = gives_way is here[code]
            mark = marks[0] if is_first else marks[1]
            number = NewNumber(kind, code, new, _name(gives_way), mark, tuple(_labels(gives_way)))
            (of_first if is_first else of_second).append(number)
    sides = with_codes(first, codes_of(of_first)), with_codes(second, codes_of(of_second))
    return Renumbered(*sides, tuple(of_first), tuple(of_second))


def _gives_way(was: Frozen | None, here: Frozen, there: Frozen) -> Frozen | None:
    """Which of two things under one code gets another; None when they are one thing."""
    here_is_new = was is None or is_another(was, here)
    there_is_new = was is None or is_another(was, there)
    if here_is_new and there_is_new:
        return None if are_same(here, there) else there
    if here_is_new and there != was:
        return here
    if there_is_new and here != was:
        return there
    return None


def codes_of(numbers: Collection[NewNumber]) -> Codes:
    """The old codes with the new ones, by kind."""
    codes: dict[str, dict[str, str]] = {}
    for number in numbers:
        codes.setdefault(number.kind, {})[number.old] = number.new
    return codes


def speaking_of(record: Frozen, before: Frozen, codes: Collection[str]) -> tuple[str, ...]:
    """Words of a record that `before` does not have and that speak of one of these codes: nobody can follow them."""
    if not codes:
        return ()
    spoken = re.compile(rf"\b(?:{'|'.join(map(re.escape, codes))})\b")
    speaking = [text for text in _texts(*_not_in(record, before)) if " " in text and spoken.search(text)]
    known = set(_texts(before)) if speaking else set()
    return tuple(text for text in speaking if text not in known)


def _not_in(record: Frozen, before: Frozen) -> Iterator[object]:
    """The fields of a record, and the things of its lists, that do not stand in `before` as they are."""
    for name in type(record).model_fields:
        now, was = getattr(record, name), getattr(before, name)
        if isinstance(now, tuple) and isinstance(was, tuple):
            known = {getattr(thing, "code", None): thing for thing in was}
            yield from (thing for thing in now if thing != known.get(getattr(thing, "code", None)))
        elif now != was:
            yield now


def _texts(*records: object) -> tuple[str, ...]:
    """Every text of some records, each once."""
    found: dict[str, None] = {}
    todo = [record.model_dump() if isinstance(record, Frozen) else record for record in records]
    while todo:
        value = todo.pop()
        if isinstance(value, dict):
            todo += value.values()
        elif isinstance(value, list | tuple):
            todo += value
        elif isinstance(value, str):
            found[value] = None
    return tuple(found)


def _things(record: Frozen) -> dict[str, dict[str, Frozen]]:
    """By kind and code, everything that has a number."""
    found: dict[str, dict[str, Frozen]] = {}
    for code, thing in codes_in(record):
        kind = type(thing).__name__
        if kind not in _FREE:
            found.setdefault(kind, {}).setdefault(code, thing)
    return found


def _free(code: str, taken: Collection[str]) -> str:
    """The next number of the same letters; of a code without one, the first number behind it."""
    found = _NUMBERED.fullmatch(code)
    letters, width = (found[1], len(found[2])) if found else (code[: _LONGEST - 4], 1)
    alike = (m for one in taken if (m := _NUMBERED.fullmatch(one)) and m[1] == letters)
    number = max((int(m[2]) for m in alike), default=1) + 1
    return f"{letters}{number:0{width}d}"


def _name(thing: Frozen) -> str:
    said = (getattr(thing, name, "") for name in ("what", "name", "start", "consumable", "material"))
    return str(next(filter(None, said), "")) or type(thing).__name__.lower()


def _labels(thing: Frozen) -> Iterator[str]:
    if isinstance(thing, Step):
        yield from dict.fromkeys(f"bag {bag}" for bag in bags_written([thing]))
        if thing.box:
            yield f"box {thing.box}"
    elif isinstance(thing, Connection):
        yield "both its ends"
    elif type(thing).__name__ in {"Offcut", "Panel", "Strip"}:
        yield "the piece"
