"""What one record says otherwise than another, in sentences: things by what they are called, not by their place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from logbook.joining.in_words import in_words, place_words
from logbook.joining.things import WHOLE, keys_of, name_of
from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, fields_of, in_a_line

_KEPT_BY_THE_PROGRAM = frozenset({"touched", "to_look_at"})


def differences(before: Frozen, after: Frozen, way: tuple[str, ...] = ()) -> Iterator[str]:
    """A sentence for each thing that came, went or changed, and for each field; what both share is not read.

    Moments are told as they stand in the records.
    """
    for field in fields_of(type(before)):
        old, new = getattr(before, field.name), getattr(after, field.name)
        if old is not new and old != new and field.name not in _KEPT_BY_THE_PROGRAM:
            yield from _of_field(field, old, new, (*way, field.name))


def _of_field(field: Field, old: Any, new: Any, way: tuple[str, ...]) -> Iterator[str]:
    if field.kind is FieldKind.RECORD and field.record not in WHOLE and old is not None and new is not None:
        yield from differences(old, new, way)
    elif field.kind is FieldKind.RECORDS and field.record not in WHOLE:
        yield from _of_things(field, old or (), new or (), way)
    else:
        yield f"{place_words(way)}: {in_words(old, field)} → {in_words(new, field)}"


def _of_things(field: Field, old: Sequence[Any], new: Sequence[Any], way: tuple[str, ...]) -> Iterator[str]:
    old_keys, new_keys = keys_of(old), keys_of(new)
    if old_keys is None or new_keys is None:
        yield f"{place_words(way)}: {in_words(tuple(old), field)} → {in_words(tuple(new), field)}"
        return
    was, now = dict(zip(old_keys, old, strict=True)), dict(zip(new_keys, new, strict=True))
    for key in {**was, **now}:
        at = (*way, name_of(key))
        if key not in now:
            yield f"{place_words(at)}: taken out, it was {in_a_line(was[key])}"
        elif key not in was:
            yield f"{place_words(at)} is new: {in_a_line(now[key])}"
        elif was[key] != now[key]:
            yield from differences(was[key], now[key], at)
    if [key for key in old_keys if key in now] != [key for key in new_keys if key in was]:
        yield f"{place_words(way)}: in another order"
