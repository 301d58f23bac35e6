"""What joining left to a person, in sentences and exactly."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import orjson

from logbook.joining.things import key_of, name_of
from logbook.model.apart import ToLookAt
from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, field_named, in_a_line, shown_value

LONGEST = 120
"""So many letters of a value stand in a sentence; the whole of it is kept beside."""


class Says(NamedTuple):
    """How the two sides are called."""

    first: str
    second: str


class Place(NamedTuple):
    """A field, or a thing of a list, in a record."""

    kind: type[Frozen]
    """Kind of record in which the way begins."""
    way: tuple[str, ...]
    """Names of fields, and of things in lists."""

    @property
    def words(self) -> str:
        """As a person says it."""
        return place_words(self.kind, self.way)


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


def place_words(kind: type[Frozen], way: Sequence[str]) -> str:
    """The way to a field as a person says it: `step T05, its bag`.

    Args:
        kind: of the record in which the way begins.
        way: names of fields, and of things in lists.
    """
    said: list[str] = []
    of: type[Frozen] | None = kind
    left = list(way)
    while left:
        name = left.pop(0)
        field = field_named(of, name) if of is not None and name in of.model_fields else None
        label = field.label if field is not None else name.replace("_", " ")
        if field is not None and field.kind is FieldKind.RECORDS and left:
            thing = left.pop(0)
            label = _one_of(label) if thing.startswith("{") else f"{_one_of(label)} {thing}"
        said.append(f"its {label}" if said else label)
        of = field.record if field is not None else None
    return ", ".join(said)


def _one_of(things: str) -> str:
    """`steps` is `step`, `sub-assemblies` is `sub-assembly`."""
    return f"{things[:-3]}y" if things.endswith("ies") else things.removesuffix("s")


def in_words(value: Any, field: Field) -> str:
    """A value in a sentence."""
    words = shown_value(value, field.kind)
    words = words if len(words) <= LONGEST else f"{words[:LONGEST]} …"
    return f"“{words}”" if words else "nothing"


def both_changed(field: Field, x: Any, y: Any, place: Place, sides: Says) -> ToLookAt:
    """One field that both sides changed, each in its own way."""
    said = f"{place.words}: {in_words(x, field)} ({sides.first}) or {in_words(y, field)} ({sides.second})?"
    return ToLookAt(
        what=said, at=place.way, first=as_json(x), first_by=sides.first, second=as_json(y), second_by=sides.second
    )


def kept_all_the_same(x: Any, y: Any, place: Place, sides: Says, *, named: bool) -> ToLookAt:
    """A thing that one side took out while the other changed it, or wrote something that names it."""
    gone, stays = (sides.first, sides.second) if x is None else (sides.second, sides.first)
    did = "wrote something that names it" if named else "changed it"
    said = f"{place.words}: taken out ({gone}), but the other side {did} ({stays}). It stays until you choose."
    return ToLookAt(
        what=said, at=place.way, first=as_json(x), first_by=sides.first, second=as_json(y), second_by=sides.second
    )


def called(thing: Frozen) -> str:
    """What a thing is called in a sentence."""
    return name_of(key_of(thing)) or in_a_line(thing)
