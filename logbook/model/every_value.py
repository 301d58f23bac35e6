"""The same change made to every value of a record, all the way down its details and lists."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from operator import is_
from typing import TypeVar

from logbook.model.base import Frozen

R = TypeVar("R", bound=Frozen)


def with_every_value(record: R, change: Callable[[object], object]) -> R:
    """The record with each value that is neither a record nor a list replaced by what `change` makes of it.

    What `change` leaves as it is stays the same object: the record itself where nothing in it changes.
    """
    changes = {}
    for name in _fields(type(record)):
        value = getattr(record, name)
        changed = _changed(value, change)
        if changed is not value:
            changes[name] = changed
    return record.model_copy(update=changes) if changes else record


@cache
def _fields(kind: type[Frozen]) -> tuple[str, ...]:
    return tuple(kind.model_fields)


def _changed(value: object, change: Callable[[object], object]) -> object:
    if isinstance(value, Frozen):
        return with_every_value(value, change)
    if not isinstance(value, tuple):
        return change(value)
    items = [_changed(item, change) for item in value]
    return value if all(map(is_, items, value)) else tuple(items)
