"""What joining left to a person, in sentences and exactly."""

from __future__ import annotations

from typing import Any, NamedTuple

import orjson

from logbook.joining.things import key_of, name_of
from logbook.model.apart import ToLookAt
from logbook.model.base import Frozen
from logbook.model.fields import Field, in_a_line, shown_value

LONGEST = 120
"""So many letters of a value stand in a sentence; the whole of it is kept beside."""


class Says(NamedTuple):
    """How the two sides are called."""

    first: str
    second: str


class Three(NamedTuple):
    """One place of the record, or all of it: what was in common, and what each side says."""

    was: Any
    first: Any
    second: Any


def as_json(value: Any) -> str:
    """A value of a record exactly, as JSON."""
    return orjson.dumps(_plain(value)).decode()


def _plain(value: Any) -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(Any).dump_python(value, mode="json", by_alias=True)


def place_words(way: tuple[str, ...]) -> str:
    """The way to a field as a person reads it: `steps / T05 / bag`."""
    return " / ".join(part.replace("_", " ") for part in way)


def in_words(value: Any, field: Field) -> str:
    """A value in a sentence."""
    words = shown_value(value, field.kind)
    words = words if len(words) <= LONGEST else f"{words[:LONGEST]} …"
    return f"“{words}”" if words else "nothing"


def both_changed(field: Field, x: Any, y: Any, way: tuple[str, ...], sides: Says) -> ToLookAt:
    """One field that both sides changed, each in its own way."""
    said = f"{place_words(way)}: {in_words(x, field)} ({sides.first}) or {in_words(y, field)} ({sides.second})?"
    return ToLookAt(
        what=said, at=way, first=as_json(x), first_by=sides.first, second=as_json(y), second_by=sides.second
    )


def kept_all_the_same(x: Any, y: Any, way: tuple[str, ...], sides: Says, *, named: bool) -> ToLookAt:
    """A thing that one side took out while the other changed it, or wrote something that names it."""
    gone, stays = (sides.first, sides.second) if x is None else (sides.second, sides.first)
    did = "wrote something that names it" if named else "changed it"
    said = f"{place_words(way)}: taken out ({gone}), but the other side {did} ({stays}). It stays until you choose."
    return ToLookAt(
        what=said, at=way, first=as_json(x), first_by=sides.first, second=as_json(y), second_by=sides.second
    )


def called(thing: Frozen) -> str:
    """What a thing is called in a sentence."""
    return name_of(key_of(thing)) or in_a_line(thing)
