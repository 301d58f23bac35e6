"""What one record says otherwise than another, in sentences: things by what they are called, not by their place."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import Any, TypeVar

from logbook.joining.in_words import in_words, place_words
from logbook.joining.things import WHOLE, keys_of, name_of
from logbook.model.base import Frozen
from logbook.model.every_value import with_every_value
from logbook.model.fields import Field, FieldKind, fields_of, in_a_line

R = TypeVar("R", bound=Frozen)
Clock = Callable[[datetime], datetime]
_KEPT_BY_THE_PROGRAM = frozenset({"touched", "to_look_at"})


def differences(before: R, after: R, clock: Clock) -> tuple[str, ...]:
    """A sentence for each thing that came, went or changed, and for each field; what both share is not read.

    Args:
        before: as it was.
        after: as it is.
        clock: by which moments are told.
    """
    return tuple(_Told(type(before), clock).between(before, after, ()))


class _Told:
    """Walks through two records together."""

    def __init__(self, kind: type[Frozen], clock: Clock) -> None:
        self._kind = kind
        self._clock = clock

    def between(self, before: Frozen, after: Frozen, way: tuple[str, ...]) -> Iterator[str]:
        for field in fields_of(type(before)):
            old, new = getattr(before, field.name), getattr(after, field.name)
            if old is not new and old != new and field.name not in _KEPT_BY_THE_PROGRAM:
                yield from self._field(field, old, new, (*way, field.name))

    def _field(self, field: Field, old: Any, new: Any, way: tuple[str, ...]) -> Iterator[str]:
        if field.kind is FieldKind.RECORD and field.record not in WHOLE and old is not None and new is not None:
            yield from self.between(old, new, way)
        elif field.kind is FieldKind.RECORDS and field.record not in WHOLE:
            yield from self._things(field, old or (), new or (), way)
        else:
            yield self._changed(field, old, new, way)

    def _changed(self, field: Field, old: Any, new: Any, way: tuple[str, ...]) -> str:
        was, now = (in_words(self._by_clock(value), field) for value in (old, new))
        return f"{place_words(self._kind, way)}: {was} → {now}"

    def _things(self, field: Field, old: Sequence[Any], new: Sequence[Any], way: tuple[str, ...]) -> Iterator[str]:
        old_keys, new_keys = keys_of(old), keys_of(new)
        if old_keys is None or new_keys is None:
            yield self._changed(field, tuple(old), tuple(new), way)
            return
        was, now = dict(zip(old_keys, old, strict=True)), dict(zip(new_keys, new, strict=True))
        for key in {**was, **now}:
            at = (*way, name_of(key))
            if key not in now:
                yield f"{place_words(self._kind, at)}: taken out, it was {in_a_line(self._by_clock(was[key]))}"
            elif key not in was:
                yield f"{place_words(self._kind, at)} is new: {in_a_line(self._by_clock(now[key]))}"
            elif was[key] != now[key]:
                yield from self.between(was[key], now[key], at)
        if [key for key in old_keys if key in now] != [key for key in new_keys if key in was]:
            yield f"{place_words(self._kind, way)}: in another order"

    def _by_clock(self, value: Any) -> Any:
        """A value with every moment in it as the clock shows it."""
        if isinstance(value, Frozen):
            return with_every_value(value, self._by_clock)
        if isinstance(value, tuple):
            return tuple(map(self._by_clock, value))
        return self._clock(value) if isinstance(value, datetime) else value
